"""Tables of a pack as text: rows put in and taken out, in memory."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable
from pathlib import Path

from catalog_gui.domain.pack_edit import RowEdit
from catalog_gui.domain.problem import BadInput
from catalog_gui.packs.columns import TABLES, TableForm
from catalog_gui.packs.reader import key_reader, lines_of

_FORMS = {form.name: form for form in TABLES}


def form_of(table: str) -> TableForm:
    """The form of a table. Raises BadInput for a name that is none."""
    if table not in _FORMS:
        raise BadInput(f"A reference pack has no table '{table}'.")
    return _FORMS[table]


def rows_of(path: Path, draft: bytes | None = None) -> tuple[list[str], list[list[str]]]:
    """Header and rows of a table file; a header as the form has it where there is no file yet."""
    if draft is None and not path.exists():
        return [column.name for column in form_of(path.stem).columns], []
    lines = lines_of(path, draft)
    _, header = next(lines, (1, [column.name for column in form_of(path.stem).columns]))
    return header, [cells for _, cells in lines if any(cells)]


def edited(path: Path, edits: Iterable[RowEdit]) -> bytes | None:
    """The table with the edits made, as it would be written; None when no row is left.

    Rows that are not touched keep their place, their cells, and any columns of their own.
    Raises BadInput for a cell whose column the table does not have, PackRefused for what cannot be read.
    """
    header, rows = rows_of(path)
    form = form_of(path.stem)
    known = {column.name for column in form.columns}
    if not known <= set(header):
        missing = ", ".join(sorted(known - set(header)))
        raise BadInput(f"{path}: the table lacks the column {missing}; mend its first line first.")
    key_of = key_reader(form, header)
    for edit in edits:
        for name in edit.cells:
            if name not in header:
                if name not in {column.name for column in form.may_have}:
                    raise BadInput(f"The table {form.name} has no column '{name}'.")
                header.append(name)
                rows = [[*row, ""] for row in rows]
        cells = [" ".join(edit.cells.get(name, "").split()) for name in header]
        places = [place for place, row in enumerate(rows) if key_of(row) == key_of(cells)]
        if edit.away:
            rows = [row for place, row in enumerate(rows) if place not in places]
        elif places:
            rows[places[0]] = cells
        else:
            rows.append(cells)
    if not rows:
        return None
    text = io.StringIO(newline="")
    csv.writer(text, lineterminator="\n").writerows([header, *rows])
    return text.getvalue().encode("utf-8")
