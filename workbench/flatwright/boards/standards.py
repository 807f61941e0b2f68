# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What a board sold as a nominal thickness may measure, by the standards of the trade.

Sources: EN 315:2000 Table 1 (metric plywood; its expressions are taken from sister standards and
producers' rounded tables, above 3 and up to 25 mm) and Voluntary Product Standard PS 1-19
(US structural plywood, by performance category in inches).
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from flatwright.presets.quantities import write

MM_PER_INCH = Fraction(127, 5)

# PS 1 performance categories, in 32nds of an inch: 1/4, 11/32, 3/8 … 1 1/4 in.
_32NDS = (8, 11, 12, 15, 16, 19, 20, 23, 24, 26, 28, 32, 36, 40)
CATEGORIES = tuple(Fraction(n, 32) for n in _32NDS)
_EN_315_RANGE = (3.0, 25.0)  # mm, above and up to
_SAME_MM = 0.02  # an inch category written with two decimals of a millimetre is still that category


@dataclass(frozen=True, slots=True)
class Band:
    """Least and greatest thickness in mm, ends included, and the standard that says so."""

    low: float
    high: float
    source: str

    def holds(self, thickness: float) -> bool:
        """True within the band (compared to 1e-6 mm)."""
        return self.low - 1e-6 <= thickness <= self.high + 1e-6

    def __str__(self) -> str:
        return f"{round(self.low, 3):g} to {round(self.high, 3):g} mm ({self.source})"


def en_315(nominal: float, sanded: bool = True) -> Band | None:
    """EN 315 limits of a nominal thickness in mm; None outside the range that the table covers.

    >>> print(en_315(18))
    17.06 to 18.74 mm (EN 315)
    """
    if not _EN_315_RANGE[0] < nominal <= _EN_315_RANGE[1]:
        return None
    above = (0.2 if sanded else 0.8) + 0.03 * nominal
    return Band(nominal - 0.4 - 0.03 * nominal, nominal + above, "EN 315")


def ps_1(category: Fraction) -> Band:
    """PS 1 limits of a performance category in inches, unsanded or touch-sanded.

    ±1/32 in, above 13/16 in ±5 %.
    """
    tolerance = Fraction(1, 32) if category <= Fraction(13, 16) else category / 20
    low, high = (category - tolerance) * MM_PER_INCH, (category + tolerance) * MM_PER_INCH
    return Band(float(low), float(high), "PS 1")


def category_of(nominal: float) -> Fraction | None:
    """The inch category that a thickness in mm stands for; None where it is a metric one.

    >>> category_of(19.05), category_of(18.0)
    (Fraction(3, 4), None)
    """
    if abs(nominal * 2.0 - round(nominal * 2.0)) < _SAME_MM:
        return None  # whole and half millimetres are metric
    near = min(CATEGORIES, key=lambda c: abs(float(c * MM_PER_INCH) - nominal))
    return near if abs(float(near * MM_PER_INCH) - nominal) <= _SAME_MM else None


def sold_as(nominal: float) -> str:
    """The nominal thickness as the trade says it: `18 mm`, `23/32 in`."""
    category = category_of(nominal)
    if category is None:
        return f"{round(nominal, 3):g} mm"
    return write(float(category * MM_PER_INCH), "in")


def band(nominal: float) -> Band | None:
    """Limits of a board of that nominal thickness in mm by the standard that fits it, or None."""
    category = category_of(nominal)
    return en_315(nominal) if category is None else ps_1(category)


def variation_limit(nominal: float, sanded: bool = True) -> float:
    """How much the thickness may vary within one panel, mm (EN 315, ISO 1954; producers' tables)."""
    if sanded:
        return 0.6
    return 1.0 if nominal <= 12.0 else 1.5
