"""Searching as she thinks: words, parts and states, what is missing; and no text that makes it fail."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from catalog_gui.annotation.marks import Mark, MarkKind
from catalog_gui.catalogue import index
from catalog_gui.catalogue.lexicon import Lexicon
from catalog_gui.catalogue.query import read_query
from catalog_gui.catalogue.store import Catalogue, open_catalogue
from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.feature import Feature, Part, State, Vocabulary
from catalog_gui.domain.foray import Foray, Group, Place
from catalog_gui.domain.ledger import ForayCount, SeasonCount, TallyLine
from catalog_gui.domain.photo import Photo, WrittenTime
from catalog_gui.domain.specimen import Determination, Qualifier, Specimen, Task
from catalog_gui.geo.position import Position
from catalog_gui.packs.reader import read_packs
from tests.catalogue.values import KINDS, NOON, links, values

REPOSITORY = Path(__file__).parents[2]

LEXICON = Lexicon(
    Vocabulary(
        (
            Feature("base.volva", Part.BASE, "volva"),
            Feature("base.shape", Part.BASE, "shape of the base"),
            Feature("ring.kind", Part.RING, "ring"),
            Feature("ring.position", Part.RING, "ring position"),
            Feature("cap.colour", Part.CAP, "cap colour"),
            Feature("print.colour", Part.PRINT, "spore print colour"),
        ),
        (
            State("base.volva", "sac", "sac, open bag"),
            State("base.volva", "scales", "rows of scales"),
            State("base.shape", "bulb", "rounded bulb"),
            State("ring.kind", "hanging", "hanging ring"),
            State("ring.position", "high", "high on the stem"),
            State("cap.colour", "white", "white"),
            State("print.colour", "white", "white"),
            State("cap.colour", "ochre", "ochre-brown"),
        ),
    ),
    names={
        "amanita-phalloides": ("Amanita phalloides", "Amanitina phalloides", "death cap"),
        "amanita-virosa": ("Amanita virosa", "destroying angel"),
        "agaricus-arvensis": ("Agaricus arvensis", "horse mushroom"),
    },
    hazards={"amanita-phalloides": "danger", "amanita-virosa": "danger"},
)


def _fill(catalogue: Catalogue) -> None:
    """Five specimens of two invented woods."""
    with catalogue.step("fill") as work:
        work.forays.put(
            Foray("autumn", "Autumn walk", "Quillmoor Wood", time_zone="Pacific/Auckland"),
            Foray("late", "Late walk", "Tansy Fen", started=datetime(2025, 11, 2, 9, tzinfo=UTC)),
        )
        work.specimens.put(
            Specimen(
                "a",
                "25-001",
                foray_id="autumn",
                collected_at=datetime(2025, 9, 30, 13, 0, tzinfo=UTC),  # 1 October in Auckland
                place=Place(Position(-36.9, 174.8), 5.0),
                collector="Ottilie Fennimore",
                habitat="under oak",
                note="Smelt of old honey near the Brücke",
            ),
            Specimen("b", "25-002", foray_id="autumn", collected_at=datetime(2025, 9, 12, tzinfo=UTC)),
            Specimen(
                "c", "25-003", foray_id="late", collected_at=datetime(2024, 10, 20, tzinfo=UTC), site="Ditch"
            ),
            Specimen("d", "25-0031", foray_id="late"),
            Specimen("e", "loose"),
        )
        work.evidence.put(
            Evidence("1", "a", "base.volva", Standing.SEEN, ("sac",)),
            Evidence("2", "a", "ring.kind", Standing.GONE),
            Evidence("3", "a", "cap.colour", Standing.SEEN, ("white", "ochre"), note="silky when dry"),
            Evidence("4", "b", "base.volva", Standing.NOT_THERE),
            Evidence("5", "b", "ring.kind", Standing.SEEN, ("hanging",)),
            Evidence("6", "c", "base.volva", Standing.NOT_LOOKED_AT),
            Evidence("7", "c", "print.colour", Standing.SEEN, ("white",)),
        )
        work.determinations.put(
            Determination("n1", "a", "Agaricus arvensis", "agaricus-arvensis", determined_by="Bram Ollerton"),
            Determination(
                "n2", "a", "Amanita virosa", "amanita-virosa", Qualifier.CF, replaces="n1", entered_at=NOON
            ),
            Determination("n3", "b", "Agaricus arvensis", "agaricus-arvensis"),
            Determination("n4", "c", "Amanitina phalloides"),  # typed freely
        )
        work.photos.put(
            Photo("p1", "/z.jpg", written=WrittenTime(local=datetime(2025, 10, 1, 9)), group_id="g"),  # noqa: DTZ001
            Photo("p2", "/a.jpg", written=WrittenTime(local=datetime(2025, 10, 1, 10)), group_id="g"),  # noqa: DTZ001
        )
        work.groups.put(Group("g", "autumn", ("p1", "p2"), specimen_id="a"))
        work.marks.put(
            Mark("m", "p1", MarkKind.POINTER, ((0, 0), (1, 1)), label="torn membrane", specimen_id="a")
        )


@pytest.fixture(scope="module")
def filled(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Catalogue]:
    """The five specimens, only to be read."""
    catalogue = open_catalogue(tmp_path_factory.mktemp("search"), now=lambda: NOON, lexicon=LEXICON)
    _fill(catalogue)
    yield catalogue
    catalogue.close()


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("", "abcde"),
        ("honey", "a"),
        ("HONEY  old", "a"),
        ('"old honey"', "a"),
        ('"honey old"', ""),
        ("hon", "a"),
        ("brucke", "a"),  # accents do not matter
        ("Brücke", "a"),
        ("silky", "a"),  # a note beside the evidence
        ("membrane", "a"),  # a mark's label
        ("oak", "a"),
        ("quillmoor", "ab"),
        ("25-003", "cd"),  # as the beginning of a number
        ("number: 25-003", "cd"),
        ("ollerton", "a"),
        ("collector: fennimore", "a"),
        ("collector: honey", ""),
        ("site: tansy fen", "cd"),
        ("site: ditch", "c"),
        ("foray: late", "cd"),
        ("habitat: oak", "a"),
        ("note: honey", "a"),
        ("white", "ac"),  # as the name of a state
        ("white -honey", "c"),
        ("sac-like", "a"),
        ("base: sac-like volva", "a"),
        ("base: sac", "a"),
        ("volva: sac-like", "a"),
        ("base: bulb", ""),
        ("base: volva", "a"),  # seen at all
        ("shape: bulb", ""),
        ("position: high", ""),
        ("colour: ochre", "a"),
        ("base: not there", "b"),
        ("ring: gone", "a"),
        ("ring: damaged or gone", "a"),
        ("ring: seen", "b"),
        ("ring: not looked at", "cde"),
        ("ring: gone base: sac-like volva", "a"),
        ("ring: gone, oak", "a"),
        ("base: sac-like volva oak", "a"),  # what names no state is a plain word
        ("base: sac-like volva pine", ""),
        ("ring position: high", ""),
        ("cap colour: ochre", "a"),
        ("cap.colour: ochre", "a"),
        ("spore print colour: white", "c"),
        ("spore print: white", "c"),
        ("missing: base", "cde"),
        ("missing: volva", "cde"),
        ("missing: ring missing: base", "cde"),
        ("missing: picture", "bcde"),
        ("missing: place", "bcde"),
        ("missing: date", "de"),
        ("missing: name", "de"),
        ("undetermined", "de"),
        ("undetermined site: tansy", "d"),
        ('"undetermined"', ""),
        ("taxon: agaricus", "b"),
        ("agaricus", "ab"),  # earlier names too
        ("taxon: horse mushroom", "b"),
        ("horse mushroom", "ab"),
        ("taxon: destroying angel", "a"),
        ("taxon: death cap", "c"),  # typed under a synonym, without choosing the taxon
        ("virosa", "a"),
        ("cf.", "a"),
        ("hazard:", "ac"),
        ("hazard: danger", "ac"),
        ("hazard: danger honey", "a"),
        ("date: 2025", "abd"),  # d has no time: the day of its outing
        ("date:2025-10", "a"),  # the day on the spot, not in London
        ("date: 2025-10-01", "a"),
        ("date: 2025-09..2025-10", "ab"),
        ("date: 2025-10..2025-09", "ab"),
        ("date: ..2024", "c"),
        ("date: 2025-11..", "d"),
        ("date: october", "ac"),
        ("date: oct honey", "a"),
    ],
)
def test_what_she_types_finds_what_she_means(filled: Catalogue, text: str, wanted: str) -> None:
    assert sorted(found.specimen_id for found in filled.search(text)) == sorted(wanted)
    assert filled.search_count(text) == len(wanted)
    assert filled.search_notes(text) == () or text == "date: 2025-10..2025-09"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("weight: heavy", "no field or part called 'weight'"),
        ("base: purple", "No state of 'base' is called 'purple'"),
        ("base:", "After 'base:' a state is wanted"),
        ("smell: honey", "no features of 'smell'"),
        ("missing: smell", "'smell' is not a part"),
        ("date:", "a year, month, day or range"),
        ("date: 2025-13", "'2025-13' is not a date"),
        ("date: 2025-02-30", "not a date"),
        ("date: ..", "not a date"),
        ("date: yesterday", "not a date"),
        ("date: 2025-10..2025-09", "ran backwards"),
        ("missing:", "a part is wanted"),
        ("missing: hat", "'hat' is not a part"),
        ("hazard: purple", "not a severity (danger)"),
        ("taxon:", "a name is wanted"),
        ("site:", "a word is wanted"),
        ("🍄", "no letter or digit"),
        ("a " * 40, "Only the first 30 words"),
    ],
)
def test_what_is_not_understood_is_said(filled: Catalogue, text: str, said: str) -> None:
    assert said in " ".join(filled.search_notes(text))
    filled.search(text)


@pytest.mark.parametrize(
    ("text", "state"),
    [
        ("base: sac-like volva", ("base.volva", "sac")),
        ("base: sac", ("base.volva", "sac")),
        ("volva: sac", ("base.volva", "sac")),
        ("spore print: white", ("print.colour", "white")),
        ("gills: free", ("gills.attachment", "free")),
        ("cap: olive", ("cap.colour", "olive")),
    ],
)
def test_the_shipped_reference_is_understood(text: str, state: tuple[str, str]) -> None:
    query = read_query(text, Lexicon(read_packs(REPOSITORY / "resources" / "reference").vocabulary))
    assert state in query.shown
    assert query.notes == []


@pytest.mark.parametrize("text", ["ring: gone", "ring: not looked at", "missing: base", "base: volva"])
def test_standings_of_the_shipped_reference_are_understood(text: str) -> None:
    query = read_query(text, Lexicon(read_packs(REPOSITORY / "resources" / "reference").vocabulary))
    assert query.notes == []
    features = {"ring": 6, "missing": 7, "base": 1}[text.partition(":")[0]]
    assert [len(condition.tags) >= features for condition in query.conditions] == [True]


@settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    text=st.lists(
        st.one_of(
            st.text(max_size=8),
            st.sampled_from(
                ["base:", "ring:", "date:", "missing:", "hazard:", "taxon:", "site:", ":", '"', "NOT", "AND",
                 "OR", "NEAR(", "*", "^", "-", "--x", "(", ")", "{tags}:", "tags:zxevery", "2025..", "..",
                 "\x00", "\udce4", "gone", "sac-like", "ﬁ", "ß", "'", ";", "+"]
            ),
        ),
        max_size=8,
    ).map(" ".join)
)  # fmt: skip
def test_nothing_typed_makes_it_fail(filled: Catalogue, text: str) -> None:
    assert filled.search_count(text) == len(filled.search(text))


def test_a_line_shows_name_place_pictures_hazard_and_why(filled: Catalogue) -> None:
    (found,) = filled.search("ring: gone honey base: sac-like volva")
    assert found.number == "25-001"
    assert found.name == "Amanita cf. virosa"
    assert found.site == "Quillmoor Wood"
    assert found.collected_at == datetime(2025, 9, 30, 13, 0, tzinfo=UTC)
    assert (found.photos, found.cover_photo) == (2, "p1")
    assert found.hazard == "danger"
    assert found.snippet == "Smelt of old honey near the Brücke; volva: sac, open bag"
    (free,) = filled.search("taxon: amanitina")
    assert free.hazard == "danger"
    assert filled.search("25-0031")[0].number == "25-0031"


def test_newest_first_in_pages_and_the_exact_number_before_all(filled: Catalogue) -> None:
    everything = [found.specimen_id for found in filled.search("")]
    assert everything == ["a", "b", "c", "e", "d"]
    pages = [found.specimen_id for at in range(0, 6, 2) for found in filled.search("", limit=2, offset=at)]
    assert pages == everything
    assert [found.specimen_id for found in filled.search("25-003")] == ["c", "d"]
    assert filled.search("", limit=0) == filled.search("", limit=-3) == ()


def test_the_index_follows_every_change_and_its_undo(catalogue: Catalogue) -> None:
    catalogue.set_lexicon(LEXICON)
    _fill(catalogue)
    with catalogue.step("rename site") as work:
        foray = work.forays.get("autumn")
        assert foray is not None
        work.forays.put(replace(foray, site="Hollow Copse"))
    assert catalogue.search_count("hollow copse") == 2
    assert catalogue.search_count("quillmoor") == 0
    catalogue.undo()
    assert catalogue.search_count("quillmoor") == 2
    with catalogue.step("volva after all") as work:
        work.evidence.put(Evidence("6", "c", "base.volva", Standing.SEEN, ("sac",)))
    assert catalogue.search_count("base: sac-like volva") == 2
    with catalogue.step("take it away") as work:
        work.evidence.remove("6")
    assert catalogue.search_count("base: sac-like volva") == 1
    catalogue.undo()
    assert catalogue.search_count("base: sac-like volva") == 2
    while catalogue.undo() is not None:
        pass
    assert catalogue.search("") == ()
    catalogue.redo()
    assert catalogue.search_count("") == 5


def _index(catalogue: Catalogue) -> list[Any]:
    with catalogue.read() as work:
        run = work.connection.exec_driver_sql
        return [
            [tuple(row) for row in run(f"SELECT {columns} ORDER BY 1, 2")]
            for columns in ("rowid, * FROM find_words", "* FROM find_tags", "* FROM find_listing")
        ]


@settings(max_examples=20, deadline=None)
@given(data=st.data())
def test_the_index_kept_up_is_the_index_made_anew(data: st.DataObject) -> None:
    key = st.sampled_from(["1", "2", "3"])
    with tempfile.TemporaryDirectory() as name:
        catalogue = open_catalogue(Path(name), now=lambda: NOON)
        with catalogue.step("ground", undoable=False) as work:
            work.forays.put(Foray("1", "x"), Foray("2", "y"), Foray("3", "z"))
            work.specimens.put(Specimen("1", "1"), Specimen("2", "2"), Specimen("3", "3"))
        for number in range(data.draw(st.integers(1, 6))):
            shelf = data.draw(st.sampled_from(["forays", "specimens", "evidence", "determinations"]))
            fixed: dict[str, Any] = links(shelf) | {"id": key}
            for link in ("specimen_id", "foray_id"):
                if link in fixed:
                    fixed[link] = key
            value = data.draw(values(KINDS[shelf], **fixed))
            with catalogue.step(f"step {number}") as work:
                getattr(work, shelf).put(value)
                if shelf in ("evidence", "determinations") and data.draw(st.booleans()):
                    getattr(work, shelf).remove(data.draw(key))
            if data.draw(st.booleans()):
                catalogue.undo()
        kept = _index(catalogue)
        with catalogue._writing_step("rebuild") as (_session, buffer):
            index.rebuild(buffer.connection)
        assert _index(catalogue) == kept
        catalogue.close()


def test_an_outdated_index_is_made_anew_when_opening(tmp_path: Path) -> None:
    catalogue = open_catalogue(tmp_path, now=lambda: NOON, lexicon=LEXICON)
    _fill(catalogue)
    with catalogue._writing_step("spoil") as (_session, buffer):
        buffer.connection.exec_driver_sql("DELETE FROM find_words")
        buffer.connection.exec_driver_sql("PRAGMA user_version = 0")
    assert catalogue.search_count("honey") == 0
    catalogue.close()
    said: list[str] = []
    catalogue = open_catalogue(tmp_path, now=lambda: NOON, progress=said.append)
    assert catalogue.search_count("honey") == 1
    assert said == ["Making the search index"]
    catalogue.close()


def test_seasons_tallies_counts_and_tasks(filled: Catalogue) -> None:
    assert filled.season() == (
        SeasonCount(2024, 10, 1, "2024-10-20", "2024-10-20"),
        SeasonCount(2025, 9, 1, "2025-09-12", "2025-09-12"),
        SeasonCount(2025, 10, 1, "2025-10-01", "2025-10-01"),
        SeasonCount(2025, 11, 1, "2025-11-02", "2025-11-02"),
    )
    assert filled.season("agaricus ARVENSIS") == filled.season("agaricus-arvensis")
    assert [count.month for count in filled.season("agaricus-arvensis")] == [9]
    assert filled.season("nobody") == ()
    assert filled.tally("autumn") == (
        TallyLine("Agaricus arvensis", "agaricus-arvensis", 1),
        TallyLine("Amanita cf. virosa", "amanita-virosa", 1),
    )
    assert filled.tally("late") == (TallyLine("Amanitina phalloides", "", 1), TallyLine("", "", 1))
    assert filled.foray_counts() == {
        "autumn": ForayCount("autumn", 0, 2, 2),
        "late": ForayCount("late", 0, 2, 1),
    }


def test_open_tasks_by_due_time(catalogue: Catalogue) -> None:
    with catalogue.step("tasks") as work:
        work.specimens.put(Specimen("s", "1"))
        work.tasks.put(
            Task("1", "s", "drying", "Dry it"),
            Task("2", "s", "print", "Take the print", due=datetime(2025, 10, 5, tzinfo=UTC)),
            Task("3", "s", "smell", "Smell", due=datetime(2025, 10, 4, tzinfo=UTC)),
            Task("4", "s", "ring", "Look", due=datetime(2025, 10, 3, tzinfo=UTC), done_at=NOON),
        )
    assert [task.id for task in catalogue.open_tasks()] == ["3", "2", "1"]
    assert [task.id for task in catalogue.open_tasks(limit=1)] == ["3"]


def test_known_photos_by_fingerprint(catalogue: Catalogue) -> None:
    one = Photo("1", "/a.jpg", quick_key="q1", content_hash="h1")
    two = Photo("2", "/b.jpg", quick_key="q2")
    with catalogue.step("take in") as work:
        work.photos.put(one, two)
    assert catalogue.known_photos(quick_keys=["q2", "q9", ""]) == (two,)
    assert set(catalogue.known_photos(quick_keys=["q2"], content_hashes=["h1", ""])) == {one, two}
    assert catalogue.known_photos() == ()


def test_words_are_split_as_the_index_splits_them(catalogue: Catalogue) -> None:
    odd = "Knollen-Blätterpilz ﬁne straße ÅNGSTRÖM under_score 25-003 naïve Ωmega"
    with catalogue.step("odd") as work:
        work.specimens.put(Specimen("s", "1", note=odd))
    for word in odd.split():
        assert catalogue.search_count(word) == 1, word
