"""Her own pack is written whole or not at all, read back before it counts, and never makes a danger smaller."""

from __future__ import annotations

import csv
import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.pack_edit import RowEdit
from catalog_gui.domain.problem import BadInput, PackRefused
from catalog_gui.lookalikes import prepare, weigh
from catalog_gui.lookalikes.reference import Frequency, Reference, Severity
from catalog_gui.packs.own import STEPS, OwnPackFolder
from catalog_gui.packs.reader import read_packs
from catalog_gui.workflows.prepared_references import PreparedReferences

Tables = dict[str, list[list[str]]]
WritePack = Callable[..., Path]
OURS = Path(__file__).resolve().parents[2] / "resources" / "reference"
NOW = datetime(2025, 10, 18, 20, 0, tzinfo=UTC)
PREPARE = PreparedReferences()

NOVA = {"taxon": "nova", "name": "Testia nova", "rank": "species", "forms": "agaric", "source": "flora"}
WHITE = {
    "taxon": "nova",
    "feature": "cap.colour",
    "state": "white",
    "frequency": "usually",
    "source": "flora",
}


@pytest.fixture
def own(small_pack: Tables, write_pack: WritePack, tmp_path: Path) -> OwnPackFolder:
    return OwnPackFolder(write_pack(small_pack, "first"), tmp_path / "mine")


def files(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in sorted(folder.glob("*.csv"))}


def change(own: OwnPackFolder, *edits: RowEdit, label: str = "A change") -> None:
    own.change(label, edits, at=NOW)


def test_a_pack_that_is_not_there_yet_is_ours_alone(own: OwnPackFolder) -> None:
    assert own.read().packs == ("first",)
    assert not own.folder.exists()


def test_a_new_taxon_stands_in_plain_tables_and_says_whose_it_is(own: OwnPackFolder) -> None:
    reference = own.change("Added", [RowEdit("taxa", NOVA), RowEdit("taxon_states", WHITE)], at=NOW)
    nova = reference.taxon("nova")
    assert nova is not None
    assert (nova.name, nova.pack) == ("Testia nova", "mine")
    assert reference.states_of("nova", "cap.colour")[0].pack == "mine"
    assert sorted(files(own.folder)) == ["taxa.csv", "taxon_states.csv"]
    assert own.read() == read_packs(own._shipped, own.folder) == reference


def test_a_broken_row_is_refused_with_file_line_and_column_and_nothing_is_written(own: OwnPackFolder) -> None:
    change(own, RowEdit("taxa", NOVA), RowEdit("taxon_states", WHITE))
    before = files(own.folder)
    with pytest.raises(PackRefused) as refused:
        change(
            own,
            RowEdit("taxa", {**NOVA, "taxon": "other", "name": "Testia altera"}),
            RowEdit("taxon_states", {**WHITE, "state": "blue"}),
        )
    assert str(refused.value).startswith(f"{own.folder / 'taxon_states.csv'}, line 3, column state: ")
    assert files(own.folder) == before
    with pytest.raises(BadInput, match="no table 'colours'"):
        change(own, RowEdit("colours", {"taxon": "nova"}))
    with pytest.raises(BadInput, match="no column 'edible'"):
        change(own, RowEdit("taxa", {**NOVA, "edible": "no"}))
    assert files(own.folder) == before


