"""Her own words on a taxon: one note each, replaced, taken away when empty."""

from __future__ import annotations

import itertools
from datetime import UTC, datetime
from pathlib import Path

from catalog_gui.catalogue.store import open_catalogue
from catalog_gui.workflows.ports import Surroundings
from catalog_gui.workflows.taxon_notes import note_of, write_note

NOW = datetime(2025, 10, 18, 12, 0, tzinfo=UTC)


def test_one_note_a_taxon_replaced_and_taken_away(tmp_path: Path) -> None:
    count = itertools.count(1)
    surroundings = Surroundings(lambda: NOW, lambda: f"id-{next(count)}")
    catalogue = open_catalogue(tmp_path / "catalogue", now=lambda: NOW)
    records = catalogue.another()
    with records.step("Note") as work:
        first = write_note(work, "amanita-virosa", "  Seen at the shaw. ", surroundings=surroundings)
        other = write_note(work, "amanita-verna", "Elsewhere.", surroundings=surroundings)
        again = write_note(work, "amanita-virosa", "Seen twice.", surroundings=surroundings)
        assert first is not None
        assert again is not None
        assert other is not None
        assert again.id == first.id != other.id
        assert first.text == "Seen at the shaw."
    with records.read() as work:
        kept = note_of(work, "amanita-virosa")
        assert kept is not None
        assert (kept.text, kept.at) == ("Seen twice.", NOW)
        assert note_of(work, "galerina-marginata") is None
    with records.step("Empty") as work:
        assert write_note(work, "amanita-virosa", "   ", surroundings=surroundings) is None
    with records.read() as work:
        assert note_of(work, "amanita-virosa") is None
        assert note_of(work, "amanita-verna") is not None
    records.close()
    catalogue.close()


def test_private_places_are_kept_beside_the_words_and_can_be_taken_back(tmp_path: Path) -> None:
    count = itertools.count(1)
    surroundings = Surroundings(lambda: NOW, lambda: f"id-{next(count)}")
    records = open_catalogue(tmp_path / "catalogue", now=lambda: NOW)

    def kept() -> tuple[str, bool] | None:
        with records.read() as work:
            note = note_of(work, "amanita-virosa")
        return (note.text, note.private_places) if note is not None else None

    for words, private, expected in (
        (None, True, ("", True)),
        ("Picked for sale.", None, ("Picked for sale.", True)),
        ("", None, ("", True)),  # no words left: the places stay private
        (None, False, None),
    ):
        with records.step("Note") as work:
            write_note(work, "amanita-virosa", words, private_places=private, surroundings=surroundings)
        assert kept() == expected
    records.undo()
    assert kept() == ("", True)
    records.close()
