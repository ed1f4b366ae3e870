"""What cannot wait, in one line and in a list; the account of a take-in."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from catalog_gui.domain.problem import Refusal
from catalog_gui.domain.specimen import Specimen, Task
from catalog_gui.presenting.cannot_wait import Waiting, due_time, most_pressing, task_words, waiting_words
from catalog_gui.presenting.intake import account_rows, report_sentence
from catalog_gui.settings import Preferences
from catalog_gui.workflows.import_photos import IntakeReport, Known

NOW = datetime(2025, 10, 18, 18, tzinfo=UTC)
PLAIN = Preferences()


def waiting(number: str, hours: float | None, title: str = "Smell it") -> Waiting:
    due = NOW + timedelta(hours=hours) if hours is not None else None
    return Waiting(Task(number, number, "smell", title, due), Specimen(number, number), "Europe/London")


def test_the_most_pressing_comes_first_and_is_named() -> None:
    tasks = most_pressing(
        [waiting("25-010", 2), waiting("25-2", -1, "Take a Print"), waiting("25-1", 2)], NOW
    )
    assert [one.specimen.number for one in tasks] == ["25-2", "25-1", "25-010"]
    words = "3 things cannot wait, 1 overdue. First: take a Print, 25-2, by 18:00."
    assert waiting_words(tasks, NOW, PLAIN) == words
    assert waiting_words(tasks[1:2], NOW, PLAIN) == "1 thing cannot wait. First: smell it, 25-1, by 21:00."
    assert waiting_words([], NOW, PLAIN) == ""


def test_another_day_is_said_with_its_date() -> None:
    assert due_time(waiting("1", 20), NOW, PLAIN) == "19 October 2025, 15:00"
    assert due_time(waiting("1", None), NOW, PLAIN) == "no time set"
    assert task_words(waiting("25-2", -1), NOW, PLAIN) == "25-2   Smell it   18:00 – overdue"


def test_the_account_names_every_file_that_was_not_simply_taken_in() -> None:
    known = (Known("/card/b.jpg", "/card/b.jpg"), Known("/card/c.jpg", "/old/c.jpg", moved=True))
    refused = (Refusal("/card/x.jpg", "It is empty."),)
    report = IntakeReport("f", (), known, refused, ("/card/walk.gpx",), ("/card/z.jpg",))
    assert (
        report_sentence(report) == "5 files: 0 taken in, 1 track, 2 known already, 1 refused, 1 not reached."
    )
    assert account_rows(report) == [
        ("refused", "/card/x.jpg", "It is empty."),
        ("known already", "/card/b.jpg", "In the catalogue already."),
        ("known already", "/card/c.jpg", "Found again here; it stood at /old/c.jpg before."),
        ("track", "/card/walk.gpx", "Taken in as the walk."),
        ("not reached", "/card/z.jpg", "You stopped before it was read."),
    ]
