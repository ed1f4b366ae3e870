"""The demo foray agrees with its own truth tables, read back by two independent metadata readers."""

from __future__ import annotations

import csv
import math
from datetime import UTC, datetime, timedelta, timezone
from itertools import pairwise
from pathlib import Path

import exifread
import pyexiv2
import pytest
from PIL import Image

from demo_data import foray, make, truth

DEMO = Path(__file__).parents[2] / "demo_data"
FORAY = DEMO / "foray"
REFERENCE = Path(__file__).parents[2] / "resources" / "reference"


def _table(name: str) -> list[dict[str, str]]:
    with (DEMO / name).open(encoding="utf-8", newline="") as f:
        return list(csv.DictReader(f))


ROWS = _table("truth.csv")
CLOCKS = {r["camera"]: r for r in _table("truth_clocks.csv")}
HALF_A_SECOND_TENTH = 0.0051  # the tables give thousandths; cameras with sub-seconds cut to thousandths


def _written(row: dict[str, str]) -> datetime:
    return datetime.fromisoformat(row["written_local"])


def _true(row: dict[str, str]) -> datetime:
    return datetime.fromisoformat(row["true_utc"])


def test_every_picture_stands_in_exactly_one_row() -> None:
    there = sorted(
        p.relative_to(FORAY).as_posix() for p in FORAY.rglob("*") if p.suffix.lower() in (".jpg", ".jpeg")
    )
    assert sorted(r["path"] for r in ROWS) == there
    assert len(there) >= 90


def test_tables_on_disk_are_what_the_script_makes() -> None:
    for name, rows in truth.tables().items():
        with (DEMO / name).open(encoding="utf-8", newline="") as f:
            assert [tuple(str(v) for v in row) for row in rows] == [tuple(row) for row in csv.reader(f)], name
    assert (FORAY / "walk.gpx").read_text(encoding="utf-8") == make.gpx()


def test_the_foray_is_the_one_promised() -> None:
    specimens = {r["specimen"] for r in ROWS if r["specimen"]}
    assert len(specimens) == 14
    assert {r["camera"] for r in ROWS} == {"heron", "aldermoor", "fernlight", "tarnwick"}
    assert {r["kind"] for r in ROWS} == {"specimen", "habitat", "people", "sign", "slip", "bench"}
    parts = {s: {r["part"] for r in ROWS if r["specimen"] == s} for s in specimens}
    assert "base dug out" in parts["S01"]
    assert (
        not {"base dug out", "base of the stem", "lengthwise section", "underside square on"} & parts["S02"]
    )
    visits = sorted(_true(r) for r in ROWS if r["specimen"] == "S13")
    longest = max(b - a for a, b in pairwise(visits))
    assert timedelta(minutes=25) < longest < timedelta(minutes=45)
    turns = [
        r["specimen"]
        for r in sorted(ROWS, key=_true)
        if r["specimen"] in ("S04", "S05") and r["kind"] == "specimen"
    ]
    assert sum(a != b for a, b in pairwise(turns)) >= 5
    assert any(r["path"].endswith("_9999.JPG") for r in ROWS)
    assert any(r["path"].endswith("_0001.JPG") for r in ROWS)
    assert [r["fix"] for r in ROWS].count("stale") == 1
    assert [r["fix"] for r in ROWS].count("zero") == 1
    paths = {r["path"]: r["specimen"] for r in ROWS}
    for r in ROWS:
        if r["same_specimen_as"]:
            assert paths[r["same_specimen_as"]] == r["specimen"]


@pytest.mark.parametrize("row", ROWS, ids=lambda r: r["path"])
def test_clocks_err_as_stated(row: dict[str, str]) -> None:
    clock = CLOCKS[row["camera"]]
    hours = (_true(row) - foray.START).total_seconds() / 3600
    stated = float(clock["offset_s"]) + float(clock["drift_s_per_h"]) * hours
    error = (_true(row) - _written(row).replace(tzinfo=timezone(timedelta(hours=1)))).total_seconds()
    assert -0.002 <= error - stated <= (0.002 if clock["zone_tag"] == "1" else 1.0)


