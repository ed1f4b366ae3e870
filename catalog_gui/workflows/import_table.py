"""Old spreadsheets come in as incomplete records: what is not written stays unknown, nothing is invented."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime
from enum import StrEnum

from catalog_gui.domain.day_words import SHORT_MONTHS
from catalog_gui.domain.foray import Foray, Place
from catalog_gui.domain.problem import BadInput, Cancelled
from catalog_gui.domain.record import Table
from catalog_gui.domain.region import is_country_code
from catalog_gui.domain.specimen import Determination, Specimen
from catalog_gui.geo.position import CoordinateError
from catalog_gui.geo.typed import read_place
from catalog_gui.geo.uncertainty import GPS_UNRECORDED_BEFORE_MAY_2000_M, GPS_UNRECORDED_M
from catalog_gui.lookalikes.reference import Reference
from catalog_gui.workflows.determine import split_name
from catalog_gui.workflows.ports import Surroundings, UnitOfWork
from catalog_gui.workflows.publish.places import TO_95


class Column(StrEnum):
    """What a column of an old spreadsheet may hold. The words stand in the mapping the user confirms."""

    LEAVE = "leave out"
    NUMBER = "number"
    NAME = "scientific name"
    QUALIFIER = "doubt (cf., aff.)"
    DETERMINER = "determiner"
    DETERMINED_ON = "determined on"
    BASIS = "basis"
    RECORDER = "recorder"
    DATE = "date"
    DAY = "day"
    MONTH = "month"
    YEAR = "year"
    COUNTRY = "country"
    COUNTRY_CODE = "country code"
    PROVINCE = "province or state"
    COUNTY = "county"
    SITE = "site"
    PLACE = "grid reference or coordinates"
    LATITUDE = "latitude"
    LONGITUDE = "longitude"
    UNCERTAINTY = "uncertainty in m"
    HABITAT = "habitat"
    SUBSTRATE = "substrate"
    ASSOCIATED = "associated organism"
    COUNT = "fruit bodies"
    VOUCHER = "voucher"
    NOTE = "notes"


# Heads as schemes, Darwin Core and people write them, letters only, small.
_HEADS: dict[Column, tuple[str, ...]] = {
    Column.NUMBER: (
        "number",
        "no",
        "nr",
        "recordnumber",
        "collectionnumber",
        "specimen",
        "fieldnumber",
        "id",
    ),
    Column.NAME: ("scientificname", "name", "species", "taxon", "latinname", "taxonname", "speciesname"),
    Column.QUALIFIER: ("doubt", "qualifier", "identificationqualifier", "cf"),
    Column.DETERMINER: (
        "determiner",
        "identifiedby",
        "det",
        "detby",
        "determinedby",
        "determinor",
        "identifier",
    ),
    Column.DETERMINED_ON: ("determinedon", "dateidentified", "detdate", "dateofdetermination"),
    Column.BASIS: ("basis", "identificationremarks"),
    Column.RECORDER: ("recorder", "recordedby", "collector", "leg", "finder", "observer", "foundby"),
    Column.DATE: ("date", "eventdate", "datefound", "recorddate", "collected", "when", "datecollected"),
    Column.DAY: ("day",),
    Column.MONTH: ("month",),
    Column.YEAR: ("year",),
    Column.COUNTRY: ("country", "countryname", "land"),
    Column.COUNTRY_CODE: ("countrycode", "iso", "isocode", "isocountrycode"),
    Column.PROVINCE: ("provinceorstate", "stateprovince", "province", "state", "region", "canton", "nation"),
    Column.COUNTY: ("county", "vicecounty", "vc", "district", "department", "shire", "watsonianvicecounty"),
    Column.SITE: ("site", "locality", "location", "place", "sitename", "where"),
    Column.PLACE: (
        "gridreference",
        "gridref",
        "gr",
        "coordinates",
        "verbatimcoordinates",
        "ngr",
        "osgridref",
    ),
    Column.LATITUDE: ("latitude", "lat", "decimallatitude"),
    Column.LONGITUDE: ("longitude", "long", "lon", "lng", "decimallongitude"),
    Column.UNCERTAINTY: (
        "uncertaintyinm",
        "uncertainty",
        "accuracy",
        "coordinateuncertaintyinmeters",
        "precision",
    ),
    Column.HABITAT: ("habitat", "ecosystem", "vegetation"),
    Column.SUBSTRATE: ("substrate", "growingon", "medium"),
    Column.ASSOCIATED: (
        "associatedorganism",
        "associate",
        "host",
        "associatedtaxa",
        "tree",
        "partner",
        "with",
    ),
    Column.COUNT: ("fruitbodies", "count", "quantity", "abundance", "individualcount", "organismquantity"),
    Column.VOUCHER: ("voucher", "herbarium", "accession", "catalognumber", "fungarium"),
    Column.NOTE: ("notes", "note", "remarks", "comments", "comment", "occurrenceremarks"),
}


def guess_columns(head: Sequence[str]) -> tuple[Column, ...]:
    """What each column seems to hold, by its head alone; each meaning is given to one column only."""
    taken: set[Column] = set()
    guesses = []
    for words in head:
        plain = re.sub(r"[^a-z]", "", words.casefold())
        found = next((c for c, heads in _HEADS.items() if plain in heads and c not in taken), Column.LEAVE)
        if found is not Column.LEAVE:
            taken.add(found)
        guesses.append(found)
    return tuple(guesses)


@dataclass(frozen=True, slots=True)
class OldFind:
    """One line read: a specimen without its foray and ids, a name if there was one, and what stayed unread.

    `problem` says why the line cannot come in at all.
    """

    line: int
    specimen: Specimen | None = None
    name: Determination | None = None
    remarks: tuple[str, ...] = ()
    problem: str = ""


@dataclass(frozen=True, slots=True)
class TableImport:
    """What came of a spreadsheet: every line is in one of the two."""

    specimens: tuple[str, ...] = ()
    left_out: tuple[OldFind, ...] = ()
    remarks: tuple[OldFind, ...] = field(default_factory=tuple)


def read_lines(
    table: Table, columns: Sequence[Column], reference: Reference, *, day_first: bool = True
) -> tuple[OldFind, ...]:
    """Every line of the table as a find, or the reason why not. Changes nothing.

    Raises BadInput when the mapping gives one meaning to two columns or neither name nor number to any.
    """
    used = [column for column in columns if column is not Column.LEAVE]
    twice = sorted({column.value for column in used if used.count(column) > 1})
    if twice:
        raise BadInput(f"Two columns are both called '{twice[0]}'.")
    if not {Column.NAME, Column.NUMBER} & set(used):
        raise BadInput("Say at least which column holds the name, or the number.")
    return tuple(
        _line(number, dict(zip(columns, row, strict=False)), reference, day_first=day_first)
        for number, row in enumerate(table.rows, 2)
    )


def bring_in(
    work: UnitOfWork,
    table: Table,
    finds: Sequence[OldFind],
    surroundings: Surroundings,
    next_number: Callable[[UnitOfWork, str, int], str],
    *,
    cancelled: Callable[[], bool] = lambda: False,
) -> TableImport:
    """Keep the lines that can be read as specimens of one foray called after the file. One step, undoable."""
    known = {specimen.number for specimen in work.specimens.all()}
    foray = Foray(surroundings.new_id(), f"From {table.name}", time_zone="UTC")
    kept: list[str] = []
    left: list[OldFind] = []
    remarks: list[OldFind] = []
    specimens: list[Specimen] = []
    names: list[Determination] = []
    for find in finds:
        if cancelled():
            raise Cancelled
        specimen = find.specimen
        if specimen is None:
            left.append(find)
            continue
        if specimen.number in known:
            left.append(_refused(find, f"{specimen.number} is in the catalogue already."))
            continue
        year = (specimen.collected_at or surroundings.now()).year
        number = specimen.number or _free(next_number(work, "", year), known)
        known.add(number)
        whole = _with_ids(specimen, surroundings.new_id(), number, foray.id)
        specimens.append(whole)
        kept.append(whole.id)
        if find.name is not None:
            names.append(_name_with_ids(find.name, surroundings, whole.id))
        if find.remarks:
            remarks.append(find)
    if specimens:
        work.forays.put(foray)
        work.specimens.put(*specimens)
        if names:
            work.determinations.put(*names)
    return TableImport(tuple(kept), tuple(left), tuple(remarks))


def _free(number: str, known: set[str]) -> str:
    start = len(number.rstrip("0123456789"))
    count = int(number[start:])
    while f"{number[:start]}{count:03d}" in known:
        count += 1
    return f"{number[:start]}{count:03d}"


def _refused(find: OldFind, problem: str) -> OldFind:
    return OldFind(find.line, problem=problem)


def _with_ids(specimen: Specimen, key: str, number: str, foray_id: str) -> Specimen:
    return replace(specimen, id=key, number=number, foray_id=foray_id)


def _name_with_ids(name: Determination, surroundings: Surroundings, specimen_id: str) -> Determination:
    return replace(name, id=surroundings.new_id(), specimen_id=specimen_id, entered_at=surroundings.now())


def _line(line: int, cells: dict[Column, str], reference: Reference, *, day_first: bool) -> OldFind:
    cells = {key: value.strip() for key, value in cells.items() if value.strip() and key is not Column.LEAVE}
    if not cells.get(Column.NAME) and not cells.get(Column.NUMBER):
        return OldFind(line, problem="Neither a name nor a number stands in this line.")
    remarks: list[str] = []
    found_on, words = read_date(cells, day_first=day_first)
    note = cells.get(Column.NOTE, "")
    if words:
        remarks.append(f"'{words}' is no whole day: kept as words.")
        note = f"{note}\nDate as written: {words}".strip()
    place, problem = _place(cells, found_on)
    if problem:
        remarks.append(problem)
        where = " ".join(cells[c] for c in (Column.PLACE, Column.LATITUDE, Column.LONGITUDE) if cells.get(c))
        note = f"{note}\nPlace as written: {where}".strip()
    count = cells.get(Column.COUNT, "")
    if count and not count.isdigit():
        note = f"{note}\nFruit bodies as written: {count}".strip()
    code, unread = _country_code(cells.get(Column.COUNTRY_CODE, ""))
    if unread:
        remarks.append(f"'{unread}' is no country code of two letters.")
        note = f"{note}\nCountry code as written: {unread}".strip()
    specimen = Specimen(
        id="",
        number=cells.get(Column.NUMBER, ""),
        # A day without a time of day is kept as midnight, UTC, in a foray of that zone.
        collected_at=datetime(found_on.year, found_on.month, found_on.day, tzinfo=UTC) if found_on else None,
        place=place,
        collector=cells.get(Column.RECORDER, ""),
        site=cells.get(Column.SITE, ""),
        habitat=cells.get(Column.HABITAT, ""),
        substrate=cells.get(Column.SUBSTRATE, ""),
        associated_taxa=cells.get(Column.ASSOCIATED, ""),
        fruit_bodies=int(count) if count.isdigit() else None,
        voucher=cells.get(Column.VOUCHER, ""),
        note=note,
        country=cells.get(Column.COUNTRY, ""),
        country_code=code,
        state_province=cells.get(Column.PROVINCE, ""),
        county=cells.get(Column.COUNTY, ""),
    )
    return OldFind(line, specimen, _name(cells, reference, day_first=day_first), tuple(remarks))


def _name(cells: dict[Column, str], reference: Reference, *, day_first: bool) -> Determination | None:
    words = cells.get(Column.NAME, "")
    if not words:
        return None
    doubt = cells.get(Column.QUALIFIER, "").split()
    name, qualifier = split_name(f"{words} {doubt[0]}" if doubt else words)
    taxon = reference.named(name)
    on, _ = read_date({Column.DATE: cells.get(Column.DETERMINED_ON, "")}, day_first=day_first)
    return Determination(
        "",
        "",
        name,
        taxon.id if taxon is not None else "",
        qualifier,
        cells.get(Column.DETERMINER, ""),
        on,
        cells.get(Column.BASIS, ""),
    )


def _country_code(text: str) -> tuple[str, str]:
    """The code in capitals, or '' with the words of what is none (a code of three letters, a name)."""
    code = text.upper()
    return (code, "") if not code or is_country_code(code) else ("", text)


_ISO = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})(?:[T ].*)?")
_DOTS = re.compile(r"(\d{1,2})[./\- ](\d{1,2})[./\- ](\d{4})")
_WORDS = re.compile(r"(\d{1,2})\.?\s+([A-Za-zäé]{3,})\.?\s+(\d{4})")


def read_date(cells: dict[Column, str], *, day_first: bool) -> tuple[date | None, str]:
    """The day of a line, or None with the words of what is not a whole day (a month, a year, a span)."""
    text = cells.get(Column.DATE, "")
    if not text:
        parts = [cells.get(c, "") for c in (Column.YEAR, Column.MONTH, Column.DAY)]
        if not any(parts):
            return None, ""
        if all(part.isdigit() for part in parts):
            text = "-".join(parts)
        else:
            return None, "-".join(part for part in parts if part)
    year_month_day: tuple[int, int, int] | None = None
    if found := _ISO.fullmatch(text):
        year_month_day = (int(found[1]), int(found[2]), int(found[3]))
    elif found := _DOTS.fullmatch(text):
        first, second = int(found[1]), int(found[2])
        day, month = (first, second) if day_first else (second, first)
        year_month_day = (int(found[3]), month, day)
    elif (found := _WORDS.fullmatch(text)) and found[2][:3].casefold() in SHORT_MONTHS:
        year_month_day = (int(found[3]), SHORT_MONTHS.index(found[2][:3].casefold()) + 1, int(found[1]))
    if year_month_day is None:
        return None, text
    try:
        return date(*year_month_day), ""
    except ValueError:
        return None, text


def _place(cells: dict[Column, str], found_on: date | None) -> tuple[Place | None, str]:
    text = cells.get(Column.PLACE, "")
    if not text and cells.get(Column.LATITUDE) and cells.get(Column.LONGITUDE):
        text = f"{_dotted(cells[Column.LATITUDE])}, {_dotted(cells[Column.LONGITUDE])}"
    if not text:
        return None, ""
    try:
        typed = read_place(text)
    except CoordinateError as error:
        return None, f"The place '{text}' was not read: {error}"
    if typed.position.is_null_island:
        return None, "0, 0 is no place: a receiver without a fix."
    stated = _dotted(cells.get(Column.UNCERTAINTY, "")).removesuffix("m").strip()
    try:
        radius = float(stated) if stated else 0.0
    except ValueError:
        radius = 0.0
    if radius > 0:
        return Place(typed.position, max(radius, typed.uncertainty_m) / TO_95, "old spreadsheet"), ""
    if typed.square is not None:
        return Place(typed.position, typed.uncertainty_m / TO_95, f"grid reference {typed.verbatim}"), ""
    # Darwin Core's examples of a sensible lower limit for a receiver whose accuracy nobody noted.
    early = found_on is not None and found_on < date(2000, 5, 1)
    least = GPS_UNRECORDED_BEFORE_MAY_2000_M if early else GPS_UNRECORDED_M
    radius = max(least, float(typed.uncertainty_m))
    return Place(
        typed.position, radius / TO_95, f"uncertainty not noted in the old spreadsheet; {radius:g} m taken"
    ), ""


def _dotted(number: str) -> str:
    return number.replace(",", ".") if number.count(",") == 1 and "." not in number else number
