"""Spore statistics, printed the way the trade prints them.

`[a/b/c]` is spores / fruit bodies / collections; `(k–) m–n (–p)` are smallest, 5th percentile, 95th
percentile and largest; a bracket that adds nothing is dropped; L′, W′ and Q′ are means and Q is length /
width of each spore by itself (Tulloss & Lindgren 2005, Mycotaxon 91:193-194). Percentiles are of type 7
(Hyndman & Fan 1996).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from catalog_gui.annotation.quantity import decimal_text
from catalog_gui.annotation.student import t_quantile
from catalog_gui.domain.problem import BadInput

ENOUGH = 21  # Parmasto 1996, after Parmasto & Parmasto 1987: at least 21, better 30 or 50
USUAL_CV = (0.03, 0.13)  # the same: coefficient of variation 5 to 10 %, rarely 3 to 13
NO_SPORES = "no spores"

Pair = tuple[float, float]

# Bas 1969, Persoonia 5:285. The upper limit belongs to the word before it: Q = 1.15 is still subglobose.
_SHAPES = (
    (1.05, "globose"),
    (1.15, "subglobose"),
    (1.30, "broadly ellipsoid"),
    (1.60, "ellipsoid"),
    (2.00, "oblong"),
    (3.00, "cylindric"),
)


def shape_word(q: float) -> str:
    """The word for a quotient Q of length and width, after Bas. Raises BadInput for Q below 1."""
    if not q >= 1.0 or math.isinf(q):
        raise BadInput("Length divided by width is at least 1; were the two exchanged?")
    return next((word for limit, word in _SHAPES if q <= limit), "rod-shaped")


def shape_words(low: float, high: float) -> str:
    """The words from one quotient to another, 'ellipsoid to oblong'; one word where both agree."""
    first, last = shape_word(low), shape_word(high)
    return first if first == last else f"{first} to {last}"


def _exact(value: float) -> Fraction:
    """The decimal number as it was typed, without what binary adds to it."""
    return Fraction(Decimal(repr(float(value))))


def percentile(ordered: Sequence[Fraction], p: Fraction) -> Fraction:
    """Type 7 percentile of values in rising order: linear between neighbours at 1 + (n - 1) p."""
    place = (len(ordered) - 1) * p
    below = math.floor(place)
    above = min(below + 1, len(ordered) - 1)
    return ordered[below] + (place - below) * (ordered[above] - ordered[below])


@dataclass(frozen=True, slots=True)
class Summary:
    """Statistics of one figure over n spores. `sd` (n - 1) and `interval` are None where n is too small.

    `interval` is the 95 % confidence interval of the *mean* (Student's t), not the spread of the spores.
    """

    n: int
    lowest: float
    p5: float
    mean: float
    p95: float
    highest: float
    sd: float | None
    interval: tuple[float, float] | None

    @property
    def standard_error(self) -> float | None:
        """Standard error of the mean."""
        return None if self.sd is None else self.sd / math.sqrt(self.n)

    @property
    def cv(self) -> float | None:
        """Coefficient of variation, sd / mean."""
        return None if self.sd is None or self.mean == 0 else self.sd / self.mean

    def range_text(self, places: int = 1) -> str:
        """'(15.6–) 15.7–18.0 (–18.4)'; a bracket vanishes when it rounds to the figure beside it."""
        k, m, n, p = (decimal_text(v, places) for v in (self.lowest, self.p5, self.p95, self.highest))
        core = m if m == n else f"{m}–{n}"
        return (f"({k}–) " if k != m else "") + core + (f" (–{p})" if p != n else "")


def summarise(values: Iterable[float | Fraction], confidence: float = 0.95) -> Summary:
    """Statistics of plain values. Raises BadInput for none at all or for something that is no number."""
    exact = []
    for value in values:
        if isinstance(value, Fraction):
            exact.append(value)
        elif math.isfinite(value):
            exact.append(_exact(value))
        else:
            raise BadInput("One of the values is not a number.")
    if not exact:
        raise BadInput(f"There are {NO_SPORES} to count.")
    exact.sort()
    n, mean = len(exact), sum(exact, Fraction(0)) / len(exact)
    sd: float | None = None
    interval: tuple[float, float] | None = None
    if n > 1:
        sd = math.sqrt(sum(((v - mean) ** 2 for v in exact), Fraction(0)) / (n - 1))
        half = t_quantile((1 + confidence) / 2, n - 1) * sd / math.sqrt(n)
        interval = float(mean) - half, float(mean) + half
    return Summary(
        n,
        float(exact[0]),
        float(percentile(exact, Fraction(1, 20))),
        float(mean),
        float(percentile(exact, Fraction(19, 20))),
        float(exact[-1]),
        sd,
        interval,
    )


@dataclass(frozen=True, slots=True)
class SporeStatistics:
    """Length and width in µm, Q without unit; `volume` is the mean of pi/6 L W² over spores, µm³.

    `warnings` are whole sentences: too few spores, unusual spread, a spore wider than long.
    """

    pairs: tuple[Pair, ...]
    length: Summary
    width: Summary
    q: Summary
    volume: float
    fruit_bodies: int
    collections: int
    q_by_specimen: tuple[float, ...] = ()
    warnings: tuple[str, ...] = ()

    @property
    def shape(self) -> str:
        """Shape after Bas, from the 5th to the 95th percentile of Q."""
        return shape_words(max(1.0, self.q.p5), max(1.0, self.q.p95))

    def text(self, places: int = 1) -> str:
        """`[17/1/1] (15.6–) 15.7–18.0 (–18.4) × 1.9–2.2 (–2.3) µm, L′ = 16.8, W′ = 2.1, Q = …, Q′ = 8.0`."""
        count = f"[{self.length.n}/{self.fruit_bodies}/{self.collections}]"
        size = f"{self.length.range_text(places)} × {self.width.range_text(places)} µm"
        text = f"{count} {size}"
        if self.length.n > 1:
            means = decimal_text(self.length.mean, places), decimal_text(self.width.mean, places)
            text += f", L′ = {means[0]}, W′ = {means[1]}"
        text += f", Q = {self.q.range_text(places)}"
        if self.length.n > 1:
            text += f", Q′ = {decimal_text(self.q.mean, places)}"
        return text

    def mean_in_the_middle(self, places: int = 1) -> str:
        """The central European form, with the sentence that says what the inner figures are."""

        def figure(s: Summary) -> str:
            k, m, mean, n, p = (decimal_text(v, places) for v in (s.lowest, s.p5, s.mean, s.p95, s.highest))
            return f"({k}–) {m}–{mean}–{n} (–{p})"

        body = f"{figure(self.length)} × {figure(self.width)} µm, Q = {figure(self.q)}, n = {self.length.n}"
        return f"{body} (5th percentile, mean, 95th percentile; extremes in brackets)"

    def polypore_form(self, places: int = 1) -> str:
        """As in polypore papers: L and W are means, Q the range over specimens, n = (spores/specimens)."""
        by_specimen = self.q_by_specimen or (self.q.mean,)
        low, high = (decimal_text(v, 2) for v in (min(by_specimen), max(by_specimen)))
        q = low if low == high else f"{low}–{high}"
        means = decimal_text(self.length.mean, 2), decimal_text(self.width.mean, 2)
        ranges = f"{self.length.range_text(places)} × {self.width.range_text(places)} µm"
        count = f"{self.length.n}/{len(by_specimen)}"
        return f"{ranges}, L = {means[0]} µm, W = {means[1]} µm, Q = {q} (n = {count})"


def spore_statistics(
    pairs: Iterable[Pair],
    *,
    fruit_bodies: int = 1,
    collections: int = 1,
    specimens: Sequence[str] | None = None,
) -> SporeStatistics:
    """Statistics of (length, width) pairs in µm.

    `specimens` names the specimen of each pair, for the range of Q over specimens. Raises BadInput for no
    spores, for a size that is not above zero, and for a list of specimens of another length.
    """
    kept = tuple((float(length), float(width)) for length, width in pairs)
    if not kept:
        raise BadInput(f"There are {NO_SPORES} to count.")
    if specimens is not None and len(specimens) != len(kept):
        raise BadInput("Every spore needs its specimen, or none.")
    for number, (length, width) in enumerate(kept, 1):
        if not (0 < length < math.inf and 0 < width < math.inf):
            raise BadInput(f"Spore {number} has a size that is not a number above zero.")
    quotients = [_exact(length) / _exact(width) for length, width in kept]
    by_specimen: dict[str, list[Fraction]] = {}
    for name, quotient in zip(specimens or (), quotients, strict=False):
        by_specimen.setdefault(name, []).append(quotient)
    lengths, widths, q = (
        summarise(length for length, _ in kept),
        summarise(width for _, width in kept),
        summarise(quotients),
    )
    return SporeStatistics(
        kept,
        lengths,
        widths,
        q,
        math.fsum(math.pi / 6 * length * width**2 for length, width in kept) / len(kept),
        fruit_bodies,
        collections,
        tuple(float(sum(v, Fraction(0)) / len(v)) for v in by_specimen.values()),
        _warnings(kept, lengths, widths),
    )


def _warnings(pairs: tuple[Pair, ...], length: Summary, width: Summary) -> tuple[str, ...]:
    found = []
    if len(pairs) < ENOUGH:
        found.append(
            f"{len(pairs)} spores are few; at least {ENOUGH}, better 30 or 50 (Parmasto 1996)."
            if len(pairs) > 1
            else "One spore says nothing about spread."
        )
    wide = [str(i) for i, (a, b) in enumerate(pairs, 1) if a < b]
    if wide:
        found.append(f"Wider than long: spore {', '.join(wide)}. Were length and width exchanged?")
    for name, summary in (("length", length), ("width", width)):
        if len(pairs) >= ENOUGH and summary.cv is not None and not USUAL_CV[0] <= summary.cv <= USUAL_CV[1]:
            found.append(
                f"The {name} varies by {decimal_text(100 * summary.cv, 1)} %; "
                "5 to 10 % is usual, 3 to 13 % rare (Parmasto 1996). Mixed spores, or unripe ones?"
            )
    return tuple(found)
