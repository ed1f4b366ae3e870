"""The drawing of a fruit body: what is seen, not looked at, missing and gone, for every form and taxon."""

from __future__ import annotations

import csv
import math
from collections import defaultdict
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.feature import Feature, Part, State, Vocabulary
from catalog_gui.drawing.figures import figure, figure_names
from catalog_gui.drawing.fruit_body import draw_features, form_of, fruit_body, usual_fruit_body
from catalog_gui.drawing.looks import Features, Look, from_evidence, from_taxon
from catalog_gui.drawing.shapes import DASHED, DOTTED, SOLID, Drawing, points_of

REFERENCE = Path(__file__).parents[2] / "resources" / "reference"


def table(name: str) -> list[dict[str, str]]:
    with (REFERENCE / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


STATES = table("states.csv")
FEATURES = table("features.csv")
HEX = {(row["feature"], row["state"]): row["hex"].lower() for row in STATES}
FORMS = [row["state"] for row in STATES if row["feature"] == "whole.form"]
BY_FEATURE: dict[str, list[str]] = defaultdict(list)
for _row in STATES:
    BY_FEATURE[_row["feature"]].append(_row["state"])


def colour(feature: str, state: str) -> str:
    return HEX.get((feature, state), "")


def seen(*states: str, low: float | None = None, high: float | None = None) -> Look:
    return Look(Standing.SEEN, states, low, high)


ABSENT, GONE = Look(Standing.NOT_THERE), Look(Standing.GONE)
AGARIC: dict[str, Look] = {
    "whole.form": seen("agaric"),
    "cap.shape": seen("convex"),
    "cap.colour": seen("green"),
    "gills.kind": seen("gills"),
    "gills.attachment": seen("free"),
    "stem.shape": seen("equal"),
    "ring.kind": seen("hanging"),
    "base.shape": seen("round-bulb"),
    "base.volva": seen("sac"),
}


def lines(drawing: Drawing, feature: str) -> set[str]:
    return {s.line for s in drawing.shapes if s.feature == feature and s.stroke}


def assert_sound(drawing: Drawing) -> None:
    left, top, right, bottom = drawing.box
    assert left < right
    assert top < bottom
    assert drawing.shapes
    for shape in drawing.shapes:
        assert shape.commands[0][0] == "M"
        assert shape.fill or shape.stroke
        assert 0 < shape.opacity <= 1
        for colour_text in (shape.fill, shape.stroke):
            assert not colour_text or (len(colour_text) == 7 and int(colour_text[1:], 16) >= 0)
        assert all(math.isfinite(x) and math.isfinite(y) for x, y in points_of(shape.commands))


def test_nothing_known_is_all_dashed_and_not_to_scale() -> None:
    drawing = draw_features({}, colour)
    assert_sound(drawing)
    assert drawing.bar is None
    assert "not to scale" in drawing.note
    for feature in ("cap.shape", "stem.shape", "ring.kind", "base.volva", "base.shape"):
        assert lines(drawing, feature) == {DASHED}, feature


def test_the_four_standings_of_ring_and_volva() -> None:
    for feature in ("ring.kind", "base.volva"):
        drawn = {
            "seen": draw_features(AGARIC, colour),
            "missing": draw_features({**AGARIC, feature: ABSENT}, colour),
            "gone": draw_features({**AGARIC, feature: GONE}, colour),
            "unlooked": draw_features({k: v for k, v in AGARIC.items() if k != feature}, colour),
        }
        assert lines(drawn["seen"], feature) == {SOLID}
        assert lines(drawn["missing"], feature) == set()
        assert lines(drawn["gone"], feature) == {DOTTED}
        assert lines(drawn["unlooked"], feature) == {DASHED}


def test_colours_are_those_noted() -> None:
    drawing = draw_features(AGARIC, colour)
    fills = {s.fill for s in drawing.shapes if s.feature == "cap.colour" and s.opacity == 1}
    assert HEX["cap.colour", "green"] in fills
    without = draw_features({k: v for k, v in AGARIC.items() if k != "cap.colour"}, colour)
    assert HEX["cap.colour", "green"] not in {s.fill for s in without.shapes}


def test_sizes_are_to_scale() -> None:
    sized = {
        **AGARIC,
        "cap.width": seen(low=70, high=90),
        "stem.length": seen(low=100, high=120),
        "stem.width": seen(low=12, high=12),
    }
    drawing = draw_features(sized, colour)
    cap = [p for s in drawing.shapes if s.feature == "cap.shape" for p in points_of(s.commands)]
    assert max(x for x, _ in cap) - min(x for x, _ in cap) == pytest.approx(80, rel=0.03)
    base = max(y for s in drawing.shapes if s.feature == "stem.shape" for _, y in points_of(s.commands))
    assert base == pytest.approx(0, abs=1.0)
    assert -cap[0][1] > 100  # the apex stands above the length of the stem
    assert drawing.bar is not None
    assert drawing.bar.text in {"2 cm", "1 cm", "5 cm"}
    assert drawing.bar.length_mm == 10 * float(drawing.bar.text.split()[0])
    assert drawing.note == ""


@pytest.mark.parametrize(("low", "high"), [(0.0, 0.0), (1e9, 1e9), (1e-9, 1e-9), (math.nan, math.nan)])
def test_impossible_sizes_do_not_break_it(low: float, high: float) -> None:
    for name in ("cap.width", "stem.length", "stem.width"):
        assert_sound(draw_features({**AGARIC, name: seen(low=low, high=high)}, colour))


@pytest.mark.parametrize("form", FORMS)
def test_every_form_has_a_drawing(form: str) -> None:
    drawing = draw_features({"whole.form": seen(form), "whole.width": seen(low=40, high=60)}, colour)
    assert_sound(drawing)


def test_unlike_forms_look_unlike() -> None:
    drawn = {form: draw_features({"whole.form": seen(form)}, colour).shapes for form in FORMS}
    assert len({tuple(s.commands for s in shapes) for shapes in drawn.values()}) >= len(FORMS) - 1


@pytest.mark.parametrize(
    "feature",
    [
        n
        for n, states in BY_FEATURE.items()
        if n.split(".")[0] in {"cap", "gills", "stem", "ring", "base", "flesh"} and states
    ],
)
def test_every_state_is_drawn(feature: str) -> None:
    """No state of the vocabulary breaks the drawing, on any build it belongs to."""
    row = next(row for row in FEATURES if row["feature"] == feature)
    forms = FORMS if row["forms"] == "all" else row["forms"].split("|")
    for form in forms:
        # Colours differ in their hex only; two of them will do.
        for state in BY_FEATURE[feature][: 2 if HEX[feature, BY_FEATURE[feature][0]] else None]:
            assert_sound(draw_features({**AGARIC, "whole.form": seen(form), feature: seen(state)}, colour))


# States that the drawing promises to show: leaving one out must change the picture.
SHOWN = [
    "cap.shape", "cap.centre", "cap.margin", "cap.surface", "cap.patches", "cap.zones",
    "gills.attachment", "gills.spacing", "stem.shape", "stem.surface", "stem.core",
    "ring.kind", "ring.position", "base.shape", "base.volva",
]  # fmt: skip
PLAIN = {"even", "smooth", "solid"}  # words for "nothing to be seen"


@pytest.mark.parametrize("feature", SHOWN)
def test_states_can_be_told_apart(feature: str) -> None:
    pictures: dict[object, list[str]] = defaultdict(list)
    for state in BY_FEATURE[feature]:
        drawing = draw_features({**AGARIC, "base.volva": ABSENT, feature: seen(state)}, colour)
        pictures[tuple((s.commands, s.fill, s.stroke) for s in drawing.shapes)].append(state)
    for alike in pictures.values():
        assert len(set(alike) - PLAIN) <= 1, alike


def test_the_form_follows_from_what_is_known() -> None:
    assert form_of({}) == "agaric"
    assert form_of({}, "bracket") == "bracket"
    assert form_of({"gills.kind": seen("pores")}) == "bolete"
    assert form_of({"cap.head-kind": seen("pits")}) == "honeycomb"
    assert form_of({"whole.form": seen("club"), "gills.kind": seen("pores")}) == "club"
    assert form_of({"whole.form": GONE}) == "agaric"


names = st.sampled_from([*BY_FEATURE, "no.such", "cap.width", "stem.length", "stem.width", "whole.width"])


@st.composite
def any_features(draw: st.DrawFn) -> dict[str, Look]:
    chosen = {}
    for name in draw(st.lists(names, max_size=25, unique=True)):
        states = draw(st.lists(st.sampled_from([*BY_FEATURE.get(name, []), "no-such", "absent"]), max_size=3))
        size = st.none() | st.floats(allow_nan=True, allow_infinity=True)
        chosen[name] = Look(draw(st.sampled_from(Standing)), tuple(states), draw(size), draw(size))
    return chosen


@settings(max_examples=150, deadline=None)
@given(any_features())
def test_nothing_breaks_it(features: Features) -> None:
    assert_sound(draw_features(features, colour))


@pytest.mark.parametrize("size", [1e-300, 1e-9, 0.01, 100_000.0, 1e156, 8.1e306, float("inf"), float("nan")])
@pytest.mark.parametrize("feature", ["cap.width", "stem.length", "stem.width", "whole.width"])
@pytest.mark.parametrize("form", FORMS)
def test_sizes_that_nothing_has_break_nothing(form: str, feature: str, size: float) -> None:
    """Found by chance: a cap of 1e306 mm left no number for its stem."""
    odd = Look(Standing.SEEN, (), None, size)
    assert_sound(draw_features({"whole.form": seen(form), feature: odd}, colour))
    assert_sound(draw_features({**AGARIC, "whole.form": seen(form), feature: odd}, colour))


def test_same_features_same_drawing() -> None:
    assert draw_features(AGARIC, colour) == draw_features(dict(AGARIC), colour)


# --- adapters ---------------------------------------------------------------------------------------------


def row(feature: str, *states: str, standing: Standing = Standing.SEEN, **more: object) -> Evidence:
    return Evidence(f"{feature}-{more}", "s1", feature, standing, states, **more)  # type: ignore[arg-type]


def test_evidence_of_one_fruit_body_counts_before_the_collection() -> None:
    rows = [
        row("ring.kind", "hanging", fruit_body="B"),
        row("ring.kind", standing=Standing.GONE),
        row("cap.shape", "flat", fruit_body="C"),
        row("stem.length", low=8.0, high=9.0, unit="cm"),
    ]
    whole, one = from_evidence(rows), from_evidence(rows, "B")
    assert whole["ring.kind"].standing is Standing.GONE
    assert one["ring.kind"].states == ("hanging",)
    assert "cap.shape" not in one
    assert one["stem.length"].middle == 85.0


def test_a_taxon_is_drawn_as_it_usually_is() -> None:
    looks = from_taxon(
        [
            ("ring.kind", "absent", "always"),
            ("cap.colour", "brown", "sometimes"),
            ("cap.colour", "green", "usually"),
            ("cap.colour", "white", "always"),
            ("stem.surface", "net", "rarely"),
            ("base.volva", "sac", "never"),
        ],
        [("cap.width", 60, 100)],
    )
    assert looks["ring.kind"].standing is Standing.NOT_THERE
    assert looks["cap.colour"].states == ("white", "green")
    assert looks["stem.surface"].states == ("net",)
    assert "base.volva" not in looks
    assert looks["cap.width"].middle == 80


def test_front_doors_take_the_vocabulary() -> None:
    vocabulary = Vocabulary(
        (Feature("cap.colour", Part.CAP, "cap colour"),),
        (State("cap.colour", "green", "green", colour="#6E8B3D"),),
    )
    drawing = fruit_body([row("cap.colour", "green")], vocabulary)
    assert "#6e8b3d" in {s.fill for s in drawing.shapes}
    usual = usual_fruit_body([("cap.colour", "green", "always")], [], vocabulary, form="agaric")
    assert usual == drawing


def test_every_taxon_of_the_reference_is_drawn() -> None:
    states: dict[str, list[tuple[str, str, str]]] = defaultdict(list)
    for r in table("taxon_states.csv"):
        states[r["taxon"]].append((r["feature"], r["state"], r["frequency"]))
    sizes: dict[str, list[tuple[str, float, float]]] = defaultdict(list)
    for r in table("taxon_sizes.csv"):
        sizes[r["taxon"]].append((r["feature"], float(r["low"]), float(r["high"])))
    for r in table("taxa.csv"):
        looks = from_taxon(states[r["taxon"]], sizes[r["taxon"]])
        assert_sound(draw_features(looks, colour, default_form=r["forms"].split("|")[0]))


# --- figures ----------------------------------------------------------------------------------------------


def test_every_figure_that_the_vocabulary_names_exists() -> None:
    wanted = {r["figure"] for r in (*STATES, *FEATURES) if r["figure"]}
    assert wanted <= figure_names()
    assert figure("no-such-figure") is None


@pytest.mark.parametrize("name", sorted(figure_names()))
def test_figures_are_sound(name: str) -> None:
    drawing = figure(name)
    assert drawing is not None
    assert_sound(drawing)
    assert drawing.bar is None
    assert drawing.note == ""