@pytest.mark.parametrize("row", ROWS, ids=lambda r: r["path"])
def test_two_readers_find_what_was_meant(row: dict[str, str]) -> None:
    path = FORAY / row["path"]
    camera = CLOCKS[row["camera"]]
    with path.open("rb") as f:
        one = exifread.process_file(f, details=False)
    image = pyexiv2.Image(str(path))
    try:
        two = image.read_exif()
        preview = image.read_thumbnail()
    finally:
        image.close()
    assert len(preview) > 500
    stamp = _written(row).strftime("%Y:%m:%d %H:%M:%S")
    assert str(one["EXIF DateTimeOriginal"]) == two["Exif.Photo.DateTimeOriginal"] == stamp
    assert (str(one["Image Make"]), str(one["Image Model"])) == (camera["make"], camera["model"])
    assert (two["Exif.Image.Make"], two["Exif.Image.Model"]) == (camera["make"], camera["model"])
    assert two.get("Exif.Photo.BodySerialNumber", "") == camera["serial"]
    assert two.get("Exif.Photo.OffsetTimeOriginal", "") == ("+01:00" if camera["zone_tag"] == "1" else "")
    if camera["zone_tag"] == "1":
        assert two["Exif.Photo.SubSecTimeOriginal"] == f"{_written(row).microsecond // 1000:03d}"
    assert ("GPS GPSLatitude" in one) == (camera["gps"] == "1") == ("Exif.GPSInfo.GPSLatitude" in two)
    with Image.open(path) as im:
        turned = im.getexif().get(0x0112)
        assert im.size[0] >= im.size[1]
        assert (turned == 6) == (int(two["Exif.Image.Orientation"]) == 6)
    if camera["gps"] != "1":
        return
    lat = _degrees(two["Exif.GPSInfo.GPSLatitude"]) * (1 if two["Exif.GPSInfo.GPSLatitudeRef"] == "N" else -1)
    lon = _degrees(two["Exif.GPSInfo.GPSLongitude"]) * (
        1 if two["Exif.GPSInfo.GPSLongitudeRef"] == "E" else -1
    )
    parts = [float(v.num) / float(v.den) for v in one["GPS GPSLatitude"].values]
    assert parts[0] + parts[1] / 60 + parts[2] / 3600 == pytest.approx(abs(lat), abs=1e-9)
    off = math.hypot(
        (lat - float(row["true_lat"])) * 111_200,
        (lon - float(row["true_lon"])) * 111_300 * math.cos(math.radians(51.8)),
    )
    stamp_utc = datetime.strptime(
        two["Exif.GPSInfo.GPSDateStamp"]
        + " "
        + ":".join(f"{int(v.split('/')[0]):02d}" for v in two["Exif.GPSInfo.GPSTimeStamp"].split()),
        "%Y:%m:%d %H:%M:%S",
    ).replace(tzinfo=UTC)
    age = (_true(row) - stamp_utc).total_seconds()
    if row["fix"] == "zero":
        assert (lat, lon) == (0.0, 0.0)
    elif row["fix"] == "stale":
        assert age > 60
        assert off > 30
    else:
        assert off < 30
        assert 0 <= age < 3
    if row["camera"] == "heron" and row["fix"] == "live":
        num, den = two["Exif.GPSInfo.GPSHPositioningError"].split("/")
        assert 3 <= int(num) / int(den) <= 25


def _degrees(text: str) -> float:
    d, m, s = (int(a) / int(b) for a, b in (part.split("/") for part in text.split()))
    return d + m / 60 + s / 3600


def test_position_error_is_that_of_phones_under_trees() -> None:
    """Root mean square 5.0 to 11.5 m for phones in mixed forest in leaf (Tomastik et al., Forestry 90, 2017)."""
    errors = []
    for s in foray.shots():
        if s.fix_kind == "live" and s.kind != "bench":
            lat, lon, *_ = s.fix  # type: ignore[misc]
            errors.append(
                ((lat - s.lat) * 111_200) ** 2
                + ((lon - s.lon) * 111_300 * math.cos(math.radians(s.lat))) ** 2
            )
    assert 5.0 <= math.sqrt(sum(errors) / len(errors)) <= 11.5


def test_features_use_the_words_of_the_reference() -> None:
    with (REFERENCE / "features.csv").open(encoding="utf-8", newline="") as f:
        kinds = {r["feature"]: r["kind"] for r in csv.DictReader(f)}
    with (REFERENCE / "states.csv").open(encoding="utf-8", newline="") as f:
        states = {(r["feature"], r["state"]) for r in csv.DictReader(f)}
    with (REFERENCE / "taxa.csv").open(encoding="utf-8", newline="") as f:
        taxa = {r["taxon"] for r in csv.DictReader(f)}
    rows = _table("truth_features.csv")
    assert len({(r["specimen"], r["feature"]) for r in rows}) == len(rows)
    for r in rows:
        assert r["feature"] in kinds, r
        assert all((r["feature"], s) in states for s in r["states"].split("|") if s), r
        assert (r["standing"] == "seen") == bool(r["states"] or r["value"]), r
        assert bool(r["value"]) == bool(r["unit"]), r
        assert not r["value"] or kinds[r["feature"]] == "number", r
    for r in _table("truth_specimens.csv"):
        assert not r["taxon"] or r["taxon"] in taxa, r


def test_pictures_together_stay_small() -> None:
    assert sum(p.stat().st_size for p in FORAY.rglob("*") if p.is_file()) < 40_000_000
