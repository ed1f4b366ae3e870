"""The invented foray: who walked where on 18 October 2025, with which cameras, and what each picture shows.

Wood, people and makers are invented. Times are true UTC unless said otherwise. Clock offsets follow the program's
rule: true time = written time + offset, the written time read with its own zone tag, or, where there is none, in the
zone of the foray (Europe/London, that day one hour ahead of UTC).
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from functools import lru_cache

import numpy as np

SITE = "Hobbin Shaw"
ORIGIN = (51.8127, -2.5786)  # degrees WGS 84, the gate where they met
START = datetime(2025, 10, 18, 9, 6, 0, tzinfo=UTC)
ZONE = timedelta(hours=1)
HOME = (2150.0, -3320.0)  # metres east and north of the gate
PEOPLE = {
    "Ottilie Marrowgate": ("heron", "aldermoor"),
    "Pell Underbrack": ("fernlight",),
    "Corwin Thistlewade": ("tarnwick",),
}


@dataclass(frozen=True, slots=True)
class CameraBody:
    """One camera: what it writes about itself, how it names files, and how far its clock is out.

    offset_s at START and drift_s_per_h follow: true = written + offset_s + drift_s_per_h * hours since START.
    """

    key: str
    folder: str
    make: str
    model: str
    serial: str | None
    lens: tuple[float, float, float]  # focal length mm, 35 mm equivalent, f-number
    naming: str
    first: int
    offset_s: float
    drift_s_per_h: float
    gps: bool
    zone_tag: bool
    subseconds: bool
    reports_error: bool
    software: str


CAMERAS = {
    c.key: c
    for c in (
        CameraBody(
            "heron",
            "heron-phone",
            "Quillon",
            "Heron 5",
            None,
            (5.6, 26, 1.8),
            "{local:%Y%m%d_%H%M%S}.jpg",
            0,
            0.4,
            0.0,
            True,
            True,
            True,
            True,
            "Heron 5.2.1",
        ),
        CameraBody(
            "aldermoor",
            "aldermoor-camera",
            "Aldermoor Optical",
            "AM-20",
            "AM2004417",
            (60, 90, 4.0),
            "AMR_{n:04d}.JPG",
            9978,
            3647.0,
            1.5,
            False,
            False,
            False,
            False,
            "AM-20 Ver.1.03",
        ),
        CameraBody(
            "fernlight",
            "fernlight-phone",
            "Brackenby",
            "Fernlight 2",
            None,
            (4.4, 27, 1.9),
            "IMG_{n:04d}.JPG",
            2206,
            2.6,
            0.0,
            True,
            True,
            True,
            False,
            "FL2 11.4",
        ),
        CameraBody(
            "tarnwick",
            "tarnwick-compact",
            "TARNWICK",
            "Pocket Z3",
            None,
            (8.1, 38, 3.2),
            "P{n:07d}.JPG",
            1010334,
            -134.0,
            0.3,
            False,
            False,
            False,
            False,
            "Z3 1.00",
        ),
    )
}

# specimen, east, north (metres from the gate), then the pictures: camera letter, view, and what differs.
# h heron phone, a Aldermoor camera, f Fernlight phone, t Tarnwick compact. "|" ends a visit; "+n" waits n seconds.
LETTER = {"h": "heron", "a": "aldermoor", "f": "fernlight", "t": "tarnwick"}
WALK: list[tuple[str, float, float, str]] = [
    ("sign", 4, 6, "h:sign"),
    ("people", 12, 20, "f:people.0"),
    ("habitat", 60, 70, "t:habitat.0"),
    ("S13", 118, 96, "t:in-place h:oblique a:in-place a:oblique"),
    ("S06", 176, 152, "a:in-place h:above a:side h:under a:close h:section"),
    ("S07", 204, 158, "a:in-place h:above a:side h:under a:section"),
    ("boots", 206, 160, "f:boots.0"),
    ("S14", 232, 205, "h:in-place a:oblique a:side h:under f:above"),
    ("habitat", 180, 190, "t:habitat.3"),
    ("S13", 126, 104, "h:above a:side h:low a:under a:base h:slip"),
    ("S09", 262, 268, "a:in-place h:above a:side.p h:under a:section t:in-place"),
    ("S10", 296, 290, "t:in-place t:low t:oblique f:in-place f:low"),
    ("habitat", 300, 300, "f:habitat.1"),
    ("S08", 352, 310, "h:in-place a:oblique h:side a:above h:under a:section"),
    (
        "S04+S05",
        398,
        352,
        (
            "h4:in-place a4:oblique h5:in-place a5:oblique a4:side a5:side h4:above h5:above h4:under a4:base "
            "h5:under a5:base f5:in-place f4:oblique h4:slip h5:slip"
        ),
    ),
    ("boots", 400, 356, "t:boots.1"),
    ("people", 404, 360, "t:people.1"),
    ("S12", 430, 318, "h:in-place h:above a:side h:under t:oblique"),
    ("S01", 466, 262, "h:in-place a:in-place h:above a:side.p h:slip a:dug h:dug a:base h:under a:section"),
    ("S11", 478, 250, "h:in-place a:oblique h:section a:scale"),
    ("S02", 402, 176, "f:in-place f:above t:oblique f:side t:side"),
    ("S03", 394, 170, "a:in-place h:above a:side.p h:under a:close h:base a:section"),
    ("people", 300, 96, "h:people.2"),
    ("habitat", 240, 60, "a:habitat.2"),
]
LINGER = {("S13", "habitat"): 300.0}  # a pot of tea before they looked again
BENCH: list[tuple[int, str, str, str]] = [
    # minute after START, camera letter, specimen (or several), picture
    (486, "h", "", "table.all"),
    (489, "h", "S09", "section.S09"),
    (493, "h", "S03", "section.S03"),
    (497, "h", "S04", "pair.S04"),
    (631, "h", "S01", "print.S01"),
    (633, "h", "S03", "print.S03"),
    (634, "h", "S04", "print.S04"),
    (636, "h", "S05", "print.S05"),
    (648, "h", "S04", "micro.S04"),
    (655, "h", "S01", "micro.S01"),
]
PART = {
    "in-place": "whole fruit body in place",
    "oblique": "cap and stem, oblique",
    "above": "cap from above",
    "side": "side view, stem",
    "low": "side view from below",
    "under": "underside square on",
    "close": "gill attachment",
    "base": "base of the stem",
    "dug": "base dug out",
    "section": "lengthwise section",
    "scale": "whole fruit body with ruler",
    "slip": "number slip with the find",
    "table": "finds on the bench",
    "pair": "two finds side by side with ruler",
    "print": "spore print",
    "micro": "spores with scale bar",
    "boots": "",
    "people": "",
    "habitat": "",
    "sign": "",
}
KIND = {"boots": "people", "people": "people", "habitat": "habitat", "sign": "sign"}
NUMBER = {f"S{i:02d}": f"OM {60 + i}" for i in range(1, 15)}
STALE = ("S10", 0)  # the first Fernlight picture at the bracket still carries the fix of the stop before
ZERO = "people.0"  # the first Fernlight picture, taken before the receiver had a fix


@dataclass(frozen=True, slots=True)
class Shot:
    """One picture: where it is kept, what it shows, and what is true about it."""

    path: str
    specimen: str
    kind: str
    view: str
    part: str
    camera: str
    true: datetime
    east: float
    north: float
    lat: float
    lon: float
    written: datetime  # as the camera writes it: local time of the zone of the foray, no zone
    fix: tuple[float, float, float, datetime] | None  # lat, lon, reported error m, UTC of the fix
    fix_kind: str
    portrait: bool
    azimuth: float
    seed: int
    same_as: str


def on_earth(east: float, north: float) -> tuple[float, float]:
    """Degrees of a place some metres from the gate (WGS 84 radii of curvature at the gate)."""
    a, e2 = 6378137.0, 0.0066943799901413165
    phi = np.radians(ORIGIN[0])
    w = np.sqrt(1 - e2 * np.sin(phi) ** 2)
    lat = ORIGIN[0] + np.degrees(north / (a * (1 - e2) / w**3))
    lon = ORIGIN[1] + np.degrees(east / (a / w * np.cos(phi)))
    return float(lat), float(lon)


class _Drift:
    """Position error of one receiver under trees: a first-order Gauss-Markov walk plus a little white noise.

    Root mean square about 7.5 m, within the 5.0 to 11.5 m measured with phones in mixed forest in leaf
    (Tomastik et al., Forestry 90:187-198, 2017); correlation time 150 s is our own choice.
    """

    def __init__(self, seed: int, sigma: float = 5.2, memory: float = 150.0) -> None:
        self.rng = np.random.default_rng(seed)
        self.sigma, self.memory = sigma, memory
        self.at: float | None = None
        self.error = self.rng.normal(0, sigma, 2)

    def sample(self, seconds: float) -> tuple[float, float, float]:
        if self.at is not None:
            k = np.exp(-abs(seconds - self.at) / self.memory)
            self.error = self.error * k + self.rng.normal(0, self.sigma * np.sqrt(1 - k * k), 2)
        self.at = seconds
        e = self.error + self.rng.normal(0, 0.8, 2)
        stated = float(np.clip(abs(self.rng.normal(7.5, 2.0)) + 0.25 * np.hypot(*e), 3.5, 22))
        return float(e[0]), float(e[1]), round(stated, 1)


def _visits() -> list[tuple[str, str, str, float, float, float]]:
    """(subject, camera, view, seconds after START, east, north) for every picture of the day."""
    rng = np.random.default_rng(20251018)
    out = []
    clock, here = 0.0, (0.0, 0.0)
    for subject, east, north, pictures in WALK:
        distance = float(np.hypot(east - here[0], north - here[1]))
        clock += distance * 1.25 / 0.75 + float(rng.uniform(55, 150)) * (
            1 if subject.startswith("S") else 0.5
        )
        clock += LINGER.get((subject, out[-1][0] if out else ""), 0.0)
        here = (east, north)
        for entry in pictures.split():
            who, view = entry.split(":")
            name = subject
            if "+" in subject:
                name = "S04" if who[1] == "4" else "S05"
            clock += float(rng.uniform(9, 34)) + (45 if view in ("dug", "section", "base") else 0)
            spot = (east + (1.1 if name == "S05" else 0), north)
            out.append(
                (
                    name,
                    LETTER[who[0]],
                    view,
                    clock,
                    spot[0] + float(rng.normal(0, 0.6)),
                    spot[1] + float(rng.normal(0, 0.6)),
                )
            )
    for minute, who, subject, view in BENCH:
        seconds = minute * 60 + float(rng.uniform(0, 40))
        out.append(
            (
                subject,
                LETTER[who],
                view,
                seconds,
                HOME[0] + float(rng.normal(0, 0.5)),
                HOME[1] + float(rng.normal(0, 0.5)),
            )
        )
    return out


@lru_cache(maxsize=1)
def shots() -> tuple[Shot, ...]:
    """Every picture of the foray in true order of time."""
    drift = {"heron": _Drift(71), "fernlight": _Drift(72, 5.6)}
    last_fix: dict[str, tuple[float, float, float, datetime]] = {}
    counters = {k: c.first for k, c in CAMERAS.items()}
    seen_first: dict[str, str] = {}
    out = []
    stale_left = 1
    for i, (subject, key, view, seconds, east, north) in enumerate(sorted(_visits(), key=lambda v: v[3])):
        camera = CAMERAS[key]
        rng = np.random.default_rng(9000 + i)
        true = START + timedelta(seconds=round(seconds, 3))
        wrong = camera.offset_s + camera.drift_s_per_h * seconds / 3600
        written = (true + ZONE - timedelta(seconds=wrong)).replace(tzinfo=None)
        if not camera.subseconds:
            written = written.replace(microsecond=0)
        else:
            written = written.replace(microsecond=written.microsecond // 1000 * 1000)
        name = camera.naming.format(local=written, n=counters[key])
        if key != "heron":
            counters[key] += 1
            if key == "aldermoor" and counters[key] > 9999:
                counters[key] = 1
        path = f"{camera.folder}/{name}"
        lat, lon = on_earth(east, north)
        fix, fix_kind = None, "none"
        base_view = view.split(".")[0]
        at_home = seconds > 400 * 60
        if camera.gps:
            ex, ey, stated = drift[key].sample(seconds)
            if at_home:
                ex, ey, stated = ex * 0.7, ey * 0.7, max(stated, 12.0)
            flat, flon = on_earth(east + ex, north + ey)
            stamp = (true - timedelta(seconds=float(rng.uniform(0.1, 1.4)))).replace(microsecond=0)
            fix, fix_kind = (flat, flon, stated, stamp), "live"
            if view == ZERO:
                fix, fix_kind = (0.0, 0.0, 0.0, stamp), "zero"
            elif subject == STALE[0] and key == "fernlight" and stale_left:
                fix, fix_kind = last_fix[key], "stale"
                stale_left = 0
            if fix_kind == "live":
                last_fix[key] = fix
        kind = KIND.get(base_view, "bench" if at_home else "slip" if base_view == "slip" else "specimen")
        specimen = subject if subject.startswith("S") and kind not in ("people", "habitat", "sign") else ""
        first = seen_first.setdefault(specimen, path) if specimen else ""
        earlier_visit = bool(specimen) and (at_home or (subject == "S13" and i > 20))
        out.append(
            Shot(
                path,
                specimen,
                kind,
                view,
                PART[base_view],
                key,
                true,
                east,
                north,
                lat,
                lon,
                written,
                fix,
                fix_kind,
                view.endswith(".p"),
                float(rng.uniform(-24, 24)),
                7000 + i,
                first if earlier_visit and first != path else "",
            )
        )
    return tuple(out)


def track() -> list[tuple[datetime, float, float, float]]:
    """The walk as a handheld receiver logged it: (UTC, lat, lon, height m) every ten seconds; it lost its fix once."""
    visits = [v for v in sorted(_visits(), key=lambda v: v[3]) if v[3] < 400 * 60]
    times = np.array([-240.0, 0.0, *[v[3] for v in visits], visits[-1][3] + 700])
    east = np.array([-6.0, 0.0, *[v[4] for v in visits], 3.0])
    north = np.array([-4.0, 0.0, *[v[5] for v in visits], -2.0])
    drift = _Drift(79, 3.2, 90.0)
    out = []
    for s in np.arange(-240.0, times[-1], 10.0):
        ex, ey, _ = drift.sample(float(s))
        if 6130 < s < 6420:
            continue
        e, n = float(np.interp(s, times, east)), float(np.interp(s, times, north))
        lat, lon = on_earth(e + ex, n + ey)
        out.append(
            (
                START + timedelta(seconds=float(s)),
                lat,
                lon,
                96 + 0.045 * n + 0.02 * e + float(drift.rng.normal(0, 1.5)),
            )
        )
    return out
