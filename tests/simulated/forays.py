"""Simulated forays with known truth, written from how people behave and not from how the engine thinks.

Nothing here draws "a gap within" and "a gap between". People walk through a wood with finds standing
in patches, at their own pace, with their own shot list: the find in its place, the cap, the side, the
underside, then perhaps the knife comes out for the base, a section, a slip with a number, something
for scale (order and content of the list: the photographing guides in the notes on trade practice,
section 3). Kneeling, digging, cutting, writing, waiting for one's turn, wiping a lens, talking: every
act takes its time. Pictures of the habitat, of people, of a number slip before or after; two finds
photographed in turn; a find shown to the others later; a bench at home in the evening.

Companies: one alone; one with two cameras; a pair who work on the same finds; a led group, where
some gather at a find and some wander off; people who merely share a wood. Receivers err under trees by a
slowly drifting 2 to 12 m (Tomastik et al. 2017), repeat old fixes, jump. Clocks are minutes off, an
hour off (summer time), in another zone, a day off, or stand in the year of a flat battery.

All figures of behaviour are our own guesses at common practice, kept wide on purpose; no source.
"""

from __future__ import annotations

import math
import random
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

from catalog_gui.domain.photo import Camera, Fix, Photo, WrittenTime
from catalog_gui.geo.position import Position

METRES_PER_DEGREE = 111_194.93
NOT_A_FIND = "n"


@dataclass(slots=True)
class Shot:
    """One press of the shutter: true UTC seconds, device index, truth label, true metres east and north."""

    time: float
    device: int
    label: str
    x: float
    y: float


@dataclass(slots=True)
class Style:
    """How one person photographs. Times in s, distances in m, chances between 0 and 1."""

    tempo: float
    shots: float
    knife: float
    slow_act: float
    doubles: float
    slip: float
    habitat: float
    people: float
    pace: float
    search: float
    in_turn: float
    back_again: float
    regular: float
    settle: float  # getting up, going down on one's knees again, finding the frame


@dataclass(slots=True)
class Device:
    """A camera or phone: who carries it, and what is wrong with it. `error` is written minus true, in s."""

    camera: Camera
    owner: int
    phone: bool = False
    fixes: bool = False
    receiver_time: bool = False
    tagged: bool = False
    error: float = 0.0
    drift: float = 0.0
    subseconds: bool = False
    wobble: float = 5.0
    reports_error: bool = True


@dataclass(slots=True)
class Outing:
    """Photos as a card would give them, and the truth about them.

    `label`: photo id -> which find, at which visit (pictures of no find have a label of their own for
    each occasion). `find`: the same without the visit. `time`: true UTC s. `offset`: camera key -> true
    UTC minus written local time, s, in the middle of the day.
    """

    photos: list[Photo]
    label: dict[str, str]
    find: dict[str, str]
    time: dict[str, float]
    offset: dict[str, float]
    hours_off: dict[str, int]
    overlap: dict[str, float]
    time_zone: str


def style(rng: random.Random, *, easy: bool = False) -> Style:
    """A person, drawn anew for each outing."""
    if easy:
        return Style(
            tempo=rng.uniform(4, 9), shots=rng.uniform(3, 6), knife=0.15, slow_act=rng.uniform(10, 25),
            doubles=0.1, slip=0.0, habitat=0.03, people=0.01, pace=rng.uniform(0.5, 0.9),
            search=rng.uniform(80, 200), in_turn=0.0, back_again=0.0, regular=rng.uniform(0.3, 0.5),
            settle=rng.uniform(10, 20),
        )  # fmt: skip
    return Style(
        tempo=math.exp(rng.uniform(math.log(3.5), math.log(20))),
        shots=rng.uniform(2.2, 9.0),
        knife=rng.uniform(0.1, 0.7),
        slow_act=math.exp(rng.uniform(math.log(12), math.log(60))),
        doubles=rng.choice([0.02, 0.1, 0.4]),
        slip=rng.choice([0.0, 0.0, 0.5, 0.95]),
        habitat=rng.uniform(0.02, 0.2),
        people=rng.uniform(0.0, 0.06),
        pace=rng.uniform(0.25, 0.9),
        search=math.exp(rng.uniform(math.log(30), math.log(200))),
        in_turn=rng.choice([0.0, 0.02, 0.06]),
        back_again=rng.choice([0.0, 0.03, 0.08]),
        regular=rng.uniform(0.25, 0.7),
        settle=math.exp(rng.uniform(math.log(8), math.log(30))),
    )


