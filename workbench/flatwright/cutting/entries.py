# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Where and how the bit goes down.

A ramp runs with the grain on a straight stretch of the track (common practice, CP-6), at the preset's
angle or flatter, away from tabs; a short stretch is run to and fro. Only where there is no such stretch
does the ramp follow the track as it comes, and it says so.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from flatwright.cutting.lifts import Lift
from flatwright.cutting.pen import Pen
from flatwright.cutting.setup import Setup
from flatwright.cutting.track import Track
from flatwright.geometry.arcs import Segment
from flatwright.holding.edges import along

MARGIN = 1.0  # mm from a tab or the end of the stretch
SHORTEST = 2.0  # mm: a ramp to and fro on less would be drilling

Way = Literal["with the grain", "along the path"]


@dataclass(frozen=True, slots=True)
class Entry:
    """The ramp runs from station a to b of its track."""

    a: float
    b: float
    way: Way


def ramp_length(drop: float, angle: float) -> float:
    """depth / tan β (MAC-11).

    >>> round(ramp_length(3.0, math.radians(3.0)), 3)
    57.243
    """
    return drop / math.tan(angle)


def find_entry(track: Track, setup: Setup, bottom: float, drop: float, over: Sequence[Lift]) -> Entry | None:
    """The entry for passes that each go down by at most `drop`; None if the tabs leave no room."""
    wanted = ramp_length(drop, setup.ramp_angle)
    taken = [t.reach(bottom) for t in over]
    straight: list[tuple[float, float]] = []
    for k, s in enumerate(track.segments):
        if s.is_line and (setup.fibres is None or along(s, setup.fibres)):
            straight += _free(track.starts[k] + MARGIN, track.starts[k + 1] - MARGIN, taken, track.length)
    best = _longest(straight, wanted)
    if best is not None and best[1] - best[0] >= min(setup.diameter, wanted) - 1e-6:
        return Entry(*_centred(best, wanted), "with the grain")
    best = _longest(_free(0.0, track.length, taken, track.length, around=True), wanted)
    if best is None or best[1] - best[0] < SHORTEST:
        return None
    return Entry(*_centred(best, wanted), "along the path")


def descend(pen: Pen, track: Track, entry: Entry, z: float, angle: float) -> None:
    """From the entry's start down to z at its end, to and fro if once is too steep."""
    pieces = track.pieces(entry.a, entry.b)
    drop = pen.z - z
    legs = max(1, math.ceil(ramp_length(drop, angle) / (entry.b - entry.a) - 1e-6))
    legs += 1 - legs % 2
    start = pen.z
    for leg in range(legs):
        way = pieces if leg % 2 == 0 else [s.reversed() for s in reversed(pieces)]
        _run(pen, way, start - drop * (leg + 1) / legs)


def _run(pen: Pen, way: Sequence[Segment], z: float) -> None:
    total = sum(s.length for s in way)
    start, run = pen.z, 0.0
    for s in way:
        run += s.length
        pen.along(s, start + (z - start) * run / total)


def _free(
    a: float, b: float, taken: Sequence[tuple[float, float]], length: float, around: bool = False
) -> list[tuple[float, float]]:
    """What is left of [a, b] beside the taken stretches; `around` joins the pieces over the start."""
    free = [(a, b)]
    for lo, hi in taken:
        for lap in (-1.0, 0.0, 1.0):
            u, v = lo - MARGIN + lap * length, hi + MARGIN + lap * length
            free = [p for x, y in free for p in ((x, min(y, u)), (max(x, v), y)) if p[1] - p[0] > 1e-6]
    if around and len(free) > 1 and free[0][0] <= a + 1e-9 and free[-1][1] >= b - 1e-9:
        free = [*free[1:-1], (free[-1][0], free[0][1] + length)]
    return free


def _longest(stretches: Sequence[tuple[float, float]], wanted: float) -> tuple[float, float] | None:
    """The first stretch that is long enough, else the longest."""
    best: tuple[float, float] | None = None
    for a, b in stretches:
        if best is None or min(b - a, wanted) > min(best[1] - best[0], wanted) + 0.01:
            best = (a, b)
    return best


def _centred(stretch: tuple[float, float], wanted: float) -> tuple[float, float]:
    a, b = stretch
    spare = max(0.0, b - a - wanted) / 2.0
    return a + spare, b - spare
