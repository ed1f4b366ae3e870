"""The cap: its outline for every shape word, its skin, margin and what lies on it."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from catalog_gui.domain.plane import Point
from catalog_gui.drawing import curves as c
from catalog_gui.drawing.ink import PAPER, Path, Sheet, brightness, darker, lighter, mix, outline_of
from catalog_gui.drawing.shapes import SOLID

# Right half of the outline, apex to margin, for a radius of 1; margin level is 0. Segments of cubics.
Segments = tuple[Point, tuple[tuple[Point, Point, Point], ...]]
_PROFILES: dict[str, Segments] = {
    "conical": ((0, 1.25), (((0.1, 1.25), (0.17, 1.16), (0.25, 1.0)), ((0.5, 0.52), (0.78, 0.2), (1, 0)))),
    "bell": ((0, 1.22), (((0.3, 1.22), (0.5, 0.98), (0.6, 0.62)), ((0.68, 0.3), (0.8, 0.12), (1, 0)))),
    "egg-shaped": ((0, 1.5), (((0.5, 1.5), (0.98, 0.95), (1, 0.42)), ((1, 0.2), (0.97, 0.08), (0.93, 0)))),
    "hemispherical": ((0, 0.95), (((0.52, 0.95), (0.97, 0.58), (1, 0)),)),
    "convex": ((0, 0.56), (((0.48, 0.56), (0.86, 0.4), (1, 0)),)),
    "flat": ((0, 0.3), (((0.5, 0.3), (0.9, 0.24), (1, 0)),)),
    "depressed": ((0, 0.1), (((0.16, 0.1), (0.3, 0.23), (0.55, 0.24)), ((0.8, 0.25), (0.96, 0.15), (1, 0)))),
    "funnel": (
        (0, -0.42),
        (((0.14, -0.4), (0.22, -0.06), (0.5, 0.1)), ((0.72, 0.22), (0.92, 0.22), (1, 0.06))),
    ),
    "cushion": ((0, 0.78), (((0.62, 0.78), (1, 0.62), (1, 0.2)), ((1, 0.08), (0.98, 0.02), (0.94, 0)))),
}
_PROFILES["shell"] = _PROFILES["flat"]


@dataclass(frozen=True, slots=True)
class Cap:
    """Geometry of a cap around the axis, y up. `upper` runs from apex to margin on the right.

    `under` is the lower face of the flesh, from the stem outwards; `tilt` lifts the near rim of the cap, seen
    slightly from below; `rim` is the radius at the margin.
    """

    radius: float
    base: float
    upper: list[Point]
    under: list[Point]
    tilt: float
    rail: c.Rail = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "rail", c.Rail(self.upper))

    @property
    def rim(self) -> float:
        """Radius at the margin, mm."""
        return self.upper[-1][0]

    @property
    def rim_level(self) -> float:
        """Height of the margin, mm."""
        return self.upper[-1][1]

    @property
    def apex(self) -> float:
        """Height of the middle of the cap."""
        return self.upper[0][1]

    def on_skin(self, way: float, turn: float) -> Point:
        """A point of the left, outer half: way 0 apex to 1 margin, turn 0 left edge to 1 the front."""
        r, y = self.rail.at(way)
        if self.tilt < 0:  # a funnel, seen into from slightly above
            a = math.pi * (0.5 + turn)
            near = r / self.rim
            return r * math.cos(a), self.rim_level - self.tilt * near * math.sin(a) - 0.2 * self.tilt * (
                near - 1
            )
        a = turn * math.pi / 2
        lift = self.tilt * (r / max(self.rim, 1e-9)) ** 1.5
        return -r * math.cos(a), y + lift * math.sin(a)

    def skin(self) -> Path:
        """The skin of the left half, as far as it is seen."""
        if self.tilt < 0:
            far = c.arc(0, self.rim_level, self.rim, -self.tilt, 180, 90)
            return c.region(far, [far[-1], (0, self.rim_level + self.tilt)], self.front_rim())
        return c.region(c.back(c.mirrored(self.upper)), self.axis(), self.front_rim())

    def axis(self) -> list[Point]:
        """From the apex down to the near rim."""
        return [(0, self.apex), (0, self.rim_level + self.tilt)]

    def front_rim(self) -> list[Point]:
        """The near rim, from the axis to the left edge."""
        return c.arc(0, self.rim_level, self.rim, self.tilt, 90, 180)


def outline(
    shape: str, centre: str, radius: float, level: float, *, margin: str = "", stretch: float = 1.0
) -> list[Point]:
    """The right half of a cap's outline, apex to margin at height `level`; `stretch` makes it taller."""
    start, segments = _PROFILES.get(shape, _PROFILES["convex"])
    rough = c.bezier(start, *segments, steps=22)
    rail = c.Rail(rough)
    points = [rail.at(i / 60) for i in range(61)]
    if shape in {"depressed", "funnel"}:
        centre = ""
    bump, width = {
        "umbo-broad": (0.2, 0.3),
        "umbo-sharp": (0.3, 0.11),
        "dip": (-0.13, 0.12),
    }.get(centre, (0.0, 1.0))
    if shape in {"conical", "bell"} and centre == "umbo-broad":
        bump = 0.1
    raised = [(x, y + bump * math.exp(-((x / width) ** 2))) for x, y in points]
    if margin == "wavy":
        raised = [(x, y + 0.025 * math.sin(x * 16) * x**3) for x, y in raised]
    return [(x * radius, level + y * radius * stretch) for x, y in raised]