class Wood:
    """Finds in patches: a patch every 20 to 60 m, one to five finds within a few metres of each other."""

    def __init__(self, rng: random.Random, *, patchy: float, size: float = 700.0) -> None:
        self.rng = rng
        self.finds: list[tuple[float, float]] = []
        spacing = rng.uniform(20, 55)
        for _ in range(int((size / spacing) ** 2)):
            x, y = rng.uniform(0, size), rng.uniform(0, size)
            many = 1 + (rng.randint(1, 4) if rng.random() < patchy else 0)
            spread = rng.uniform(1.5, 8.0)
            self.finds.extend((x + rng.gauss(0, spread), y + rng.gauss(0, spread)) for _ in range(many))
        self.seen: set[int] = set()

    def next_find(self, x: float, y: float, heading: float) -> int | None:
        """The find somebody notices next: near, roughly ahead, not seen before."""
        best, best_cost = None, math.inf
        for index, (fx, fy) in enumerate(self.finds):
            if index in self.seen:
                continue
            far = math.hypot(fx - x, fy - y)
            if far > 180:
                continue
            turn = abs((math.atan2(fy - y, fx - x) - heading + math.pi) % (2 * math.pi) - math.pi)
            cost = far * (1 + 0.5 * turn) * self.rng.uniform(0.6, 1.8) + 2
            if cost < best_cost:
                best, best_cost = index, cost
        return best


