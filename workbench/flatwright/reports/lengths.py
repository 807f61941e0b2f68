# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Lengths as a person reads them: millimetres, inches or both."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

SPACE = "\u00a0"  # keeps a number and its unit on one line
MM_PER_INCH = 25.4  # exact by definition (international inch, 1959)


@dataclass(frozen=True, slots=True)
class Lengths:
    """Writes lengths in the units that a preset's report asks for: "mm", "in" or both in that order."""

    units: tuple[str, ...]

    def says(self, mm: float, digits: int = 2) -> str:
        """One length in running text; further units in brackets. Inches have three decimals.

        >>> Lengths(("mm", "in")).says(17.72).replace(SPACE, " ")
        '17.72 mm (0.698 in)'
        """
        first, *others = (f"{number(mm, unit, digits)}{SPACE}{unit}" for unit in self.units)
        return f"{first} ({', '.join(others)})" if others else first

    def fine(self, mm: float) -> str:
        """A small length, a spread, with one more decimal: thousandths of a mm, ten-thousandths of an inch.

        >>> Lengths(("mm", "in")).fine(0.0331).replace(SPACE, " ")
        '0.033 mm (0.0013 in)'
        """
        texts = [
            f"{mm / MM_PER_INCH:.4f}{SPACE}in" if unit == "in" else f"{mm:.3f}{SPACE}{unit}"
            for unit in self.units
        ]
        return f"{texts[0]} ({', '.join(texts[1:])})" if texts[1:] else texts[0]

    def size(self, mm: Sequence[float], digits: int = 0) -> str:
        """Several lengths with a cross between them, as a sheet's size is written."""
        first, *others = (
            f"{SPACE}×{SPACE}".join(number(x, unit, digits) for x in mm) + f"{SPACE}{unit}"
            for unit in self.units
        )
        return f"{first} ({', '.join(others)})" if others else first

    def heads(self, what: str) -> list[str]:
        """Heads of the columns that `cells` fills: one for each unit."""
        return [f"{what}, {unit}" for unit in self.units]

    def cells(self, mm: float, digits: int = 2) -> list[str]:
        """One length in each unit, without the unit's name."""
        return [number(mm, unit, digits) for unit in self.units]


def number(mm: float, unit: str, digits: int) -> str:
    """The bare number in a unit: `digits` decimals for mm, three for inches; never -0."""
    if unit == "in":
        return f"{round(mm / MM_PER_INCH, 3) + 0.0:.3f}"
    return f"{round(mm, digits) + 0.0:.{digits}f}"
