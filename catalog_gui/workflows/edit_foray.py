"""Keeps the fields of a foray as they are typed: one step for one stay in the form."""

from __future__ import annotations

from dataclasses import dataclass, replace

from catalog_gui.domain.caution import PERMISSION
from catalog_gui.domain.foray import Foray
from catalog_gui.workflows.ports import Records, UnitOfWork

FIELDS = {
    "title": ("Title", "What you call this foray"),
    "site": ("Site", "Where it went; specimens without a site of their own have this one"),
    "country": ("Country", "Specimens without a country of their own have this one; never guessed"),
    "country_code": ("Code", "Two letters, such as GB (ISO 3166-1); filled in for a known country"),
    "state_province": ("Province", "Province, state or nation; left out where no place goes out"),
    "county": ("County", "County or vice-county; goes out with the site or a 1 km square only"),
    "people": ("People", "Who was there, with commas between"),
    "permission": ("Permission", PERMISSION),
    "note": ("Note", "Anything else worth keeping"),
}


Values = dict[str, str]


def people_of(text: str) -> tuple[str, ...]:
    """Names as the user typed them, with commas or semicolons between."""
    return tuple(name for part in text.replace(";", ",").split(",") if (name := part.strip()))


def changed_foray(foray: Foray, values: Values) -> Foray:
    """The foray with some fields written anew."""
    fields: dict[str, object] = {
        name: people_of(text) if name == "people" else text for name, text in values.items()
    }
    return replace(foray, **fields)  # type: ignore[arg-type]  # text, and names for 'people'


@dataclass(slots=True)
class Run:
    """One stay in the form. `values` are all fields written since it began; `step` is the step that keeps
    them, touched only where the records are."""

    values: Values
    step: int = 0

    @property
    def title(self) -> str:
        """What the list of steps says."""
        return f"Foray: {' and '.join(FIELDS[name][0].lower() for name in self.values)}"


def keep_run(records: Records, foray_id: str, run: Run, title: str, values: Values) -> None:
    """Write fields of a foray anew as one step. A foray that is gone stays gone.

    The step that kept an earlier state of the same run is taken back first, while it is the newest of all:
    so one undo takes back all that was typed.
    """
    newest = next(iter(records.steps(1)), None)
    if run.step and newest is not None and newest.id == run.step and not newest.undone:
        records.undo()
    with records.step(title) as work:
        _write(work, foray_id, values)
    newest = next(iter(records.steps(1)), None)
    run.step = newest.id if newest is not None and newest.label == title and not newest.undone else 0


def _write(work: UnitOfWork, foray_id: str, values: Values) -> None:
    foray = work.forays.get(foray_id)
    if foray is not None:
        work.forays.put(changed_foray(foray, values))
