"""Keeps the preferences: one frozen dataclass, as JSON in the person's own configuration folder."""

from __future__ import annotations

import json
import logging
from collections.abc import Mapping
from dataclasses import dataclass, field, fields, replace
from enum import StrEnum
from pathlib import Path
from typing import Any

import platformdirs

from catalog_gui.durable import write_whole

APP = "foray-bench"
_log = logging.getLogger(__name__)


class Theme(StrEnum):
    """Light or dark, or as the system has it."""

    SYSTEM = "system"
    LIGHT = "light"
    DARK = "dark"


class Units(StrEnum):
    """In what lengths are written."""

    METRIC = "metric"  # mm
    CENTIMETRE = "centimetre"


class ScreenGrid(StrEnum):
    """In what places are written on the screen."""

    DEGREES = "latitude and longitude"
    BRITISH = "British"
    IRISH = "Irish"
    UTM = "UTM"
    MGRS = "MGRS"


class PlacePrecision(StrEnum):
    """How much place a new paper for others begins with. The exact place is given for one export at a time."""

    EXACT = "exact"  # read from old files; papers begin coarser
    ONE_KM = "1 km"
    TEN_KM = "10 km"
    HIDDEN = "hidden"


class PaperSize(StrEnum):
    """What is in the printer."""

    A4 = "A4"
    LETTER = "Letter"


@dataclass(frozen=True, slots=True)
class Preferences:
    """Everything the user can set. No number to call is built in: those of the own country are typed.

    `others` are keys of the file that this version does not know: they are written back as they were.
    """

    theme: Theme = Theme.SYSTEM
    units: Units = Units.METRIC
    date_format: str = "d MMMM yyyy"
    grid: ScreenGrid = ScreenGrid.DEGREES
    emergency_number: str = ""
    poison_service: str = ""
    country: str = ""
    person: str = ""
    time_zone: str = ""
    private_places: bool = True
    place_precision: PlacePrecision = PlacePrecision.TEN_KM
    catalogue_folder: str = ""
    own_pack: str = ""
    number_prefix: str = ""
    paper: PaperSize = PaperSize.A4
    first_steps: bool = True
    copies_folder: str = ""
    copies_every_days: int = 7
    others: Mapping[str, Any] = field(default_factory=dict, compare=False, repr=False)


def preferences_file() -> Path:
    """Where the preferences stand on this platform."""
    return Path(platformdirs.user_config_dir(APP, appauthor=False)) / "preferences.json"


def data_folder() -> Path:
    """Where the program keeps what is its own, such as the copy of the demo."""
    return Path(platformdirs.user_data_dir(APP, appauthor=False))


def calibrations_folder() -> Path:
    """Where the bars that were drawn for a reference are kept; they can be made again at any time."""
    return data_folder() / "calibrations"


def default_catalogue_folder() -> Path:
    """Where the catalogue goes when nothing is chosen."""
    return Path(platformdirs.user_documents_dir()) / "Foray Bench"


def load(path: Path | None = None) -> tuple[Preferences, str]:
    """Read the preferences; what is missing takes its default.

    What cannot be read takes its default too: the file as it was is then kept beside its place, and the
    second value says so in sentences ('' where all is well).
    """
    target = path or preferences_file()
    try:
        content = target.read_bytes()
    except FileNotFoundError:
        return Preferences(), ""
    except OSError as error:
        return Preferences(), (
            f"The preferences in {target} cannot be read ({error.strerror or error}); "
            "the program's own are used."
        )
    try:
        stored = json.loads(content.decode("utf-8"))
    except ValueError:
        stored = None
    if not isinstance(stored, dict):
        kept = _keep_aside(target, content, Preferences())
        return Preferences(), f"The preferences could not be read; the program's own are used. {kept}"
    preferences, refused = _understood(stored)
    if not refused:
        return preferences, ""
    kept = _keep_aside(target, content, preferences)
    return preferences, f"{' '.join(refused)} {kept}"


def save(preferences: Preferences, path: Path | None = None) -> None:
    """Write the preferences whole or not at all; keys that this version does not know stay. Raises OSError."""
    target = path or preferences_file()
    target.parent.mkdir(parents=True, exist_ok=True)
    known = {one.name: getattr(preferences, one.name) for one in fields(Preferences) if one.name != "others"}
    content = {**preferences.others, **known}
    write_whole(target, json.dumps(content, indent=1, ensure_ascii=False).encode("utf-8"))


def _understood(stored: Mapping[str, Any]) -> tuple[Preferences, list[str]]:
    """The preferences in a file, and a sentence for each value that is none."""
    usual, refused = Preferences(), []
    usable: dict[str, Any] = {}
    names = {one.name for one in fields(Preferences)} - {"others"}
    for name, value in stored.items():
        if name not in names:
            continue
        default = getattr(usual, name)
        complaint = _complaint(value, default)
        if complaint:
            refused.append(
                f"The preference '{name}' says {value!r}, {complaint}; it is {default or 'empty'} now."
            )
        else:
            usable[name] = type(default)(value)
    others = {name: value for name, value in stored.items() if name not in names}
    return replace(usual, **usable, others=others), refused


def _complaint(value: object, default: object) -> str:
    """Say in half a sentence what a value should be, '' where it fits."""
    match default:
        case StrEnum():
            kind = type(default)
            return (
                ""
                if isinstance(value, str) and value in list(kind)
                else f"which is none of {', '.join(kind)}"
            )
        case bool():
            return "" if isinstance(value, bool) else "which is neither true nor false"
        case int():
            whole = isinstance(value, int) and not isinstance(value, bool) and value >= 0
            return "" if whole else "which is no whole number from 0 on"
        case _:
            return "" if isinstance(value, str) else "which is no text"


def _keep_aside(target: Path, content: bytes, instead: Preferences) -> str:
    """Keep a file that could not be read beside its place and write what is used; returns where it is."""
    numbered = (target.with_name(f"{target.stem}-unread-{number}.json") for number in range(1, 1000))
    aside = next((one for one in numbered if not one.exists()), None)
    if aside is None:
        return "It was left where it is."
    try:
        write_whole(aside, content)
        save(instead, target)
    except OSError as error:
        _log.warning("%s could not be kept aside", target, exc_info=error)
        return "It was left where it is."
    return f"The file as it was is kept as {aside}."
