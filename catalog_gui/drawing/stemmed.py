"""A fruit body with cap and stem: left half from outside, right half cut lengthwise."""

from __future__ import annotations

from catalog_gui.drawing import cap as caps
from catalog_gui.drawing import curves as c
from catalog_gui.drawing import stem as stems
from catalog_gui.drawing import underside, veils, volva
from catalog_gui.drawing.ink import INK, Colours, Sheet
from catalog_gui.drawing.looks import Features
from catalog_gui.drawing.shapes import Drawing

# Cap width, stem length, stem width in mm where none was recorded: shape only, no bar is drawn from these.
_USUAL = {"bolete": (90.0, 85.0, 26.0), "toothed": (80.0, 55.0, 18.0), "fold-bearing": (60.0, 55.0, 12.0)}


def sizes(sheet: Sheet, form: str) -> tuple[float, float, float, bool]:
    """Cap width, stem length, stem width, and whether any of them was recorded."""
    width, length, thick = _USUAL.get(form, (80.0, 95.0, 12.0))
    shape = sheet.state("stem.shape", "slender", "barrel")
    thick *= {"slender": 0.55, "barrel": 1.5}.get(shape, 1.0)
    seen = sheet.size("cap.width"), sheet.size("stem.length"), sheet.size("stem.width")
    known = [
        value / usual for value, usual in zip(seen, (width, length, thick), strict=True) if value is not None
    ]
    factor = sum(known) / len(known) if known else 1.0
    cap_width = seen[0] if seen[0] is not None else width * factor
    stem_length = seen[1] if seen[1] is not None else length * factor
    stem_width = seen[2] if seen[2] is not None else thick * factor
    # A slip of the pen must not make the drawing impossible.
    stem_length = min(max(stem_length, 0.12 * cap_width), 12 * cap_width)
    stem_width = min(max(stem_width, 0.012 * stem_length), 0.9 * cap_width)
    return cap_width, stem_length, stem_width, bool(known)


def draw(features: Features, colours: Colours, form: str) -> Drawing:
    """The drawing of an agaric, bolete, tooth fungus or chanterelle-like fruit body."""
    sheet = Sheet(1.0, features, colours)
    cap_width, length, width, known = sizes(sheet, form)
    sheet.unit = max(cap_width, length) / 190
    radius, shaft = cap_width / 2, width / 2
    half = stems.top_half(sheet, shaft)
    # The stem's length counts from where the gills meet it: raise the cap until that place is right.
    trial = caps.build(sheet, radius, half, 0.0, length)
    level = length - trial.under[0][1] + (0.1 * radius if form != "bolete" else 0.12 * radius)
    cap = caps.build(sheet, radius, half, level, length)
    edge, _ = underside.edge_and_face(sheet, cap, half)
    inner_top = cap.under[0][1]
    stem = stems.build(sheet, inner_top, shaft)
    hangs = (
        cap.tilt < 0
        or underside.attachment(sheet) == "decurrent"
        or min(y for _, y in edge) < level - 0.16 * radius
    )
    left_top = edge[0][1] + 0.02 * radius if hangs else cap.rim_level - 0.1 * cap.tilt
    underside.draw_below(sheet, cap, half)
    stems.draw(sheet, stem, left_top=min(left_top, inner_top), inner_top=inner_top)
    caps.draw_section(sheet, cap)
    underside.draw_section(sheet, cap, half)
    caps.draw_skin(sheet, cap)
    ceiling = min([y for _, y in edge] + [cap.rim_level - (0 if hangs else cap.tilt)])
    if form not in {"fold-bearing", "toothed"} or sheet.seen("ring.kind"):
        veils.draw_ring(sheet, stem, ceiling, radius)
    veils.draw_cortina(sheet, cap, stem)
    if form == "agaric" or sheet.seen("base.volva"):
        volva.draw_volva(sheet, stem)
    sheet.stroke(
        c.line([(0, cap.apex), (0, max(stem.bottom, 0.0))]), INK, "whole", "", weight=0.5, opacity=0.35
    )
    return sheet.finish(to_scale=known)
