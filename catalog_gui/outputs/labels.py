"""Packet labels, determination slips, number slips and the packet to fold: words with a fixed place."""

from __future__ import annotations

from collections.abc import Sequence

import segno

from catalog_gui.domain.label_sheet import LabelSheet
from catalog_gui.domain.page import (
    A4_MM,
    LETTER_MM,
    Paper,
    Placed,
    PlacedCode,
    PlacedLine,
    PlacedPage,
    PlacedText,
)
from catalog_gui.domain.record import NameGiven, Record
from catalog_gui.domain.region import Region

INSET = 2.5
SLIP_MM = (95.0, 27.0)
NUMBER_SLIP_MM = (95.0, 44.0)
PACKET_SIDE_MM = 32.5
"""Folded in on both sides of A4, so that the packet is 145 mm wide and a third of the sheet, 99 mm, high:
about the 14-15 by 10 cm that herbaria use (memory)."""


def code_rows(words: str) -> tuple[str, ...]:
    """A QR code (ISO/IEC 18004) of the words, correction level M, with its quiet zone of four modules."""
    code = segno.make_qr(words, error="m")
    return tuple("".join("1" if dark else "0" for dark in row) for row in code.matrix_iter(border=4))


def label_lines(record: Record) -> tuple[str, ...]:
    """The field list of a voucher label, in the order of the trade; empty fields are left out.

    The name stands in line 1 (0 first). Leg., date and det. stay even when empty, to be written in.
    """
    now, confirmed = record.present, record.confirmed
    first = next(
        (n for n in record.names if now is not None and n.scientific_name == now.scientific_name), now
    )
    region = Region(record.country, record.country_code, record.state_province, record.county).words
    place = " · ".join(word for word in (region, record.site, record.place_words, record.altitude) if word)
    lines = [
        record.number,
        _full_name(now) if now is not None else "not named yet",
        f"Leg.: {record.recorder or '…………………'}   Date: {_day(record) or '…………'}",
        f"Place: {place}" if place else "Place: withheld" if record.withheld else "Place: …………………",
        _field("Habitat", record.habitat),
        _field("With", record.associated),
        _field("On", record.substrate),
        _field("Seen fresh", record.lost_on_drying),
        _field("Spore print", record.print_colour),
        f"Det.: {_person(first) or '…………………'}",
        f"Conf.: {_person(confirmed)}" if confirmed is not None else "",
        _field("By", now.basis if now is not None else ""),
        _field("Pictures", ", ".join(record.pictures)),
        _field("Voucher", record.voucher),
        _field("Permit", record.permission),
        record.note,
    ]
    return tuple(line for line in lines if line)


def labels(records: Sequence[Record], sheet: LabelSheet, *, code: bool, skip: int = 0) -> Paper:
    """Packet labels on a sheet, the first `skip` places (used already) left empty."""
    pages: list[list[Placed]] = []
    for number, record in enumerate(records):
        page, place = divmod(number + skip % sheet.places, sheet.places)
        while len(pages) <= page:
            pages.append(_cut_lines(sheet) if sheet.lines else [])
        left, top = sheet.corner(place)
        pages[page].extend(_label(record, left, top, sheet.width, sheet.height, code=code))
    return Paper("Packet labels", tuple(PlacedPage(tuple(items)) for items in pages), sheet.size_mm)


def _label(
    record: Record, left: float, top: float, width: float, height: float, *, code: bool
) -> list[Placed]:
    side = min(18.0, height * 0.4) if code else 0.0
    head_height = min(12.5, height * 0.3)
    lines = label_lines(record)
    head, rest = "\n".join(lines[:2]), "\n".join(lines[2:])
    inside = width - 2 * INSET
    items: list[Placed] = [
        PlacedText(
            head,
            left + INSET,
            top + INSET,
            inside - side,
            head_height - 0.5,
            11.0,
            bold_lines=1,
            taxon_line=1,
        ),
        PlacedText(
            rest,
            left + INSET,
            top + INSET + head_height,
            inside - side,
            height - head_height - 2 * INSET,
            8.0,
        ),
    ]
    if code:
        items.append(PlacedCode(code_rows(record.number), left + width - side - 1.0, top + 1.0, side))
    return items


def _cut_lines(sheet: LabelSheet) -> list[Placed]:
    lines: list[Placed] = []
    for column in range(sheet.columns + 1):
        x = sheet.left + column * (sheet.width + sheet.gap_x)
        lines.append(PlacedLine((x, sheet.top), (x, sheet.top + sheet.rows * sheet.height)))
    for row in range(sheet.rows + 1):
        y = sheet.top + row * (sheet.height + sheet.gap_y)
        lines.append(PlacedLine((sheet.left, y), (sheet.left + sheet.columns * sheet.width, y)))
    return lines


def determination_slips(records: Sequence[Record], *, letter: bool, code: bool) -> Paper:
    """One slip for every name a find was given, the newest marked as present: nothing is overwritten."""
    slips: list[tuple[str, str]] = []
    for record in records:
        for one in record.names:
            state = "replaced by a later slip" if one.replaced else "present name"
            day = one.on_words or one.on or "…………"
            words = (
                f"{record.number}   ({state})\n{_full_name(one)}\n"
                f"Det.: {one.by or '…………………'}   Date: {day}\nBasis: {one.basis or '…………………'}"
            )
            slips.append((words, record.number))
        if not record.names:
            blank = f"{record.number}\n…………………………………\nDet.: …………………   Date: …………\nBasis: …………………"
            slips.append((blank, record.number))
    sheet = _plain(letter, SLIP_MM, "Determination slips")
    return _slips(sheet, slips, code=code, points=9.0)


