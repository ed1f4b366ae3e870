"""A value with its standard uncertainty, and how it is printed."""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from catalog_gui.domain.lengths import shown_unit
from catalog_gui.domain.problem import BadInput

COVERAGE = 2.0  # expanded uncertainty U = k * u with k = 2, about 95 % (GUM, JCGM 100:2008, 6.2)


def decimal_text(value: float, places: int) -> str:
    """`value` with so many places after the point, halves away from zero, whatever binary made of it.

    A negative number of places rounds to tens (-1), hundreds (-2) and so on.
    """
    step = Decimal(1).scaleb(-places)
    rounded = Decimal(repr(float(value))).quantize(step, rounding=ROUND_HALF_UP)
    return format(rounded or abs(rounded), "f")


def places_for(uncertainty: float, digits: int = 2) -> int:
    """Places after the point so that `uncertainty` shows that many significant digits (GUM 7.2.6)."""
    exact = Decimal(repr(float(uncertainty)))
    places = digits - 1 - exact.adjusted()
    rounded = exact.quantize(Decimal(1).scaleb(-places), rounding=ROUND_HALF_UP)
    return digits - 1 - rounded.adjusted()  # 0.0996 becomes 0.10, not 0.100


@dataclass(frozen=True, slots=True)
class Quantity:
    """A value with standard uncertainty `u` (68 %), both in `unit`: 'mm', 'mm²', 'µm', 'px', '°' or ''."""

    value: float
    u: float
    unit: str = ""

    def __post_init__(self) -> None:
        if not (math.isfinite(self.value) and math.isfinite(self.u)) or self.u < 0:
            raise BadInput("A measured value and its uncertainty must be finite numbers.")

    @property
    def relative(self) -> float:
        """Relative standard uncertainty. Raises BadInput for the value 0."""
        if self.value == 0:
            raise BadInput("A value of zero has no relative uncertainty.")
        return self.u / abs(self.value)

    @property
    def expanded(self) -> float:
        """Expanded uncertainty U, k = 2."""
        return COVERAGE * self.u

    def shown_in(self, units: str) -> Quantity:
        """The same in the unit the user likes lengths written in: '' or one of the preferences' words."""
        unit, factor = shown_unit(self.unit, units)
        return Quantity(self.value * factor, self.u * factor, unit)

    def text(self) -> str:
        """As printed: '(77.25 ± 0.46) mm', the uncertainty expanded (k = 2), two significant digits."""
        unit = self.unit if self.unit in {"", "°"} else f" {self.unit}"
        if self.expanded == 0:
            return f"{self.value:.10g}{unit}"
        places = places_for(self.expanded)
        return f"({decimal_text(self.value, places)} ± {decimal_text(self.expanded, places)}){unit}"


def product(factors: tuple[tuple[Quantity, float], ...], unit: str) -> Quantity:
    """Product of powers of independent quantities: relative variances add (GUM 5.1.6, equation 12).

    Raises BadInput when a factor is zero: then nothing can be said.
    """
    value, variance = 1.0, 0.0
    for quantity, power in factors:
        if quantity.value == 0:
            raise BadInput("A length of zero cannot be part of a measurement; draw it again.")
        value *= quantity.value**power
        variance += (power * quantity.relative) ** 2
    return Quantity(value, abs(value) * math.sqrt(variance), unit)
