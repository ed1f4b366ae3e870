"""The look of the pictures as one more piece of evidence, worth what the foray shows it to be worth.

Time and place come first. Their sure answers teach what a likeness is worth on this very card: how alike
pictures are on the two sides of a step that surely stays at one find, and of one that surely leaves it.
Two bells of one width are fitted; where they coincide, stand the wrong way round, or rest on too little,
nothing changes. A look is asked only where time and place leave a step or a link open, and never
weighs more than `MOST` (log odds), across photographers `MOST_ACROSS`.

Measured by `tests/benchmarks/grouping/bench_likeness.py` with the colours of real previews; its docstring
says how much this gains.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from catalog_gui.domain.photo import Photo
from catalog_gui.grouping.columns import Bools, Floats, Ints
from catalog_gui.grouping.inputs import Likeness

MOST, MOST_ACROSS = 2.0, 1.05
_OPEN, _OPEN_ACROSS = 3.0, 4.0  # log odds up to which a step, or a link, is open to the look
_ACROSS = 0.7  # how far the look is believed between two photographers: no lessons are learnt there
_SURE = 2.0  # log odds from which neighbours surely are of one find: compared as one
_WINDOW = 3  # pictures on either side; one cap and one underside are less alike than three and three
_LESSON = 0.75  # how sure (twice the probability, less one) a step must be to teach
_LESSONS = 150  # steps of each kind asked of each photographer
_ENOUGH = 8.0  # sure steps of each kind without which nothing is concluded
_BELIEF = 10.0  # sure steps that weigh as much as the belief that looks tell nothing
_CLEAREST = 10.0  # widths of the bells between them, at most
_CHANCE = 60  # pairs of pictures that show how alike those of two cameras are by chance
_CHANCE_BELIEF = 8.0  # pairs; until then two cameras are taken to agree
_TOLD = 0.5  # log odds from which a likeness is put into words


@dataclass(frozen=True, slots=True)
class Worth:
    """Log odds of one find for a likeness: a straight line, as two bells of one width give."""

    middle: float
    slope: float

    def odds(self, seen: Floats) -> Floats:
        """Log odds, not bounded; 0 where nothing was seen (NaN)."""
        return np.nan_to_num(self.slope * (seen - self.middle))


class Looks:
    """How alike the pictures of one foray look, and what that is worth there.

    Likenesses count from what chance pictures of the same two cameras show, since every camera has
    colours of its own. Pictures are rows of `photos`; `device` tells the camera of each row.
    """

    def __init__(self, photos: Sequence[Photo], device: Ints, rows: Ints, likeness: Likeness) -> None:
        self._photos, self._body, self._likeness = photos, device, likeness
        self._chance = self._by_chance(rows)
        self.worth = Worth(0.0, 0.0)
        self._again: dict[tuple[tuple[int, ...], tuple[int, ...]], float] = {}

    def steps(self, rows: Ints, odds: Floats, among: Bools | None = None) -> Floats:
        """`odds` of the steps between consecutive `rows` of one photographer, the look of open ones added.

        Only of those `among` the steps, where given.
        """
        weighed = odds.copy()
        asked = np.flatnonzero((np.abs(odds) < _OPEN) & (True if among is None else among))
        weighed[asked] += np.clip(self.worth.odds(self.over_steps(asked, rows, odds)), -MOST, MOST)
        return weighed

    def links(
        self,
        odds: Floats,
        ends: Iterable[tuple[int, int]],
        parts: tuple[list[Ints], list[Ints]],
        true: Floats,
    ) -> Floats:
        """`odds` of links between stretches of two photographers, the look of open ones added.

        `ends`: for each link the indices into `parts`, the rows of each one's stretches; `true`: UTC s by row.
        """
        seen = np.full(len(odds), np.nan)
        for link, (one, two) in enumerate(ends):
            if abs(odds[link]) < _OPEN_ACROSS:
                first, second = parts[0][one], parts[1][two]
                near = _nearest(first, true, second), _nearest(second, true, first)
                seen[link] = self.between(*near)
        return odds + np.clip(_ACROSS * self.worth.odds(seen), -MOST_ACROSS, MOST_ACROSS)

    def again(self, ones: Sequence[int], twos: Sequence[int]) -> tuple[float, str]:
        """Log odds that a find was come back to, by the rows of both times, and what to say of it.

        In between the light has changed, so the look is believed no more than between two photographers.
        """
        pair = _spread(ones), _spread(twos)
        if pair not in self._again:
            self._again[pair] = self.between(*pair)
        told = _ACROSS * float(self.worth.odds(np.array([self._again[pair]]))[0])
        return min(max(told, -MOST), MOST), _in_words(told)

    def words(self, before: Sequence[int], after: Sequence[int]) -> str:
        """What the look of these pictures says about a join, if it says anything."""
        return _in_words(float(self.worth.odds(np.array([self.between(before, after)]))[0]))

    def between(self, ones: Sequence[int], twos: Sequence[int]) -> float:
        """How alike the pictures on two sides are, over chance: the mean of all pairs; NaN where unknown."""
        total, many = 0.0, 0
        for one in ones:
            for two in twos:
                alike = self._ask(one, two)
                if alike is not None:
                    total += alike - self._chance[int(self._body[one]), int(self._body[two])]
                    many += 1
        return total / many if many else float("nan")

    def over_steps(self, steps: Ints, rows: Ints, odds: Floats) -> Floats:
        """Likeness across each of `steps`, of up to three pictures on either side that surely hold together."""
        sure = odds > _SURE
        last = len(rows) - 1
        seen = np.full(len(steps), np.nan)
        members = rows.tolist()
        for index, step in enumerate(steps.tolist()):
            low, high = step, step + 1
            while low > 0 and step - low < _WINDOW - 1 and sure[low - 1]:
                low -= 1
            while high < last and high - step < _WINDOW and sure[high]:
                high += 1
            seen[index] = self.between(members[low : step + 1], members[step + 1 : high + 1])
        return seen

    def _ask(self, one: int, two: int) -> float | None:
        alike = self._likeness(self._photos[one], self._photos[two])
        return alike if alike is not None and math.isfinite(alike) else None

    def _by_chance(self, rows: Ints) -> dict[tuple[int, int], float]:
        """How alike pictures of each two cameras are on average, half a foray apart."""
        of = {device: rows[self._body[rows] == device] for device in np.unique(self._body[rows]).tolist()}
        seen: dict[tuple[int, int], list[float]] = {}
        for one, mine in of.items():
            for two, theirs in of.items():
                if one > two:
                    continue
                many = min(_CHANCE, max(len(mine), len(theirs)))
                share = np.arange(many) / many
                here = mine[(share * len(mine)).astype(np.int64)].tolist()
                there = theirs[((share + 0.5) % 1.0 * len(theirs)).astype(np.int64)].tolist()
                asked = (self._ask(a, b) for a, b in zip(here, there, strict=True) if a != b)
                seen[one, two] = [alike for alike in asked if alike is not None]
        everybody = [alike for found in seen.values() for alike in found]
        usual = sum(everybody) / len(everybody) if everybody else 0.0
        chance = {
            pair: (sum(found) + _CHANCE_BELIEF * usual) / (len(found) + _CHANCE_BELIEF)
            for pair, found in seen.items()
        }
        return chance | {(two, one): value for (one, two), value in chance.items()}


def learn_looks(
    photos: Sequence[Photo], device: Ints, streams: Sequence[tuple[Ints, Floats]], likeness: Likeness
) -> Looks | None:
    """What looks are worth in this foray; None where they tell nothing, or it can't be known.

    `streams`: for each photographer the rows in order of time, and the log odds of the steps between
    them by time and place alone.
    """
    rows = np.concatenate([mine for mine, _ in streams]) if streams else np.zeros(0, np.int64)
    looks = Looks(photos, device, rows, likeness)
    alike = _lessons(looks, streams, 1.0)
    unlike = _lessons(looks, streams, -1.0)
    lessons = min(float(alike[1].sum()), float(unlike[1].sum()))
    if lessons < _ENOUGH:
        return None
    (high, high_square), (low, low_square) = _bell(*alike), _bell(*unlike)
    apart = high - low
    if apart <= 1e-9 * (abs(high) + abs(low)):
        return None
    square = max(0.5 * (high_square + low_square), (apart / _CLEAREST) ** 2)
    looks.worth = Worth(0.5 * (high + low), apart / square * lessons / (lessons + _BELIEF))
    return looks


def _lessons(looks: Looks, streams: Sequence[tuple[Ints, Floats]], sign: float) -> tuple[Floats, Floats]:
    """Likenesses over surely joined (`sign` 1) or surely parted (-1) steps, and how sure each is (0 to 1)."""
    seen, sure = [np.zeros(0)], [np.zeros(0)]
    for rows, odds in streams:
        certain = np.tanh(0.5 * sign * odds)  # twice the probability, less one
        steps = np.flatnonzero(certain > _LESSON)
        if len(steps) > _LESSONS:
            steps = steps[(np.arange(_LESSONS) * (len(steps) / _LESSONS)).astype(np.int64)]
        seen.append(looks.over_steps(steps, rows, odds))
        sure.append(certain[steps])
    values, weights = np.concatenate(seen), np.concatenate(sure)
    known = np.isfinite(values)
    return values[known], weights[known]


def _bell(values: Floats, weights: Floats) -> tuple[float, float]:
    mean = float(weights @ values) / float(weights.sum())
    return mean, float(weights @ (values - mean) ** 2) / float(weights.sum())


def _in_words(told: float) -> str:
    if abs(told) < _TOLD:
        return ""
    return "the pictures look alike" if told > 0.0 else "the pictures look unlike"


def _spread(rows: Sequence[int]) -> tuple[int, ...]:
    """A few of these pictures, evenly taken."""
    many = min(_WINDOW, len(rows))
    return tuple(rows[int((k + 0.5) * len(rows) / many)] for k in range(many))


def _nearest(mine: Ints, true: Floats, theirs: Ints) -> list[int]:
    """Up to three of `mine` that are nearest in time to the middle of `theirs`."""
    if len(mine) <= _WINDOW:
        return [int(row) for row in mine]
    away = np.abs(true[mine] - true[theirs].mean())
    return [int(row) for row in mine[np.argsort(away, kind="stable")[:_WINDOW]]]
