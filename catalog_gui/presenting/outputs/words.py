"""Says what goes out, to whom and with how much place, and proposes names of files that give nothing away."""

from __future__ import annotations

from collections.abc import Sequence

from catalog_gui.domain.ledger import HandedOn
from catalog_gui.domain.privacy import Audience, Reader, precision_for
from catalog_gui.domain.sheet import Precision
from catalog_gui.presenting.outputs.state import FindLine
from catalog_gui.presenting.words import clock_time, counted, day
from catalog_gui.settings import Preferences
from catalog_gui.workflows.publish.order import PLACELESS, Kind, Order

PRECISIONS = (Precision.EXACT, Precision.ONE_KM, Precision.TEN_KM, Precision.HIDDEN)
"""How much place can be given, the most first."""

USUAL_AUDIENCE = {
    Kind.SHEET: Audience.MYSELF,
    Kind.EMERGENCY: Audience.HOSPITAL,
    Kind.HANDOUT: Audience.COURSE,
    Kind.DRILL: Audience.COURSE,
    Kind.LABELS: Audience.MYSELF,
    Kind.PACKET: Audience.MYSELF,
    Kind.SLIPS: Audience.MYSELF,
    Kind.NUMBERS: Audience.MYSELF,
    Kind.OWNER: Audience.LANDOWNER,
    Kind.GROUP: Audience.COURSE,
    Kind.ARCHIVE: Audience.SCHEME,
    Kind.TABLE: Audience.SCHEME,
    Kind.PICTURES: Audience.PUBLIC,
}


PLACES_LEFT_HINT = (
    "It was to go out with no place, and nothing is written yet. To take the words out, change them in the "
    "record and save again."
)
_SHOWN = 12


def places_left_words(places: Sequence[str]) -> str:
    """The question about words in a finished file that are written as a place is."""
    shown = [f"'{' '.join(words.split())}'" for words in places[:_SHOWN]]
    if len(places) > _SHOWN:
        shown.append(f"{len(places) - _SHOWN} more")
    what = "This looks like a place" if len(places) == 1 else "These look like places"
    return f"{what}: {', '.join(shown)}."


def usual_place(audience: Audience, usual: Precision) -> Precision:
    """How much place a paper begins with: a poison service gets none unless it is chosen."""
    return Precision.HIDDEN if audience is Audience.HOSPITAL else usual


def usual_reader(audience: Audience, precision: Precision) -> Reader:
    """What usually stands on it: everything for oneself, names for a scheme, the site for its owner."""
    mine = audience is Audience.MYSELF
    return Reader(
        precision,
        names=mine or audience is Audience.SCHEME,
        notes=mine,
        site=mine or audience is Audience.LANDOWNER,
    )


def find_words(find: FindLine) -> str:
    """One line of the list; a star where the place is private."""
    return f"{find.number}{' * ' if find.private else '  '} {find.name or 'not named yet'}"


def foray_words(foray: str, finds: Sequence[FindLine]) -> str:
    """The foray the finds are of, and what the star means where there is one."""
    private = any(find.private for find in finds)
    return (foray or "No foray yet") + ("   * place kept private" if private else "")


def exact_words(count: int, audience: Audience) -> str:
    """What a yes to the exact place would give away."""
    finds = "1 find goes" if count == 1 else f"{count} finds go"
    return f"The exact place of {finds} to {audience.value}."


def precision_words(order: Order, finds: Sequence[FindLine]) -> str:
    """How much place the order gives, in words for the log; a find that is not listed counts as private."""
    if order.kind in PLACELESS:
        return Precision.HIDDEN.value
    private = {find.id: find.private for find in finds}
    given = {precision_for(order.reader, private=private.get(key, True)) for key in order.specimens}
    words = ", ".join(precision.value for precision in PRECISIONS if precision in given)
    return words or Precision.HIDDEN.value


