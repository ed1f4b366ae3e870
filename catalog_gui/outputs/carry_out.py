"""Files that carry marks: text for other programs, and copies of pictures with marks burnt in."""

from __future__ import annotations

import io
from pathlib import Path
from typing import IO

from PIL import Image

from catalog_gui.domain.photo import Raster
from catalog_gui.domain.problem import BadInput
from catalog_gui.outputs.whole_file import whole_file

LARGEST_TEXT = 32_000_000
"""Bytes: a file of marks larger than this is something else."""
QUALITY = 92
_PNG_EFFORT = 4  # a third of the time of the usual 6 for a twentieth more bytes


class MarkFiles:
    """The `MarksOut` of the ports, on disk."""

    def neighbours(self, picture: str) -> tuple[str, ...]:
        """Names of the files in the folder of a picture; empty where it cannot be listed."""
        try:
            return tuple(sorted(entry.name for entry in Path(picture).parent.iterdir()))
        except OSError:
            return ()

    def read_text(self, path: str) -> str:
        """A text file in UTF-8 (with or without its mark) or UTF-16. Raises BadInput naming the file."""
        file = Path(path)
        try:
            if file.stat().st_size > LARGEST_TEXT:
                raise BadInput("The file is too large to hold marks.", path=path)
            data = file.read_bytes()
        except OSError as error:
            raise BadInput(f"It could not be read: {error.strerror or error}.", path=path) from error
        wide = data[:2] in (b"\xff\xfe", b"\xfe\xff")
        try:
            return data.decode("utf-16" if wide else "utf-8-sig")
        except UnicodeDecodeError as error:
            raise BadInput("The file is damaged or no text.", path=path) from error

    def write_text(self, path: str, text: str, *, replace: bool) -> None:
        """UTF-8, whole or not at all."""
        with whole_file(Path(path), replace=replace) as draft:
            draft.write_bytes(text.encode("utf-8"))

    def write_picture(self, path: str, raster: Raster, *, replace: bool) -> None:
        """PNG or JPEG by the ending of the name, with pixels and nothing else."""
        target = Path(path)
        form = {".png": "PNG", ".jpg": "JPEG", ".jpeg": "JPEG"}.get(target.suffix.casefold())
        if form is None:
            raise BadInput("A marked picture is written as .png, .jpg or .svg.", path=path)
        with whole_file(target, replace=replace) as draft, draft.open("wb") as file:
            _save(raster, file, form)

    def jpeg(self, raster: Raster) -> bytes:
        """The pixels as JPEG, without any metadata."""
        out = io.BytesIO()
        _save(raster, out, "JPEG")
        return out.getvalue()


def _save(raster: Raster, out: IO[bytes], form: str) -> None:
    image = Image.frombuffer("RGB", (raster.width, raster.height), raster.rgb, "raw", "RGB", 0, 1)
    if form == "PNG":
        image.save(out, "PNG", compress_level=_PNG_EFFORT)
    else:
        # No subsampling: thin coloured lines would fray.
        image.save(out, "JPEG", quality=QUALITY, subsampling=0)
