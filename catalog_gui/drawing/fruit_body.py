"""The front door: a fruit body from what was recorded, or from what a taxon usually shows."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.feature import Vocabulary
from catalog_gui.drawing import head_forms, round_forms, stemmed, upright_forms, wood_forms
from catalog_gui.drawing.ink import Colours
from catalog_gui.drawing.looks import Features, Look, from_evidence, from_taxon
from catalog_gui.drawing.shapes import Drawing

_WHOLE: dict[str, Callable[[Features, Colours], Drawing]] = {
    "crust": wood_forms.crust,
    "jelly": wood_forms.jelly,
    "club": upright_forms.club,
    "coral": upright_forms.coral,
    "cup": upright_forms.cup,
    "ball": round_forms.ball,
    "egg": round_forms.egg,
    "star": round_forms.star,
}
_STEMMED = ("agaric", "bolete", "fold-bearing", "toothed")
_UNDERSIDES = {"pores": "bolete", "spines": "toothed", "folds": "fold-bearing", "gills": "agaric"}


def form_of(features: Features, otherwise: str = "") -> str:
    """The body form to draw: as seen, else `otherwise`, else as head or underside imply."""
    look = features.get("whole.form")
    if look is not None and look.standing is Standing.SEEN and look.states:
        return look.states[0]
    if otherwise:
        return otherwise
    head = features.get("cap.head-kind")
    if head is not None and head.standing is Standing.SEEN:
        return "honeycomb" if "pits" in head.states else "saddle"
    below = features.get("gills.kind")
    if below is not None and below.standing is Standing.SEEN:
        return next((_UNDERSIDES[s] for s in below.states if s in _UNDERSIDES), "agaric")
    return "agaric"


def draw_features(features: Features, colours: Colours, *, default_form: str = "") -> Drawing:
    """A drawing from a neutral mapping of features; `colours(feature, state)` gives '#rrggbb' or ''.

    What nobody looked at is dashed, what was looked for and missing is left out, what is damaged or gone is
    dotted. Unknown features, states and forms are drawn as not looked at; nothing here raises for them.
    """
    known = {name: _cleaned(look) for name, look in features.items()}
    form = form_of(known, default_form)
    if form in _STEMMED and _sideways(known):
        form = "fan"
    if form in {"bracket", "fan"}:
        return wood_forms.fan(known, colours, form)
    if form in {"saddle", "honeycomb", "phalloid"}:
        return head_forms.draw(known, colours, form)
    if form in _WHOLE:
        return _WHOLE[form](known, colours)
    return stemmed.draw(known, colours, form)


def _cleaned(look: Look) -> Look:
    """A look that says 'seen' but names nothing is as good as not looked at, for a drawing."""
    empty = not look.states and look.low is None and look.high is None
    return Look(Standing.NOT_LOOKED_AT) if look.standing is Standing.SEEN and empty else look


def _sideways(features: Features) -> bool:
    """Whether the cap grows from its side: a shell, or a stem at the side or none."""
    position = features.get("stem.position")
    if position is not None and (
        position.standing is Standing.NOT_THERE
        or (position.standing is Standing.SEEN and position.states[:1] == ("lateral",))
    ):
        return True
    shape = features.get("cap.shape")
    return shape is not None and shape.standing is Standing.SEEN and shape.states[:1] == ("shell",)


def _colours_of(vocabulary: Vocabulary) -> Colours:
    known: Mapping[tuple[str, str], str] = {
        (state.feature, state.id): state.colour.lower() for state in vocabulary.states if state.colour
    }

    def colour(feature: str, state: str) -> str:
        return known.get((feature, state), "")

    return colour


def fruit_body(
    evidence: Iterable[Evidence], vocabulary: Vocabulary, *, fruit_body: str = "", form: str = ""
) -> Drawing:
    """The live drawing of a specimen (or of one of its fruit bodies) from its evidence.

    `form` is drawn while nobody has noted the body form.
    """
    return draw_features(from_evidence(evidence, fruit_body), _colours_of(vocabulary), default_form=form)


def usual_fruit_body(
    states: Iterable[tuple[str, str, str]],
    sizes: Iterable[tuple[str, float, float]],
    vocabulary: Vocabulary,
    *,
    form: str = "",
) -> Drawing:
    """The drawing of a taxon from its rows (feature, state, frequency) and sizes (feature, low, high)."""
    return draw_features(from_taxon(states, sizes), _colours_of(vocabulary), default_form=form)
