"""The command line: open the window, or propose and weigh without one.

`foray-bench propose FOLDER... --json` and `foray-bench weigh FILE --json [--pack FOLDER | --alone FOLDER]`
print one JSON document on standard output. FILE holds {"evidence": [...]} and, where records were withdrawn
or changed since they were made, {"struck_out": [...]} in the same form: those go on speaking for a danger.
 Bad input: one clear line on standard error and exit code 2.
"""

from __future__ import annotations

import argparse
import io
import json
import os
import sys
import unicodedata
from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from catalog_gui import assets, settings
from catalog_gui.domain.problem import BadInput, Problem, Refusal

if TYPE_CHECKING:
    from catalog_gui.domain.foray import Track
    from catalog_gui.domain.photo import Photo
    from catalog_gui.domain.struck_out import StruckOut
    from catalog_gui.lookalikes.reference import Reference

EXIT_BAD_INPUT = 2
MOST_EVIDENCE_BYTES = 20_000_000


class _Parser(argparse.ArgumentParser):
    """argparse that keeps to one line on bad input."""

    def error(self, message: str) -> Any:
        self.exit(EXIT_BAD_INPUT, f"foray-bench: {message}\n")


def run(arguments: list[str]) -> int:
    """Do what the arguments say; returns the exit code."""
    if isinstance(sys.stdout, io.TextIOWrapper):
        sys.stdout.reconfigure(errors="backslashreplace")  # a terminal that is not UTF-8 is no reason to stop
    options = _parser().parse_args(arguments)
    try:
        if options.command == "propose":
            code = _propose(options.folders, as_json=options.json, time_zone=options.time_zone)
            sys.stdout.flush()  # here, where a pipe that was closed is expected
            return code
        if options.command == "weigh":
            code = _weigh(options.file, pack=options.pack, alone=options.alone, as_json=options.json)
            sys.stdout.flush()
            return code
        from catalog_gui import app  # noqa: PLC0415 - Qt only where a window is wanted

        return app.open_window(
            folder=options.catalogue, demo=options.demo, reset_demo=options.reset_demo, theme=options.theme
        )
    except Problem as problem:
        print(f"foray-bench: {shown(str(problem))}", file=sys.stderr)
        return EXIT_BAD_INPUT
    except BrokenPipeError:  # whoever read has enough (`| head`); Python would complain again at the end
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0


def shown(words: str) -> str:
    """Words on one line of a terminal: what would move its cursor, or turn the order of letters, is spelt out."""
    return "".join(
        letter if unicodedata.category(letter) not in _MOVES else letter.encode("unicode_escape").decode()
        for letter in words
    )


_MOVES = frozenset({"Cc", "Cf", "Zl", "Zp", "Cs"})


def version() -> str:
    """The version of the program, as pyproject.toml says it."""
    from importlib import metadata  # noqa: PLC0415 - only where it is asked for

    try:
        return metadata.version("foray-bench")
    except metadata.PackageNotFoundError:  # run from a folder that was never installed
        return "unknown"


def _parser() -> argparse.ArgumentParser:
    parser = _Parser(prog="foray-bench", description="From a folder of foray pictures to weighed specimens.")
    parser.add_argument("--version", action="version", version=f"foray-bench {version()}")
    parser.add_argument("--catalogue", metavar="FOLDER", help="the folder that holds the catalogue")
    parser.add_argument("--demo", action="store_true", help="open a copy of the invented demo foray")
    parser.add_argument("--reset-demo", action="store_true", help="throw the demo copy away and begin again")
    parser.add_argument("--theme", choices=("light", "dark", "system"), help="the look for this once")
    commands = parser.add_subparsers(dest="command", parser_class=_Parser)
    propose = commands.add_parser("propose", help="sort pictures into specimens and print the proposal")
    propose.add_argument("folders", nargs="+", metavar="FOLDER", help="folders or files with pictures")
    propose.add_argument("--json", action="store_true", help="print JSON instead of lines to read")
    propose.add_argument(
        "--time-zone", default="", metavar="NAME", help="tz database name, such as Europe/London"
    )
    weigh = commands.add_parser("weigh", help="weigh evidence against the reference and print the result")
    weigh.add_argument("file", metavar="FILE", help="a JSON file with the evidence")
    weigh.add_argument("--json", action="store_true", help="print JSON instead of lines to read")
    weigh.add_argument("--pack", metavar="FOLDER", help="a reference pack that adds to ours")
    weigh.add_argument(
        "--alone", metavar="FOLDER", help="a whole reference pack to weigh with by itself, without ours"
    )
    return parser