def test_what_she_wrote_by_hand_stays_as_it_is(own: OwnPackFolder) -> None:
    own.folder.mkdir()
    (own.folder / "taxa.csv").write_text(
        "\ufefftaxon,name,authority,rank,genus,section,english,forms,group,note,source,place\r\n"
        'manu,Testia manualis,,species,,,"By hand, in a spreadsheet",agaric,,,flora,shelf 3\r\n',
        encoding="utf-8",
    )
    change(own, RowEdit("taxa", NOVA))
    with (own.folder / "taxa.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [row["taxon"] for row in rows] == ["manu", "nova"]
    assert rows[0]["english"] == "By hand, in a spreadsheet"
    assert rows[0]["place"] == "shelf 3"


def test_steps_are_taken_back_and_done_again_also_after_a_restart(own: OwnPackFolder) -> None:
    change(own, RowEdit("taxa", NOVA), label="One")
    one = files(own.folder)
    change(own, RowEdit("taxon_states", WHITE), label="Two")
    two = files(own.folder)
    again = OwnPackFolder(own._shipped, own.folder)
    undone = again.undo()
    assert undone is not None
    assert (undone[0].label, undone[0].undone) == ("Two", True)
    assert undone[1].states_of("nova", "cap.colour") == ()
    assert files(own.folder) == one
    again.undo()
    assert files(own.folder) == {}
    assert again.undo() is None
    again.redo()
    assert files(own.folder) == one
    again.redo()
    assert files(own.folder) == two
    assert again.redo() is None
    assert [step.label for step in again.steps()] == ["Two", "One"]


def test_a_new_change_ends_what_could_be_done_again(own: OwnPackFolder) -> None:
    change(own, RowEdit("taxa", NOVA), label="One")
    own.undo()
    change(own, RowEdit("taxa", {**NOVA, "taxon": "altera", "name": "Testia altera"}), label="Other")
    assert own.redo() is None
    assert [step.label for step in own.steps()] == ["Other"]


def test_a_change_that_changes_nothing_is_no_step(own: OwnPackFolder) -> None:
    change(own, RowEdit("taxa", NOVA))
    change(own, RowEdit("taxa", NOVA))
    assert len(own.steps()) == 1


def test_undo_never_overwrites_what_was_changed_outside(own: OwnPackFolder) -> None:
    change(own, RowEdit("taxa", NOVA))
    path = own.folder / "taxa.csv"
    path.write_text(path.read_text(encoding="utf-8") + "hers,Testia propria,,,,,,,,,\n", encoding="utf-8")
    with pytest.raises(PackRefused, match="changed outside the program"):
        own.undo()
    assert "Testia propria" in path.read_text(encoding="utf-8")


def test_undo_that_would_break_the_pack_is_refused_with_the_line(own: OwnPackFolder) -> None:
    change(own, RowEdit("taxa", NOVA))
    (own.folder / "taxon_states.csv").write_text(
        "taxon,feature,state,frequency,source,note\nnova,cap.colour,white,usually,flora,\n", encoding="utf-8"
    )
    with pytest.raises(PackRefused, match=r"taxon_states.csv, line 2, column taxon"):
        own.undo()
    assert own.read().taxon("nova") is not None


def test_a_folder_that_cannot_be_written_says_so(own: OwnPackFolder) -> None:
    own.folder.parent.joinpath("mine").write_text("a file stands where the folder should be")
    with pytest.raises(PackRefused, match="cannot be written"):
        change(own, RowEdit("taxa", NOVA))


KILLED = """
import os, sys
from datetime import UTC, datetime
from pathlib import Path
from catalog_gui.domain.pack_edit import RowEdit
from catalog_gui.packs import own as room
calls, limit = [0], int(sys.argv[3])
def counting(real):
    def call(*given):
        calls[0] += 1
        if calls[0] > limit:
            os._exit(9)
        return real(*given)
    return call
room._put = counting(room._put)
pack = room.OwnPackFolder(Path(sys.argv[1]), Path(sys.argv[2]))
nova = {"taxon": "nova", "name": "Testia nova"}
white = {"taxon": "nova", "feature": "cap.colour", "state": "white", "frequency": "usually", "source": "flora"}
pack.change("Added", [RowEdit("taxon_states", white), RowEdit("taxa", nova)], at=datetime.now(UTC))
"""


@pytest.mark.kill
@pytest.mark.parametrize("limit", range(5))
def test_a_kill_leaves_the_whole_change_or_none_of_it(own: OwnPackFolder, limit: int) -> None:
    """Killed before each write in turn: the note, two tables, the step."""
    arguments = [sys.executable, "-c", KILLED, str(own._shipped), str(own.folder), str(limit)]
    code = subprocess.run(arguments, check=False, env={**os.environ, "PYTHONPATH": str(OURS.parents[1])})
    assert code.returncode == (0 if limit == 4 else 9)
    reference = own.read()
    there = reference.taxon("nova") is not None
    assert there is (limit > 0)
    assert bool(reference.states_of("nova", "cap.colour")) is there
    assert len(own.steps()) == int(there)
    assert not (own.folder / STEPS / "unfinished.json").exists()
    if there:
        own.undo()
        assert own.read().taxon("nova") is None


# --- her pack never makes a danger smaller -----------------------------------------------------


def test_hazards_and_dangerous_pairs_of_ours_stand_whatever_hers_says(own: OwnPackFolder) -> None:
    reference = own.change(
        "Milder",
        [
            RowEdit(
                "hazards", {"taxon": "alba", "syndrome": "1A", "severity": "unpleasant", "source": "flora"}
            ),
            RowEdit("confusions", {"taxon": "alba", "lookalike": "fusca", "does_not_separate": "cap.colour"}),
        ],
        at=NOW,
    )
    assert reference.severity_of("alba") is Severity.FATAL
    assert {row.severity for row in reference.hazards_of("alba")} == {Severity.FATAL, Severity.UNPLEASANT}
    assert [(c.separates, c.pack) for c in reference.confusions_of("alba")] == [
        (("cap.colour",), "first"),
        ((), "mine"),
    ]


def test_what_ours_says_of_a_dangerous_taxon_stands_beside_hers(own: OwnPackFolder) -> None:
    reference = own.change(
        "Never white",
        [
            RowEdit("taxon_states", {**WHITE, "taxon": "alba", "frequency": "never"}),
            RowEdit(
                "taxon_sizes",
                {"taxon": "alba", "feature": "cap.width", "low": "60", "high": "61", "source": "flora"},
            ),
            RowEdit("taxon_states", {**WHITE, "taxon": "fusca", "state": "brown", "frequency": "rarely"}),
        ],
        at=NOW,
    )
    white = reference.states_of("alba", "cap.colour")
    assert [(row.frequency, row.pack) for row in white] == [
        (Frequency.USUALLY, "first"),
        (Frequency.NEVER, "mine"),
    ]
    assert {(row.low, row.high) for row in reference.sizes_of("alba", "cap.width")} == {(50, 100), (60, 61)}
    # nothing is known of fusca to be dangerous: there her row takes the place of ours
    assert [row.pack for row in reference.states_of("fusca", "cap.colour")] == ["mine"]
    assert ("taxon_states", ("alba", "cap.colour", "white")) in {
        (o.table, o.key) for o in reference.overrides
    }


def test_a_dangerous_taxon_keeps_genus_section_and_earlier_name(own: OwnPackFolder) -> None:
    moved = {"taxon": "alba", "name": "Nuperia alba", "genus": "Nuperia", "section": "Novae"}
    reference = own.change("Moved", [RowEdit("taxa", moved)], at=NOW)
    alba = reference.taxon("alba")
    assert alba is not None
    assert (alba.name, alba.genus, alba.section) == ("Nuperia alba", "Testia", "Albae")
    assert reference.named("Testia alba") is alba
    assert reference.named("Nuperia alba") is alba


def test_a_feature_gets_no_firmer_and_keeps_its_kin(own: OwnPackFolder) -> None:
    ring = {
        "feature": "ring.kind", "part": "ring", "name": "ring", "kind": "states", "fragility": "0",
        "absent_name": "no ring",
    }  # fmt: skip
    feature = own.change("Firm", [RowEdit("features", ring)], at=NOW).vocabulary.feature("ring.kind")
    assert feature is not None
    assert int(feature.fragility) == 2
    assert own.read().ties.kin["ring.kind"] == "veil"


@settings(max_examples=8, deadline=None)
@given(data=st.data())
def test_no_row_she_writes_over_ours_takes_a_hazard_out_of_the_banner(
    data: st.DataObject, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """Real pack, a white Amanita with everything against the death cap: rows of hers over ours free nobody."""
    ours = _ours()
    evidence = [
        Evidence(str(n), "f", feature, Standing.SEEN, states)
        for n, (feature, states) in enumerate(
            [
                ("whole.form", ("agaric",)),
                ("cap.colour", ("white",)),
                ("gills.colour", ("white",)),
                ("base.volva", ("sac",)),
                ("ring.kind", ("hanging",)),
            ]
        )
        if all(ours.vocabulary.state(feature, s) for s in states)
    ]
    before = {hazard.taxon.id for hazard in weigh(evidence, PREPARE(ours)).hazards}
    rows = data.draw(
        st.lists(st.sampled_from([row for row in ours.states if row.taxon in before]), min_size=1, max_size=8)
    )
    folder = tmp_path_factory.mktemp("own") / "mine"
    pack = OwnPackFolder(OURS, folder)
    edits = [
        RowEdit(
            "taxon_states",
            {
                "taxon": row.taxon,
                "feature": row.feature,
                "state": row.state,
                "frequency": data.draw(st.sampled_from(["never", "rarely"])),
                "source": "memory",
            },
        )
        for row in rows
    ]
    after = weigh(evidence, prepare(pack.change("Over ours", edits, at=NOW)))
    assert before <= {hazard.taxon.id for hazard in after.hazards}
    shutil.rmtree(folder)


_KEPT: dict[str, Reference] = {}


def _ours() -> Reference:
    if "ours" not in _KEPT:
        _KEPT["ours"] = read_packs(OURS)
    return _KEPT["ours"]


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes in folders here")
@pytest.mark.parametrize("name", ["taxa.csv", "sources.csv", "steps/unfinished.json"])
@pytest.mark.parametrize("kind", ["pipe", "endless", "large"])
def test_pipes_and_endless_files_are_a_sentence_and_nothing_hangs(
    tmp_path: Path, name: str, kind: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path / "own"
    (folder / "steps").mkdir(parents=True)
    if kind == "pipe":
        os.mkfifo(folder / name)
    elif kind == "endless":
        (folder / name).symlink_to("/dev/zero")
    else:
        monkeypatch.setattr("catalog_gui.packs.plain_file.MOST_BYTES", 10)
        (folder / name).write_bytes(b"taxon,name,more\n")
    own = OwnPackFolder(OURS, folder)
    with pytest.raises(PackRefused, match=r"pipe or a device|larger than") as told:
        own.rows(name.removesuffix(".csv")) if name.endswith(".csv") else own.read()
    assert str(folder / name) in str(told.value)
