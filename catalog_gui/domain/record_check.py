"""What a verifier would send back: a record is looked over before it goes out.

The rules are common practice of recording schemes, compiled from what several ask for, no single source:
who, what, where, when; honest precision; the reasons for which records come back.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from datetime import date

from catalog_gui.domain.record import Record, digits_of
from catalog_gui.domain.region import is_country_code

METRES_PER_DEGREE = 111_195.0
"""Of latitude, on the mean sphere: only to tell orders of magnitude."""

NEEDS_MICROSCOPE = frozenset(
    {"Cortinarius", "Inocybe", "Galerina", "Entoloma", "Psathyrella", "Conocybe", "Pholiotina", "Mycena"}
    | {"Inosperma", "Pseudosperma", "Hebeloma", "Lepiota", "Coprinellus", "Peziza"}
)
"""Genera in which most names from a picture alone are sent back (common practice, from memory)."""

DECISIVE_VIEWS = ("gills", "stem", "base")


@dataclass(frozen=True, slots=True)
class Question:
    """One thing a verifier would ask. `must`: the record is useless or wrong without an answer."""

    record: str
    number: str
    about: str
    words: str
    must: bool = False


def questions(
    records: Sequence[Record],
    *,
    today: date,
    foray_days: Callable[[Record], tuple[date, date] | None] = lambda _: None,
    months_of: Callable[[str], Collection[int] | None] = lambda _: None,
    accepted_name: Callable[[str], str] = lambda _: "",
) -> tuple[Question, ...]:
    """Every question on these records, in their order.

    `months_of(taxon)` gives the months in which it is written to appear, None where nothing is written;
    `accepted_name(name)` the name a synonym or a common name stands for, '' where the name is accepted or
    unknown.
    """
    asked: list[Question] = []
    seen: dict[tuple[str, str, str], str] = {}
    for record in records:
        for about, words, must in (
            *_who(record),
            *_what(record, accepted_name),
            *_where(record),
            *_when(record, today, foray_days(record), months_of),
            *_evidence(record),
        ):
            asked.append(Question(record.id, record.number, about, words, must))
        now = record.present
        if now is not None and record.on is not None and not record.generalised:
            key = (now.scientific_name, record.on.isoformat(), f"{record.latitude} {record.longitude}")
            if key in seen:
                words = f"The same name, day and place as {seen[key]}: a duplicate?"
                asked.append(Question(record.id, record.number, "duplicate", words))
            seen.setdefault(key, record.number)
    return tuple(asked)


_Asked = list[tuple[str, str, bool]]


def _who(record: Record) -> _Asked:
    asked: _Asked = []
    if not record.recorder:
        asked.append(("recorder", "Nobody is named who found it.", True))
    now = record.present
    if now is not None and not now.by:
        asked.append(("determiner", "Nobody is named who determined it.", True))
    return asked


def _what(record: Record, accepted_name: Callable[[str], str]) -> _Asked:
    now = record.present
    if now is None:
        return [("name", "It has no name.", True)]
    asked: _Asked = []
    better = accepted_name(" ".join(w for w in (now.genus, now.epithet, now.infraspecific) if w))
    if better:
        asked.append(
            ("name", f"'{now.scientific_name}' is out of date or a common name; {better} is meant.", False)
        )
    elif not now.genus:
        asked.append(("name", f"'{now.as_given}' is not a scientific name.", True))
    if not now.on:
        asked.append(("determiner", "The day of the determination is missing.", False))
    if now.genus in NEEDS_MICROSCOPE and now.epithet and not now.qualifier and not record.has_microscopy:
        asked.append(
            (
                "name",
                f"Most {now.genus} need a microscope: no such evidence is recorded, and no 'cf.' stands.",
                False,
            )
        )
    return asked


def _where(record: Record) -> _Asked:
    if not record.latitude or not record.longitude:
        must = not (record.site or record.grid_reference)
        return [("place", "No coordinates go with it.", must)]
    asked: _Asked = []
    latitude, longitude = float(record.latitude), float(record.longitude)
    if not (-90 <= latitude <= 90 and -180 <= longitude <= 180):
        asked.append(("place", "The coordinates lie outside the earth.", True))
    if abs(latitude) < 1e-4 and abs(longitude) < 1e-4:
        asked.append(("place", "0, 0 lies in the sea: a receiver without a fix.", True))
    if record.uncertainty_m is None or record.uncertainty_m <= 0:
        asked.append(("place", "The uncertainty of the coordinates is missing or 0.", True))
    elif not record.generalised:
        decimals = max(digits_of(record.latitude), digits_of(record.longitude))
        if METRES_PER_DEGREE / 10**decimals * 20 < record.uncertainty_m:
            words = f"The coordinates are written to {decimals} decimals but are good to {record.uncertainty_m} m only."
            asked.append(("place", words, False))
    if not record.generalised and record.uncertainty_m and record.grid_reference:
        side = _side_m(record.grid_reference)
        if side and side * 0.75 < record.uncertainty_m / 2:
            words = (
                f"{record.grid_reference} names a square of {side:g} m, "
                f"the place is good to {record.uncertainty_m} m."
            )
            asked.append(("place", words, False))
    if record.country_code and not is_country_code(record.country_code):
        asked.append(("place", f"'{record.country_code}' is no country code of two capital letters.", True))
    if not record.site and not record.generalised:
        asked.append(("place", "No site is named beside the coordinates.", False))
    return asked


def _side_m(reference: str) -> float | None:
    """The side of the square a lettered reference names, from its number of figures."""
    figures = 0
    for sign in reversed(reference.replace(" ", "")):
        if not sign.isdigit():
            break
        figures += 1
    return 100_000.0 / 10 ** (figures // 2) if figures and figures % 2 == 0 else None


def _when(
    record: Record,
    today: date,
    foray_days: tuple[date, date] | None,
    months_of: Callable[[str], Collection[int] | None],
) -> _Asked:
    if record.on is None:
        if record.event_date or record.verbatim_date:
            return [("date", f"'{record.event_date or record.verbatim_date}' is not a whole day.", False)]
        return [("date", "It has no date.", True)]
    asked: _Asked = []
    if record.on > today:
        asked.append(("date", f"{record.on.isoformat()} is in the future.", True))
    if foray_days is not None and not foray_days[0] <= record.on <= foray_days[1]:
        days = f"{foray_days[0].isoformat()} to {foray_days[1].isoformat()}"
        asked.append(("date", f"{record.on.isoformat()} lies outside the foray, {days}.", False))
    months = months_of(record.taxon) if record.taxon else None
    if months is not None and record.on.month not in months:
        asked.append(("date", f"{record.on:%B} is an unlikely month for {record.name}.", False))
    return asked


def _evidence(record: Record) -> _Asked:
    asked: _Asked = []
    if not record.associated:
        asked.append(("habitat", "No associated organism is noted.", False))
    if not record.substrate:
        asked.append(("habitat", "No substrate is noted.", False))
    if not record.habitat:
        asked.append(("habitat", "No habitat is noted.", False))
    missing = [view for view in DECISIVE_VIEWS if view not in record.views]
    if missing and not record.kept:
        asked.append(("pictures", f"No picture of: {', '.join(missing)}; and no voucher is kept.", False))
    return asked