def _read(folders: Sequence[str]) -> tuple[list[Photo], list[Track], list[dict[str, str]]]:
    """The pictures and tracks below `folders`, and what is neither or cannot be read, with the reason."""
    from catalog_gui.photos.files import DiskPictures  # noqa: PLC0415

    for folder in folders:
        if not Path(folder).exists():
            raise BadInput(f"There is no folder or file '{folder}'.")
    files = DiskPictures()
    left_out: list[dict[str, str]] = []
    photos: list[Photo] = []
    tracks: list[Track] = []
    paths: list[str] = []
    for found in files.find(folders):
        if isinstance(found, Refusal):
            left_out.append({"path": found.path, "reason": found.reason})
        elif found.casefold().endswith(".gpx"):
            try:
                tracks.extend(replace(track, id=found) for track in files.tracks(found))
                left_out.append({"path": found, "reason": "A track, used for the places; not a picture."})
            except Problem as problem:
                left_out.append({"path": found, "reason": problem.reason})
        else:
            paths.append(found)
    first_of: dict[str, str] = {}
    for path, outcome in files.read_many(paths, progress=lambda _: None, cancelled=lambda: False):
        if isinstance(outcome, Refusal):
            left_out.append({"path": path, "reason": outcome.reason})
        elif outcome.quick_key and outcome.quick_key in first_of:
            left_out.append({"path": path, "reason": f"The same picture as {first_of[outcome.quick_key]}."})
        else:
            first_of[outcome.quick_key] = path
            photos.append(replace(outcome, id=path, path=path))
    return photos, tracks, left_out


def _propose(folders: Sequence[str], *, as_json: bool, time_zone: str) -> int:
    from catalog_gui.grouping import propose  # noqa: PLC0415
    from catalog_gui.grouping.by_clock import photos_by_clock  # noqa: PLC0415
    from catalog_gui.workflows.named_proposal import named_groups  # noqa: PLC0415

    photos, tracks, left_out = _read(folders)
    proposal = propose(tuple(photos), tracks=tuple(tracks), time_zone=time_zone, now=datetime.now(UTC))
    left_out.extend({"path": left.photo, "reason": left.reason} for left in proposal.left_out)
    of_clock = {key: list(paths) for key, paths in photos_by_clock(proposal).items()}
    timed = {path for paths in of_clock.values() for path in paths}
    for photo in photos:  # what carries no time stands with its camera, as far as that can be told
        if photo.path not in timed:
            of_clock.setdefault(photo.camera.key, []).append(photo.path)
    document = {
        "cameras": [
            {
                "key": clock.camera_key,
                "offset_s": clock.offset_s,
                "spread_s": clock.spread_s,
                "photos": of_clock.get(clock.camera_key, []),
                "settled": clock.settled,
                "basis": clock.basis,
            }
            for clock in proposal.clocks
        ],
        "groups": [
            {
                "id": group.id,
                "photos": list(group.photos),
                "start": group.start.isoformat() if group.start else None,
                "end": group.end.isoformat() if group.end else None,
                "lat": group.place.position.latitude if group.place else None,
                "lon": group.place.position.longitude if group.place else None,
                "uncertainty_m": group.place.uncertainty_m if group.place else None,
            }
            for group in named_groups(proposal.groups)
        ],
        "joins": [
            {"before": join.before, "after": join.after, "probability": join.probability}
            for join in proposal.joins
        ],
        "left_out": left_out,
    }
    if as_json:
        print(json.dumps(document, ensure_ascii=False, indent=1))
        return 0
    for clock in proposal.clocks:
        mine = of_clock.get(clock.camera_key, [])
        print(
            f"{shown(clock.camera_key)}: {clock.offset_s:+.0f} s (spread {clock.spread_s:.0f} s), {clock.basis}"
        )
        if mine:
            names = [path.replace("\\", "/").rsplit("/", 1)[-1] for path in (mine[0], mine[-1])]
            print(
                f"     {len(mine)} picture{'' if len(mine) == 1 else 's'}, {shown(' to '.join(dict.fromkeys(names)))}"
            )
    for number, group in enumerate(proposal.groups, 1):
        when = f"{group.start:%Y-%m-%d %H:%M:%S}Z" if group.start else "no time"
        where = (
            f"{group.place.position.latitude:.5f} {group.place.position.longitude:.5f} "
            f"± {group.place.uncertainty_m:.0f} m"
            if group.place
            else "no place"
        )
        print(f"{number:3d}  {when}  {where}  {len(group.photos)} pictures")
        for path in group.photos:
            print(f"       {shown(path)}")
    for left in left_out:
        print(f"left out: {shown(left['path'])}: {shown(left['reason'])}")
    return 0