class Person:
    """Somebody with one or more devices, walking on her own clock."""

    def __init__(self, rng: random.Random, who: int, how: Style, devices: list[int], start: float) -> None:
        self.rng, self.who, self.how, self.devices = rng, who, how, devices
        self.now = start
        self.x, self.y, self.heading = 350.0 + rng.gauss(0, 5), 350.0 + rng.gauss(0, 5), rng.uniform(-3, 3)
        self.in_hand = devices[0]
        self.visits: dict[str, int] = {}
        self.asides = 0

    def takes(self, median: float, spread: float | None = None) -> float:
        """How long an act takes: skewed, never nothing."""
        return max(
            0.4, self.rng.lognormvariate(math.log(median), self.how.regular if spread is None else spread)
        )

    def press(self, shots: list[Shot], label: str) -> None:
        if len(self.devices) > 1 and self.rng.random() < 0.22:
            self.in_hand = self.rng.choice([d for d in self.devices if d != self.in_hand])
            self.now += self.takes(6.0)
        shots.append(Shot(self.now, self.in_hand, label, self.x, self.y))
        while self.rng.random() < self.how.doubles:
            self.now += self.rng.uniform(0.3, 1.6)
            shots.append(Shot(self.now, self.in_hand, label, self.x, self.y))

    def visit(self, name: str) -> str:
        self.visits[name] = self.visits.get(name, 0) + 1
        return f"{name}/{self.who}.{self.visits[name]}" if self.visits[name] > 1 else name

    def shot_list(self) -> list[str]:
        """Acts at one find, as she likes them."""
        want = max(1, round(self.rng.gammavariate(3.0, self.how.shots / 3.0)))
        acts = ["place", "cap", "side", "under", "base", "section", "scale", "again", "close"]
        chosen = [acts[i % len(acts)] for i in range(want)]
        if self.rng.random() > self.how.knife:
            chosen = ["again" if a in ("base", "section") else a for a in chosen]
        if self.rng.random() < self.how.slip:
            chosen.insert(0 if self.rng.random() < 0.5 else len(chosen), "slip")
        return chosen

    def photograph(self, shots: list[Shot], label: str, acts: list[str] | None = None) -> None:
        for number, act in enumerate(acts if acts is not None else self.shot_list()):
            if act == "base":
                self.now += self.takes(self.how.slow_act * 1.3, 0.5)
            elif act in ("section", "slip"):
                self.now += self.takes(self.how.slow_act, 0.5)
            elif number:
                self.now += self.takes(self.how.tempo)
                if self.rng.random() < 0.03:
                    self.now += self.takes(30, 0.6)  # a hair on the lens, a word with somebody
            self.x += self.rng.gauss(0, 0.3)
            self.y += self.rng.gauss(0, 0.3)
            self.press(shots, label)

    def walk(self, x: float, y: float, *, searching: bool = True) -> None:
        far = math.hypot(x - self.x, y - self.y)
        if far > 0.5:
            self.heading = math.atan2(y - self.y, x - self.x)
        spent = far / self.how.pace + self.takes(self.how.settle, 0.4)
        if searching:
            near = min(1.0, far / 25.0)
            spent += self.takes(self.how.search * (0.15 + 0.85 * near), 0.7) * (0.3 + 0.7 * near)
        self.now += spent
        self.x, self.y = x + self.rng.gauss(0, 0.6), y + self.rng.gauss(0, 0.6)

    def aside(self, shots: list[Shot]) -> None:
        """A picture of no find: the wood, the people."""
        self.asides += 1
        label = f"{NOT_A_FIND}{self.who}.{self.asides}"
        for number in range(1 if self.rng.random() < 0.7 else 2):
            if number:
                self.now += self.takes(self.how.tempo)
            self.press(shots, label)
        self.now += self.takes(self.how.tempo)

    def roam(self, wood: Wood, shots: list[Shot], until: float) -> None:
        """Alone: find, photograph, wander on."""
        remembered: list[int] = []
        while self.now < until:
            if self.rng.random() < self.how.habitat + self.how.people:
                self.now += self.takes(15, 0.6)
                self.x += self.rng.gauss(0, 8)
                self.y += self.rng.gauss(0, 8)
                self.aside(shots)
            if remembered and self.rng.random() < self.how.back_again:
                again = self.rng.choice(remembered)
                self.walk(*wood.finds[again], searching=False)
                self.photograph(shots, self.visit(f"f{again}"), self.shot_list()[:3])
                continue
            found = wood.next_find(self.x, self.y, self.heading)
            if found is None:
                break
            wood.seen.add(found)
            self.walk(*wood.finds[found])
            beside = next(
                (
                    i
                    for i, f in enumerate(wood.finds)
                    if i not in wood.seen and math.dist(f, wood.finds[found]) < 5
                ),
                None,
            )
            if beside is not None and self.rng.random() < self.how.in_turn * 4:
                wood.seen.add(beside)
                for turn in range(2):
                    for one in (found, beside):
                        self.now += self.takes(0.6 * self.how.settle, 0.4)
                        self.photograph(
                            shots, f"f{one}" if turn == 0 else f"f{one}/t{turn}", self.shot_list()[:3]
                        )
            else:
                self.photograph(shots, self.visit(f"f{found}"))
            remembered.append(found)