def number_slips(numbers: Sequence[str], *, letter: bool, code: bool) -> Paper:
    """Big numbers to photograph beside the find, with lines to write on and a bar of 50 mm."""
    sheet = _plain(letter, NUMBER_SLIP_MM, "Number slips")
    pages: list[list[Placed]] = []
    for index, number in enumerate(numbers):
        page, place = divmod(index, sheet.places)
        while len(pages) <= page:
            pages.append(_cut_lines(sheet))
        left, top = sheet.corner(place)
        side = 26.0 if code else 0.0
        pages[page].append(
            PlacedText(number, left + 3, top + 3, sheet.width - side - 6, 14, 30.0, bold_lines=1)
        )
        pages[page].append(
            PlacedText(
                "Date …………………  Leg. …………………\nGrows with …………………\nSmell …………………",
                left + 3,
                top + 17.5,
                sheet.width - side - 6,
                15,
                8.5,
            )
        )
        pages[page].extend(_bar(left + 3, top + sheet.height - 7.0))
        if code:
            pages[page].append(PlacedCode(code_rows(number), left + sheet.width - side - 1, top + 2, side))
    return Paper("Number slips", tuple(PlacedPage(tuple(items)) for items in pages), sheet.size_mm)


def _bar(left: float, top: float) -> list[Placed]:
    """50 mm with a tick at each centimetre: a scale for the picture, if printed at full size."""
    items: list[Placed] = [PlacedLine((left, top), (left + 50.0, top))]
    items.extend(
        PlacedLine((left + 10.0 * tick, top - 1.5), (left + 10.0 * tick, top + 1.5)) for tick in range(6)
    )
    items.append(PlacedText("50 mm when printed at 100 %", left, top + 1.8, 60.0, 4.0, 6.5))
    return items


def folded_packet(record: Record, *, letter: bool, code: bool) -> Paper:
    """One sheet that folds into a packet with the label outside.

    The printed side lies down. Fold the sides in, then the bottom third up, then the top third down: its
    outer side, printed upside down here, is the front.
    """
    wide, tall = LETTER_MM if letter else A4_MM
    third = tall / 3.0
    left, right = PACKET_SIDE_MM, wide - PACKET_SIDE_MM
    lines = label_lines(record)
    side = 20.0 if code else 0.0
    width = right - left - 10.0
    items: list[Placed] = [
        PlacedLine((left, 0.0), (left, tall), dashed=True),
        PlacedLine((right, 0.0), (right, tall), dashed=True),
        PlacedLine((0.0, third), (wide, third), dashed=True),
        PlacedLine((0.0, 2 * third), (wide, 2 * third), dashed=True),
        PlacedText(
            "\n".join(lines[:2]),
            left + 5.0 + side,
            third - 6.0 - 20.0,
            width - side,
            20.0,
            14.0,
            bold_lines=1,
            taxon_line=1,
            turned=True,
        ),
        PlacedText("\n".join(lines[2:]), left + 5.0, 6.0, width, third - 6.0 - 28.0, 9.0, turned=True),
        PlacedText(
            "To fold: lay this side down. 1 both sides in, 2 bottom third up, 3 top third down.",
            left + 5.0,
            2 * third - 8.0,
            width,
            5.0,
            7.0,
        ),
    ]
    if code:
        items.append(PlacedCode(code_rows(record.number), left + 4.0, third - 5.0 - side, side))
    return Paper(f"Packet {record.number}", (PlacedPage(tuple(items)),), (wide, tall))


def _plain(letter: bool, slip: tuple[float, float], name: str) -> LabelSheet:
    wide, tall = LETTER_MM if letter else A4_MM
    columns, rows = int((wide - 16) // slip[0]), int((tall - 16) // slip[1])
    left, top = (wide - columns * slip[0]) / 2, (tall - rows * slip[1]) / 2
    return LabelSheet(name, (wide, tall), columns, rows, *slip, left, top, lines=True)


def _slips(sheet: LabelSheet, slips: Sequence[tuple[str, str]], *, code: bool, points: float) -> Paper:
    pages: list[list[Placed]] = []
    for index, (words, number) in enumerate(slips):
        page, place = divmod(index, sheet.places)
        while len(pages) <= page:
            pages.append(_cut_lines(sheet))
        left, top = sheet.corner(place)
        side = 17.0 if code else 0.0
        pages[page].append(
            PlacedText(
                words,
                left + INSET,
                top + INSET,
                sheet.width - 2 * INSET - side,
                sheet.height - 2 * INSET,
                points,
                bold_lines=1,
                taxon_line=1,
            )
        )
        if code:
            pages[page].append(PlacedCode(code_rows(number), left + sheet.width - side - 1, top + 1, side))
    return Paper(sheet.name, tuple(PlacedPage(tuple(items)) for items in pages), sheet.size_mm)


def _field(word: str, value: str) -> str:
    return f"{word}: {value}" if value else ""


def _person(one: NameGiven | None) -> str:
    return ", ".join(word for word in (one.by, one.on_words or one.on) if word) if one is not None else ""


def _full_name(one: NameGiven) -> str:
    """The name with its doubt and, where it is known, its author."""
    if one.authorship and one.as_given and not one.as_given.endswith(one.authorship):
        return f"{one.as_given} {one.authorship}"
    return one.as_given or one.scientific_name


def _day(record: Record) -> str:
    return record.on_words or record.verbatim_date
