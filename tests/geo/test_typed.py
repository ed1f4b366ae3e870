"""Places as people type them; ids are rows of the check values, sections A2 to A4 and C2."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog_gui.geo.angles import sexagesimal
from catalog_gui.geo.distance import distance_m
from catalog_gui.geo.iso6709 import read_iso6709, write_iso6709
from catalog_gui.geo.notation import Notation, show_position, write_position
from catalog_gui.geo.position import CoordinateError, Position
from catalog_gui.geo.typed import read_place
from catalog_gui.geo.uncertainty import coordinate_precision_m, rounded_up_m

positions = st.builds(Position, st.floats(-79.9, 83.9), st.floats(-180, 180))


@pytest.mark.parametrize(
    ("text", "latitude", "longitude", "height_m"),
    [
        pytest.param("+40.6894-074.0447/", 40.6894, -74.0447, None, id="A4.1"),
        pytest.param("+4852+00220/", 48.866667, 2.333333, None, id="A4.2"),
        pytest.param("+48.8577+002.295/", 48.8577, 2.295, None, id="A4.3"),
        pytest.param("+90+000/", 90, 0, None, id="A4.4"),
        pytest.param("-90+000+2800CRSWGS_84/", -90, 0, 2800, id="A4.5"),
        pytest.param("+27.5916+086.5640+8850CRSWGS_84/", 27.5916, 86.5640, 8850, id="A4.6"),
        ("+505554.5-0012700.0/", 50.931806, -1.45, None),
        ("-0030-00015/", -0.5, -0.25, None),
    ],
)
def test_iso_6709(text: str, latitude: float, longitude: float, height_m: float | None) -> None:
    place = read_place(text)
    assert (place.position.latitude, place.position.longitude) == pytest.approx(
        (latitude, longitude), abs=1e-6
    )
    assert place.height_m == height_m
    assert place.notation is Notation.ISO_6709


@pytest.mark.parametrize(
    "text",
    [
        "40.6894-074.0447/",
        "+40.6894-74.0447/",
        "+91+000/",
        "+40.6894-074.0447",
        "+4860+00220/",
        "+4852+002/",
        "+40.6894-074.0447CRSMoon/",
        "/",
    ],
)
def test_iso_6709_refusals(text: str) -> None:
    """A4.7, and minutes of 60, two units, another reference system."""
    with pytest.raises(CoordinateError):
        read_place(text)


def test_sexagesimal_display() -> None:
    """A4.8."""
    assert sexagesimal(Position(50.67957, 0), seconds=True, decimals=3).startswith("50°40′46.452″N")
    assert sexagesimal(Position(50 + 40 / 60 + 46.461 / 3600, 0), seconds=True, decimals=3).startswith(
        "50°40′46.461″N"
    )
    assert sexagesimal(Position(50.9999999999, -1e-12), seconds=True, decimals=3) == (
        "51°00′00.000″N 0°00′00.000″E"
    )
    assert sexagesimal(Position(-0.5, -179.99999999), seconds=True, decimals=0) == "0°30′00″S 180°00′00″W"
    assert sexagesimal(Position(50.99999999, 1.05), seconds=False, decimals=3) == "51°00.000′N 1°03.000′E"


SPELLINGS = [
    "50.931667, -1.45",
    "50.931667 -1.45",
    "50.931667N 1.45W",
    "N 50.931667 W 1.45",
    "1.45 W, 50.931667 N",
    "50,931667 -1,45",
    "50,931667; -1,45",
    "50°55′54″N 1°27′00″W",
    "50° 55' 54\" N, 1° 27' 0\" W",
    "50º55’54”N 1º27’00”W",
    "50 55 54 N 1 27 00 W",
    "50 55 54, -1 27 00",
    "50 55.9 N 1 27.0 W",
    "N50°55.9′ W1°27.0′",
    "50 degrees 55 minutes 54 seconds north, 1 degree 27 min 0 sec west",
    "lat 50.931667 long -1.45",
    "Latitude: 50.931667, Longitude: −1.45",
    "+505554-0012700/",
]


@pytest.mark.parametrize("text", SPELLINGS)
def test_spellings_of_one_place(text: str) -> None:
    place = read_place(f"  {text} ")
    assert place.position.latitude == pytest.approx(50.931667, abs=1e-6)
    assert place.position.longitude == pytest.approx(-1.45, abs=1e-6)
    assert place.verbatim == text
    assert place.srs == "EPSG:4326"


@pytest.mark.parametrize(
    ("text", "step_deg", "notation"),
    [
        ("10.27, 20.00", 0.01, Notation.DECIMAL_DEGREES),
        ("10.27, 20.0", 0.1, Notation.DECIMAL_DEGREES),
        ("10, 20", 1, Notation.DECIMAL_DEGREES),
        ("10 30 N 20 0 E", 1 / 60, Notation.DEGREES_MINUTES),
        ("10 30.5 N 20 0.0 E", 0.1 / 60, Notation.DEGREES_MINUTES),
        ("10 30 15 N 20 0 0 E", 1 / 3600, Notation.DEGREES_MINUTES_SECONDS),
        ("10 30 15.25 N 20 0 0.00 E", 0.01 / 3600, Notation.DEGREES_MINUTES_SECONDS),
        ("+10.27+020.00/", 0.01, Notation.ISO_6709),
    ],
)
def test_precision_as_written(text: str, step_deg: float, notation: Notation) -> None:
    """C2.11, C2.12: the coarser of the two steps counts, and zeros at the end count."""
    place = read_place(text)
    assert place.notation is notation
    assert place.uncertainty_m == rounded_up_m(coordinate_precision_m(place.position.latitude, step_deg))


def test_worked_example() -> None:
    """C2.12: 1.5568 km."""
    assert read_place("10.27, 20.00").uncertainty_m == 1557


def test_unknown_datum() -> None:
    """C2.16: for degrees and UTM; a national grid has its own datum."""
    assert read_place("10.27, 20.00", datum_recorded=False).uncertainty_m == 6916
    assert read_place("+10.27+020.00CRSWGS_84/", datum_recorded=False).uncertainty_m == 1557
    assert read_place("SU387148", datum_recorded=False).uncertainty_m == 76


@pytest.mark.parametrize(
    ("text", "latitude", "longitude", "uncertainty_m", "notation", "srs"),
    [
        ("SU387148", 50.931804, -1.449961, 76, Notation.BRITISH, "EPSG:27700"),  # A2.11, C2.8
        ("su 387 148", 50.931804, -1.449961, 76, Notation.BRITISH, "EPSG:27700"),
        ("OSGB 438750 114850", 50.931804, -1.449961, 7, Notation.BRITISH, "EPSG:27700"),
        ("O1590434671", 53.349799, -6.260241, 2, Notation.IRISH, "EPSG:29903"),
        ("ITM 715830 734697", 53.349794, -6.260248, 2, Notation.ITM, "EPSG:2157"),  # A3.4
        ("IG 315904 234671", 53.349796, -6.260248, 3, Notation.IRISH, "EPSG:29903"),
        ("31U 448251.816 5411934.901", 48.85822, 2.2945, 1, Notation.UTM, "EPSG:32631"),  # A3.8
        ("31 north 448251.816 5411934.901", 48.85822, 2.2945, 1, Notation.UTM, "EPSG:32631"),
        ("UTM zone 31 U 448251.816mE 5411934.901mN", 48.85822, 2.2945, 1, Notation.UTM, "EPSG:32631"),
        ("56 south 334873.2 6252266.1", -33.857, 151.215, 1, Notation.UTM, "EPSG:32756"),  # A3.9
        ("30UXB006363", 50.870061, -1.569580, 71, Notation.MGRS, "EPSG:4326"),
        ("4qfj1841756520", 21.306702, -157.858298, 1, Notation.MGRS, "EPSG:4326"),  # A3.15
    ],
)
def test_grids(
    text: str, latitude: float, longitude: float, uncertainty_m: int, notation: Notation, srs: str
) -> None:
    place = read_place(text)
    assert (place.position.latitude, place.position.longitude) == pytest.approx(
        (latitude, longitude), abs=2e-6
    )
    assert place.uncertainty_m == uncertainty_m
    assert (place.notation, place.srs, place.verbatim) == (notation, srs, text)


def test_stated_uncertainty() -> None:
    """What she says counts, unless the writing itself leaves more open."""
    assert read_place("SU387148 ± 200 m").uncertainty_m == 200
    assert read_place("SU387148 +/- 0.5 km").uncertainty_m == 500
    assert read_place("SU387148 ±10").uncertainty_m == 76
    assert read_place("SU387148 ± 200 m").verbatim == "SU387148 ± 200 m"


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("", "No place"),
        ("Blackthorn Wood", "not a place"),
        ("Blackthorn Wood 3", "not a latitude"),
        ("50.93", "Write both"),
        ("50 1 2", "Write both"),
        ("1 2 3 4 5 6 7 8", "not a latitude"),
        ("95.5, 1", "longitude written first"),
        ("95.5 N, 1 W", "out of range"),
        ("50, 181", "Longitude 181"),
        ("50 61 0 N 1 0 0 W", "minutes must be below 60"),
        ("50 0 60 N 1 0 0 W", "seconds must be below 60"),
        ("50.5 30 N 1 0 W", "only the last"),
        ("-50 N 1 W", "both a sign and a letter"),
        ("50 N 1 N", "same direction twice"),
        ("50 E 1 W", "same direction twice"),
        ("50°30° N 1 W", "in this order"),
        ("50″ N 1 W", "in this order"),
        ("52.1, 1.2, 3", "not a latitude"),
        ("--5, 3", "not a latitude"),
        ("50 N N, 3 W", "not a latitude"),
        ("NaN, 2", "not a latitude"),
        ("TQ12345", "even number"),
        ("I159346", "leave out I"),
        ("99U 400000 5000000", "no UTM zone"),
        ("31N 448251 5411934", "'31 north'"),
        ("ITM 15 20", "outside"),
    ],
)
def test_refusals_are_sentences(text: str, why: str) -> None:
    with pytest.raises(CoordinateError, match=why) as refusal:
        read_place(text)
    assert str(refusal.value).endswith(".")


@given(st.text(max_size=30))
def test_any_text_is_read_or_refused(text: str) -> None:
    try:
        place = read_place(text)
    except CoordinateError:
        return
    assert place.uncertainty_m >= 1


@given(st.text(alphabet="0123456789 .,-+NSEWOTU°′″/±", max_size=20))
def test_any_digits_are_read_or_refused(text: str) -> None:
    try:
        place = read_place(text)
    except CoordinateError:
        return
    assert place.uncertainty_m >= 1


@given(
    positions, st.sampled_from(list(Notation)), st.sampled_from([None, 3.0, 8.0, 30.0, 76.0, 800.0, 7100.0])
)
def test_what_is_shown_can_be_typed(place: Position, notation: Notation, uncertainty_m: float | None) -> None:
    shown = show_position(place, notation, uncertainty_m)
    again = read_place(shown)
    assert distance_m(again.position, place) <= again.uncertainty_m


@given(
    st.builds(Position, st.floats(51.0, 58.0), st.floats(-4.5, -0.5)),
    st.sampled_from([Notation.BRITISH, Notation.MGRS]),
    st.sampled_from([8.0, 30.0, 76.0, 700.0, 7000.0]),
)
def test_references_claim_no_more_than_is_known(
    place: Position, notation: Notation, uncertainty_m: float
) -> None:
    typed = read_place(write_position(place, notation, uncertainty_m))
    assert typed.uncertainty_m >= uncertainty_m
    shown = show_position(typed.position, notation, typed.uncertainty_m)
    if notation is Notation.MGRS:  # the band letter may change within a square that lies across its edge
        assert shown[:2] + shown[3:] == typed.verbatim[:2] + typed.verbatim[3:]
    else:
        assert shown == typed.verbatim


@given(positions, st.floats(1, 50_000))
def test_degrees_add_nothing_to_the_uncertainty(place: Position, uncertainty_m: float) -> None:
    for notation in (Notation.DECIMAL_DEGREES, Notation.DEGREES_MINUTES, Notation.DEGREES_MINUTES_SECONDS):
        shown = read_place(write_position(place, notation, uncertainty_m))
        assert distance_m(shown.position, place) <= uncertainty_m


def test_shown_away_from_home() -> None:
    assert show_position(Position(47, 11), Notation.BRITISH, 8) == "32TPT52040710"
    assert show_position(Position(53.349794, -6.260248), Notation.BRITISH, 8) == "O15903467"
    assert show_position(Position(52.657977, 1.716052), Notation.IRISH, 8) == "TG514131"
    assert show_position(Position(48, 11), Notation.ITM, 30) == "48.0000, 11.0000"
    assert show_position(Position(90, 0), Notation.MGRS) == "90.00000, 0.00000"
    assert show_position(Position(52.657977, 1.716052), Notation.BRITISH, 90_000).count(",") == 1
    with pytest.raises(CoordinateError):
        write_position(Position(47, 11), Notation.BRITISH, 8)


def test_zero_has_no_sign() -> None:
    assert write_position(Position(-0.0, -1e-9), Notation.DECIMAL_DEGREES) == "0.00000, 0.00000"
    assert write_iso6709(Position(-0.0, -1e-9), 4) == "+00.0000+000.0000/"
    assert read_iso6709("+00.0000+000.0000/").position == Position(0, 0)
    assert str(read_place("0 S 0 W").position.latitude) == "0.0"
