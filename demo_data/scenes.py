"""What stands before the lens: for every subject of the foray its setups, and the views a photographer takes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from demo_data import species as sp
from demo_data.renderer import foliage, grounds, props
from demo_data.renderer.bodies import Body, solids
from demo_data.renderer.march import Camera, Light, Scene
from demo_data.renderer.noise import F, cloud, ease, look, mix
from demo_data.renderer.solids import Frame, Solid, rotation, standing

Standing = tuple[Body, float, float, float, float, float, float]  # body, x, y, z, lean, towards, spin


@dataclass(frozen=True, slots=True)
class Subject:
    """One specimen: its fruit bodies, its ground, the height of what matters and its width (cm)."""

    bodies: tuple[Standing, ...]
    ground: Callable[[], grounds.Relief]
    tall: float
    wide: float
    extra: Callable[[], list[Solid]] | None = None
    wood: int = 1
    warm: float = 0.0
    handled: Body | None = None
    length: float | None = None


def beech() -> grounds.Relief:
    return grounds.litter(101, ("beech", "beech", "beech", "birch"))


def beech_moss() -> grounds.Relief:
    return grounds.litter(103, ("beech", "oak", "birch"), 0.42)


def oak() -> grounds.Relief:
    return grounds.litter(105, ("oak", "oak", "hazel", "birch"))


def moss() -> grounds.Relief:
    return grounds.moss(107)


def turf() -> grounds.Relief:
    return grounds.turf(109)


LOG_R, LOG_Y = 9.0, 1.5


def _log(seed: int = 401, mossy: float = 0.7) -> list[Solid]:
    lying = Frame(
        np.array([0, LOG_Y, 0], np.float32), np.array([[0, 1, 0], [-1, 0, 0], [0, 0, 1]], np.float32)
    )
    return [props.log(lying, LOG_R, 90, seed, mossy)]


def _stump(seed: int = 411) -> list[Solid]:
    return [props.log(standing(0, -2, -6, spin=20), 13, 16, seed, 0.55)]


def _on_log(body: Body, x: float, angle: float, size: float, seed: int, lean: float = 0.55) -> Standing:
    a = np.radians(angle)
    y, z = LOG_Y + (LOG_R - 0.35) * float(np.cos(a)), (LOG_R - 0.35) * float(np.sin(a))
    return (body.sized(size, seed), x, y, z, angle * lean + 4, 90 + x * 6, seed * 47.0)


def _tuft(body: Body, spots: list[tuple[float, float, float]], seed: int) -> tuple[Standing, ...]:
    return tuple(_on_log(body, x, a, s, seed + i) for i, (x, a, s) in enumerate(spots))


def _around(
    body: Body, y: float, spots: list[tuple[float, float, float]], seed: int, lean: float = 8
) -> tuple[Standing, ...]:
    out = []
    for i, (x, z, s) in enumerate(spots):
        away = float(np.degrees(np.arctan2(z, x)))
        out.append((body.sized(s, seed + i), x, y, z, lean * (0.6 + 0.3 * i), away, 67.0 * i))
    return tuple(out)


def _bracket() -> list[Solid]:
    trunk = props.log(standing(0, 30, -15.5, spin=40), 16, 130, 421, 0.25, "5d5348")
    shelf = props.bracket(
        Frame(np.array([0, 30, -0.6], np.float32), np.eye(3, dtype=np.float32)).then(
            (0, 0, 0), rotation((1, 0, 0), 9)
        ),
        8.5,
        431,
    )
    small = props.bracket(
        Frame(np.array([-5.5, 20.5, -1.6], np.float32), np.eye(3, dtype=np.float32)).then(
            (0, 0, 0), rotation((1, 0, 0), 7)
        ),
        4.6,
        433,
    )
    return [trunk, shelf, small]


def _egg() -> list[Solid]:
    return [props.egg(standing(0, -0.5, 0, 6, 30), 441)]


A, G = sp.AMANITA, sp.AGARICUS
SUBJECTS: dict[str, Subject] = {
    "S01": Subject(
        ((A, 0, -0.9, 0, 3, 200, 0), (sp.AMANITA_BUTTON, -5.2, -0.4, 1.5, 5, 160, 50)),
        beech,
        10.5,
        13,
        wood=1,
    ),
    "S02": Subject(((A.sized(0.9, 13), 0, -1.9, 0, 6, 20, 120),), beech_moss, 8.5, 11, wood=2),
    "S03": Subject(
        ((G, 0, -0.3, 0, 4, 120, 0), (G.sized(0.62, 27), 6.2, -0.3, 2.0, 10, 20, 80)),
        beech_moss,
        8.8,
        15,
        wood=2,
        warm=0.2,
    ),
    "S04": Subject(
        _tuft(
            sp.GALERINA,
            [
                (-1.6, 8, 1.0),
                (0.4, 16, 1.12),
                (2.3, 10, 0.9),
                (0.9, 30, 0.75),
                (-2.6, 26, 0.8),
                (3.6, 24, 0.66),
                (-0.6, 38, 0.55),
            ],
            31,
        ),
        beech_moss,
        4.6,
        11,
        _log,
        wood=3,
    ),
    "S05": Subject(
        _tuft(
            sp.KUEHNEROMYCES,
            [
                (-2.6, 6, 0.95),
                (0.0, 4, 1.1),
                (2.8, 8, 1.0),
                (1.2, 24, 0.92),
                (-1.8, 24, 1.0),
                (4.2, 24, 0.8),
                (-4.2, 24, 0.75),
                (-0.2, 42, 0.75),
                (2.9, 42, 0.62),
            ],
            37,
        ),
        beech_moss,
        5.6,
        14,
        _log,
        wood=3,
        warm=0.1,
    ),
    "S06": Subject(
        _around(sp.CHANTERELLE, 0.1, [(0, 0, 1), (5.0, -1.6, 0.8), (-4.0, 2.4, 0.6)], 41, 9),
        moss,
        6.2,
        14,
        wood=4,
    ),
    "S07": Subject(
        _around(sp.FALSE_CHANTERELLE, 0.1, [(0, 0, 1), (4.6, 1.0, 0.75), (-3.4, -2.5, 0.85)], 43, 8),
        moss,
        5.4,
        12,
        wood=5,
        warm=0.1,
    ),
    "S08": Subject(
        _around(
            sp.OMPHALOTUS,
            5.4,
            [(0.2, -1.5, 1), (-5.4, 0.6, 0.8), (5.6, 1.0, 0.76), (2.4, 5.0, 0.6), (-2.4, 5.2, 0.66)],
            47,
            12,
        ),
        oak,
        9.5,
        20,
        _stump,
        wood=6,
        warm=0.2,
    ),
    "S09": Subject(((sp.BOLETE, 0, 0, 0, 4, 250, 0),), oak, 10.2, 14, wood=7),
    "S10": Subject((), oak, 30, 22, _bracket, wood=8),
    "S11": Subject((), beech, 3.6, 8, _egg, wood=1, warm=0.1),
    "S12": Subject(((sp.RUSSULA, 0, 0.1, 0, 5, 60, -50),), beech_moss, 6.0, 11, wood=2),
    "S13": Subject(
        ((sp.FLY_AGARIC, 0, -0.3, 0, 4, 200, 0), (sp.FLY_BUTTON, -6.4, -0.2, 2.2, 4, 120, 40)),
        turf,
        10.4,
        17,
        wood=9,
        warm=0.2,
    ),
    "S14": Subject(
        _around(sp.LACCARIA, 0.2, [(0, 0, 1), (2.9, 0.8, 0.82), (-2.6, 1.4, 0.7), (1.0, 2.6, 0.55)], 71, 8),
        moss,
        6.8,
        10,
        wood=5,
    ),
}


def _length(body: Body) -> float:
    if body.vase is not None:
        return max(y for _, y in body.vase)
    return body.stem.outline[-1][0]


def _radius(body: Body) -> float:
    return body.cap.radius if body.vase is None else max(r for r, _ in body.vase)


def _foot(body: Body) -> tuple[float, float]:
    """Lowest point and widest radius of the base."""
    if body.volva:
        return body.volva.bottom, body.volva.radius
    low, r = body.stem.outline[0]
    return low - 0.5 * r, max(r for _, r in body.stem.outline)


def _flat(body: Body) -> Body:
    """The body made straight in the plane of the cut, as somebody who cuts it lays it."""
    return replace(
        body,
        stem=replace(body.stem, bend=(0.0, body.stem.bend[0]), soil=body.stem.soil * 0.5),
        cap=replace(body.cap, tilt=3, towards=90),
    )


def in_place(s: Subject) -> list[Solid]:
    out: list[Solid] = list(s.extra()) if s.extra else []
    for body, x, y, z, lean, towards, spin in s.bodies:
        out += solids(body, standing(x, y, z, lean, towards, spin))
    return out


def lying(body: Body, x: float = 0, z: float = 0, level: float = 0.2, turn: float = 0) -> list[Solid]:
    """Laid on its side, base towards -x."""
    length, radius = _length(body), _radius(body)
    wide = _foot(body)[1]
    b = np.arcsin(min(0.8, (radius * 0.82 - wide) / length)) if radius * 0.82 > wide else 0.0
    axis = np.array([np.cos(b), np.sin(b), 0])
    side = np.array([np.sin(b), -np.cos(b), 0])
    m = np.stack([side, axis, np.cross(side, axis)], axis=1)
    frame = Frame(
        np.array([x - length * 0.45, level + wide * 0.85, z], np.float32),
        (rotation((0, 1, 0), turn) @ m).astype(np.float32),
    )
    if turn:
        start = rotation((0, 1, 0), turn) @ np.array([-length * 0.45, 0, 0], np.float32)
        frame = Frame(np.array([x + start[0], level + wide * 0.85, z + start[2]], np.float32), frame.turn)
    return list(solids(body, frame))


def upturned(body: Body, level: float = 0.2) -> list[Solid]:
    """Upside down on its cap, gills to the sky."""
    m = rotation((1, 0, 0), 163)
    apex = np.array(
        [
            body.stem.bend[0],
            _length(body) + (-0.6 if body.vase is not None else body.cap.height * 0.55),
            body.stem.bend[1],
        ]
    )
    at = np.array([0, level + _radius(body) * 0.3, 0]) - m @ apex
    return list(solids(body, Frame(at.astype(np.float32), m)))


def halved(body: Body, x: float = 0, z: float = 0, level: float = 0.2, turn: float = 0) -> list[Solid]:
    """Half of it, cut face up, base towards the viewer."""
    body = _flat(body)
    m = np.array([[0, 0, -1], [1, 0, 0], [0, -1, 0]], np.float32)
    if turn:
        m = (rotation((0, 1, 0), turn) @ m).astype(np.float32)
    tall = _length(body) + (0 if body.vase is not None else body.cap.height * 0.6)
    start = rotation((0, 1, 0), turn) @ np.array([0, 0, (tall + _foot(body)[0]) * 0.5], np.float32)
    return list(
        solids(
            body,
            Frame(np.array([x + start[0], level + _radius(body) * 0.5, z + start[2]], np.float32), m),
            cut=0,
        )
    )


def _orbit(
    target: tuple[float, float, float],
    azimuth: float,
    elevation: float,
    frame: float,
    view: float = 34,
    aperture: float = 0.5,
    roll: float = 0,
) -> Camera:
    d = frame / 2 / np.tan(np.radians(view / 2))
    a, e = np.radians(azimuth), np.radians(elevation)
    eye = (
        target[0] + d * float(np.cos(e) * np.sin(a)),
        target[1] + d * float(np.sin(e)),
        target[2] + d * float(np.cos(e) * np.cos(a)),
    )
    return Camera(eye, target, view, aperture, roll=roll)


def shot(
    subject: str, view: str, azimuth: float, number: str = "", portrait: bool = False
) -> tuple[Scene, Camera, float]:
    """Scene, camera and exposure of one view of one subject.

    view: in-place, above, oblique, side, under, base, dug, section, scale, slip, pair, close.
    """
    s = SUBJECTS[subject]
    patch = s.ground()
    land = grounds.Land(patch, shift=((s.wood * 0.37) % 1, (s.wood * 0.61) % 1))
    light = Light()
    back = props.far_wood(500 + s.wood, s.warm)
    fog = (420.0, props.HAZE)
    things: list[Solid]
    body = s.handled or (s.bodies[0][0] if s.bodies else None)
    on_wood = s.extra in (_log, _stump)
    lift = {_log: LOG_Y + LOG_R - 0.4, _stump: 6.0}.get(s.extra, 0.0) if s.extra else 0.0
    sides = [x + side * _radius(b) for b, x, *_ in s.bodies for side in (-1, 1)] or [0.0]
    mid = (
        (min(sides) + max(sides)) / 2,
        lift + s.tall * 0.5,
        sum(b[3] for b in s.bodies) / max(len(s.bodies), 1),
    )
    size = max(s.wide * 1.65, s.tall * 1.4) if portrait else max(s.wide * 1.35, s.tall * 1.7)
    if view in ("under", "base", "section", "close", "scale") and body is not None:
        length = _length(body)
        if view == "under":
            things = upturned(body)
            r = _radius(body)
            camera = _orbit((0, 1.2 + r * 0.2, -r * 0.12), azimuth, 64, r * 3.6, aperture=0.35)
        elif view == "close":
            things = upturned(body)
            r = _radius(body)
            camera = _orbit(
                (r * 0.12, 0.9 + r * 0.35, -r * 0.05), azimuth * 0.5 + 14, 58, r * 2.0, aperture=0.3
            )
        elif view == "base":
            things = lying(body, level=0.2 if body.cap.radius > 3 else 0.65, turn=12)
            start = things[-1].frame.origin
            camera = _orbit(
                (float(start[0]) + length * 0.16, 1.3, float(start[2])),
                azimuth * 0.5,
                46,
                max(length * 0.95, 6.0),
                aperture=0.22,
            )
        elif view == "scale":
            things = lying(body, turn=8)
            things.append(props.ruler(standing(0.5, 0.75, 5.6 if body.cap.radius > 2.5 else 3.6, spin=4)))
            camera = _orbit((0.8, 1.0, 1.6), azimuth, 62, max(length * 1.75, 15.5), aperture=0.3)
        else:
            things = halved(body, turn=8)
            camera = _orbit(
                (0, 1.2, 0.2),
                azimuth * 0.6,
                70,
                max((length - _foot(body)[0]) * 1.75, _radius(body) * 3.4),
                aperture=0.3,
            )
    elif view == "dug" and body is not None:
        land = replace(land, dents=((0.0, 0.6, 4.8, 2.9, 1.0), (6.6, 2.2, 2.8, -1.7, 1.0)))
        things = list(solids(body, standing(0, -0.35, 0, 4, 200)))
        camera = _orbit((0.2, 0.5, 0), azimuth, 26, 13.5, aperture=0.4)
    elif subject == "S11" and view in ("section", "scale"):
        m = np.array([[0, 0, -1], [1, 0, 0], [0, -1, 0]], np.float32)
        m = (rotation((0, 1, 0), 14) @ m).astype(np.float32)
        things = [props.egg(Frame(np.array([-0.5, 1.5, 1.8], np.float32), m), 441, True)]
        if view == "scale":
            things.append(props.ruler(standing(0.5, 0.7, 4.6, spin=3)))
        camera = _orbit(
            (0, 1.0, 0.6 if view == "section" else 1.6),
            azimuth,
            66,
            (8.5 if view == "section" else 17),
            aperture=0.3,
        )
    else:
        things = in_place(s)
        elevation = {"in-place": 13, "above": 66, "oblique": 38, "side": 5, "slip": 34, "low": 1.5}[view]
        target = mid
        if view == "in-place":
            size *= 1.4
        if view == "above":
            target = (mid[0], lift + s.tall * 0.75, mid[2])
            size = s.wide * 1.5
        if view == "low":
            target = (mid[0], lift + s.tall * 0.72, mid[2])
            size *= 0.8
        if subject == "S10":
            target = (-1.0, 28, 3)
            elevation = {"in-place": 12, "above": 40, "oblique": 24, "low": -28, "side": 3}[view]
        if view == "slip":
            if on_wood:
                lying_ = standing(mid[0] - s.wide * 0.62 - 1.3, LOG_Y + LOG_R + 0.25, 2.2, 18, 90, 6)
                things.append(props.slip(lying_, [number, "Hobbin Shaw", "18 x 2025"], (5.4, 3.4)))
                target = (mid[0] - s.wide * 0.22, mid[1] - 0.8, 2.0)
            else:
                things.append(
                    props.slip(
                        standing(mid[0] - 2.4, 0.75, 5.6, 12, 90, 8), [number, "Hobbin Shaw", "18 x 2025"]
                    )
                )
                target = (mid[0] - 0.6, s.tall * 0.36, 2.4)
            size *= 1.3
        camera = _orbit(target, azimuth, elevation, size, aperture=0.5 if view != "in-place" else 0.7)
        if subject == "S10" and view == "low":
            light = replace(light, bounce=(0.55, 0.5, 0.42))
    return Scene(things, land, light, back, fog), camera, 0.45 if view == "section" else 0.5


# ---- pictures of no specimen -----------------------------------------------------------------------------------------


def _stand(seed: int, count: int, near: float, deep: float) -> list[Solid]:
    rng = np.random.default_rng(seed)
    out: list[Solid] = []
    for i in range(count):
        d = near + (deep - near) * (i / count) ** 0.8
        a = rng.uniform(-0.52, 0.52)
        r = rng.uniform(9, 26)
        x = d * np.sin(a)
        if abs(x) < 60 + 0.05 * d and d < 900:
            x = np.copysign(60 + 0.1 * d + 40 * rng.random(), x)
        tone = ["6b675a", "777363", "5c584c", "827c6a"][int(rng.integers(4))]
        frame = standing(
            float(x),
            0,
            float(-d),
            float(abs(rng.normal(0, 1.2))),
            float(rng.uniform(0, 360)),
            float(rng.uniform(0, 360)),
        )
        out.append(props.tree(frame, float(r), seed + 10 + i, tone))
    return out


def other(kind: str, variant: int) -> tuple[Scene, Camera, float]:
    """Habitat, people, boots, sign: (scene, camera, exposure)."""
    patch = beech()
    fog = (4600.0, (0.24, 0.235, 0.125))
    back = props.far_wood(540 + variant, 0.35, 1.15, (0.19, 0.185, 0.10))
    if kind == "boots":
        land = grounds.Land(patch)
        things: list[Solid] = list(
            props.boots(0, 0, 10 + 25 * variant, ["4d5a38", "6a4a2c", "394b5e"][variant % 3], 5 + variant)
        )
        return Scene(things, land, Light(), back), Camera((3, 132, 46), (0, 6, -4), 38, 0.5, focus=128), 0.6
    wide = replace(patch, side=120.0)
    land = grounds.Land(wide, tint=_patches(variant))
    light = Light(key=(-0.4, 0.7, -0.5), key_colour=(1.1, 1.0, 0.78))
    leaves = foliage.sprays(630 + variant)
    trees = _stand(600 + variant, 26, 380, 2600)
    if kind == "sign":
        post = Frame(np.array([0, 118, 0], np.float32), rotation((1, 0, 0), 82))
        board = props.sign(
            post,
            "HOBBIN SHAW",
            ["Footpath to Nether Quillow  1 1/2", "Please keep to the rides", "and leave the deadwood"],
        )
        legs = [props.log(standing(x, 50, -3.2), 3.2, 130, 650, 0.1, "5c4a38") for x in (-22, 22)]
        camera = Camera((14, 128, 150), (0, 108, 0), 40, 2.0)
        return Scene([board, *legs, *trees], land, Light(), back, fog, leaves), camera, 0.62
    if kind == "people":
        figures = {
            0: [
                props.person(standing(-40, 0, -230, spin=8), "7a3b2a", "c9a24a", seed=9),
                props.person(standing(70, 0, -330, spin=-6), "3d5a6b", "5a2f3a", seed=19),
            ],
            1: [props.person(standing(0, 0, -120, spin=24), "3d5a6b", "5a2f3a", crouch=True, seed=19)],
            2: [
                props.person(standing(20, 0, -200, spin=-150), "6b7a3a", "394b5e", crouch=True, seed=29),
                props.person(standing(-80, 0, -300, spin=30), "7a3b2a", "c9a24a", seed=9),
            ],
        }[variant % 3]
        camera = Camera(
            (0, 132, 130),
            (0, (84, 62, 88)[variant % 3], -150),
            46,
            1.2,
            focus=330 if variant % 3 != 1 else 250,
        )
        return Scene([*figures, *trees], land, light, back, fog, leaves), camera, 0.66
    extra: list[Solid] = []
    if variant % 3 == 1:
        fallen = Frame(
            np.array([40, 20, -340], np.float32),
            (rotation((0, 1, 0), 25) @ np.array([[0, 1, 0], [-1, 0, 0], [0, 0, 1]], np.float32)).astype(
                np.float32
            ),
        )
        extra = [props.log(fallen, 24, 420, 661, 0.55)]
    camera = Camera((0, 150, 160), (30 * (variant - 1), 120, -400), 56, 0.2)
    return Scene([*extra, *trees], land, light, back, fog, leaves), camera, 0.7


def _patches(seed: int) -> Callable[[F, F], F]:
    field = cloud(700 + seed, 1.6)

    def tint(x: F, z: F) -> F:
        n = look(field, x * np.float32(1 / 900), z * np.float32(1 / 900))
        return mix(np.float32([1.0, 1.0, 1.0]), np.float32([0.75, 1.15, 0.6]), ease(0.5, 0.68, n))

    return tint


def bench(kind: str, variant: str) -> tuple[Scene, Camera, float]:
    """The table at home in the evening: lamp light, ruler, prints, halves."""
    land = grounds.Land(grounds.boards(801))
    light = Light(
        key=(-0.5, 0.8, -0.35),
        key_colour=(1.5, 1.2, 0.85),
        sky=(0.62, 0.56, 0.5),
        bounce=(0.25, 0.18, 0.12),
        softness=4,
    )
    things: list[Solid] = []
    if kind == "print":
        tone, gills, r, label = {
            "S01": ("fbfaf4", 120, 3.6, "OM-2025-061  left 2 h"),
            "S03": ("4a2c22", 150, 4.0, "OM-2025-063"),
            "S04": ("9a5a24", 70, 1.7, "OM-2025-064"),
            "S05": ("7f4a22", 80, 2.2, "OM-2025-065"),
            "S13": ("fbfaf4", 130, 4.2, "OM-2025-073"),
        }[variant]
        things.append(props.print_paper(standing(0, 0.1, 0, spin=5), tone, gills, r, 811, label))
        things.append(props.ruler(standing(1.0, 0.2, r + 3.6, spin=3)))
        things.append(props.disc(standing(-r - 4.0, 0.05, -1.5)))
        camera = _orbit((0, 0, 1.2), 0, 72, max(r * 3.4 + 6.0, 16), aperture=0.3)
    elif kind == "table":
        things += lying(sp.AMANITA, -8.5, -3, 0.05, 75)
        things += lying(sp.AGARICUS, 1.0, -3, 0.05, 78)
        things += lying(sp.BOLETE, 11, -3.5, 0.05, 70)
        things.append(props.ruler(standing(0, 0.2, 8.5, spin=2)))
        for i, x in enumerate((-9, 0.5, 10)):
            things.append(
                props.slip(
                    standing(x, 0.1, 5.0, 0, 0, (4, -5, 7)[i]),
                    [f"OM {(61, 63, 69)[i]}", "18 x 2025"],
                    (4.6, 2.6),
                )
            )
        camera = _orbit((0.8, 1, 0.5), 0, 48, 36, aperture=0.6)
    elif kind == "section":
        body = {
            "S01": sp.AMANITA,
            "S03": sp.AGARICUS,
            "S09": sp.BOLETE,
            "S05": sp.KUEHNEROMYCES,
            "S04": sp.GALERINA,
            "S06": sp.CHANTERELLE,
        }[variant]
        things += halved(body, 0, 0, 0.1, 6)
        r = body.cap.radius
        things.append(props.ruler(standing(r + 3.5, 0.2, 0.5, spin=88)))
        things.append(props.disc(standing(-r - 2.6, 0.05, 3.5)))
        camera = _orbit((0.6, 1, 0.2), 0, 70, max(_length(body) * 1.9, r * 4.6, 16), aperture=0.3)
    else:
        things += lying(sp.GALERINA, -3.4, -1.0, 0.05, 82)
        things += lying(sp.KUEHNEROMYCES, 4.0, -1.2, 0.05, 80)
        things.append(props.ruler(standing(0.3, 0.2, 4.8, spin=1)))
        things.append(props.slip(standing(-4.6, 0.1, -7.6, 0, 0, 4), ["OM 64", "18 x 2025"], (4.6, 2.6)))
        things.append(props.slip(standing(4.2, 0.1, -7.6, 0, 0, -5), ["OM 65", "18 x 2025"], (4.6, 2.6)))
        camera = _orbit((0.2, 0.6, -1.4), 0, 62, 20, aperture=0.35)
    return Scene(things, land, light, None, None), camera, 0.66


def ground_name(subject: str) -> str:
    """Which ground a specimen stands on (pictures on one ground are made by one process)."""
    return SUBJECTS[subject].ground.__name__ if subject in SUBJECTS else ""
