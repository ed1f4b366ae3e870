"""Preferences: one frozen dataclass, kept as JSON in the person's own configuration folder."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass, fields, replace
from pathlib import Path

import platformdirs

from catalog_gui.durable import write_whole

APP = "foray-bench"


@dataclass(frozen=True, slots=True)
class Preferences:
    """Everything she can set. No number to call is built in: she types those of her own country."""

    theme: str = "system"  # system, light, dark
    units: str = "metric"  # metric (mm), centimetre
    date_format: str = "d MMMM yyyy"
    grid: str = "latitude and longitude"  # British, Irish, UTM, MGRS, latitude and longitude
    emergency_number: str = ""
    poison_service: str = ""
    country: str = ""
    person: str = ""
    time_zone: str = ""
    private_places: bool = True
    place_precision: str = "10 km"  # exact, 1 km, 10 km, hidden
    catalogue_folder: str = ""
    own_pack: str = ""
    number_prefix: str = ""
    paper: str = "A4"
    first_steps: bool = True
    copies_folder: str = ""
    copies_every_days: int = 7


def preferences_file() -> Path:
    """Where the preferences stand on this platform."""
    return Path(platformdirs.user_config_dir(APP, appauthor=False)) / "preferences.json"


def data_folder() -> Path:
    """Where the program keeps what is its own, such as the copy of the demo."""
    return Path(platformdirs.user_data_dir(APP, appauthor=False))


def default_catalogue_folder() -> Path:
    """Where the catalogue goes when she chooses nothing."""
    return Path(platformdirs.user_documents_dir()) / "Foray Bench"


def load(path: Path | None = None) -> Preferences:
    """Read the preferences; what is missing, unknown or of the wrong kind takes its default."""
    try:
        stored = json.loads((path or preferences_file()).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return Preferences()
    if not isinstance(stored, dict):
        return Preferences()
    known = Preferences()
    usable = {
        field.name: stored[field.name]
        for field in fields(Preferences)
        if field.name in stored and isinstance(stored[field.name], type(getattr(known, field.name)))
    }
    return replace(known, **usable)


def save(preferences: Preferences, path: Path | None = None) -> None:
    """Write the preferences whole or not at all."""
    target = path or preferences_file()
    target.parent.mkdir(parents=True, exist_ok=True)
    write_whole(target, json.dumps(asdict(preferences), indent=1, ensure_ascii=False).encode("utf-8"))
