"""Marks handed over as annotations, sidecars and pictures, and brought in again without loss."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from defusedxml import ElementTree  # type: ignore[import-untyped]
from PIL import Image
from PySide6.QtGui import QColor, QImage, QPainter
from PySide6.QtSvg import QSvgRenderer
from PySide6.QtWidgets import QMessageBox

from catalog_gui.annotation.marks import Mark, MarkKind
from catalog_gui.annotation.web_annotation import validate
from catalog_gui.catalogue.store import Catalogue
from catalog_gui.domain.photo import Raster
from catalog_gui.domain.problem import BadInput
from catalog_gui.outputs.carry_out import MarkFiles
from catalog_gui.presenting.canvas.arranging import arranged
from catalog_gui.views.bench import Bench
from catalog_gui.views.canvas.burn import burnt
from catalog_gui.views.canvas.carry import PICTURE
from catalog_gui.views.canvas.ink import text_sizes
from catalog_gui.views.canvas.picture_item import level_of
from catalog_gui.views.canvas.view import CanvasView
from catalog_gui.workflows import annotate
from catalog_gui.workflows.carry_marks import ANNOTATIONS, SIDECAR, carry_out, iri_of
from tests.views.canvas.conftest import BROWN
from tests.views.canvas.hands import Hands

K = MarkKind
MARKS = (
    Mark("00000000-0000-4000-8000-000000000001", "q", K.POINTER, ((50.5, 60.25), (200, 300)), "ring", "s"),
    Mark("two", "q", K.ELLIPSE, ((100, 100), (300, 240)), "hat, ø 3 <cm>", "s", "cap"),
    Mark("three", "q", K.SCALE, ((10, 500), (310, 500)), "", "s", length_mm=30.0, length_u_mm=0.25),
    Mark("four", "q", K.POLYGON, ((20, 20), (60, 25), (40, 90)), "", "s", "base", "base.volva"),
    Mark("five", "q", K.POLYLINE, ((20, 320), (60, 425), (140, 390)), "", "s", "stem"),
)


@pytest.fixture
def ready(
    hands: Hands, canvas: CanvasView, bench: Bench, catalogue: Catalogue, tmp_path: Path
) -> Callable[[], Path]:
    """Five marks on a picture that lies on its side, and a folder to hand them over to."""
    bench.marks_out = MarkFiles()
    with catalogue.step("Marks") as work:
        for mark in MARKS:
            annotate.put_mark(work, mark)
    canvas.open("q", "s", "cap")
    hands.qtbot.waitUntil(lambda: canvas.state.photo is not None and canvas.state.photo.id == "q")
    hands.qtbot.waitUntil(lambda: canvas.surface.picture.whole is not None)
    hands.settle()
    folder = tmp_path / "out"
    folder.mkdir()
    return lambda: folder


def save(hands: Hands, kind: str, path: Path, **more: bool) -> None:
    with hands.qtbot.waitSignal(hands.canvas.carry.written, timeout=20_000):
        hands.canvas.carry.save(kind, str(path), **more)


@pytest.mark.parametrize(("kind", "name"), [(ANNOTATIONS, "marks.json"), (SIDECAR, "b.xmp")])
def test_marks_go_out_and_come_back_without_loss(
    hands: Hands, canvas: CanvasView, ready: Callable[[], Path], kind: str, name: str
) -> None:
    path = ready() / name
    save(hands, kind, path)
    before = hands.marks()
    canvas.surface.removal_wanted.emit(tuple(mark.id for mark in MARKS))
    assert hands.marks() == ()
    with hands.qtbot.waitSignal(canvas.carry.read):
        canvas.carry.bring(str(path))
    assert set(hands.marks()) == set(before)
    hands.undo()
    assert hands.marks() == ()


def test_annotations_are_valid_and_tell_no_path(hands: Hands, ready: Callable[[], Path]) -> None:
    """Check values B4.9 to B4.12."""
    path = ready() / "marks.json"
    save(hands, ANNOTATIONS, path)
    text = path.read_text()
    assert "/card" not in text
    document = json.loads(text)
    assert document["@context"] == "http://www.w3.org/ns/anno.jsonld"
    for item in document["first"]["items"]:
        assert validate(item, context_given=True) == ()
        assert item["target"]["source"].startswith(("ni:", "urn:"))


def test_a_picture_is_named_by_its_content() -> None:
    """RFC 6920, section 8.1: 'Hello World!' is ni:///sha-256;f4OxZX_x_FO5LcGBSKHWXfwtSx-j1ncoSt3SABJtkGk."""
    from catalog_gui.domain.photo import Photo

    digest = "7f83b1657ff1fc53b92dc18148a1d65dfc2d4b1fa3d677284addd200126d9069"
    found = iri_of(Photo("p", "/x.jpg", content_hash=digest))
    assert found == "ni:///sha-256;f4OxZX_x_FO5LcGBSKHWXfwtSx-j1ncoSt3SABJtkGk"


