"""Every change on Sort, by key and by mouse; all of it undoable, also after a restart."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PySide6.QtCore import QMimeData, QPointF, Qt
from PySide6.QtGui import QDragMoveEvent, QDropEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QMenu, QPushButton
from pytestqt.qtbot import QtBot

from catalog_gui.domain.foray import NOT_A_SPECIMEN, Join, SameAs
from catalog_gui.itemmodels.drag import mime_of
from catalog_gui.views.bench import Bench
from catalog_gui.views.sort.page import SortPage
from tests.views.sort.conftest import Hands

FIRST = [["100", "101", "102", "103"], ["104", "105", "106"], ["107", "108"]]


def drop(hands: Hands, ids: list[str], group: int, *, on_walk: bool = False) -> None:
    """Let pictures go over a card, or over the walk above it."""
    trail = hands.page.trail
    card = trail.layout_of_cards.cards[group]
    spot = card.walk.center() if on_walk else card.box.center()
    spot.setY(spot.y() - trail.verticalScrollBar().value())
    data: QMimeData = mime_of(ids)
    actions, left, plain = (
        Qt.DropAction.MoveAction,
        Qt.MouseButton.LeftButton,
        Qt.KeyboardModifier.NoModifier,
    )
    trail.dragMoveEvent(QDragMoveEvent(spot, actions, data, left, plain))
    trail.dropEvent(QDropEvent(QPointF(spot), actions, data, left, plain))
    hands.settle()


def test_the_walk_is_sorted_and_shown(hands: Hands) -> None:
    assert hands.names == FIRST
    assert hands.page.trail.current == hands.id_of("100")


def test_cut_by_key_and_taken_back(hands: Hands) -> None:
    hands.choose("102")
    hands.key(Qt.Key.Key_C)
    assert hands.names == [["100", "101"], ["102", "103"], *FIRST[1:]]
    hands.undo()
    assert hands.names == FIRST
    hands.bench.redo()
    hands.settle()
    assert hands.names == [["100", "101"], ["102", "103"], *FIRST[1:]]


def test_join_above_by_button(hands: Hands) -> None:
    hands.choose("105")
    button = hands.page.findChild(QPushButton, "button-sort-join")
    assert isinstance(button, QPushButton)
    QTest.mouseClick(button, Qt.MouseButton.LeftButton)
    hands.settle()
    assert hands.names == [FIRST[0] + FIRST[1], FIRST[2]]


def test_chosen_groups_join_wherever_they_stand(hands: Hands) -> None:
    hands.page.trail.choose(hands.id_of("100"))
    hands.page.trail.choose(hands.id_of("107"), add=True)
    hands.key(Qt.Key.Key_J)
    assert sorted(map(len, hands.names)) == [3, 6]


def test_lift_out_and_carry_back_by_key(hands: Hands) -> None:
    hands.choose("101")
    hands.key(Qt.Key.Key_L)
    assert ["101"] in hands.names
    assert hands.page.trail.current == hands.id_of("101")
    hands.key(Qt.Key.Key_X)
    assert hands.page.trail.lifted == [hands.id_of("101")]
    hands.choose("102")
    hands.key(Qt.Key.Key_V)
    assert hands.names == FIRST
    assert not hands.page.trail.lifted


def test_moved_to_the_group_after_and_before(hands: Hands) -> None:
    hands.choose("103")
    hands.key(Qt.Key.Key_Down, Qt.KeyboardModifier.AltModifier)
    assert hands.names == [["100", "101", "102"], ["103", "104", "105", "106"], FIRST[2]]
    hands.key(Qt.Key.Key_Up, Qt.KeyboardModifier.AltModifier)
    assert hands.names == FIRST


def test_dropped_on_a_group_and_between_groups(hands: Hands) -> None:
    drop(hands, [hands.id_of("103")], 1)
    assert hands.names[1] == ["103", "104", "105", "106"]
    drop(hands, [hands.id_of("104"), hands.id_of("105")], 2, on_walk=True)
    assert ["104", "105"] in hands.names
    hands.undo()
    hands.undo()
    assert hands.names == FIRST


def test_not_a_specimen_goes_to_the_tray_and_back(hands: Hands) -> None:
    hands.choose("107")
    hands.key(Qt.Key.Key_N)
    assert [photo.name for photo in hands.state.tray] == ["IMG_107.jpg"]
    assert hands.state.tray[0].aside == NOT_A_SPECIMEN
    assert hands.page.trail.current == hands.id_of("108"), "the keys go on with the next picture"
    tray = hands.page.tray
    assert "not a specimen" in str(tray.model().index(0, 0).data(Qt.ItemDataRole.ToolTipRole))
    tray.selectAll()
    button = hands.page.findChild(QPushButton, "button-sort-back")
    assert isinstance(button, QPushButton)
    assert button.isEnabled()
    QTest.mouseClick(button, Qt.MouseButton.LeftButton)
    hands.settle()
    assert hands.names == FIRST
    assert not hands.state.tray


def test_dropped_on_the_tray(hands: Hands) -> None:
    ids = [hands.id_of("100"), hands.id_of("101")]
    data = mime_of(ids)
    event = QDropEvent(
        QPointF(5, 5),
        Qt.DropAction.MoveAction,
        data,
        Qt.MouseButton.LeftButton,
        Qt.KeyboardModifier.NoModifier,
    )
    hands.page.tray.dropEvent(event)
    hands.settle()
    assert {photo.id for photo in hands.state.tray} == set(ids)
    assert hands.names[0] == ["102", "103"]


def doubt(hands: Hands, name: str, chance: float) -> Join:
    """Make the join before a picture as uncertain as that."""
    join = hands.state.join_at[hands.id_of(name)]
    doubtful = Join(join.id, join.foray_id, join.before, join.after, chance, "put in doubt")
    hands.bench.do("Doubt", lambda work: work.joins.put(doubtful))
    hands.settle()
    return doubtful


def test_the_least_certain_comes_first(hands: Hands) -> None:
    doubt(hands, "104", 0.3)
    doubt(hands, "107", 0.48)
    doubt(hands, "102", 0.8)
    seen = []
    hands.page.trail.choose(hands.id_of("100"))
    for _ in range(4):
        hands.key(Qt.Key.Key_D)
        seen.append(hands.state.photos[hands.page.trail.current].name[4:7])
    assert seen == ["107", "104", "102", "107"]
    assert "put in doubt" in hands.said[-1]


@pytest.mark.parametrize(("key", "groups"), [(Qt.Key.Key_T, 2), (Qt.Key.Key_A, 3)])
def test_a_doubtful_join_is_answered_by_key(hands: Hands, key: Qt.Key, groups: int) -> None:
    doubt(hands, "104", 0.5)
    hands.key(Qt.Key.Key_D)
    hands.key(key)
    assert len(hands.state.rows) == groups
    assert all(join.after != hands.id_of("104") for join in hands.state.doubtful)
    hands.bench.do("More pictures", lambda work: work.forays.put(*work.forays.all()))
    hands.settle()
    assert len(hands.state.rows) == groups


def test_a_doubt_inside_a_group_is_answered_apart(hands: Hands) -> None:
    doubt(hands, "102", 0.5)
    hands.key(Qt.Key.Key_D)
    assert hands.page.trail.current == hands.id_of("102")
    hands.key(Qt.Key.Key_A)
    assert hands.names[:2] == [["100", "101"], ["102", "103"]]


def test_a_doubtful_join_is_answered_on_the_trail_by_mouse(hands: Hands) -> None:
    doubt(hands, "104", 0.5)
    hands.page.trail.ensure_visible(hands.id_of("104"), whole_row=True)
    rects = hands.page.trail.answer_rects(hands.state.rows[1].group.id)
    assert rects is not None
    hands.click(rects[0].center())
    assert len(hands.state.rows) == 2


@pytest.mark.parametrize("together", [True, False])
def test_an_offer_is_answered_by_key(hands: Hands, put: Callable[..., None], together: bool) -> None:
    one, _, three = (row.group for row in hands.state.rows)
    put(SameAs("offer", one.foray_id, three.id, one.id, 0.6, "The same spot, 30 min later."))
    assert hands.state.rows[2].offer_words == "group 1"
    hands.key(Qt.Key.Key_D)
    while hands.page.trail.current != hands.id_of("107"):
        hands.key(Qt.Key.Key_D)
    hands.key(Qt.Key.Key_T if together else Qt.Key.Key_A)
    assert not hands.state.offers
    first, last = hands.state.rows[0].specimen, hands.state.rows[2].specimen
    assert (first is not None and last is not None and first.id == last.id) == together


def test_accept_makes_specimens_with_numbers_and_tasks(hands: Hands) -> None:
    hands.choose("104")
    hands.key(Qt.Key.Key_Return)
    assert [row.specimen.number if row.specimen else "" for row in hands.state.rows] == ["", "2025-001", ""]
    hands.key(Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
    assert all(row.specimen is not None or row.doubtful for row in hands.state.rows)
    counts: list[int] = []
    hands.bench.read(lambda work: work.tasks.count(), counts.append)
    hands.settle()
    assert counts[0] > 0
    assert "kept as specimen" in hands.page.sentence


def test_same_as_an_accepted_specimen_by_menu(hands: Hands, qtbot: QtBot) -> None:
    hands.choose("100")
    hands.key(Qt.Key.Key_Return)
    hands.choose("107")
    hands.key(Qt.Key.Key_S)
    menu = hands.page.findChild(QMenu, "same-menu")
    assert isinstance(menu, QMenu)
    action = next(one for one in menu.actions() if one.text().startswith("2025-001"))
    action.trigger()
    menu.close()
    hands.settle()
    specimens = [row.specimen.id if row.specimen else "" for row in hands.state.rows]
    assert specimens[0] == specimens[2] != ""


def test_a_specimen_keeps_its_last_picture(hands: Hands) -> None:
    hands.choose("107")
    hands.key(Qt.Key.Key_Return)
    hands.page.trail.choose_group(hands.state.rows[2].group.id)
    hands.key(Qt.Key.Key_N)
    assert hands.troubles
    assert hands.names == FIRST


def test_everything_can_be_taken_back_after_a_restart(
    hands: Hands, make_bench: Callable[..., Bench], qtbot: QtBot
) -> None:
    hands.choose("102")
    hands.key(Qt.Key.Key_C)
    hands.key(Qt.Key.Key_Return)
    foray = hands.bench.foray_id
    hands.page.hide()
    hands.bench.close()
    again = make_bench()
    page = SortPage(again)
    qtbot.addWidget(page)
    page.show()
    page.enter()
    later = Hands(again, page, qtbot)
    again.choose_foray(foray)
    later.settle()
    assert later.names == [["100", "101"], ["102", "103"], *FIRST[1:]]
    assert any(row.specimen is not None for row in later.state.rows)
    later.undo()
    assert all(row.specimen is None for row in later.state.rows)
    later.undo()
    assert later.names == FIRST


def test_every_action_has_a_key_of_its_own_and_says_so(page: SortPage) -> None:
    keys = [key.toString() for action in page.actions() for key in action.shortcuts()]
    assert len(keys) == len(set(keys))
    for action in page.actions():
        assert action.shortcuts(), action.text()
        assert action.shortcuts()[0].toString().split("+")[-1] in action.toolTip()
    for button in page.findChildren(QPushButton):
        assert button.objectName()
        assert button.accessibleName()
