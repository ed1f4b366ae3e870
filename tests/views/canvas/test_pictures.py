"""Real picture files: upright whatever their orientation, gone, without size, far too large."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from PIL import Image
from PySide6.QtCore import QPoint, QRectF, Qt
from PySide6.QtGui import QColor, QImage
from PySide6.QtWidgets import QMessageBox
from pytestqt.qtbot import QtBot

from catalog_gui.annotation.marks import Mark, MarkKind
from catalog_gui.annotation.orientation import to_upright
from catalog_gui.catalogue.store import Catalogue
from catalog_gui.domain.foray import Group
from catalog_gui.domain.photo import Photo
from catalog_gui.lookalikes.reference import Reference
from catalog_gui.photos.cached_pictures import CachedPictures
from catalog_gui.photos.in_hand import InHand
from catalog_gui.settings import Preferences, Theme
from catalog_gui.views.bench import Bench
from catalog_gui.views.canvas.picture_item import halved
from catalog_gui.views.canvas.view import CanvasView
from catalog_gui.views.widgets.pictures import PictureSource
from catalog_gui.workflows import annotate
from catalog_gui.workflows.ports import Surroundings
from tests.views.canvas.conftest import EVENING
from tests.views.canvas.hands import Hands

STORED = (400, 300)
SPOT = (300.0, 60.0)  # the middle of a red square on the stored picture
RED = QColor(220, 20, 20)


@pytest.fixture
def disk_bench(catalogue: Catalogue, reference: Reference, tmp_path: Path) -> Iterator[Bench]:
    """A bench whose pixels come from files."""
    count = itertools.count(1)
    made = Bench(
        catalogue.another,
        files=None,  # type: ignore[arg-type]
        pictures=PictureSource(CachedPictures(catalogue.previews)),
        reference=reference,
        preferences=Preferences(theme=Theme.LIGHT),
        surroundings=Surroundings(lambda: EVENING, lambda: f"id-{next(count):05d}"),
        keep_preferences=lambda _: None,
    )
    yield made
    made.close()


@pytest.fixture
def disk_canvas(disk_bench: Bench, qtbot: QtBot) -> Iterator[CanvasView]:
    made = CanvasView(disk_bench)
    qtbot.addWidget(made)
    made.resize(1366, 600)
    made.show()
    yield made
    made.shut()


@pytest.fixture
def keep(catalogue: Catalogue) -> Callable[[Photo], None]:
    """Put a photo into the specimen."""

    def put(photo: Photo) -> None:
        with catalogue.step("Photo", undoable=False) as work:
            work.photos.put(photo)
            group = work.groups.get("g")
            assert group is not None
            work.groups.put(Group("g", "f", (*group.photos, photo.id), specimen_id="s"))

    return put


def write(path: Path, orientation: int) -> None:
    picture = Image.new("RGB", STORED, (30, 110, 40))
    picture.paste((220, 20, 20), (280, 40, 320, 80))
    exif = Image.Exif()
    exif[0x0112] = orientation
    picture.save(path, quality=95, exif=exif)


@pytest.mark.parametrize("orientation", range(1, 9))
def test_a_mark_sits_on_what_it_marks_for_every_orientation(
    orientation: int,
    tmp_path: Path,
    keep: Callable[[Photo], None],
    disk_canvas: CanvasView,
    catalogue: Catalogue,
    qtbot: QtBot,
) -> None:
    """Check value B3: where a stored point is seen; the pixels and the marks must agree."""
    path = tmp_path / f"turned{orientation}.jpg"
    write(path, orientation)
    keep(Photo("o", str(path), width=400, height=300, orientation=orientation))
    disk_canvas.open("o", "s", "cap")
    hands = Hands(disk_canvas, catalogue, qtbot)
    qtbot.waitUntil(lambda: disk_canvas.surface.picture.whole is not None)
    hands.settle()
    seen = to_upright(SPOT, STORED, orientation)
    spot = hands.at(*seen)
    shown = disk_canvas.surface.viewport().grab().toImage()
    assert near(shown.pixelColor(spot), RED)
    hands.tool("P")
    hands.click(*seen)
    hands.no_words()
    (mark,) = hands.marks()
    assert mark.points[-1] == pytest.approx(seen, abs=1.5)
    whole = disk_canvas.surface.picture.patch((seen[0] - 9, seen[1] - 9, seen[0] + 9, seen[1] + 9))
    assert all(abs(r - 220) < 12 and abs(g - 20) < 12 for r, g, _ in whole)


def near(a: QColor, b: QColor) -> bool:
    return max(abs(a.red() - b.red()), abs(a.green() - b.green()), abs(a.blue() - b.blue())) < 30


def test_a_picture_that_is_gone_shows_its_preview_and_says_where_it_was(
    hands: Hands, canvas: CanvasView
) -> None:
    canvas.open("gone", "s", "cap")
    hands.qtbot.waitUntil(lambda: canvas.trouble.isVisible() and "preview" in canvas.trouble.text())
    assert "/card/gone.jpg" in canvas.trouble.text()
    assert canvas.surface.picture.anything
    hands.tool("L")
    hands.drag((100, 100), (700, 500))
    (mark,) = hands.marks()
    # Full-size coordinates, although only a preview of 200 px is there.
    assert mark.points[1] == pytest.approx((700, 500), abs=1.5)
    hands.tool("C")
    hands.click(400, 300)
    assert "when the whole picture is there" in canvas.side.figure.text()


def test_a_picture_without_size_takes_no_marks(hands: Hands, canvas: CanvasView) -> None:
    canvas.open("none", "s", "cap")
    hands.settle()
    assert "has no size" in canvas.trouble.text()
    hands.tool("L")
    hands.drag((0, 0), (5, 5))
    hands.key(Qt.Key.Key_Return, times=2)
    assert hands.marks() == ()


def test_a_picture_that_left_the_catalogue_says_so(hands: Hands, canvas: CanvasView) -> None:
    canvas.open("lost", "s", "cap")
    hands.settle()
    assert "not in the catalogue" in canvas.trouble.text()


def test_a_panorama_of_300_megapixels_opens_reduced_and_is_measured_in_full(
    hands: Hands, canvas: CanvasView
) -> None:
    canvas.open("huge", "s", "cap")
    hands.qtbot.waitUntil(
        lambda: canvas.surface.picture.whole is not None and canvas.surface.picture.whole.scale < 0.1
    )
    hands.settle()
    assert canvas.surface.picture.boundingRect() == QRectF(0, 0, 30000, 10000)
    hands.tool("L")
    hands.drag((1000, 5000), (29000, 5000))
    (mark,) = hands.marks()
    assert mark.points[1][0] == pytest.approx(29000, abs=40)
    assert canvas.surface.picture.piece is None
    canvas.surface.zoom_to(1.0, hands.at(15000, 5000).toPointF())
    hands.qtbot.waitUntil(lambda: canvas.surface.picture.piece is not None)
    assert canvas.surface.picture.piece is not None
    box, level = canvas.surface.picture.piece
    shown = canvas.surface.mapToScene(canvas.surface.viewport().rect()).boundingRect()
    assert box.contains(shown.intersected(canvas.surface.picture.boundingRect()))
    assert level.scale == pytest.approx(1.0, rel=0.01)


def test_marks_outside_the_picture_are_shown_and_can_be_taken_away(
    hands: Hands, canvas: CanvasView, catalogue: Catalogue
) -> None:
    """As an older file or another program might have left them."""
    with catalogue.step("Damage", undoable=False) as work:
        work.marks.put(
            Mark("far", "p", MarkKind.LINE, ((-5000.0, -40.0), (-4000.0, -40.0)), specimen_id="s"),
            Mark("bad", "p", MarkKind.SCALE, ((5.0, 5.0), (5.0, 5.0)), specimen_id="s", length_mm=10.0),
        )
    canvas.open("p", "s", "cap")
    hands.settle()
    assert {mark.id for mark in hands.surface.marks()} == {"far", "bad"}
    assert "zero length" in canvas.side.scale.text()
    hands.surface.choose(("far",))
    hands.surface.removal_wanted.emit(("far", "bad"))
    assert hands.marks() == ()


def test_halving_keeps_the_mean_and_odd_edges_do_not_matter(qapp: object) -> None:
    image = QImage(101, 7, QImage.Format.Format_RGB32)
    for x in range(101):
        for y in range(7):
            image.setPixelColor(x, y, QColor(200, 100, 40) if (x + y) % 2 else QColor(100, 50, 20))
    half = halved(image).image
    assert (half.width(), half.height()) == (50, 3)
    assert half.pixelColor(QPoint(20, 1)) == QColor(150, 75, 30)


def test_another_picture_while_the_first_is_decoded(
    hands: Hands, canvas: CanvasView, catalogue: Catalogue
) -> None:
    with catalogue.step("Mark", undoable=False) as work:
        annotate.put_mark(work, Mark("m", "q", MarkKind.LINE, ((5, 5), (50, 50)), specimen_id="s"))
    for photo in ("p", "q", "huge", "q"):
        canvas.open(photo, "s", "")
    hands.qtbot.waitUntil(lambda: canvas.surface.picture.whole is not None)
    hands.settle()
    assert canvas.state.photo is not None
    assert canvas.state.photo.id == "q"
    assert canvas.surface.picture.boundingRect() == QRectF(0, 0, 400, 600)
    whole = canvas.surface.picture.whole
    assert whole is not None
    assert (whole.image.width(), whole.image.height()) == (400, 600)
    assert [mark.id for mark in hands.surface.marks()] == ["m"]


def test_a_picture_that_ended_the_program_is_decoded_only_after_a_yes(
    tmp_path: Path,
    keep: Callable[[Photo], None],
    disk_canvas: CanvasView,
    disk_bench: Bench,
    catalogue: Catalogue,
    qtbot: QtBot,
) -> None:
    path = tmp_path / "over.jpg"
    write(path, 1)
    photo = Photo("over", str(path), width=400, height=300, quick_key="ab" * 8)
    keep(photo)
    decoder = disk_bench.pictures.decoder
    assert isinstance(decoder, CachedPictures)
    with decoder._in_hand.decoding("ab" * 8, str(path)):
        found = InHand(catalogue.previews)  # as the next start would find it
    decoder._in_hand = found

    def asked() -> QMessageBox:
        qtbot.waitUntil(
            lambda: disk_canvas.findChild(QMessageBox, "decode-again") is not None, timeout=20_000
        )
        box = disk_canvas.findChild(QMessageBox, "decode-again")
        assert isinstance(box, QMessageBox)
        return box

    disk_canvas.open("over", "s", "cap")
    box = asked()
    assert "over.jpg" in box.text()
    assert box.defaultButton().text() == "Leave it alone"
    box.defaultButton().click()
    qtbot.waitUntil(lambda: disk_canvas.findChild(QMessageBox, "decode-again") is None, timeout=20_000)
    assert disk_canvas.surface.picture.whole is None
    disk_canvas.open("p", "s", "cap")
    disk_canvas.open("over", "s", "cap")
    next(one for one in asked().buttons() if one.text() == "Try it again").click()
    qtbot.waitUntil(lambda: disk_canvas.surface.picture.whole is not None, timeout=20_000)