def test_another_reader_finds_the_regions_in_the_sidecar(hands: Hands, ready: Callable[[], Path]) -> None:
    import pyexiv2

    path = ready() / "b.xmp"
    save(hands, SIDECAR, path)
    pyexiv2.registerNs("http://iptc.org/std/Iptc4xmpExt/2008-02-29/", "Iptc4xmpExt")
    with pyexiv2.Image(str(path)) as sidecar:
        found = sidecar.read_xmp()
    shapes = [value for key, value in found.items() if key.endswith("Iptc4xmpExt:rbShape")]
    assert len(shapes) == len(MARKS)
    assert found["Xmp.tiff.Orientation"] == "6"


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"<x:xmpmeta xmlns:x='adobe:ns:meta/'><rdf:RDF", "not well-formed"),
        (b"<a><b/></a>", "no marks"),
        (b"\xff\x00\xfe\xfa" * 9, "damaged"),
        (b"{ not json", "no annotations"),
        (b"", "no annotations"),
        (b'<!DOCTYPE a [<!ENTITY b "c">]><a>&b;</a>', "not well-formed"),
    ],
)
def test_a_corrupted_sidecar_names_the_file_and_changes_nothing(
    hands: Hands, canvas: CanvasView, ready: Callable[[], Path], told: list[str], content: bytes, words: str
) -> None:
    path = ready() / "broken.xmp"
    path.write_bytes(content)
    before = hands.everything()
    canvas.carry.bring(str(path))
    hands.qtbot.waitUntil(lambda: any(str(path) in one and words in one for one in told))
    assert hands.everything() == before


def test_a_sidecar_of_another_program_is_not_written_over(
    hands: Hands, canvas: CanvasView, ready: Callable[[], Path], told: list[str]
) -> None:
    path = ready() / "b.xmp"
    theirs = "<x:xmpmeta xmlns:x='adobe:ns:meta/'/>"
    path.write_text(theirs)
    canvas.carry.save(SIDECAR, str(path), replace=True)
    hands.qtbot.waitUntil(lambda: any("another program" in one for one in told))
    assert path.read_text() == theirs
    save(hands, SIDECAR, ready() / "own.xmp")
    save(hands, SIDECAR, ready() / "own.xmp", replace=True)


def test_nothing_is_put_beside_the_original_without_asking(
    hands: Hands, canvas: CanvasView, ready: Callable[[], Path], catalogue: Catalogue, told: list[str]
) -> None:
    original = ready() / "b.jpg"
    Image.new("RGB", (600, 400), BROWN).save(original)
    bytes_before = original.read_bytes()
    assert canvas.state.photo is not None
    canvas.carry.show(replace(canvas.state.photo, path=str(original)), lambda: canvas.surface.picture.whole)
    for answer, there in (
        (QMessageBox.StandardButton.Cancel, False),
        (QMessageBox.StandardButton.Save, True),
    ):
        canvas.carry.save(SIDECAR, str(ready() / "b.xmp"))
        assert canvas.carry.question is not None
        canvas.carry.question.button(answer).click()
        hands.qtbot.waitUntil(lambda: not canvas.bench.long_queue.busy)
        assert (ready() / "b.xmp").exists() is there
    canvas.carry.save(PICTURE, str(original), replace=True, sure=True)
    hands.qtbot.waitUntil(lambda: any("never written over" in one for one in told))
    assert original.read_bytes() == bytes_before