def _weigh(file: str, *, pack: str | None, alone: str | None, as_json: bool) -> int:
    from catalog_gui.lookalikes.interchange import evidence_from_json, weighing_to_json  # noqa: PLC0415
    from catalog_gui.packs.kept_calibrations import KeptCalibrations  # noqa: PLC0415
    from catalog_gui.packs.reader import read_packs  # noqa: PLC0415
    from catalog_gui.workflows.prepared_references import PreparedReferences  # noqa: PLC0415
    from catalog_gui.workflows.weigh_find import record_words, struck_words, weigh_find  # noqa: PLC0415

    document = _document(file)
    folders = [Path(alone) if alone else assets.reference_pack(), *([Path(pack)] if pack else [])]
    reference = read_packs(*folders)
    prepare = PreparedReferences(KeptCalibrations(settings.calibrations_folder()))
    evidence, struck_out = evidence_from_json(document, reference), _struck_out(document, reference)
    found = weigh_find(evidence, prepare(reference), struck_out=struck_out)
    result = weighing_to_json(found.weighing, reference)
    for hazard in result["hazards"]:
        if held := found.held.get(hazard["taxon"]):
            hazard["stands_only_by"] = [record_words(one.evidence, reference) for one in held]
            hazard["why_not_excluded"] = f"{struck_words(held, reference)}; {hazard['why_not_excluded']}"
    if as_json:
        print(json.dumps(result, ensure_ascii=False, indent=1))
        return 0
    from catalog_gui.domain.caution import CAUTION, NOTHING_LEFT  # noqa: PLC0415
    from catalog_gui.lookalikes.hazard_groups import hazard_groups, short_names  # noqa: PLC0415
    from catalog_gui.lookalikes.reference import Severity  # noqa: PLC0415
    from catalog_gui.presenting.signal_words import SIGNAL_WORDS  # noqa: PLC0415

    print(CAUTION)
    groups = hazard_groups(
        found.weighing.hazards,
        reference,
        evidence=evidence,
        struck_out=[one.evidence for one in struck_out],
    )
    whys = {hazard["taxon"]: hazard["why_not_excluded"] for hazard in result["hazards"]}
    if groups:
        print(f"Dangerous taxa that this evidence does not exclude: {len(whys)}.")
    else:
        print(NOTHING_LEFT)
    for group in groups:
        most = len(group.members)
        print(f"  {SIGNAL_WORDS[group.severity]} {most}  {group.words(most)}")
        deadly = [one.taxon for one in group.members if one.severity is Severity.FATAL]
        if group.other_forms and deadly:
            print(f"    can kill: {short_names(deadly)}")
        nearest = group.members[0].taxon
        print(f"    {nearest.name}: {whys[nearest.id]}")
    print("Candidates, in order:")
    for candidate in result["candidates"][:10]:
        print(f"  {candidate['taxon']}: {candidate['hazard']}")
    print("Look at next:")
    for check in result["next_checks"][:5]:
        print(f"  {check['feature']}: {check['settles']}")
    return 0


def _document(file: str) -> Any:
    """The evidence as JSON. Raises BadInput in one line for whatever else the file is."""
    path = Path(file)
    try:
        if path.exists() and not path.is_file():
            raise BadInput(f"'{file}' is not a file with evidence; give the path of a JSON file.")
        if path.stat().st_size > MOST_EVIDENCE_BYTES:
            raise BadInput(f"'{file}' is too large for the evidence of one find.")
        return json.loads(path.read_bytes().decode("utf-8-sig"))
    except OSError as error:
        raise BadInput(f"'{file}' cannot be read: {error.strerror or error}.") from error
    except UnicodeDecodeError as error:
        raise BadInput(f"'{file}' is not text in UTF-8; save it as UTF-8.") from error
    except json.JSONDecodeError as error:
        raise BadInput(f"'{file}' is not JSON: line {error.lineno}, column {error.colno}.") from error
    except (ValueError, RecursionError) as error:
        raise BadInput(f"'{file}' is not evidence: a number or a nesting in it has no end.") from error


def _struck_out(document: Any, reference: Reference) -> tuple[StruckOut, ...]:
    """The records of the document that were withdrawn or changed; none where it names none."""
    from catalog_gui.domain.struck_out import StruckOut, says_something  # noqa: PLC0415
    from catalog_gui.lookalikes.interchange import evidence_from_json  # noqa: PLC0415

    if not isinstance(document, dict) or "struck_out" not in document:
        return ()
    try:
        rows = evidence_from_json({"evidence": document["struck_out"]}, reference)
    except BadInput as problem:
        raise BadInput(f"In what was struck out: {problem.reason}") from problem
    return tuple(StruckOut(row, datetime.now(UTC)) for row in rows if says_something(row))
