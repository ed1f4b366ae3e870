"""Marks on their way out and in: as W3C Web Annotations and as IPTC Image Regions in an XMP sidecar."""

from __future__ import annotations

import base64
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import PurePath
from urllib.parse import quote

from catalog_gui.annotation import image_region, web_annotation
from catalog_gui.annotation.marks import Mark
from catalog_gui.domain.photo import Photo
from catalog_gui.domain.problem import BadInput
from catalog_gui.workflows.ports import MarksOut

ANNOTATIONS = "annotations"
SIDECAR = "sidecar"
ENDINGS = {ANNOTATIONS: ".json", SIDECAR: ".xmp"}


@dataclass(frozen=True, slots=True)
class MarksRead:
    """Marks read from a file, and a sentence for each that was left out."""

    marks: tuple[Mark, ...]
    problems: tuple[str, ...]


def iri_of(photo: Photo) -> str:
    """A picture by its content (RFC 6920, SHA-256), so that no path goes out; by our own id before it is hashed."""
    if photo.content_hash:
        digest = base64.urlsafe_b64encode(bytes.fromhex(photo.content_hash)).decode().rstrip("=")
        return f"ni:///sha-256;{digest}"
    return f"urn:x-foray-bench:photo:{quote(photo.id, safe='')}"


def text_of(form: str, photo: Photo, marks: Sequence[Mark]) -> str:
    """The file's text. Raises BadInput for a picture without size and for nothing to carry."""
    if not marks:
        raise BadInput("There are no marks on this picture. Draw one first.")
    if form == SIDECAR:
        return image_region.to_sidecar(marks, (photo.width, photo.height), photo.orientation)
    source = iri_of(photo)
    return web_annotation.to_document(
        ((mark, source, photo.upright_size) for mark in marks),
        iri=f"urn:x-foray-bench:marks:{quote(photo.id, safe='')}",
        label=f"Marks on {photo.name}",
    )


def name_for(form: str, photo: Photo, files: MarksOut) -> str:
    """What the file is best called: a sidecar as its picture, so that other programs find it."""
    if form == SIDECAR:
        beside = files.neighbours(photo.path)
        return image_region.sidecar_name(
            photo.name, [name for name in beside if not name.casefold().endswith(".xmp")]
        )
    return f"{PurePath(photo.name).stem}-marks{ENDINGS[form]}"


def beside_original(target: str, photo: Photo) -> bool:
    """Whether a file would lie in the folder of the original: the user is asked first."""
    return PurePath(target).parent == PurePath(photo.path).parent


def carry_out(
    files: MarksOut, form: str, photo: Photo, marks: Sequence[Mark], target: str, *, replace: bool
) -> None:
    """Write marks to a file. Raises BadInput; neither the original nor a sidecar of another program is written over."""
    refuse_original(target, photo)
    if form == SIDECAR and PurePath(target).name in files.neighbours(target):
        _refuse_foreign(files, target)
    files.write_text(target, text_of(form, photo, marks), replace=replace)


def refuse_original(target: str, photo: Photo) -> None:
    """Raises BadInput where the target is the picture itself."""
    if PurePath(target) == PurePath(photo.path):
        raise BadInput(
            "That is the original picture; it is never written over. Choose another name.", path=target
        )


def _refuse_foreign(files: MarksOut, target: str) -> None:
    """A sidecar of ours may be written again; one that holds other people's work may not."""
    try:
        ours = image_region.OURS in files.read_text(target)
    except BadInput:
        ours = False
    if not ours:
        raise BadInput("This sidecar was written by another program; choose another name.", path=target)


def read_in(files: MarksOut, path: str, photo: Photo) -> MarksRead:
    """Marks from a sidecar or from annotations, whichever the file holds.

    Raises BadInput naming the file for anything else, or where not one mark could be read.
    """
    text = files.read_text(path)
    try:
        if text.lstrip("\ufeff \t\r\n").startswith("<"):
            sidecar = image_region.from_sidecar(
                text, photo_id=photo.id, stored=(photo.width, photo.height), orientation=photo.orientation
            )
            found = MarksRead(sidecar.marks, sidecar.problems)
        else:
            read = web_annotation.from_document(text, photo_id=photo.id, size=photo.upright_size)
            found = MarksRead(read.marks, read.problems)
    except BadInput as problem:
        raise BadInput(problem.reason, path=path) from problem
    if not found.marks:
        reasons = " ".join(found.problems) or "There are no marks in this file. Choose another file."
        raise BadInput(reasons, path=path)
    return found