def led(
    people: list[Person],
    wood: Wood,
    shots: list[Shot],
    until: float,
    rng: random.Random,
    *,
    close: float,
    stray: float,
) -> None:
    """A company that keeps together: at each find some photograph it, at once or in turn, some look nearby.

    `close` is the chance that somebody photographs the find of the moment, `stray` that one who doesn't has
    found something near by instead.
    """
    leader = people[0]
    while leader.now < until:
        found = wood.next_find(leader.x, leader.y, leader.heading)
        if found is None:
            return
        wood.seen.add(found)
        leader.walk(*wood.finds[found])
        arrival = leader.now
        queue = arrival
        label = f"f{found}"
        order = people[:]
        rng.shuffle(order)
        for person in order:
            person.x = wood.finds[found][0] + rng.gauss(0, 1.2)
            person.y = wood.finds[found][1] + rng.gauss(0, 1.2)
            lag = person.takes(15, 0.8)
            if rng.random() < close:
                in_turn = rng.random() < 0.2 and queue - arrival < 150  # nobody waits for ever
                person.now = max(person.now, (queue if in_turn else arrival) + lag)
                person.photograph(shots, label)
                if in_turn:
                    queue = person.now
                if rng.random() < person.how.habitat + person.how.people:
                    person.now += person.takes(12)
                    person.aside(shots)
            elif rng.random() < stray:
                person.now = max(person.now, arrival + lag)
                own = wood.next_find(person.x, person.y, rng.uniform(-3, 3))
                if own is not None and math.dist(wood.finds[own], (person.x, person.y)) < 35:
                    wood.seen.add(own)
                    person.walk(*wood.finds[own])
                    person.photograph(shots, f"f{own}")
        end = max(p.now for p in people)
        leave = sorted(p.now for p in people)[len(people) // 2] if rng.random() < 0.5 else end
        for person in people:
            person.now = max(person.now, leave)
            person.x, person.y = leader.x, leader.y
        leader.now = max(leader.now, leave)


def bench(person: Person, shots: list[Shot], labels: list[str], start: float, rng: random.Random) -> None:
    """At home in the evening: the day's finds again, one after another, on one table."""
    person.now = max(start, person.now + 3600)
    person.x, person.y = -9000.0, 4000.0
    for label in labels:
        person.photograph(
            shots, f"{label}/b", ["cap", *["section"] * rng.randint(1, 3), "scale"][: rng.randint(2, 5)]
        )
        person.now += person.takes(45, 0.6)


def clock_error(rng: random.Random) -> float:
    """Written minus true, zone aside: what cameras that nobody set for a while show."""
    small = rng.gauss(0, 25) if rng.random() < 0.4 else rng.gauss(0, 180)
    kind = rng.random()
    if kind < 0.45:
        return small
    if kind < 0.80:
        return small + 3600.0 * rng.choice([-1, 1])
    if kind < 0.90:
        return small + 3600.0 * rng.choice([-6, -5, -2, 2, 3, 7, 9])
    if kind < 0.96:
        return small + 86400.0 * rng.choice([-1, 1]) + (3600.0 if rng.random() < 0.3 else 0.0)
    return small - rng.uniform(3 * 365, 24 * 365) * 86400.0


@dataclass(slots=True)
class _Receiver:
    """A receiver's slowly drifting error, its habit of repeating fixes, and its rare jumps."""

    rng: random.Random
    wobble: float
    x: float = 0.0
    y: float = 0.0
    last: float = -1e9
    fix: tuple[float, float, float] | None = None  # x, y, time

    def read(self, t: float, x: float, y: float) -> tuple[float, float, float, float]:
        """(x, y, reported error, time of the fix)."""
        keep = math.exp(-(t - self.last) / 90.0) if self.last > -1e8 else 0.0
        fresh = self.wobble / math.sqrt(2) * math.sqrt(1 - keep * keep)
        self.x = self.x * keep + self.rng.gauss(0, fresh)
        self.y = self.y * keep + self.rng.gauss(0, fresh)
        self.last = t
        reported = max(3.0, self.wobble * self.rng.lognormvariate(0, 0.35))
        if self.fix is not None and t - self.fix[2] < 25 and self.rng.random() < 0.45:
            return self.fix[0], self.fix[1], reported, self.fix[2]
        if self.fix is not None and self.rng.random() < 0.015:
            return self.fix[0], self.fix[1], reported * 2, self.fix[2]
        if self.rng.random() < 0.004:
            return x + self.rng.gauss(0, 400), y + self.rng.gauss(0, 400), reported * 3, t
        seen = x + self.x + self.rng.gauss(0, 0.7), y + self.y + self.rng.gauss(0, 0.7)
        self.fix = (*seen, t - self.rng.uniform(0, 2))
        return *seen, reported, self.fix[2]


def develop(shots: list[Shot], devices: list[Device], rng: random.Random, zone: str, day: datetime) -> Outing:
    """Turn shots into photos: files, counters, written times, fixes."""
    place = ZoneInfo(zone)
    utc_offset = day.replace(tzinfo=place).utcoffset()
    assert utc_offset is not None
    shots.sort(key=lambda s: (s.time, s.device))
    middle = shots[len(shots) // 2].time if shots else 0.0
    receivers = [_Receiver(rng, d.wobble) for d in devices]
    counters = [rng.randint(1, 9999) for _ in devices]
    outing = Outing([], {}, {}, {}, {}, {}, {}, zone)
    origin = (rng.uniform(44, 60), rng.uniform(-8, 25))
    by_device: dict[int, list[float]] = {}
    for shot in shots:
        device = devices[shot.device]
        counters[shot.device] = counters[shot.device] % 9999 + (2 if rng.random() < 0.04 else 1)
        number = counters[shot.device]
        wrong = device.error + device.drift * (shot.time - middle) / 86400.0
        local = datetime.fromtimestamp(shot.time + utc_offset.total_seconds() + wrong, UTC).replace(
            tzinfo=None
        )
        if not device.subseconds:
            local = local.replace(microsecond=0)
        fix = None
        if device.fixes and rng.random() < 0.97:
            x, y, error, when = receivers[shot.device].read(shot.time, shot.x, shot.y)
            fix = Fix(
                Position(
                    origin[0] + y / METRES_PER_DEGREE,
                    origin[1] + x / (METRES_PER_DEGREE * math.cos(math.radians(origin[0]))),
                ),
                error_m=round(error, 1) if device.reports_error else None,
                satellite_time=datetime.fromtimestamp(math.floor(when), UTC)
                if device.receiver_time
                else None,
            )
        name = f"{device.camera.model.replace(' ', '')[:4].upper()}{number:04d}"
        identity = f"{shot.device}-{len(outing.photos):05d}"
        outing.photos.append(
            Photo(
                id=identity, path=f"card{shot.device}/{name}.JPG", camera=device.camera,
                written=WrittenTime(
                    raw=f"{local:%Y:%m:%d %H:%M:%S}", local=local, offset=utc_offset if device.tagged else None
                ),
                fix=fix, counter=number,
            )
        )  # fmt: skip
        outing.label[identity] = shot.label
        outing.find[identity] = shot.label.split("/")[0]
        outing.time[identity] = shot.time
        by_device.setdefault(shot.device, []).append(shot.time)
    for index, times in by_device.items():
        device = devices[index]
        key = device.camera.key
        outing.offset[key] = -utc_offset.total_seconds() - device.error
        outing.hours_off[key] = round(device.error / 3600.0)
        others = [t for other, ts in by_device.items() if other != index for t in ts]
        if others:
            outing.overlap[key] = max(0.0, min(max(times), max(others)) - max(min(times), min(others)))
    rng.shuffle(outing.photos)
    return outing


def _phone(rng: random.Random, owner: int, number: int, *, trees: bool = True) -> Device:
    return Device(
        Camera("Fernhill", f"Pocket {number}", ""), owner, phone=True, fixes=True,
        receiver_time=rng.random() < 0.7, tagged=True, error=rng.gauss(0, 0.7), subseconds=True,
        wobble=rng.uniform(4, 11) if trees else rng.uniform(1.5, 4), reports_error=rng.random() < 0.8,
    )  # fmt: skip


def _camera(rng: random.Random, owner: int, number: int) -> Device:
    return Device(
        Camera("Oakley Dell", f"Lumen {number}", f"{rng.randint(10**6, 10**7)}"), owner,
        error=clock_error(rng), drift=rng.gauss(0, 2.0), subseconds=rng.random() < 0.3,
    )  # fmt: skip


_DAY = datetime(2024, 9, 21, 12)  # noqa: DTZ001 - local time of an invented day


def _start(rng: random.Random, zone: str) -> float:
    morning = _DAY.replace(hour=9, tzinfo=ZoneInfo(zone)) + timedelta(minutes=rng.uniform(0, 150))
    return morning.timestamp()


_ZONES = ("Europe/London", "Europe/Vienna", "Europe/Helsinki", "America/New_York")


def one_phone_easy(rng: random.Random) -> Outing:
    """One phone, an easy day in the open, finds well apart."""
    zone = rng.choice(_ZONES)
    start = _start(rng, zone)
    person = Person(rng, 0, style(rng, easy=True), [0], start)
    shots: list[Shot] = []
    person.roam(Wood(rng, patchy=0.1), shots, start + rng.uniform(1.5, 4) * 3600)
    return develop(shots, [_phone(rng, 0, 1, trees=False)], rng, zone, _DAY)


def one_phone_wood(rng: random.Random) -> Outing:
    """One phone under trees: patches, slips, habitat, people, finds in turn, finds revisited."""
    zone = rng.choice(_ZONES)
    start = _start(rng, zone)
    person = Person(rng, 0, style(rng), [0], start)
    shots: list[Shot] = []
    person.roam(Wood(rng, patchy=rng.uniform(0.2, 0.7)), shots, start + rng.uniform(1.5, 4) * 3600)
    return develop(shots, [_phone(rng, 0, 1)], rng, zone, _DAY)


def camera_and_phone(rng: random.Random) -> Outing:
    """One person, a phone and a camera whose clock is off, and sometimes a bench at home in the evening."""
    zone = rng.choice(_ZONES)
    start = _start(rng, zone)
    person = Person(rng, 0, style(rng), [1, 0], start)
    shots: list[Shot] = []
    person.roam(Wood(rng, patchy=rng.uniform(0.1, 0.5)), shots, start + rng.uniform(1.5, 4) * 3600)
    if rng.random() < 0.4:
        labels = list(dict.fromkeys(s.label for s in shots if "/" not in s.label and s.label[0] == "f"))
        bench(person, shots, rng.sample(labels, min(len(labels), 8)), start + 8 * 3600, rng)
    return develop(shots, [_phone(rng, 0, 1), _camera(rng, 0, 1)], rng, zone, _DAY)


def slow_tripod(rng: random.Random) -> Outing:
    """One camera without receiver on a tripod, slow and thorough; nothing but time to go by."""
    zone = rng.choice(_ZONES)
    start = _start(rng, zone)
    how = replace(
        style(rng), tempo=rng.uniform(15, 40), shots=rng.uniform(5, 12), search=rng.uniform(90, 260),
        regular=rng.uniform(0.3, 0.8), doubles=rng.choice([0.0, 0.5]), settle=rng.uniform(30, 70),
    )  # fmt: skip
    person = Person(rng, 0, how, [0], start)
    shots: list[Shot] = []
    person.roam(Wood(rng, patchy=rng.uniform(0.1, 0.4)), shots, start + rng.uniform(3, 6) * 3600)
    return develop(shots, [_camera(rng, 0, 1)], rng, zone, _DAY)


def pair(rng: random.Random) -> Outing:
    """A teacher with phone and camera and a friend with a camera, mostly at the same finds."""
    zone = rng.choice(_ZONES)
    start = _start(rng, zone)
    people = [
        Person(rng, 0, style(rng), [1, 0], start),
        Person(rng, 1, style(rng), [2], start + rng.uniform(0, 600)),
    ]
    shots: list[Shot] = []
    led(people, Wood(rng, patchy=rng.uniform(0.1, 0.5)), shots, start + rng.uniform(2, 4) * 3600, rng,
        close=rng.uniform(0.55, 0.95), stray=rng.uniform(0.0, 0.25))  # fmt: skip
    return develop(shots, [_phone(rng, 0, 1), _camera(rng, 0, 1), _camera(rng, 1, 2)], rng, zone, _DAY)


def club(rng: random.Random) -> Outing:
    """A club outing: five cameras, two of them phones, bad clocks, people gathering and wandering off."""
    zone = rng.choice(_ZONES)
    start = _start(rng, zone)
    devices = [
        _phone(rng, 0, 1),
        _camera(rng, 1, 1),
        _camera(rng, 2, 2),
        _phone(rng, 3, 2),
        _camera(rng, 4, 3),
    ]
    people = [Person(rng, i, style(rng), [i], start + rng.uniform(0, 900)) for i in range(5)]
    shots: list[Shot] = []
    led(people, Wood(rng, patchy=rng.uniform(0.2, 0.6)), shots, start + rng.uniform(2, 3.5) * 3600, rng,
        close=rng.uniform(0.55, 0.95), stray=rng.uniform(0.0, 0.3))  # fmt: skip
    return develop(shots, devices, rng, zone, _DAY)


def strangers(rng: random.Random) -> Outing:
    """Three people who share a wood and a car, and meet by chance: little in common to set clocks by."""
    zone = rng.choice(_ZONES)
    start = _start(rng, zone)
    wood = Wood(rng, patchy=0.3)
    devices = [_phone(rng, 0, 1), _camera(rng, 1, 1), _phone(rng, 2, 2)]
    shots: list[Shot] = []
    end = start + rng.uniform(1.5, 3) * 3600
    for index in range(3):
        Person(rng, index, style(rng), [index], start + rng.uniform(0, 300)).roam(wood, shots, end)
    return develop(shots, devices, rng, zone, _DAY)


def long_weekend(size: int, *, two_cameras: bool = True) -> Outing:
    """`size` pictures: one person with phone and camera, day after day; for measuring time only."""
    rng = random.Random(size)
    zone = "Europe/Vienna"
    person = Person(rng, 0, style(rng), [1, 0] if two_cameras else [0], 0.0)
    shots: list[Shot] = []
    day = 0
    while len(shots) < size:
        person.now = _start(rng, zone) + day * 86400.0
        person.x, person.y = 350.0, 350.0
        person.roam(Wood(rng, patchy=0.3), shots, person.now + 7 * 3600)
        day += 1
    camera = replace(_camera(rng, 0, 1), drift=0.0)
    return develop(shots[:size], [_phone(rng, 0, 1), camera], rng, zone, _DAY)


def club_week(size: int) -> Outing:
    """`size` pictures: five people with a camera each keep together, day after day; for measuring time only."""
    rng = random.Random(size)
    zone = "Europe/Vienna"
    people = [Person(rng, number, style(rng), [number], 0.0) for number in range(5)]
    shots: list[Shot] = []
    day = 0
    while len(shots) < size:
        start = _start(rng, zone) + day * 86400.0
        for person in people:
            person.now = start + rng.uniform(0, 900)
            person.x, person.y = 350.0, 350.0
        led(people, Wood(rng, patchy=0.4), shots, start + 3 * 3600, rng, close=0.75, stray=0.15)
        day += 1
    devices = [_phone(rng, 0, 1), *(replace(_camera(rng, number, 1), drift=0.0) for number in range(1, 5))]
    shots.sort(key=lambda s: (s.time, s.device))
    return develop(shots[:size], devices, rng, zone, _DAY)


TIERS: dict[str, Callable[[random.Random], Outing]] = {
    "easy phone": one_phone_easy,
    "phone in wood": one_phone_wood,
    "slow tripod": slow_tripod,
    "camera and phone": camera_and_phone,
    "pair, 3 cameras": pair,
    "club, 5 cameras": club,
    "strangers, 3": strangers,
}


def simulate(tier: str, seed: int) -> Outing:
    """One outing of a tier; the same seed gives the same outing."""
    number = sum(ord(c) * (i + 1) for i, c in enumerate(tier)) * 100_003 + seed
    rng = random.Random(number)
    while True:
        outing = TIERS[tier](rng)
        if len(outing.photos) >= 30:
            return outing
