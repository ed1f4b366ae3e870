"""GPX, after the schema at topografix.com/GPX/1/1 and /1/0, and what is not to be trusted in it."""

from __future__ import annotations

import tracemalloc
from datetime import UTC, datetime
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from catalog_gui.domain.problem import BadInput
from catalog_gui.photos.tracks import read_tracks

HEAD = '<?xml version="1.0" encoding="UTF-8"?>\n'


def point(latitude: object, longitude: object, time: str | None) -> str:
    inside = f"<ele>12</ele><time>{time}</time>" if time is not None else "<ele>12</ele>"
    return f'<trkpt lat="{latitude}" lon="{longitude}">{inside}</trkpt>'


def gpx(*segments: str, version: str = "1.1", name: str = "<name> Alder  carr </name>") -> str:
    parts = "".join(f"<trkseg>{segment}</trkseg>" for segment in segments)
    space = f"http://www.topografix.com/GPX/{version.replace('.', '/')}"
    return f'{HEAD}<gpx version="{version}" creator="t" xmlns="{space}"><trk>{name}{parts}</trk></gpx>'


def write(tmp_path: Path, text: str) -> str:
    path = tmp_path / "walk.gpx"
    path.write_text(text, encoding="utf-8")
    return str(path)


NINE = datetime(2026, 10, 11, 9, 0, 0, tzinfo=UTC).timestamp()
WALK = point(51.5, -0.125, "2026-10-11T09:00:00Z") + point(51.501, -0.126, "2026-10-11T09:01:00.250Z")


@pytest.mark.parametrize("version", ["1.0", "1.1"])
def test_both_versions_give_times_and_places(tmp_path: Path, version: str) -> None:
    (track,) = read_tracks(write(tmp_path, gpx(WALK, version=version)))
    assert track.name == "Alder carr"
    assert track.times == (NINE, NINE + 60.25)
    assert track.latitudes == (51.5, 51.501)
    assert track.longitudes == (-0.125, -0.126)
    assert (track.id, track.foray_id) == ("", "")


def test_no_namespace_and_no_name(tmp_path: Path) -> None:
    text = f'{HEAD}<gpx version="1.1"><trk><trkseg>{WALK}</trkseg></trk></gpx>'
    (track,) = read_tracks(write(tmp_path, text))
    assert track.name == "walk"


def test_segments_with_a_hole_become_one_walk_in_order(tmp_path: Path) -> None:
    later = point(51.6, -0.2, "2026-10-11T11:00:00Z")
    earlier = point(51.4, -0.1, "2026-10-11T08:00:00Z")
    (track,) = read_tracks(write(tmp_path, gpx(later, WALK + earlier)))
    assert track.times == (NINE - 3600, NINE, NINE + 60.25, NINE + 7200)
    assert track.latitudes[0] == 51.4
    assert track.longitudes[-1] == -0.2


def test_a_time_without_zone_is_utc_and_one_with_zone_is_brought_there(tmp_path: Path) -> None:
    points = point(51.5, 0.5, "2026-10-11T09:00:00") + point(51.5, 0.5, "2026-10-11T11:30:00+02:00")
    (track,) = read_tracks(write(tmp_path, gpx(points)))
    assert track.times == (NINE, NINE + 1800)


def test_points_that_say_nothing_are_left_out(tmp_path: Path) -> None:
    points = "".join(
        [
            point(51.5, 0.5, None),
            point(51.5, 0.5, "yesterday"),
            point(51.5, 0.5, "2026-10-11"),
            point(0, 0, "2026-10-11T09:00:00Z"),
            point(91, 0.5, "2026-10-11T09:00:00Z"),
            point("north", 0.5, "2026-10-11T09:00:00Z"),
            point("nan", 0.5, "2026-10-11T09:00:00Z"),
            '<trkpt lat="51.5"><time>2026-10-11T09:00:00Z</time></trkpt>',
            WALK,
            WALK,
        ]
    )
    (track,) = read_tracks(write(tmp_path, gpx(points)))
    assert track.times == (NINE, NINE + 60.25)


def test_several_tracks_in_one_file(tmp_path: Path) -> None:
    text = gpx(WALK).replace("</gpx>", f"<trk><name>Second</name><trkseg>{WALK}</trkseg></trk><trk/></gpx>")
    assert [track.name for track in read_tracks(write(tmp_path, text))] == ["Alder carr", "Second"]


