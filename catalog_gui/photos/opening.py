"""Open any picture file that we take in: format by its bytes, size within bounds, errors as sentences."""

from __future__ import annotations

import errno
import os
import stat
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import PurePath
from typing import BinaryIO

from PIL import Image

from catalog_gui.domain.problem import PictureRefused

HEAD_BYTES = 4096
"""How much of a file is looked at to tell its format."""

MAX_PIXELS = 2_000_000_000
"""More than any camera or panorama writes; a header that claims more is damaged or hostile."""

CUT_OFF = (
    "The beginning of the picture is damaged or cut off, so it cannot be opened. Copy it from the card again."
)
NOT_A_PICTURE = "This is not a picture."
IMPOSSIBLE_SIZE = "The picture claims an impossible size: its header is damaged. Take it from the card again."

# Pillow guards against huge headers for the whole process at 179 MP, less than a panorama has. We keep
# our own limits instead: MAX_PIXELS here, and how much is decoded in pixels.py.
Image.MAX_IMAGE_PIXELS = MAX_PIXELS
# What Pillow warns about (odd EXIF, odd multi-picture tables) is either harmless or told by us.
warnings.filterwarnings("ignore", module=r"PIL\..*")

_HEIF_BRANDS = {b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1"}
_AVIF_BRANDS = {b"avif", b"avis"}
_TIFF_MARKS = (b"II*\0", b"MM\0*")
_KIN = {
    b"GIF8": "GIF",
    b"BM": "BMP",
    b"%PDF": "PDF",
    b"8BPS": "layered (PSD)",
    b"FUJIFILMCCD-RAW": "RAF raw",
    b"IIU\0": "RW2 raw",
    b"IIRO": "ORF raw",
    b"IIRS": "ORF raw",
    b"\0\0\0\x0cJXL ": "JPEG XL",
}
_PILLOW_FORMATS = {
    "JPEG": ("JPEG", "MPO"),
    "PNG": ("PNG",),
    "WebP": ("WEBP",),
    "TIFF": ("TIFF",),
    "HEIF": ("HEIF",),
}


def sniff(head: bytes) -> str:
    """The format by its first bytes: JPEG, PNG, TIFF (raw files too), WebP, HEIF; '' for anything else."""
    if head[:3] == b"\xff\xd8\xff":
        return "JPEG"
    if head[:8] == b"\x89PNG\r\n\x1a\n":
        return "PNG"
    if head[:4] == b"RIFF" and head[8:12] == b"WEBP":
        return "WebP"
    if head[:4] in _TIFF_MARKS:
        return "TIFF"
    if head[4:8] == b"ftyp":
        brands = _brands(head)
        if brands & _HEIF_BRANDS and not brands & _AVIF_BRANDS:
            return "HEIF"
    return ""


def _brands(head: bytes) -> set[bytes]:
    """The kinds that a file of boxes says it is of (ISO/IEC 14496-12, 4.3): AVIF names HEIF's as well."""
    size = min(int.from_bytes(head[:4], "big"), len(head))
    return {head[at : at + 4] for at in (8, *range(16, size - 3, 4))}


def why_not_a_picture(path: str, head: bytes) -> str:
    """One sentence for a file whose bytes are none of the formats that are taken in."""
    suffix = PurePath(path).suffix.lower()
    if suffix == ".xmp":
        return "This is a sidecar file (XMP), not a picture; it stays beside its picture."
    if suffix == ".gpx":
        return "This is a track of a walk (GPX), not a picture."
    if head[4:8] == b"ftyp":
        if _brands(head) & _AVIF_BRANDS:
            return "Pictures of this kind (AVIF) are not taken in; save it as JPEG first."
        if head[8:11] == b"crx":
            return "Pictures of this kind (CR3 raw) are not taken in; save it as JPEG or DNG first."
        return "This is a film, not a picture."
    for mark, kind in _KIN.items():
        if head.startswith(mark):
            return f"Pictures of this kind ({kind}) are not taken in; save it as JPEG first."
    if suffix in (".jpg", ".jpeg", ".heic", ".heif", ".png", ".tif", ".tiff", ".webp"):
        return "The name says picture, but the content is none: it was damaged or is something else."
    return NOT_A_PICTURE


def refused(path: str, error: BaseException) -> PictureRefused:
    """Whatever went wrong with a file as a refusal with one plain sentence."""
    if isinstance(error, PictureRefused):
        return error
    if isinstance(error, Image.DecompressionBombError):
        return PictureRefused(IMPOSSIBLE_SIZE, path=path)
    if isinstance(error, MemoryError):
        return PictureRefused("The picture is too large for the memory of this machine.", path=path)
    if isinstance(error, OSError) and error.errno is not None:
        reason = {
            errno.ENOENT: "The file is no longer there; was the card or the drive taken out?",
            errno.ENOTDIR: "The file is no longer there; was the card or the drive taken out?",
            errno.EACCES: "You have no permission to read this file; ask for it, or copy the file to your own folder.",
            errno.EPERM: "You have no permission to read this file; ask for it, or copy the file to your own folder.",
            errno.EISDIR: "This is a folder, not a picture.",
            errno.EIO: "The card or drive could not read this file; clean the contacts or try another reader.",
            errno.ENODEV: "The card or the drive was taken out; put it in again and take the folder in once more.",
            errno.ELOOP: "This is a link that leads to itself.",
            errno.ENAMETOOLONG: "The name of the file is too long.",
        }.get(error.errno, f"The file could not be read ({os.strerror(error.errno)}).")
        return PictureRefused(reason, path=path)
    return PictureRefused(CUT_OFF, path=path)


@contextmanager
def readable(path: str) -> Iterator[tuple[BinaryIO, os.stat_result]]:
    """The open file and what the system says about it. Raises PictureRefused; never waits for a pipe."""
    try:
        # Opening a named pipe would wait for somebody to write into it.
        handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
    except (OSError, ValueError) as error:
        raise refused(path, error) from error
    info = os.fstat(handle)
    why_not = ""
    if stat.S_ISDIR(info.st_mode):
        why_not = "This is a folder, not a picture."
    elif not stat.S_ISREG(info.st_mode):
        why_not = "This is a device or a pipe, not a picture."
    elif info.st_size == 0:
        why_not = "The file is empty (0 bytes)."
    if why_not:
        os.close(handle)
        raise PictureRefused(why_not, path=path)
    with os.fdopen(handle, "rb", buffering=HEAD_BYTES) as file:
        yield file, info


def open_picture(file: BinaryIO, format_: str) -> Image.Image:
    """Pillow's picture with its header read and no pixels yet. Raises whatever Pillow raises."""
    if format_ == "HEIF":
        _learn_heif()
    file.seek(0)
    return Image.open(file, formats=_PILLOW_FORMATS[format_])


def _learn_heif() -> None:
    """Teach Pillow HEIF on first need: importing the decoder costs what most forays never use."""
    if "HEIF" not in Image.OPEN:
        import pillow_heif  # noqa: PLC0415

        pillow_heif.register_heif_opener()
