"""Words of the Catalogue page: seasons, tasks, counts, and the searches that other parts of it write."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from catalog_gui.domain.specimen import Task
from catalog_gui.presenting.catalogue.searches import of_foray, of_month, of_name
from catalog_gui.presenting.catalogue.words import count_words, first_and_last, place_tip, tasks_words

NOW = datetime(2025, 10, 18, 18, tzinfo=UTC)


def test_first_and_last_are_days_of_the_year() -> None:
    from catalog_gui.domain.ledger import SeasonCount

    counts = (
        SeasonCount(2023, 9, 2, "2023-09-20", "2023-09-28"),
        SeasonCount(2024, 9, 1, "2024-09-02", "2024-09-02"),
        SeasonCount(2023, 11, 1, "2023-11-01", "2023-11-01"),
    )
    assert first_and_last(counts) == "2 Sep to 1 Nov, 2023–2024"
    assert first_and_last(()) == ""


def test_counts_in_words() -> None:
    assert count_words(1, "foray") == "1 foray"
    assert count_words(1204, "specimen", searched=True) == "1,204 specimens found"
    late = Task("a", "s", "print", "Look at the print", NOW - timedelta(hours=1))
    soon = Task("b", "s", "print", "Look at the print", NOW + timedelta(hours=1))
    assert tasks_words((), NOW, more=False) == "No open tasks"
    assert tasks_words((soon,), NOW, more=False) == "1 open task"
    assert tasks_words((late, soon), NOW, more=True) == "More than 2 open tasks, 1 overdue"
    assert place_tip("25-001", "", 0.2) == "25-001, not named yet, ± 1 m"


def test_a_foray_is_searched_by_its_title() -> None:
    assert of_foray('Ash  "old" Wood') == 'foray: "Ash old Wood"'
    assert of_foray("") == ""
    assert of_name("", of_foray("Ash Wood")) == 'undetermined, foray: "Ash Wood"'
    assert of_name("Russula emetica", "") == "taxon: Russula emetica"


def test_a_month_takes_the_place_of_another_date() -> None:
    assert of_month("undetermined, date: october ,", "", "2024-10") == "undetermined, date: 2024-10"
    assert of_month("undetermined", "Russula emetica", "2024-10") == "taxon: Russula emetica, date: 2024-10"
    assert of_month("", "", "2024-10") == "date: 2024-10"
