"""Reads a Darwin Core Archive and says which rules of the text guide it breaks.

The schema alone lets some breaches pass (a core without id beside extensions), so the program looks itself.
"""

from __future__ import annotations

import codecs
import csv
import io
import zipfile
import zlib
from pathlib import Path
from xml.etree.ElementTree import Element

from defusedxml import ElementTree  # type: ignore[import-untyped]
from defusedxml.common import DefusedXmlException  # type: ignore[import-untyped]

TEXT = "{http://rs.tdwg.org/dwc/text/}"
_ORDER = ("files", "id", "coreid", "field")


def archive_faults(path: Path) -> tuple[str, ...]:
    """Every breach found, in sentences; empty for a sound archive."""
    try:
        with zipfile.ZipFile(path) as archive:
            names = set(archive.namelist())
            if "meta.xml" not in names:
                return ("There is no meta.xml.",)
            root = ElementTree.fromstring(archive.read("meta.xml"))
            return tuple(_faults(root, archive, names))
    except ElementTree.ParseError as error:
        return (f"meta.xml is damaged from line {error.position[0]} on. Make the archive again.",)
    except DefusedXmlException:
        return ("meta.xml declares things that no archive needs (entities). Make the archive again.",)
    except OSError as error:
        return (f"It cannot be read: {error.strerror or 'the disk gave no reason'}. Try again.",)
    except (zipfile.BadZipFile, zlib.error, csv.Error, LookupError, ValueError):
        return ("It is damaged or is not an archive of records. Make it again.",)


def _faults(root: Element, archive: zipfile.ZipFile, names: set[str]) -> list[str]:
    if root.tag != f"{TEXT}archive":
        return ["The root of meta.xml is not 'archive' of the text guide."]
    faults = []
    metadata = root.get("metadata")
    if metadata and metadata not in names:
        faults.append(f"{metadata} is named and not there.")
    tables = list(root)
    if [table.tag for table in tables].count(f"{TEXT}core") != 1 or tables[0].tag != f"{TEXT}core":
        faults.append("There must be exactly one core, and first.")
        return faults
    ids: set[str] = set()
    for number, table in enumerate(tables):
        faults.extend(_table_faults(table, number == 0, len(tables) > 1, archive, names, ids))
    return faults


def _table_faults(
    table: Element, core: bool, extended: bool, archive: zipfile.ZipFile, names: set[str], ids: set[str]
) -> list[str]:
    kind = "core" if core else f"extension {table.get('rowType', '').rsplit('/', 1)[-1]}"
    faults = []
    if not table.get("rowType"):
        faults.append(f"The {kind} has no rowType.")
    tags = [child.tag.removeprefix(TEXT) for child in table]
    if tags != sorted(tags, key=lambda tag: _ORDER.index(tag) if tag in _ORDER else 9):
        faults.append(f"The {kind} is not in the order files, id, field.")
    key = table.find(f"{TEXT}{'id' if core else 'coreid'}")
    if key is None and (extended or not core):
        faults.append(f"The {kind} has no {'id' if core else 'coreid'}.")
    fields = table.findall(f"{TEXT}field")
    if not fields:
        faults.append(f"The {kind} has no field.")
    terms = [field.get("term", "") for field in fields]
    faults += [
        f"The term '{term}' of the {kind} is not a full address." for term in terms if "://" not in term
    ]
    faults += [f"'{term}' stands twice in the {kind}." for term in set(terms) if terms.count(term) > 1]
    indexes = [int(field.get("index", "-1")) for field in fields if field.get("index") is not None]
    locations = [one.text or "" for one in table.findall(f"{TEXT}files/{TEXT}location")]
    if not locations:
        faults.append(f"The {kind} names no file.")
    for location in locations:
        if location not in names:
            faults.append(f"{location} is named and not there.")
            continue
        at = int(key.get("index", "0")) if key is not None else None
        faults += _row_faults(archive.read(location), location, table, indexes, at, core, ids)
    return faults


def _row_faults(
    data: bytes, name: str, table: Element, indexes: list[int], at: int | None, core: bool, ids: set[str]
) -> list[str]:
    faults = []
    if data.startswith(codecs.BOM_UTF8):
        faults.append(f"{name} begins with a byte order mark.")
    separator = table.get("fieldsTerminatedBy", ",").replace("\\t", "\t")
    quote = table.get("fieldsEnclosedBy", '"')
    text = io.StringIO(data.decode(table.get("encoding", "UTF-8")), newline="")
    reader = csv.reader(text, delimiter=separator, quotechar=quote or None, strict=True)
    rows = list(reader)[int(table.get("ignoreHeaderLines", "0")) :]
    width = max(indexes, default=0) + 1
    for number, row in enumerate(rows, 1):
        if len(row) < width:
            faults.append(f"{name}, record {number}: {len(row)} cells instead of {width}.")
        if any(cell in ("NULL", "null", "None", "nan") for cell in row):
            faults.append(f"{name}, record {number}: a word for nothing instead of an empty cell.")
        if at is None or at >= len(row):
            continue
        if core:
            if not row[at] or row[at] in ids:
                faults.append(f"{name}, record {number}: the id is empty or stands twice.")
            ids.add(row[at])
        elif row[at] not in ids:
            faults.append(f"{name}, record {number}: '{row[at]}' is no id of the core.")
    if len({len(row) for row in rows}) > 1:
        faults.append(f"{name}: records have different numbers of cells.")
    return faults
