"""Small figures for the vocabulary: what a word such as 'notched' or 'sheath' looks like.

Most are the fruit body itself, drawn from the one state in question and cut out around the place that
matters, so that a figure and the live drawing never disagree.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial

from catalog_gui.domain.evidence import Standing
from catalog_gui.domain.plane import Box
from catalog_gui.drawing import curves as c
from catalog_gui.drawing import disc_figures, micro_figures
from catalog_gui.drawing.fruit_body import draw_features
from catalog_gui.drawing.ink import Sheet, darker
from catalog_gui.drawing.looks import Look
from catalog_gui.drawing.shapes import Drawing, points_of
from catalog_gui.drawing.stem_surface import Shaft, draw_net, draw_pattern

_TINTS = {
    "cap.colour": "#d9c39c",
    "cap.patches-colour": "#fbf8ef",
    "gills.colour": "#f1e2c4",
    "gills.pore-colour": "#eddfb4",
    "stem.colour": "#f3ead8",
    "flesh.colour": "#fbf7ee",
    "ring.colour": "#fbf8ef",
    "base.volva-colour": "#fbf8ef",
    "print.colour": "#9a5a26",
}


def _colour(feature: str, state: str) -> str:
    return _TINTS.get(feature, "") if state == "figure" else ""


def _seen(*states: str) -> Look:
    return Look(Standing.SEEN, states)


def _size(value: float) -> Look:
    return Look(Standing.SEEN, (), value, value)


_ABSENT = Look(Standing.NOT_THERE)
_PLAIN: dict[str, Look] = {
    **{feature: _seen("figure") for feature in _TINTS},
    "whole.form": _seen("agaric"),
    "cap.shape": _seen("convex"),
    "cap.width": _size(70),
    "cap.patches": _ABSENT,
    "gills.kind": _seen("gills"),
    "gills.attachment": _seen("adnate"),
    "gills.spacing": _seen("close"),
    "stem.shape": _seen("equal"),
    "stem.length": _size(75),
    "stem.width": _size(11),
    "ring.kind": _ABSENT,
    "base.shape": _seen("equal"),
    "base.volva": _ABSENT,
}


def _body(**changes: Look) -> Drawing:
    """A plain agaric with some features changed; 'cap__shape' stands for 'cap.shape'."""
    features = {**_PLAIN, **{name.replace("__", "."): look for name, look in changes.items()}}
    return replace(draw_features(features, _colour), bar=None, note="")


def _cut(drawing: Drawing, box: Box, without: tuple[str, ...] = ()) -> Drawing:
    """The piece of a drawing inside a box (y down, mm), some parts left out."""
    kept = []
    for shape in drawing.shapes:
        if shape.part in without:
            continue
        points = points_of(shape.commands)
        xs, ys = [x for x, _ in points], [y for _, y in points]
        if max(xs) >= box[0] and min(xs) <= box[2] and max(ys) >= box[1] and min(ys) <= box[3]:
            kept.append(shape)
    return replace(drawing, shapes=tuple(kept), box=box)


def _top(drawing: Drawing, share: float) -> Drawing:
    left, top, right, bottom = drawing.box
    return _cut(drawing, (left, top, right, top + share * (bottom - top)))


def _foot(drawing: Drawing, share: float, wide: float) -> Drawing:
    _, top, _, bottom = drawing.box
    low = max((y for s in drawing.shapes for _, y in points_of(s.commands)), default=bottom)
    high = low - share * (bottom - top)
    return _cut(drawing, (-wide, high, wide, low + 2.5))


def _cap(shape: str = "convex", **changes: Look) -> Drawing:
    tall = {"conical": 0.5, "bell": 0.5, "egg-shaped": 0.55, "hemispherical": 0.45, "cushion": 0.42}.get(
        shape, 0.36
    )
    if shape == "funnel":
        return _top(_body(cap__shape=_seen(shape), gills__attachment=_seen("decurrent")), 0.55)
    return _top(_body(cap__shape=_seen(shape), **changes), tall)


def _attachment(state: str) -> Drawing:
    """The right half of the section, close up."""
    whole = _body(gills__attachment=_seen(state), stem__width=_size(13))
    top = whole.box[1]
    return _cut(whole, (-9.0, top, 37.0, top + 44.0))


def _margin(state: str) -> Drawing:
    whole = _body(cap__margin=_seen(state), cap__shape=_seen("convex"))
    top = whole.box[1]
    if state in {"inrolled", "downy"}:  # best seen where the edge is cut
        return _cut(whole, (12.0, top + 8.0, 38.0, top + 34.0))
    return _cut(whole, (-38.0, top + 3, 3.0, top + 34.0))


def _ring(kind: str, **changes: Look) -> Drawing:
    features = {"ring__kind": _seen(kind), "stem__width": _size(13), **changes}
    whole = _body(**features)
    top = whole.box[1]
    return _cut(whole, (-26.0, top + 20.0, 26.0, top + 72.0 if kind == "sheath" else top + 58.0))


def _ring_face(state: str) -> Drawing:
    return _ring("hanging", **{"ring__upper-face": _seen(state)})


def _base(shape: str) -> Drawing:
    whole = _body(base__shape=_seen(shape), stem__width=_size(12))
    return _foot(whole, 0.55 if shape == "rooting" else 0.4, 20.0)


def _volva(state: str) -> Drawing:
    shape = {"rim": "edged-bulb", "sac": "swollen", "short-sac": "swollen"}.get(state, "round-bulb")
    features = {"base__volva": _seen(state), "base__shape": _seen(shape), "stem__width": _size(12)}
    return _foot(_body(**features), 0.46, 23.0)


def _stem_shape(shape: str) -> Drawing:
    thick = {"slender": 5.0, "barrel": 18.0}.get(shape, 11.0)
    whole = _body(stem__shape=_seen(shape), stem__width=_size(thick), stem__length=_size(80))
    return _cut(whole, (-22.0, whole.box[1] + 12, 22.0, whole.box[3]), ("cap", "gills"))


def _stem_core(state: str) -> Drawing:
    whole = _body(stem__core=_seen(state), stem__width=_size(16))
    return _cut(whole, (-20.0, whole.box[1] + 16, 20.0, whole.box[3]), ("cap", "gills"))


def _stem_skin(state: str, net: str = "") -> Drawing:
    """A piece of stem from outside."""
    sheet = Sheet(0.4, dict(_PLAIN), _colour)
    half, high, tone = 9.0, 46.0, _TINTS["stem.colour"]
    for side in (1.0, -1.0):
        area = c.polygon([(0, high), (-side * half, high), (-side * half, 0), (0, 0)])
        sheet.fill(area, tone, "stem", "stem.colour")
    whole = c.polygon([(-half, high), (half, high), (half, 0), (-half, 0)])
    for i in range(5):
        edge = half * (1 - 0.07 * (i + 1))
        for side in (1.0, -1.0):
            strip = c.polygon([(side * half, high), (side * edge, high), (side * edge, 0), (side * half, 0)])
            sheet.shade(strip, darker(tone, 0.6), "stem", whole, 0.08)
    # The pattern is made for a left half of twice the width and moved so that it wraps the whole piece.
    shaft = Shaft(sheet, lambda _y: 2 * half, half, whole, tone, high, 0.0)
    start = len(sheet.shapes)
    if net:
        colours = {"dark": "#5d4630", "red": "#a8322a"}
        draw_net(replace(shaft, top=high, low=-0.5 * high), colours[net])
    else:
        draw_pattern(replace(shaft, low=0.0), state)
    sheet.shift(start, half, whole)
    sheet.stroke(c.line([(-half, high), (-half, 0)]), "#5b5044", "stem", "stem.shape", weight=1.6)
    sheet.stroke(c.line([(half, high), (half, 0)]), "#5b5044", "stem", "stem.shape", weight=1.6)
    return sheet.finish(to_scale=True, bar=False)


def _form(form: str) -> Drawing:
    features = (
        dict(_PLAIN)
        if form in {"agaric", "bolete", "fold-bearing", "toothed"}
        else {
            name: look
            for name, look in _PLAIN.items()
            if not name.startswith(("stem.", "base.", "cap.shape", "cap.width"))
        }
    )
    features["whole.form"] = _seen(form)
    kinds = {"bolete": "pores", "fold-bearing": "folds", "toothed": "spines", "bracket": "pores"}
    features["gills.kind"] = _seen(kinds.get(form, "gills"))
    features["cap.colour"] = features["stem.colour"] = _seen("figure")
    if form == "bolete":
        features |= {
            "stem.width": _size(22),
            "cap.shape": _seen("hemispherical"),
            "gills.attachment": _seen("adnexed"),
        }
    if form == "fold-bearing":
        features |= {"cap.shape": _seen("funnel"), "gills.attachment": _seen("decurrent")}
    if form in {"saddle", "honeycomb", "phalloid"}:
        features |= {"stem.shape": _seen("equal"), "base.shape": _seen("equal"), "stem.core": _seen("hollow")}
    if form == "phalloid":
        features["base.volva"] = _seen("sac")
    if form == "egg":
        features["flesh.inside"] = _seen("mushroom-outline")
    return replace(draw_features(features, _colour), bar=None, note="")


def _head(kind: str = "saddle", joined: str = "") -> Drawing:
    features = {
        "whole.form": _seen("honeycomb" if kind == "pits" else "saddle"),
        "cap.head-kind": _seen(kind),
        "cap.colour": _seen("figure"),
        "stem.colour": _seen("figure"),
        "flesh.colour": _seen("figure"),
        "stem.shape": _seen("equal"),
        "stem.core": _seen("hollow"),
        "base.shape": _seen("equal"),
    }
    if joined:
        features["cap.head-joined"] = _seen(joined)
    return replace(draw_features(features, _colour), bar=None, note="")


def _inside(state: str) -> Drawing:
    form = "egg" if state in {"mushroom-outline", "jelly-layer"} else "ball"
    features = {
        "whole.form": _seen(form),
        "cap.colour": _seen("figure"),
        "flesh.colour": _seen("figure"),
        "flesh.inside": _seen(state),
        "flesh.rind": _seen("thick" if state == "dark-marbled" else "thin"),
    }
    return replace(draw_features(features, _colour), bar=None, note="")


def _measured(what: str) -> Drawing:
    """The plain agaric with the length that is meant."""
    whole = _body()
    sheet = Sheet(whole.unit * 2.2, {}, _colour)
    left, top, right, bottom = whole.box
    ends = {
        "cap-width": ((-35.0, -top + 4), (35.0, -top + 4)),
        "stem-length": ((20.0, 0.0), (20.0, 75.0)),
        "stem-width": ((-5.5, 32.0), (5.5, 32.0)),
    }[what]
    (x0, y0), (x1, y1) = ends
    tick = 3.0
    dx, dy = (0.0, tick) if y0 == y1 else (tick, 0.0)
    lines = [c.line([ends[0], ends[1]])]
    lines += [c.line([(x - dx, y - dy), (x + dx, y + dy)]) for x, y in ends]
    for line in lines:
        sheet.stroke(line, "#b3401f", "whole", what)
    over = sheet.finish(to_scale=True, bar=False).shapes
    box = (min(left, x0 - 4), min(top, -max(y0, y1) - 6), max(right, x1 + 4), bottom)
    return replace(whole, shapes=(*whole.shapes, *over), box=box)


def _tuft() -> Drawing:
    """Three fruit bodies from one base."""
    one = _body(stem__length=_size(90), stem__width=_size(8), cap__width=_size(42))
    sheet = Sheet(one.unit, {}, _colour)
    for lean, share in ((-0.42, 0.85), (0.4, 0.8), (0.02, 1.0)):
        sheet.add(one, lean=lean, share=share)
    return sheet.finish(to_scale=True, bar=False)


_CAPS = {
    "conical": "conical",
    "bell": "bell",
    "egg": "egg-shaped",
    "hemispherical": "hemispherical",
    "convex": "convex",
    "flat": "flat",
    "depressed": "depressed",
    "funnel": "funnel",
    "cushion": "cushion",
}
_FORMS = {"fold": "fold-bearing"}
_ATTACHED = ("free", "nearly-free", "adnexed", "notched", "adnate", "decurrent", "collar")
_RINGS = ("hanging", "flaring", "sheath", "double", "zone", "narrow", "woolly")
_SKINS = {
    "smooth": "smooth",
    "fibrous": "silvery-fibrous",
    "snake": "zigzag-bands",
    "belts": "belts",
    "flaky": "flaky",
    "scaly": "scaly",
    "powdered": "powdered",
    "net": "net",
    "dots": "dots",
    "grooved": "grooved",
    "tufts": "scabers",
    "pits": "pitted",
}
_BASES = {
    "equal": "equal",
    "swollen": "swollen",
    "club": "club",
    "bulb": "round-bulb",
    "edged": "edged-bulb",
    "turnip": "onion",
    "tapering": "tapering",
    "rooting": "rooting",
    "disc": "flattened",
}
_VOLVAS = {
    "sac": "sac",
    "short": "short-sac",
    "sock": "sheath",
    "rim": "rim",
    "warts": "rings-of-warts",
    "flakes": "flakes",
    "powder": "powder",
}
_MARGINS = {n: n for n in ("even", "lined", "furrowed", "inrolled", "downy", "wavy", "split")} | {
    "hung": "hung-with-veil"
}
_PATCHES = {
    "pyramids": "pyramid-warts",
    "flat": "flat-warts",
    "flakes": "flakes",
    "large": "large-patch",
    "powder": "powder",
}
_INSIDES = {
    "white": "uniform-white",
    "outline": "mushroom-outline",
    "dark": "dark-marbled",
    "jelly": "jelly-layer",
    "powder": "powder",
    "chambers": "chambers",
}
_HEADS = {"pits": "pits", "brain": "brain", "saddle": "saddle", "thimble": "wrinkled-thimble"}


def _table() -> dict[str, Callable[[], Drawing]]:
    table: dict[str, Callable[[], Drawing]] = {}

    def put(prefix: str, words: dict[str, str], draw: Callable[[str], Drawing]) -> None:
        for word, state in words.items():
            table[f"{prefix}-{word}"] = partial(draw, state)

    def same(words: tuple[str, ...]) -> dict[str, str]:
        return {word: word for word in words}

    put("cap", _CAPS, _cap)
    put("gills", same(_ATTACHED) | {"tooth": "toothed"}, _attachment)
    put("margin", _MARGINS, _margin)
    put("patches", _PATCHES, lambda s: _cap("hemispherical", cap__patches=_seen(s)))
    put("ring", same(_RINGS), _ring)
    put(
        "ring",
        {"high": "top", "middle": "middle", "low": "low"},
        lambda s: _body(ring__kind=_seen("hanging"), ring__position=_seen(s)),
    )
    put("ring", {"lined": "lined", "smooth": "smooth"}, _ring_face)
    put("ring", {"cortina": "threads", "cortina-zone": "fibre-zone"}, lambda s: _body(ring__cortina=_seen(s)))
    put("base", _BASES, _base)
    put("volva", _VOLVAS, _volva)
    put("stem", _SKINS, _stem_skin)
    shapes = {"equal": "equal", "taper-up": "tapering-up", "taper-down": "tapering-down"}
    put("stem", shapes | same(("club", "barrel", "slender")), _stem_shape)
    put("core", same(("solid", "stuffed", "hollow", "chambered")), _stem_core)
    forms = ("agaric", "ball", "bolete", "bracket", "club", "coral", "crust", "cup", "egg", "honeycomb")
    put("form", same((*forms, "jelly", "phalloid", "saddle", "star", "toothed")) | _FORMS, _form)
    put("head", _HEADS, _head)
    put("head-joined", same(("edge", "half", "top", "places")), lambda s: _head("brain", s))
    put("inside", _INSIDES, _inside)
    table |= {
        "cap-shell": lambda: replace(
            draw_features({**_PLAIN, "cap.shape": _seen("shell")}, _colour), bar=None, note=""
        ),
        "cap-umbo-broad": lambda: _cap(cap__centre=_seen("umbo-broad")),
        "cap-umbo-sharp": lambda: _cap(cap__centre=_seen("umbo-sharp")),
        "cap-navel": lambda: _cap(cap__centre=_seen("dip")),
        "cap-scaly": lambda: _cap("hemispherical", cap__surface=_seen("scaly")),
        "stem-net-dark": lambda: _stem_skin("", "dark"),
        "stem-net-red": lambda: _stem_skin("", "red"),
        "growth-tuft": _tuft,
    }
    put("", {}, _cap)
    for what in ("cap-width", "stem-length", "stem-width"):
        table[what] = partial(_measured, what)
    return table | disc_figures.FIGURES | micro_figures.FIGURES


_FIGURES = _table()
_DRAWN: dict[str, Drawing] = {}


def figure_names() -> frozenset[str]:
    """All names that `figure` knows."""
    return frozenset(_FIGURES)


def figure(name: str) -> Drawing | None:
    """The small figure of that name, None for an unknown one. Made for about 40 to 200 pixels."""
    if name not in _DRAWN and name in _FIGURES:
        _DRAWN[name] = _FIGURES[name]()
    return _DRAWN.get(name)
