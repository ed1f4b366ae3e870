"""The command line without a window: shapes of the documents, every file accounted for, one line on bad input."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from catalog_gui import assets, commandline, platform_check
from catalog_gui.domain.caution import CAUTION, NO_ENTRY
from catalog_gui.lookalikes.hazard_groups import MOST_LINES
from catalog_gui.lookalikes.reference import Severity
from tests.photos import exifwriter as ew
from tests.photos.scenes import jpeg


def run(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str, str]:
    code = commandline.run(list(arguments))
    said = capsys.readouterr()
    return code, said.out, said.err


def files_below(folder: Path) -> set[str]:
    return {str(path.resolve()) for path in folder.rglob("*") if path.is_file()}


def accounted(document: dict[str, Any]) -> list[str]:
    grouped = [path for group in document["groups"] for path in group["photos"]]
    return [
        str(Path(path).resolve()) for path in (*grouped, *(left["path"] for left in document["left_out"]))
    ]


def test_propose_on_the_demo(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(capsys, "propose", str(assets.demo_foray()), "--json")
    document = json.loads(out)
    assert code == 0
    assert set(document) == {"cameras", "groups", "joins", "left_out"}
    found = accounted(document)
    assert len(found) == len(set(found))
    assert set(found) == files_below(assets.demo_foray())
    for camera in document["cameras"]:
        assert {"key", "offset_s", "spread_s", "photos"} <= set(camera)
    for group in document["groups"]:
        assert {"id", "photos", "start", "end", "lat", "lon", "uncertainty_m"} <= set(group)
        assert group["photos"]
        assert group["start"] <= group["end"]
    for join in document["joins"]:
        assert 0 <= join["probability"] <= 1


def test_propose_on_every_real_picture(real_pictures: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(capsys, "propose", str(real_pictures), "--json")
    assert code == 0
    document = json.loads(out)
    found = accounted(document)
    assert len(found) == len(set(found))
    assert set(found) == files_below(real_pictures)
    assert all(left["reason"] for left in document["left_out"])


def test_a_card_with_all_kinds_of_files(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    card = tmp_path / "card"
    card.mkdir()
    source = min(assets.demo_foray().rglob("*.[jJ][pP][gG]"))
    shutil.copy(source, card / "one.jpg")
    shutil.copy(source, card / "twin.jpg")
    (card / "cut.jpg").write_bytes(source.read_bytes()[:300])
    (card / "empty.jpg").write_bytes(b"")
    (card / "notes.txt").write_text("smells of aniseed", encoding="utf-8")
    (card / "broken.gpx").write_text("<gpx", encoding="utf-8")
    code, out, _ = run(capsys, "propose", str(card), "--json")
    assert code == 0
    document = json.loads(out)
    assert sorted(accounted(document)) == sorted(files_below(card))
    reasons = {Path(left["path"]).name: left["reason"] for left in document["left_out"]}
    assert "same picture" in reasons["twin.jpg"]
    assert set(reasons) >= {"twin.jpg", "empty.jpg", "notes.txt", "broken.gpx"}


def test_propose_in_words(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(capsys, "propose", str(assets.demo_foray()))
    assert code == 0
    assert "pictures" in out


def test_twins_without_a_serial_number_are_told_apart_by_their_pictures(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """One model, two numberings, two clocks: each clock names its own pictures, in JSON and in words."""
    card = tmp_path / "card"
    card.mkdir()
    for find in range(12):
        for turn in range(3):
            for start, late in ((100, 0), (5000, 400)):
                second = find * 240 + turn * 24 + late + 3600 * 9 + (9 if late else 0)
                moment = f"2025:10:18 {second // 3600:02d}:{second // 60 % 60:02d}:{second % 60:02d}"
                tags = ew.block(
                    {0x10F: ew.text("Oakley Dell"), 0x110: ew.text("Lumen 1")}, {0x9003: ew.text(moment)}, {}
                )
                name = f"DSC_{start + find * 3 + turn:04d}.jpg"
                (card / name).write_bytes(ew.into_jpeg(jpeg(seed=start + find * 3 + turn), tags))
    code, out, _ = run(capsys, "propose", str(card), "--json")
    assert code == 0
    cameras = json.loads(out)["cameras"]
    assert len(cameras) == 2
    for camera in cameras:
        assert len({Path(path).name[4] for path in camera["photos"]}) == 1
        assert len(camera["photos"]) == 36
    _, out, _ = run(capsys, "propose", str(card))
    assert "36 pictures, DSC_5000.jpg to DSC_5035.jpg" in out
    assert "36 pictures, DSC_0100.jpg to DSC_0135.jpg" in out


def evidence(tmp_path: Path, *rows: dict[str, object]) -> str:
    path = tmp_path / "evidence.json"
    path.write_text(json.dumps({"evidence": list(rows)}), encoding="utf-8")
    return str(path)


def test_weigh(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = evidence(
        tmp_path,
        {"feature": "cap.colour", "standing": "seen", "states": ["white"]},
        {"feature": "gills.colour", "standing": "seen", "states": ["white"]},
        {"feature": "ring.kind", "standing": "looked for and not there"},
        {"feature": "base.volva", "standing": "not looked at"},
        {"feature": "cap.width", "standing": "seen", "value": 8, "unit": "cm"},
    )
    code, out, _ = run(capsys, "weigh", path, "--json")
    document = json.loads(out)
    assert code == 0
    assert set(document) == {"caution", "candidates", "hazards", "next_checks"}
    assert document["caution"] == CAUTION
    words = {severity.means for severity in Severity} | {NO_ENTRY}
    assert {one["hazard"] for one in document["candidates"]} <= words
    assert NO_ENTRY in {one["hazard"] for one in document["candidates"]}
    assert {"taxon", "score", "for", "against", "unknown"} <= set(document["candidates"][0])
    assert {"amanita-virosa", "amanita-phalloides"} <= {hazard["taxon"] for hazard in document["hazards"]}
    for hazard in document["hazards"]:
        assert hazard["why_not_excluded"]
        assert hazard["severity"] in {"fatal", "serious", "unpleasant"}
    assert {"feature", "gain", "settles"} <= set(document["next_checks"][0])
    code, out, _ = run(capsys, "weigh", path)
    assert code == 0
    assert out.startswith(CAUTION)
    lines = re.findall(r"^  (DANGER|WARNING|CAUTION) (\d+)  ", out, re.MULTILINE)
    assert 1 <= len(lines) <= MOST_LINES
    assert sum(int(count) for _, count in lines) == len(document["hazards"])
    for one in document["hazards"]:
        if one["severity"] == "fatal":  # every name that can kill is spelt out
            assert one["taxon"].split("-", 1)[1].split("-")[0] in out


def test_what_was_struck_out_goes_on_speaking_for_a_danger(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    against = [
        ("whole.form", "fold-bearing"), ("cap.colour", "yellow"), ("gills.kind", "folds"),
        ("gills.attachment", "decurrent"), ("gills.colour", "orange"), ("print.colour", "yellow"),
        ("stem.colour", "orange"), ("flesh.colour", "yellow"),
    ]  # fmt: skip
    rows = [{"feature": f, "standing": "seen", "states": [s]} for f, s in against]

    def hazards(struck: dict[str, object], *, kept: bool, counts: bool) -> dict[str, dict[str, Any]]:
        document = {"evidence": [*rows, struck] if kept else rows, "struck_out": [struck] if counts else []}
        path = tmp_path / "find.json"
        path.write_text(json.dumps(document), encoding="utf-8")
        code, out, _ = run(capsys, "weigh", str(path), "--json")
        assert code == 0
        return {hazard["taxon"]: hazard for hazard in json.loads(out)["hazards"]}

    told = 0
    for feature, state, words in (
        ("cap.surface", "scaly", "cap surface: scaly"),
        ("flesh.change", "blue", "colour change of the flesh: blue"),
        ("stem.surface", "scaly", "stem surface: scaly"),
        ("cap.centre", "umbo-sharp", "cap centre:"),
    ):
        record: dict[str, object] = {"feature": feature, "standing": "seen", "states": [state]}
        kept = hazards(record, kept=True, counts=False)
        struck = hazards(record, kept=False, counts=True)
        assert set(kept) <= set(struck)
        assert not any("stands_only_by" in hazard for hazard in kept.values())
        for taxon in set(struck) - set(hazards(record, kept=False, counts=False)):
            told += 1
            assert struck[taxon]["stands_only_by"][0].startswith(words)
            assert "struck out" in struck[taxon]["why_not_excluded"]
        if told:
            break
    assert told


def test_a_pack_of_other_species_can_be_weighed_alone(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "other"
    folder.mkdir()
    for name, lines in {
        "features": [
            "feature,part,name,gloss,kind,unit,fragility,when_to_look,how_to_look,view,forms,cost,figure",
            "cap.glow,cap,glow,,states,,0,,,cap-top,all,picture,",
        ],
        "states": ["feature,state,name,gloss,figure,hex", "cap.glow,green,green,,,", "cap.glow,none,none,,,"],
        "taxa": [
            "taxon,name,authority,rank,genus,section,english,forms,group,note,source",
            "luna,Testia lunaris,,species,Testia,,,,,,",
            "sola,Testia solaris,,species,Testia,,,,,,",
        ],
        "taxon_states": [
            "taxon,feature,state,frequency,source,note",
            "luna,cap.glow,green,always,,",
            "sola,cap.glow,none,always,,",
        ],
        "hazards": [
            "taxon,syndrome,toxin,severity,onset_low,onset_high,onset_unit,onset_counts,misleads,source,note",
            "luna,,,fatal,,,,,,,",
        ],
    }.items():
        (folder / f"{name}.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")
    path = evidence(tmp_path, {"feature": "cap.glow", "standing": "seen", "states": ["green"]})
    code, out, _ = run(capsys, "weigh", path, "--json", "--alone", str(folder))
    assert code == 0
    document = json.loads(out)
    assert [one["taxon"] for one in document["candidates"]] == ["luna", "sola"]
    assert [one["taxon"] for one in document["hazards"]] == ["luna"]
    code, _, err = run(capsys, "weigh", path, "--alone", str(tmp_path / "nowhere"))
    assert code == 2
    assert "no such folder" in err
    # added to ours instead, ours is there as well
    code, out, _ = run(capsys, "weigh", path, "--json", "--pack", str(folder))
    assert code == 0
    assert "amanita-phalloides" in {one["taxon"] for one in json.loads(out)["hazards"]}


BAD = [
    ["propose", "/no/such/folder", "--json"],
    ["weigh", "/no/such/file.json"],
    ["weigh", "{bad}"],
    ["weigh", "{feature}"],
    ["weigh", "{standing}"],
    ["weigh", "{good}", "--pack", "/no/such/pack"],
    ["weigh", "{struck}"],
]


@pytest.mark.parametrize("arguments", BAD, ids=" ".join)
def test_bad_input_is_one_line_and_code_two(
    arguments: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    files = {
        "{bad}": '{"evidence": [',
        "{feature}": '{"evidence": [{"feature": "cap.nonsense", "standing": "seen"}]}',
        "{standing}": '{"evidence": [{"feature": "cap.colour", "standing": "maybe"}]}',
        "{good}": '{"evidence": []}',
        "{struck}": '{"evidence": [], "struck_out": [{"feature": "cap.nonsense", "standing": "seen"}]}',
    }
    given = []
    for one in arguments:
        if one in files:
            path = tmp_path / "given.json"
            path.write_text(files[one], encoding="utf-8")
            one = str(path)  # noqa: PLW2901 - the file stands for its name
        given.append(one)
    code, out, err = run(capsys, *given)
    assert code == 2
    assert out == ""
    assert err.startswith("foray-bench: ")
    assert err.count("\n") == 1


@pytest.mark.parametrize("arguments", [["propose"], ["weigh"], ["dance"], ["propose", "x", "--loud"]])
def test_wrong_words_are_one_line_and_code_two(
    arguments: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as ended:
        commandline.run(arguments)
    assert ended.value.code == 2
    err = capsys.readouterr().err
    assert err.startswith("foray-bench")
    assert err.count("\n") == 1


def test_no_window_is_made_without_need() -> None:
    """`propose` must run where there is no screen and no Qt: in a process of its own, Qt is never imported."""
    code = (
        "import sys; from catalog_gui import commandline; "
        f"commandline.run(['propose', {str(assets.demo_foray())!r}, '--json']); "
        "sys.exit('PySide6' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, check=False)
    assert done.returncode == 0, done.stderr.decode()


def test_missing_libraries_are_named_with_their_packages(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(platform_check, "system", lambda: "Linux")
    monkeypatch.setenv("QT_QPA_PLATFORM", "xcb")
    monkeypatch.setenv("DISPLAY", ":99")
    monkeypatch.setattr(platform_check, "_loads", lambda library: library != "libxcb-cursor.so.0")
    assert platform_check.what_is_missing().endswith("sudo apt install libxcb-cursor0")
    monkeypatch.setattr(platform_check, "_loads", lambda _library: True)
    assert platform_check.what_is_missing() == ""
    monkeypatch.delenv("DISPLAY")
    monkeypatch.delenv("WAYLAND_DISPLAY", raising=False)
    assert "No screen" in platform_check.what_is_missing()
    monkeypatch.setenv("QT_QPA_PLATFORM", "offscreen")
    assert platform_check.what_is_missing() == ""


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"[" * 200_000, "has no end"),
        (
            b'{"evidence": [{"feature": "cap.width", "standing": "seen", "value": %s}]}' % (b"9" * 400),
            "number",
        ),
        (
            b'{"evidence": [{"feature": "cap.width", "standing": "seen", "value": %s}]}' % (b"9" * 5000),
            "no end",
        ),
        (
            b'{"evidence": [{"feature": "cap.width", "standing": "seen", "value": 1e308, "unit": "m"}]}',
            "number",
        ),
        (b"\xff\xfe{\x00}\x00", "not text in UTF-8"),
        (b'{"evidence": [}', "line 1, column"),
    ],
)
def test_evidence_that_is_hostile_ends_in_one_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], content: bytes, words: str
) -> None:
    path = tmp_path / "evidence.json"
    path.write_bytes(content)
    code, out, err = run(capsys, "weigh", str(path), "--json")
    assert (code, out) == (2, "")
    assert err.count("\n") == 1
    assert words in err


def test_a_byte_order_mark_is_no_mistake(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "evidence.json"
    path.write_bytes(b"\xef\xbb\xbf" + b'{"evidence": []}')
    assert run(capsys, "weigh", str(path), "--json")[0] == 0


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no named pipes here")
def test_a_pipe_without_a_writer_is_not_waited_for(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    os.mkfifo(tmp_path / "evidence.json")
    code, _, err = run(capsys, "weigh", str(tmp_path / "evidence.json"))
    assert code == 2
    assert "is not a file with evidence" in err


@pytest.mark.skipif(sys.platform == "win32", reason="names that Windows does not allow")
def test_names_that_would_move_the_cursor_are_spelt_out(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "a\x1b[2J\n\u202egpj.txt").write_text("no picture")
    code, out, _ = run(capsys, "propose", str(tmp_path))
    assert code == 0
    assert "a\\x1b[2J\\n\\u202egpj.txt" in out
    assert not {"\x1b", "\u202e"} & set(out)


@pytest.mark.parametrize("command", ["propose", "weigh"])
def test_a_terminal_that_is_not_utf_8_and_a_reader_that_has_enough_are_no_trouble(
    tmp_path: Path, command: str
) -> None:
    (tmp_path / "Bäume☂").mkdir()
    (tmp_path / "Bäume☂" / "x.txt").write_text("no picture")
    evidence = tmp_path / "evidence.json"
    evidence.write_text('{"evidence": []}')
    asked = [str(tmp_path)] if command == "propose" else [str(evidence)]
    environment = {**os.environ, "PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0"}
    call = [sys.executable, "-m", "catalog_gui", command, *asked]
    plain = subprocess.run(call, env=environment, capture_output=True, text=True, check=False)
    assert (plain.returncode, plain.stderr) == (0, "")
    with subprocess.Popen(call, env=environment, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as child:
        assert child.stdout is not None
        assert child.stderr is not None
        child.stdout.close()  # as `| head` does
        assert child.stderr.read() == b""
        assert child.wait(120) == 0
