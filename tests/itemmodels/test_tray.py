"""The tray's model under Qt's own tester; what is dragged from it; pictures that come late."""

from __future__ import annotations

from datetime import UTC, datetime

from PySide6.QtCore import Qt
from PySide6.QtGui import QIcon, QPixmap
from pytestqt.modeltest import ModelTester
from pytestqt.qtbot import QtBot

from catalog_gui.domain.foray import NOT_A_SPECIMEN
from catalog_gui.domain.photo import Camera, Photo, WrittenTime
from catalog_gui.itemmodels.drag import PHOTO_MIME, photos_in
from catalog_gui.itemmodels.tray import TILE, TrayModel

NOON = datetime(2025, 10, 18, 12, tzinfo=UTC)


def photo(key: str, aside: str = "") -> Photo:
    written = WrittenTime("2025:10:18 12:00:00", NOON, None, "DateTimeOriginal")
    return Photo(key, f"/card/{key}.jpg", Camera("Aldermoor", "AM-20", "7"), written, aside=aside)


PHOTOS = (photo("a", NOT_A_SPECIMEN), photo("b", "It has no time."), photo("c"))


def key_of(photos: tuple[Photo, ...]) -> tuple[tuple[str, str], ...]:
    return tuple((one.id, one.aside) for one in photos)


def test_sound_while_photos_come_and_go(qapp: object, qtmodeltester: ModelTester) -> None:
    model = TrayModel(lambda _: None)
    qtmodeltester.check(model)
    model.set_photos(PHOTOS, key_of(PHOTOS))
    qtmodeltester.check(model)
    model.set_photos((), ())
    qtmodeltester.check(model)


def test_each_photo_says_why_it_is_here(qapp: object) -> None:
    model = TrayModel(lambda _: None)
    model.set_photos(PHOTOS, key_of(PHOTOS))
    assert [model.index(row).data() for row in range(3)] == ["a.jpg", "b.jpg\nIt has no time.", "c.jpg\n"]
    tips = [model.index(row).data(Qt.ItemDataRole.ToolTipRole) for row in range(3)]
    assert tips == [f"a.jpg: {NOT_A_SPECIMEN}", "b.jpg: It has no time.", "c.jpg: could not be placed"]


def test_the_dragged_ids_come_out_again(qapp: object) -> None:
    model = TrayModel(lambda _: None)
    model.set_photos(PHOTOS, key_of(PHOTOS))
    data = model.mimeData([model.index(2), model.index(0)])
    assert model.mimeTypes() == [PHOTO_MIME]
    assert photos_in(data) == ["c", "a"]


def test_a_picture_that_comes_late_repaints_its_own_row(qapp: object, qtbot: QtBot) -> None:
    there: dict[str, QPixmap] = {}
    model = TrayModel(lambda one: there.get(one.id))
    model.set_photos(PHOTOS, key_of(PHOTOS))
    icon = model.index(1).data(Qt.ItemDataRole.DecorationRole)
    assert isinstance(icon, QIcon)
    assert icon.pixmap(*TILE).toImage().pixelColor(5, 5).alpha() == 0
    there["b"] = QPixmap(*TILE)
    there["b"].fill(Qt.GlobalColor.red)
    with qtbot.waitSignal(model.dataChanged, timeout=1000) as moved:
        model.picture_came("b")
    assert [index.row() for index in moved.args[:2]] == [1, 1]
    icon = model.index(1).data(Qt.ItemDataRole.DecorationRole)
    assert icon.pixmap(*TILE).toImage().pixelColor(5, 5).red() == 255
    with qtbot.assertNotEmitted(model.dataChanged):
        model.picture_came("elsewhere")
