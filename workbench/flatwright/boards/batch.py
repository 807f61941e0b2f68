# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""A batch: the boards in hand and what they measure, in mm."""

from __future__ import annotations

import statistics
from collections.abc import Sequence
from dataclasses import dataclass

from flatwright.boards.moisture import THICKNESS_BIRCH, movement
from flatwright.boards.standards import band
from flatwright.boards.uncertainty import combined, expanded, of_resolution, standard_error
from flatwright.plan import PlanBoard

ENOUGH_READINGS = 8  # EN 324-1 takes eight points of a panel

# Fewer readings than that may miss the board's scatter. A sanded panel may vary by 0.6 mm
# (EN 315); that range read as ±3 s gives this spread, which a short list does not go below.
SPREAD_FLOOR = 0.1

# Steps of the callipers in use, mm, coarsest first (EN 324-1: readable to 0.05 mm). 0.001 in is 0.0254 mm.
STEPS = (0.05, 0.0254, 0.02, 0.01)


@dataclass(frozen=True, slots=True)
class Batch:
    """One batch of boards; lengths mm.

    `spread` is the standard deviation to reckon with, `step` that of the calliper. A batch that is
    not measured has no readings: `mean` is then the thickness as drawn, and so are the extremes;
    `expected` is the middle of what its standard allows (of a measured batch, the mean). `moisture` is
    the % of moisture content that boards take up from where they were measured to where they are used.
    """

    name: str
    nominal: float
    readings: tuple[float, ...]
    mean: float
    spread: float
    step: float
    expected: float
    moisture: float = 0.0

    @property
    def measured(self) -> bool:
        return bool(self.readings)

    @property
    def smallest(self) -> float:
        """The smallest reading."""
        return min(self.readings, default=self.mean)

    @property
    def largest(self) -> float:
        """The largest reading."""
        return max(self.readings, default=self.mean)

    @property
    def extremes(self) -> tuple[float, float]:
        """Smallest and largest thickness to reckon with: the readings' ends, less and plus the step."""
        return self.smallest - self.step, self.largest + self.step

    @property
    def deviation(self) -> float | None:
        """Standard deviation of the readings themselves; None for fewer than two."""
        return statistics.stdev(self.readings) if len(self.readings) > 1 else None

    @property
    def standard_uncertainty(self) -> float | None:
        """Of the mean, the calliper's step included; None for fewer than two readings."""
        if self.deviation is None:
            return None
        return combined(standard_error(self.deviation, len(self.readings)), of_resolution(self.step))

    @property
    def growth(self) -> float:
        """How much thicker boards are where they are used than where they were measured, mm."""
        return movement(self.mean, self.moisture, THICKNESS_BIRCH) if self.measured else 0.0

    @property
    def uncertainty(self) -> float | None:
        """U95 of the mean: with 95 % confidence it lies within ± this; None for fewer than two readings."""
        standard = self.standard_uncertainty
        return None if standard is None else expanded(standard, len(self.readings) - 1)

    def as_planned(self) -> PlanBoard:
        """The batch as the plan holds it."""
        return PlanBoard(
            self.name,
            self.nominal,
            self.readings,
            self.mean,
            self.deviation,
            self.uncertainty,
            self.spread,
            self.growth,
        )


def measured(name: str, nominal: float, readings: Sequence[float], moisture: float = 0.0) -> Batch:
    """The batch of some readings; raises ValueError without any."""
    if not readings:
        raise ValueError("a measured batch needs readings")
    step = instrument_step(readings)
    scatter = statistics.stdev(readings) if len(readings) > 1 else 0.0
    floor = SPREAD_FLOOR if len(readings) < ENOUGH_READINGS else of_resolution(step)
    mean = round(statistics.fmean(readings), 9)
    return Batch(name, nominal, tuple(readings), mean, max(scatter, floor), step, mean, moisture)


def unmeasured(name: str, nominal: float, drawn: float) -> Batch:
    """A batch that nobody measured: as drawn, but it may be whatever its standard allows.

    The standard's band read as ±2 s gives the spread about its middle. Where no standard reaches, the
    width of EN 315's band, 0.6 mm + 6 %, is taken about the thickness as drawn.
    """
    limits = band(nominal)
    if limits is None:
        return Batch(name, nominal, (), drawn, (0.6 + 0.06 * nominal) / 4.0, 0.0, drawn)
    spread, middle = (limits.high - limits.low) / 4.0, (limits.low + limits.high) / 2.0
    return Batch(name, nominal, (), drawn, round(spread, 9), 0.0, round(middle, 9))


def instrument_step(readings: Sequence[float]) -> float:
    """The coarsest calliper step, mm, that all the readings are multiples of.

    >>> instrument_step([17.7, 17.75, 17.8]), instrument_step([17.72, 17.75])
    (0.05, 0.01)
    """
    for step in STEPS:
        if all(abs(r / step - round(r / step)) < 1e-4 for r in readings):
            return step
    return STEPS[-1]
