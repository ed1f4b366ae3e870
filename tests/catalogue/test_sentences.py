"""What goes wrong with the catalogue is told with what to do now, and never in the words of SQLite or a parser."""

from __future__ import annotations

import sqlite3
import zipfile
from pathlib import Path

import pytest

from catalog_gui.catalogue.sqlite_errors import _SENTENCES, sentence
from catalog_gui.domain.photo import Photo
from catalog_gui.domain.problem import BadInput
from catalog_gui.outputs.archive_check import archive_faults
from catalog_gui.outputs.carry_out import MarkFiles
from catalog_gui.workflows.carry_marks import read_in, refuse_original, text_of

TO_DO = ("Try", "Make", "Restore", "Allow", "Put", "Choose", "Check", "check", "Open", "Draw")


def _says_what_to_do(words: str) -> bool:
    return any(f"{start}{verb} " in f" {words}" for verb in TO_DO for start in (" ", "; "))


@pytest.mark.parametrize(("name", "words"), _SENTENCES)
def test_every_refusal_of_sqlite_says_what_to_do(name: str, words: str) -> None:
    assert _says_what_to_do(words), name
    error = sqlite3.OperationalError("inner words")
    error.sqlite_errorname = name
    assert sentence(error) == words


@pytest.mark.parametrize(
    "error",
    [
        sqlite3.OperationalError("no such table: marks"),
        sqlite3.OperationalError("no such column: x"),
        sqlite3.DatabaseError("Could not decode to UTF-8 column 'habitat' with text 'x'"),
        sqlite3.ProgrammingError("Incorrect number of bindings supplied"),
        PermissionError(13, "Permission denied"),
    ],
)
def test_inner_words_do_not_get_out(error: Exception) -> None:
    words = sentence(error)
    assert _says_what_to_do(words) or "Safety copies and check" in words
    assert "no such" not in words
    assert "bindings" not in words
    assert "UTF" not in words


@pytest.mark.parametrize(
    ("meta", "word"),
    [
        (b"<archive", "damaged from line 1"),
        (b'<!DOCTYPE a [<!ENTITY b "c">]><a>&b;</a>', "entities"),
        (
            (
                b'<archive xmlns="http://rs.tdwg.org/dwc/text/"><core rowType="x" ignoreHeaderLines="one">'
                b'<files><location>a.csv</location></files><id index="zero"/><field index="0" term="http://a"/></core>'
                b"</archive>"
            ),
            "damaged or is not an archive",
        ),
    ],
)
def test_a_damaged_archive_is_told_without_the_words_of_a_parser(
    tmp_path: Path, meta: bytes, word: str
) -> None:
    with zipfile.ZipFile(tmp_path / "a.zip", "w") as made:
        made.writestr("meta.xml", meta)
        made.writestr("a.csv", "id\n1\n")
    (fault,) = archive_faults(tmp_path / "a.zip")
    assert word in fault
    assert "again" in fault


def test_marks_that_cannot_be_carried_say_what_to_do(tmp_path: Path) -> None:
    photo = Photo("p", str(tmp_path / "a.jpg"), width=4, height=3)
    with pytest.raises(BadInput, match="Choose another name"):
        refuse_original(photo.path, photo)
    with pytest.raises(BadInput, match="Draw one first"):
        text_of("sidecar", photo, ())
    (tmp_path / "a.json").write_text("{}")
    with pytest.raises(BadInput) as told:
        read_in(MarkFiles(), str(tmp_path / "a.json"), photo)
    assert told.value.path == str(tmp_path / "a.json")


def test_what_has_no_sentence_of_its_own_stands_in_the_log(caplog: pytest.LogCaptureFixture) -> None:
    words = sentence(sqlite3.ProgrammingError("Incorrect number of bindings supplied"))
    assert "What happened" in words
    assert "Incorrect number of bindings supplied" in caplog.text