BOMB = (
    '<?xml version="1.0"?><!DOCTYPE gpx [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;">'
    '<!ENTITY c "&b;&b;&b;&b;&b;&b;&b;&b;">]><gpx><trk><name>&c;</name></trk></gpx>'
)
OUTSIDE = '<?xml version="1.0"?><!DOCTYPE gpx [<!ENTITY a SYSTEM "file:///etc/passwd">]><gpx><trk><name>&a;</name></trk></gpx>'


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("", "empty"),
        ("just words", "damaged"),
        (gpx(WALK)[:-30], "damaged"),
        (f"{HEAD}<kml/>", "no GPX"),
        (f"{HEAD}<gpx><wpt lat='51' lon='0'/><rte/></gpx>", "no track"),
        (gpx(point(51.5, 0.5, None)), "both a time and a position"),
        (BOMB, "declares"),
        (OUTSIDE, "declares"),
    ],
)
def test_what_cannot_be_used_names_file_and_reason(tmp_path: Path, text: str, word: str) -> None:
    path = write(tmp_path, text)
    with pytest.raises(BadInput, match=word) as caught:
        read_tracks(path)
    assert caught.value.path == path
    assert caught.value.reason.endswith(".")


def test_a_vanished_file_and_a_folder(tmp_path: Path) -> None:
    for path in (tmp_path / "gone.gpx", tmp_path):
        with pytest.raises(BadInput) as caught:
            read_tracks(str(path))
        assert "picture" not in caught.value.reason


def test_a_file_in_another_encoding(tmp_path: Path) -> None:
    path = tmp_path / "walk.gpx"
    path.write_bytes(
        gpx(WALK, name="<name>Bärenholz</name>").replace("UTF-8", "ISO-8859-1").encode("latin-1")
    )
    assert read_tracks(str(path))[0].name == "Bärenholz"
    path.write_bytes(gpx(WALK, name="<name>Bärenholz</name>").encode("latin-1"))
    with pytest.raises(BadInput):
        read_tracks(str(path))


@settings(max_examples=40, deadline=None)
@given(
    walk=st.lists(
        st.tuples(
            st.integers(0, 10**6), st.floats(-89, 89).filter(lambda v: abs(v) > 1e-3), st.floats(-179, 179)
        ),
        min_size=1,
        max_size=30,
        unique_by=lambda one: one[0],
    )
)
def test_times_and_places_agree_with_an_independent_reader(
    tmp_path_factory: pytest.TempPathFactory, walk: list[tuple[int, float, float]]
) -> None:
    """gpxpy as the independent reader"""
    gpxpy = pytest.importorskip("gpxpy", reason="the independent reader gpxpy is not installed")
    points = "".join(
        point(
            f"{latitude:.9f}",
            f"{longitude:.9f}",
            datetime.fromtimestamp(NINE + second, UTC).isoformat().replace("+00:00", "Z"),
        )
        for second, latitude, longitude in walk
    )
    path = tmp_path_factory.mktemp("gpx") / "walk.gpx"
    path.write_text(gpx(points), encoding="utf-8")
    (track,) = read_tracks(str(path))
    theirs = sorted(
        (one.time.timestamp(), one.latitude, one.longitude)
        for one in gpxpy.parse(path.read_text()).tracks[0].segments[0].points
        if one.time is not None
    )
    ours = list(zip(track.times, track.latitudes, track.longitudes, strict=True))
    assert ours == theirs
    assert list(track.times) == sorted(set(track.times))


def test_more_points_than_any_walk_are_refused_with_what_to_do_and_never_held(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("catalog_gui.photos.tracks.MOST_POINTS", 100)
    many = "".join(point(51.5, -0.1, f"2026-10-11T09:{n // 60:02}:{n % 60:02}Z") for n in range(300))
    with pytest.raises(BadInput, match=r"more than 100 points.*Cut it into days"):
        read_tracks(write(tmp_path, gpx(many)))
    monkeypatch.setattr("catalog_gui.photos.tracks.MOST_POINTS", 300)
    (walk,) = read_tracks(write(tmp_path, gpx(many)))
    assert len(walk.times) == 300


def test_a_long_track_needs_little_memory_beside_its_points(tmp_path: Path) -> None:
    fat = "".join(
        point(51.5, -0.1, f"2026-10-11T{n // 3600:02}:{n // 60 % 60:02}:{n % 60:02}Z").replace(
            "<ele>", "<extensions><a><b>1</b><c>2</c></a></extensions><ele>"
        )
        for n in range(20_000)
    )
    path = write(tmp_path, gpx(fat))
    del fat
    tracemalloc.start()
    try:
        (walk,) = read_tracks(path)
        _, most = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert len(walk.times) == 20_000
    assert most < 12_000_000  # the whole tree took more than four times as much