def before_words(order: Order, finds: Sequence[FindLine]) -> str:
    """What the reader gets and does not get, in sentences."""
    if order.kind is Kind.NUMBERS:
        return "Numbers only: nothing of any find goes out."
    if not order.specimens and not order.papers:
        return "Tick a find first."
    reader = order.reader
    gets = f"The reader gets: {precision_words(order, finds)}."
    if reader.precision is Precision.EXACT and not reader.deliberate:
        gets += " The exact place waits for your yes."
    private = [find for find in finds if find.id in order.specimens and find.private]
    if private and reader.precision is Precision.ONE_KM and order.kind not in PLACELESS:
        gets += " Private finds go out as 10 km squares."
    parts = [gets]
    absent = [
        words
        for words, given in (
            ("people's names", reader.names),
            ("your notes", reader.notes),
            ("the site's name", reader.site or reader.deliberate),
        )
        if not given
    ]
    if absent:
        parts.append(
            f"Left out: {', '.join(absent)}. Places and names written into other fields are blotted out."
        )
    parts.append("A background can give a place away: look at the pictures.")
    return "\n".join(parts)


def empty_words(kind: Kind, finds: Sequence[FindLine]) -> str:
    """What to do when nothing can be shown."""
    if kind is Kind.HANDOUT:
        return "Tick finds, or write taxa to lay beside each other; four stand on one leaf."
    if not finds:
        return "There is no specimen in this foray yet. Keep one on Sort first."
    return "Tick a find on the left to see its paper."


def save_words(kind: Kind) -> str:
    """What the button says."""
    if kind is Kind.PICTURES:
        return "Save in a new folder…"
    return {Kind.ARCHIVE: "Save the archive…", Kind.TABLE: "Save the spreadsheet…"}.get(kind, "Save as PDF…")


def saved_words(kind: Kind, name: str, pages: int) -> str:
    """That it is saved, and how much of it there is."""
    noun = {Kind.PICTURES: "picture", Kind.ARCHIVE: "record", Kind.TABLE: "record"}.get(kind, "page")
    return f"Saved: {name}, {counted(pages, noun)}."


def printed_words(printer: str, pages: int) -> str:
    """That it went to the printer, and how much of it there is."""
    return f"Sent to {printer}: {counted(pages, 'page')}."


def file_filter(kind: Kind, table_suffix: str) -> str:
    """The kinds of file for the dialog; the chosen kind of spreadsheet ('.xlsx' or '.csv') stands first."""
    match kind:
        case Kind.PICTURES:
            return "Folder (*)"
        case Kind.ARCHIVE:
            return "Darwin Core Archive (*.zip)"
        case Kind.TABLE:
            both = ["Workbook (*.xlsx)", "CSV text (*.csv)"]
            return ";;".join(both if table_suffix == ".xlsx" else both[::-1])
        case _:
            return "PDF (*.pdf)"


def file_name(order: Order, finds: Sequence[FindLine], table_suffix: str) -> str:
    """A name for the file: kind and number, nothing that gives a place away."""
    numbers = [find.number for find in finds if find.id in order.specimens]
    what = numbers[0] if len(numbers) == 1 else f"{len(numbers)} finds"
    if order.kind is Kind.NUMBERS:
        what = f"{order.numbers[0]} on" if order.numbers else ""
    words = f"{order.kind.value} {what}".lower()
    suffix = {Kind.PICTURES: "", Kind.ARCHIVE: ".zip", Kind.TABLE: table_suffix}
    plain = "".join(c if c.isalnum() or c in "-." else "-" for c in words).strip("-")
    return plain + suffix.get(order.kind, ".pdf")


def log_words(entry: HandedOn, preferences: Preferences) -> str:
    """What went out, when, for whom, with how much place."""
    zone = preferences.time_zone
    when = f"{day(entry.at, preferences, zone)}, {clock_time(entry.at, zone)}"
    finds = f", {counted(len(entry.specimens), 'find')}" if entry.specimens else ""
    return f"{when} – {entry.what}{finds}\nfor {entry.to_whom}, {entry.precision}"