_GROWTH = (
    "egg-shaped",
    "conical",
    "bell",
    "hemispherical",
    "cushion",
    "convex",
    "flat",
    "depressed",
    "funnel",
    "shell",
)


def shape_of(sheet: Sheet) -> str:
    """The cap shape to draw: of several, one from the later part of their way of growing."""
    grown = [s for s in _GROWTH if s in sheet.states("cap.shape")]
    return grown[(len(grown) - 1) // 2] if grown else "convex"


def build(sheet: Sheet, radius: float, stem_half: float, level: float, stem_length: float = 0.0) -> Cap:
    """The geometry that the recorded features ask for."""
    shape = shape_of(sheet)
    # A shaggy ink cap's head covers most of its stem; an egg of fixed shape would be a button on a stick.
    stretch = min(1.9, max(1.0, 0.34 * stem_length / radius)) if shape == "egg-shaped" else 1.0
    margin = sheet.state("cap.margin", "wavy")
    upper = outline(shape, sheet.state("cap.centre"), radius, level, margin=margin, stretch=stretch)
    rise = max(y for _, y in upper) - level
    thick = {"thick": 0.34, "thin": 0.09}.get(sheet.state("flesh.thickness"), 0.2)
    if sheet.state("whole.form", "bolete") or sheet.state("gills.kind", "pores"):
        thick = max(thick, 0.36)
    at_stem = min(thick * radius, 0.6 * max(rise, 0.3 * radius))
    at_margin = 0.02 * radius
    under = c.offset(upper, lambda way: at_margin + (at_stem - at_margin) * (1 - way) ** 1.15)
    inside = [p for p in under if p[0] >= stem_half and p[0] <= upper[-1][0] * 1.001]
    if shape == "funnel":
        return Cap(radius, level, upper, [*inside[:-1], upper[-1]], -0.17 * upper[-1][0])
    tilt = min(0.19 * upper[-1][0], 0.45 * max(rise, 0.12 * radius))
    return Cap(radius, level, upper, [*inside[:-1], upper[-1]], tilt)


def colours(sheet: Sheet) -> tuple[str, str]:
    """Main colour of the cap and a second one for the edge or the middle."""
    palette = sheet.palette("cap.colour")
    main = palette[0] if palette else PAPER
    return main, palette[1] if len(palette) > 1 else main


def draw_skin(sheet: Sheet, cap: Cap) -> None:
    """The left half from outside: colour, shading, pattern, surface, margin, and the remains of the veil."""
    main, second = colours(sheet)
    skin = cap.skin()
    sheet.fill(skin, main, "cap", "cap.colour")
    if cap.tilt < 0 and sheet.seen("cap.colour"):
        for i in range(6):
            deep = c.ellipse(0, cap.rim_level, cap.rim * (0.85 - 0.12 * i), -cap.tilt * (0.85 - 0.12 * i))
            sheet.shade(deep, darker(main, 0.6), "cap", skin, 0.09)
    elif sheet.seen("cap.colour"):
        _tint(sheet, cap, skin, main, second)
        _light(sheet, cap, skin, main)
    _zones(sheet, cap, skin, main)
    _surface(sheet, cap, skin, main)
    _margin_lines(sheet, cap, skin, main)
    edge = outline_of(main)
    drawn = sheet.line("cap.shape")
    sheet.stroke(
        c.line(
            c.arc(0, cap.rim_level, cap.rim, -cap.tilt, 180, 90) if cap.tilt < 0 else c.mirrored(cap.upper)
        ),
        edge,
        "cap",
        "cap.shape",
        weight=1.5,
        line=drawn,
    )
    sheet.stroke(c.line(_rim(sheet, cap)), edge, "cap", "cap.margin", weight=1.3, line=drawn)
    _margin(sheet, cap, main)
    _patches(sheet, cap)
    if sheet.seen("cap.bruise"):
        x, y = cap.on_skin(0.88, 0.35)
        for size, strength in ((0.13, 0.25), (0.09, 0.4), (0.05, 0.5)):
            blot = c.blot(x, y, size * cap.radius, size * 0.6 * cap.radius, 3)
            sheet.shade(blot, sheet.colour("cap.bruise"), "cap", skin, strength, "cap.bruise")


def _rim(sheet: Sheet, cap: Cap) -> list[Point]:
    rim = cap.front_rim()
    return c.wavy(rim, 0.016 * cap.radius, 2.5) if sheet.state("cap.margin", "wavy") else rim


def _band(cap: Cap, start: float, end: float) -> Path:
    """The ring of skin between two distances from the apex."""
    outer = [cap.on_skin(end, i / 16) for i in range(17)]
    inner = [cap.on_skin(start, 1 - i / 16) for i in range(17)]
    return c.region(outer, inner)


def _inner(cap: Cap, end: float) -> Path:
    """The skin from the apex to a distance from it."""
    edge = [cap.on_skin(end, i / 16) for i in range(17)]
    top = [p for p in c.mirrored(cap.upper) if p[1] >= edge[0][1] or abs(p[0]) <= abs(edge[0][0])]
    return c.region([(0.0, cap.apex), *top[1:]], edge)


def _tint(sheet: Sheet, cap: Cap, skin: Path, main: str, second: str) -> None:
    if second == main:
        return
    for i in range(9):
        sheet.shade(_band(cap, 0.42 + 0.065 * i, 1.02), second, "cap", skin, 0.15, "cap.colour")


def _light(sheet: Sheet, cap: Cap, skin: Path, main: str) -> None:
    """Layered light on the shoulder and shade towards rim and left edge."""
    high = max(y for _, y in cap.upper) - cap.rim_level
    x, y = -0.3 * cap.radius, cap.rim_level + 0.66 * high
    shine = bool(sheet.state("cap.moisture", "sticky", "slimy", "greasy"))
    strength = 0.055 if brightness(main) < 0.75 else 0.1
    for size in (0.74, 0.67, 0.6, 0.53, 0.46, 0.39, 0.32, 0.25, 0.18, 0.11):
        path = c.ellipse(x, y, size * cap.radius * 0.8, size * high * 0.75, 0.28)
        sheet.shade(path, lighter(main, 0.75), "cap", skin, strength)
    for start in (0.8, 0.88, 0.945):
        sheet.shade(_band(cap, start, 1.02), darker(main, 0.55), "cap", skin, 0.11)
    for shift in (0.05, 0.1, 0.16):
        ring = c.region(
            c.mirrored(cap.upper),
            [(-p[0] * (1 - shift * 0.9), p[1] - shift * 0.12 * high) for p in c.back(cap.upper)],
        )
        sheet.shade(ring, darker(main, 0.5), "cap", skin, 0.08)
    if shine:
        gloss = c.region(
            c.arc(x, y, 0.2 * cap.radius, 0.2 * high, 70, 200),
            c.arc(x, y, 0.2 * cap.radius, 0.11 * high, 200, 70),
        )
        sheet.shade(gloss, "#ffffff", "cap", skin, 0.75, "cap.moisture")
        if sheet.state("cap.moisture", "slimy"):
            gloss = c.ellipse(x - 0.28 * cap.radius, y - 0.3 * high, 0.035 * cap.radius, 0.06 * high, 0.5)
            sheet.shade(gloss, "#ffffff", "cap", skin, 0.7, "cap.moisture")


def _zones(sheet: Sheet, cap: Cap, skin: Path, main: str) -> None:
    for zone in sheet.states("cap.zones"):
        if zone == "zoned":
            for i, start in enumerate((0.2, 0.42, 0.62, 0.8)):
                sheet.shade(
                    _band(cap, start, start + 0.09 - 0.01 * i),
                    darker(main, 0.6),
                    "cap",
                    skin,
                    0.3,
                    "cap.zones",
                )
        elif zone == "dark-centre":
            for i in range(9):
                sheet.shade(_inner(cap, 0.6 - 0.058 * i), darker(main, 0.6), "cap", skin, 0.09, "cap.zones")
        elif zone == "streaked":
            _meridians(sheet, cap, skin, darker(main, 0.6), 0.12, 0.95, 22, 0.7, 0.55, "cap.zones")
        elif zone == "spotted":
            for i, (u, v) in enumerate(c.scatter(14, 2)):
                x, y = cap.on_skin(0.5 + 0.45 * u, v)
                spot = c.ellipse(x, y, 0.045 * cap.radius, 0.03 * cap.radius)
                sheet.shade(spot, darker(main, 0.5), "cap", skin, 0.2 + 0.02 * (i % 3), "cap.zones")
    if sheet.state("cap.drying", "two-toned"):
        sheet.shade(_inner(cap, 0.55), lighter(main, 0.7), "cap", skin, 0.55, "cap.drying")


def _meridians(
    sheet: Sheet,
    cap: Cap,
    skin: Path,
    colour: str,
    start: float,
    end: float,
    count: int,
    weight: float,
    opacity: float,
    feature: str,
) -> None:
    """Fine lines from the middle outwards."""
    lines = []
    for i in range(count):
        turn = (i + 0.5) / count
        first = start + 0.12 * (1 + c.wobble(i, 1)) * (end - start)
        last = end - 0.08 * (1 + c.wobble(i, 2)) * (end - start)
        lines.append(c.line([cap.on_skin(first + (last - first) * k / 5, turn) for k in range(6)]))
    sheet.strokes(lines, colour, "cap", feature, weight=weight, clip=skin, opacity=opacity)


def _surface(sheet: Sheet, cap: Cap, skin: Path, main: str) -> None:
    dark, pale = darker(main, 0.5), lighter(main, 0.6)
    if "scales-dark" in sheet.states("cap.zones"):
        dark = darker(main, 0.75)
    r = cap.radius
    for state in sheet.states("cap.surface")[:2]:
        feature = "cap.surface"
        if state == "silky":
            _meridians(sheet, cap, skin, pale, 0.05, 1.0, 26, 0.5, 0.7, feature)
        elif state == "fibrous":
            _meridians(sheet, cap, skin, dark, 0.03, 1.02, 30, 0.6, 0.6, feature)
        elif state == "felty":
            strokes = []
            for u, v in c.scatter(150, 1):
                x, y = cap.on_skin(0.08 + 0.9 * u**0.7, v)
                strokes.append(c.line([(x, y), (x + 0.012 * r, y + 0.02 * r)]))
            sheet.strokes(strokes, dark, "cap", feature, weight=0.5, clip=skin, opacity=0.5)
        elif state in {"scaly", "woolly-scaly"}:
            _scales(sheet, cap, skin, dark, shaggy=state == "woolly-scaly")
        elif state == "cracked":
            paths = []
            for i, (u, v) in enumerate(c.scatter(30, 4)):
                x, y = cap.on_skin(0.15 + 0.82 * u**0.7, v)
                paths.append(c.blot(x, y, 0.11 * r, 0.07 * r, i, 0.35))
            sheet.strokes(
                paths, pale if brightness(main) < 0.6 else dark, "cap", feature, weight=0.9, clip=skin
            )
        elif state == "granular":
            _dots(sheet, cap, skin, dark, 120, 0.009, feature, 0.7)
        elif state == "wrinkled":
            for i in range(9):
                run = [cap.on_skin(0.1 + 0.095 * k, (i + 0.5) / 9 + 0.03 * c.wobble(k + i)) for k in range(9)]
                sheet.stroke(c.line(run), dark, "cap", feature, weight=0.8, clip=skin, opacity=0.6)
        elif state == "bloom":
            for end in (0.75, 0.6, 0.42):
                sheet.shade(_inner(cap, end), "#ffffff", "cap", skin, 0.16, feature)


def _dots(
    sheet: Sheet, cap: Cap, skin: Path, colour: str, count: int, size: float, feature: str, opacity: float
) -> None:
    dots = []
    for u, v in c.scatter(count, 5):
        x, y = cap.on_skin(0.04 + 0.94 * u**0.7, v)
        dots.append(c.ellipse(x, y, size * cap.radius, size * 0.8 * cap.radius))
    sheet.fill(c.joined(dots), colour, "cap", feature, clip=skin, opacity=opacity)


def _scales(sheet: Sheet, cap: Cap, skin: Path, colour: str, *, shaggy: bool) -> None:
    """Rings of small scales that stand denser towards the middle."""
    paths = []
    rings = 7 if shaggy else 8
    for ring in range(1, rings + 1):
        way = (ring / (rings + 0.6)) ** 0.9
        count = 2 + ring
        for i in range(count):
            turn = (i + 0.5 + 0.3 * c.wobble(i, ring)) / count
            x, y = cap.on_skin(way, turn)
            flat = max(0.35, math.sin(turn * math.pi / 2) * 0.6 + 0.4)
            w = (0.062 if shaggy else 0.046) * cap.radius * flat * (1.15 - 0.4 * way)
            h = (0.085 if shaggy else 0.04) * cap.radius
            tip = (x - 0.3 * w, y - h)
            paths.append(
                c.region(
                    [(x - w, y), (x, y + 0.35 * h), (x + w, y)],
                    [(x + w, y), (x + 0.3 * w, y - 0.5 * h), tip],
                    [tip, (x - 0.7 * w, y - 0.4 * h), (x - w, y)],
                )
            )
    sheet.fill(c.joined(paths), colour, "cap", "cap.surface", clip=skin, opacity=0.85)


def _margin_lines(sheet: Sheet, cap: Cap, skin: Path, main: str) -> None:
    states = sheet.states("cap.margin")
    if "lined" in states:
        _meridians(sheet, cap, skin, darker(main, 0.55), 0.78, 1.03, 34, 0.7, 0.75, "cap.margin")
    if "furrowed" in states:
        _meridians(sheet, cap, skin, darker(main, 0.65), 0.7, 1.04, 24, 1.3, 0.75, "cap.margin")
        _meridians(sheet, cap, skin, lighter(main, 0.6), 0.74, 1.04, 23, 0.9, 0.5, "cap.margin")


def _margin(sheet: Sheet, cap: Cap, main: str) -> None:
    """What the edge itself does: rolled in, hung with veil, split."""
    states = sheet.states("cap.margin")
    rim = _rim(sheet, cap)
    r = cap.radius
    if "inrolled" in states or "downy" in states:
        tone = lighter(main, 0.45) if "downy" in states else lighter(main, 0.15)
        lower = [(x * 0.985, y - 0.045 * r * (1 - (x / cap.rim) ** 4)) for x, y in rim]
        lip = c.region(rim, c.back(lower))
        x, y = cap.upper[-1]
        curl = c.ellipse(x - 0.032 * r, y - 0.014 * r, 0.032 * r, 0.026 * r)
        for path in (lip, curl):
            sheet.fill(path, tone, "cap", "cap.margin")
            sheet.stroke(path, outline_of(main), "cap", "cap.margin", weight=0.9)
    if "hung-with-veil" in states:
        _shreds(sheet, cap, rim)
    if "split" in states:
        cracks = []
        for i in range(4):
            a = cap.on_skin(1.0, 0.18 + 0.24 * i)
            tip = cap.on_skin(0.68 + 0.06 * c.wobble(i), 0.2 + 0.24 * i)
            b = cap.on_skin(1.0, 0.25 + 0.24 * i)
            cracks.append(c.polygon([a, tip, b]))
        sheet.fill(c.joined(cracks), "#f7f3ea", "cap", "cap.margin")
        sheet.strokes(cracks, outline_of(main), "cap", "cap.margin", weight=0.8)


def _shreds(sheet: Sheet, cap: Cap, rim: list[Point]) -> None:
    """Torn pieces of the inner veil along the edge."""
    r = cap.radius
    rail = c.Rail(rim)
    dense = [rail.at(i / 40) for i in range(41)]
    hem = [
        (x, y - r * (0.012 + 0.05 * abs(c.wobble(i, 5)) * (0.4 + 0.6 * abs(c.wobble(i // 3, 2)))))
        for i, (x, y) in enumerate(dense)
    ]
    fringe = c.polygon([*dense, *c.back(hem)])
    x, y = cap.upper[-1]
    scrap = c.region(
        [(x - 0.05 * r, y), (x - 0.035 * r, y - 0.07 * r), (x - 0.015 * r, y - 0.03 * r), (x, y)]
    )
    tone = sheet.colour("cap.patches-colour", "#f4efe2")
    for path in (fringe, scrap):
        sheet.fill(path, tone, "cap", "cap.margin")
        sheet.stroke(path, outline_of(tone), "cap", "cap.margin", weight=0.7)


def _patches(sheet: Sheet, cap: Cap) -> None:
    """Warts, flakes and patches of the outer veil, outside and on the section's contour."""
    if sheet.gone("cap.patches"):
        for i, (u, v) in enumerate(c.scatter(5, 6)):
            x, y = cap.on_skin(0.2 + 0.6 * u, v)
            sheet.ghost(
                c.blot(x, y, 0.07 * cap.radius, 0.05 * cap.radius, i), "cap", "cap.patches", gone=True
            )
        return
    colour = sheet.colour("cap.patches-colour", "#f2ecdf")
    edge = outline_of(colour)
    r = cap.radius
    for state in sheet.states("cap.patches"):
        paths: list[Path] = []
        tops: list[Path] = []
        if state == "large-patch":
            x, y = cap.on_skin(0.28, 0.5)
            patch = c.blot(x, y, 0.34 * r, 0.17 * r, 2, 0.3)
            sheet.fill(patch, colour, "cap", "cap.patches", clip=cap.skin())
            sheet.stroke(patch, edge, "cap", "cap.patches", weight=0.9, clip=cap.skin())
        elif state == "powder":
            _dots(sheet, cap, cap.skin(), colour, 170, 0.011, "cap.patches", 0.9)
            continue
        else:
            count, size, tall = {
                "pyramid-warts": (24, 0.05, 1.0),
                "flat-warts": (26, 0.042, 0.6),
                "flakes": (15, 0.07, 0.7),
            }.get(state, (18, 0.05, 0.8))
            for i, (u, v) in enumerate(c.scatter(count, 3)):
                way, turn = 0.06 + 0.86 * u**0.75, 0.06 + 0.9 * v
                x, y = cap.on_skin(way, turn)
                flat = max(0.45, math.sin(turn * math.pi / 2))
                w = size * r * flat * (1.2 - 0.5 * way) * (1 + 0.25 * c.wobble(i))
                h = w * tall / max(flat, 0.6)
                if state == "pyramid-warts":
                    paths.append(
                        c.polygon(
                            [
                                (x - w, y - 0.5 * h),
                                (x - 0.15 * w, y + h),
                                (x + w, y - 0.5 * h),
                                (x, y - 0.75 * h),
                            ]
                        )
                    )
                    tops.append(c.line([(x - 0.15 * w, y + h), (x, y - 0.75 * h)]))
                else:
                    paths.append(c.blot(x, y, w, h * 0.75, i, 0.3))
        _on_contour(cap, state, paths)
        sheet.fill(c.joined(paths), colour, "cap", "cap.patches")
        sheet.strokes(paths, edge, "cap", "cap.patches", weight=0.7)
        sheet.strokes(tops, edge, "cap", "cap.patches", weight=0.5)


def _on_contour(cap: Cap, state: str, paths: list[Path]) -> None:
    """The same remains as bumps on the cut contour of the right half."""
    ways = (0.12, 0.3, 0.47, 0.62, 0.77) if state != "large-patch" else (0.2,)
    for i, way in enumerate(ways):
        (x, y), (x2, y2) = cap.rail.at(way), cap.rail.at(min(1, way + 0.02))
        length = math.dist((x, y), (x2, y2)) or 1
        tx, ty = (x2 - x) / length, (y2 - y) / length
        size = cap.radius * (0.17 if state == "large-patch" else 0.045 * (1.15 - 0.4 * way))
        tall = size * {"pyramid-warts": 1.25, "large-patch": 0.22}.get(state, 0.6 + 0.1 * c.wobble(i))
        top = (x - ty * tall, y + tx * tall)
        left, right = (x - tx * size, y - ty * size), (x + tx * size, y + ty * size)
        if state == "pyramid-warts":
            paths.append(c.polygon([left, top, right]))
        else:
            shoulder = [left, (top[0] - tx * size * 0.6, top[1] - ty * size * 0.6)]
            paths.append(c.region([*shoulder, (top[0] + tx * size * 0.6, top[1] + ty * size * 0.6), right]))


def draw_section(sheet: Sheet, cap: Cap) -> None:
    """The right half cut lengthwise: flesh under a thin skin."""
    main, _ = colours(sheet)
    flesh = sheet.colour("flesh.colour", "#faf7ef")
    inner = cap.under[0]
    body = c.region(cap.upper, c.back(cap.under), [inner, (0, inner[1])])
    sheet.fill(body, flesh, "flesh", "flesh.colour")
    for i, depth in enumerate((0.035, 0.07, 0.12)):
        near = c.offset(cap.upper, lambda way, d=depth: d * cap.radius * (1 - 0.6 * way))  # type: ignore[misc]
        sheet.shade(c.region(cap.upper, c.back(near)), darker(flesh, 0.35), "flesh", body, 0.1 - 0.02 * i)
    if sheet.seen("flesh.change"):
        change = sheet.colour("flesh.change")
        for i in range(8):
            size = (0.62 - 0.07 * i) * cap.radius
            blot = c.blot(0.3 * cap.radius, inner[1] + 0.06 * cap.radius, size, 0.5 * size, 5, 0.12)
            sheet.shade(blot, change, "flesh", body, 0.1, "flesh.change")
    depth = 0.028 * cap.radius
    rind = c.offset(cap.upper, lambda way: depth * (1 - 0.5 * way))
    rind[-1] = cap.upper[-1]
    sheet.fill(
        c.region(cap.upper, c.back(rind)), mix(main, darker(main, 0.4), 0.35), "cap", "cap.colour", clip=body
    )
    drawn = sheet.line("cap.shape")
    sheet.stroke(c.line(cap.upper), outline_of(main), "cap", "cap.shape", weight=1.5, line=drawn)
    sheet.stroke(
        c.line(cap.under), outline_of(flesh), "flesh", "flesh.colour", weight=0.9, line=SOLID, opacity=0.8
    )
