"""What can be read in finished files: the text of a PDF, the members of an archive, what a picture carries."""

from __future__ import annotations

import html
import io
import re
import zipfile
from collections.abc import Iterator
from pathlib import Path

from PIL import Image
from PIL.ExifTags import IFD

from catalog_gui.domain.last_look import LastLook

_PICTURES = frozenset({".jpg", ".jpeg", ".png", ".tif", ".tiff"})
_BETWEEN_TAGS = re.compile(r"<[^>]*>")
_IN_QUOTES = re.compile(r"=\s*\"([^\"]*)\"")
GPS = "GPS latitude 0.000000"
"""What a picture with a position of its own is said to hold."""


def texts_of(path: Path) -> Iterator[str]:
    """Every text in a finished file, or in every file of a folder, piece by piece: names of files too.

    Raises OSError, and ValueError for a file that is not what its ending says.
    """
    for file in sorted(path.rglob("*")) if path.is_dir() else [path]:
        if file.is_file():
            if path.is_dir():
                yield file.name
            yield from _texts(file.suffix.casefold(), file.read_bytes())


def look_at(look: LastLook, path: Path) -> None:
    """Read a finished file once more. Raises PlacesLeft."""
    look.at(texts_of(path))


def _texts(ending: str, data: bytes) -> Iterator[str]:
    if ending == ".pdf":
        yield from _pdf(data)
    elif ending == ".xlsx":
        yield from _workbook(data)
    elif ending == ".zip":
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            for name in archive.namelist():
                yield name
                yield from _texts(Path(name).suffix.casefold(), archive.read(name))
    elif ending in _PICTURES:
        yield from _picture(data)
    elif ending in {".xml", ".rels", ".svg"}:
        words = data.decode("utf-8", "replace")
        yield from (html.unescape(piece) for piece in _BETWEEN_TAGS.split(words) if piece.strip())
        yield from (html.unescape(value) for value in _IN_QUOTES.findall(words) if value.strip())
    else:
        yield from data.decode("utf-8-sig", "replace").splitlines()


_CELLS = re.compile(r"xl/(?:sharedStrings|worksheets/[^/]+|comments[^/]*)\.xml|docProps/[^/]+\.xml")
_SHEET_NAME = re.compile(r"<sheet [^>]*name=\"([^\"]*)\"")


def _workbook(data: bytes) -> Iterator[str]:
    """Cells, notes, names of sheets and what is said of the document (ISO/IEC 29500); not its looks."""
    with zipfile.ZipFile(io.BytesIO(data)) as book:
        for name in book.namelist():
            words = book.read(name).decode("utf-8", "replace")
            if _CELLS.fullmatch(name):
                yield from (html.unescape(piece) for piece in _BETWEEN_TAGS.split(words) if piece.strip())
            elif name == "xl/workbook.xml":
                yield from map(html.unescape, _SHEET_NAME.findall(words))


def _pdf(data: bytes) -> Iterator[str]:
    """Line by line: what stands below each other in a table is no pair."""
    from pypdf import PdfReader  # noqa: PLC0415 - loaded only when a paper goes out with no place

    reader = PdfReader(io.BytesIO(data))
    for page in reader.pages:
        yield from page.extract_text().splitlines()
    for name, value in (reader.metadata or {}).items():
        if "Date" not in name:
            yield str(value)


def _picture(data: bytes) -> Iterator[str]:
    """EXIF, XMP, IPTC and comments of a picture; a position of a receiver counts as a place."""
    with Image.open(io.BytesIO(data)) as image:
        exif = image.getexif()
        if exif.get_ifd(IFD.GPSInfo):
            yield GPS
        for tags in (exif, exif.get_ifd(IFD.Exif)):
            yield from (_words(value) for value in tags.values() if isinstance(value, (str, bytes)))
        for name, value in image.info.items():
            if name in {"exif", "icc_profile"}:
                continue
            if isinstance(value, dict):
                yield from (_words(one) for one in value.values() if isinstance(one, (str, bytes)))
            elif isinstance(value, (str, bytes)):
                words = _words(value)
                yield from (html.unescape(piece) for piece in _BETWEEN_TAGS.split(words) if piece.strip())
                yield from (html.unescape(one) for one in _IN_QUOTES.findall(words) if one.strip())


def _words(value: str | bytes) -> str:
    return value if isinstance(value, str) else value.decode("utf-8", "replace")