@pytest.mark.parametrize("name", ["marked.png", "marked.jpg", "marked.svg"])
def test_the_marked_picture_is_whole_and_carries_nothing_else(
    hands: Hands, ready: Callable[[], Path], name: str
) -> None:
    path = ready() / name
    save(hands, PICTURE, path)
    shown = rendered(path)
    assert (shown.width(), shown.height()) == (400, 600)  # upright, full resolution
    assert near(shown.pixelColor(390, 590), BROWN)
    line = shown.pixelColor(160, 500)  # on the scale: green of the palette
    assert near(line, (0, 158, 115))
    if path.suffix != ".svg":
        with Image.open(path) as picture:
            assert not picture.getexif()
            assert set(picture.info) <= {"jfif", "jfif_version", "jfif_unit", "jfif_density"}


def test_the_vector_file_keeps_words_as_text(hands: Hands, ready: Callable[[], Path]) -> None:
    path = ready() / "marked.svg"
    save(hands, PICTURE, path)
    tree = ElementTree.parse(path)
    words = [one.text for one in tree.iter("{http://www.w3.org/2000/svg}text")]
    assert {"ring", "hat, ø 3 <cm>"} <= set(words)


def rendered(path: Path) -> QImage:
    if path.suffix != ".svg":
        return QImage(str(path))
    renderer = QSvgRenderer(str(path))
    assert renderer.isValid()
    image = QImage(renderer.defaultSize(), QImage.Format.Format_RGB32)
    painter = QPainter(image)
    renderer.render(painter)
    painter.end()
    return image


def near(colour: QColor, rgb: tuple[int, int, int]) -> bool:
    return all(
        abs(a - b) < 40 for a, b in zip((colour.red(), colour.green(), colour.blue()), rgb, strict=True)
    )


def test_the_picture_under_the_marks_stays_byte_for_byte(qapp: object) -> None:
    level = level_of(Raster(300, 200, bytes(range(256)) * 703 + bytes(32)))
    mark = Mark("m", "p", K.LINE, ((20, 20), (80, 20)))
    laid = arranged(300, 200, 1.0, [mark], {}, text_sizes)
    found = burnt(level, laid)
    row = 300 * 3
    for y in (60, 120, 199):
        assert bytes(found.rgb)[y * row : (y + 1) * row] == bytes(level.owner)[y * row : (y + 1) * row]  # type: ignore[call-overload]


def test_a_label_without_room_gets_a_margin(qapp: object) -> None:
    level = level_of(Raster(60, 40, bytes(60 * 40 * 3)))
    mark = Mark("m", "p", K.POINTER, ((30, 20), (30, 20)), "a long label for a small picture")
    laid = arranged(60, 40, 1.0, [mark], {"m": (mark.label,)}, text_sizes)
    found = burnt(level, laid)
    assert found.width > 200
    (note,) = laid.sketch.notes
    assert note.box[0] >= 0
    assert note.box[2] <= found.width


def test_files_are_refused_in_sentences(tmp_path: Path) -> None:
    files = MarkFiles()
    raster = Raster(2, 2, bytes(12))
    with pytest.raises(BadInput, match=r"png, \.jpg or \.svg"):
        files.write_picture(str(tmp_path / "a.gif"), raster, replace=False)
    (tmp_path / "a.png").write_bytes(b"x")
    with pytest.raises(BadInput, match="there already"):
        files.write_picture(str(tmp_path / "a.png"), raster, replace=False)
    assert (tmp_path / "a.png").read_bytes() == b"x"
    with pytest.raises(BadInput, match="does not exist"):
        files.write_text(str(tmp_path / "none" / "a.json"), "x", replace=False)
    with pytest.raises(BadInput, match="could not be read"):
        files.read_text(str(tmp_path / "lost.xmp"))
    assert files.neighbours(str(tmp_path / "none" / "a.jpg")) == ()


def test_nothing_to_carry_is_said(tmp_path: Path) -> None:
    from catalog_gui.domain.photo import Photo

    with pytest.raises(BadInput, match="no marks"):
        carry_out(
            MarkFiles(),
            ANNOTATIONS,
            Photo("p", "/a.jpg", width=5, height=5),
            [],
            str(tmp_path / "a"),
            replace=False,
        )
