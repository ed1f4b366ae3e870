"""The strip above every page: the foray's own time, days as she likes them, 2 before 10."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from types import SimpleNamespace
from typing import Any

import pytest
from PySide6.QtWidgets import QMenu, QWidget
from pytestqt.qtbot import QtBot

from catalog_gui.domain.specimen import Specimen, Task
from catalog_gui.presenting.cannot_wait import Waiting
from catalog_gui.settings import Preferences
from catalog_gui.views.cannot_wait import CannotWait

NOW = datetime(2025, 10, 18, 20, 30, tzinfo=UTC)


def waiting(number: str, due: datetime, zone: str = "Europe/London") -> Waiting:
    return Waiting(
        Task(f"t{number}", f"s{number}", "smell", "Smell it", due=due), Specimen(f"s{number}", number), zone
    )


@pytest.fixture
def strip(qtbot: QtBot) -> CannotWait:
    bench: Any = SimpleNamespace(
        preferences=Preferences(date_format="yyyy-MM-dd"), surroundings=SimpleNamespace(now=lambda: NOW)
    )
    parent = QWidget()
    qtbot.addWidget(parent)
    made = CannotWait(bench, parent)
    made.whole = parent  # type: ignore[attr-defined]  # the parent lives as long as the strip is looked at
    return made


@pytest.mark.parametrize(
    ("zone", "hours", "words"),
    [
        ("Europe/London", 1, "by 22:30."),  # summer time: an hour before UTC
        ("Europe/Rome", 1, "by 23:30."),
        ("Europe/Rome", 2, "by 2025-10-19, 00:30."),  # there it is tomorrow already
        ("Europe/London", -30, "by 2025-10-17, 15:30."),
    ],
)
def test_times_are_the_forays(strip: CannotWait, zone: str, hours: int, words: str) -> None:
    strip.show_tasks([waiting("1", NOW + timedelta(hours=hours), zone)])
    assert strip.words.endswith(words)
    assert ("1 overdue" in strip.words) is (hours < 0)


def test_numbers_come_as_people_count(strip: CannotWait) -> None:
    strip.show_tasks([waiting(number, NOW) for number in ("25-10", "25-2")])
    assert "First: smell it, 25-2, by 21:30." in strip.words
    menu = QMenu()
    strip.fill(menu)
    assert [action.text().split()[0] for action in menu.actions()] == ["25-2", "25-10"]


def test_nothing_waiting_hides_it(strip: CannotWait) -> None:
    strip.show_tasks([])
    assert strip.isHidden()
