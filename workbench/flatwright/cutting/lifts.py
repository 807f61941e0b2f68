# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Following a track at one height, lifted over the tabs.

The bit is round: for a tab of `length` its centre stays up over length + diameter, so that the
narrowest wood between the two discs is the tab's length.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from flatwright.cutting.pen import Pen
from flatwright.cutting.track import Track
from flatwright.plan import Tab

STEP = 1e-6  # mm: how far beside a break the height is read


@dataclass(frozen=True, slots=True)
class Lift:
    """The centre stays at `top` or higher from station lo to hi; sloped ends fall at 45° beyond."""

    lo: float
    hi: float
    top: float
    sloped: bool

    def height(self, station: float, length: float) -> float:
        """Least height at a station of a track of the given length; far below where the tab is not."""
        middle, half = (self.lo + self.hi) / 2.0, (self.hi - self.lo) / 2.0
        away = abs((station - middle + length / 2.0) % length - length / 2.0) - half
        if away <= 0:
            return self.top
        return self.top - away if self.sloped else -1e9

    def stands_on(self, a: float, b: float, z: float, length: float) -> bool:
        """Whether the tab takes up some of the stretch from station a to b of such a track, at height z."""
        lo, hi = self.reach(z)
        return self.top > z and any(lo + lap < b and hi + lap > a for lap in (-length, 0.0, length))

    def reach(self, bottom: float) -> tuple[float, float]:
        """The stretch that the tab takes up on a pass at the bottom, slopes included."""
        slope = max(0.0, self.top - bottom) if self.sloped else 0.0
        return self.lo - slope, self.hi + slope


def lifts(track: Track, tabs: Iterable[Tab], diameter: float, sloped: bool) -> tuple[Lift, ...]:
    """One lift for each tab that stands on the loop of this track."""
    out: list[Lift] = []
    for t in tabs:
        station, _ = track.nearest((t.x, t.y))
        half = (t.length + diameter) / 2.0
        out.append(Lift(station - half, station + half, t.height, sloped))
    return tuple(out)


def follow(pen: Pen, track: Track, a: float, b: float, z: float, over: Sequence[Lift]) -> None:
    """Feed from station a to b at height z, or at the tabs' height where that is higher."""
    marks = _breaks(track, a, b, z, over)
    for u, v in zip(marks, marks[1:], strict=False):
        start, end = (_height(s, z, track, over) for s in (u + STEP, v - STEP))
        pen.up(start)
        run = 0.0
        for piece in track.pieces(u, v):
            run += piece.length
            pen.along(piece, start + (end - start) * min(1.0, run / (v - u)))


def _height(station: float, z: float, track: Track, over: Sequence[Lift]) -> float:
    highest = max((t.height(station, track.length) for t in over), default=z)
    # a slope read STEP beside its foot is lower by no more than that
    return z if highest < z + 2 * STEP else round(highest, 5)


def _breaks(track: Track, a: float, b: float, z: float, over: Sequence[Lift]) -> list[float]:
    """Stations from a to b at which the height changes its slope."""
    found = {a, b}
    for t in over:
        if t.top <= z:
            continue
        lo, hi = t.reach(z)
        for s in (lo, t.lo, t.hi, hi):
            k = s + track.length * -(-(a - s) // track.length)  # the first lap at or after a
            while k < b:
                found.add(k)
                k += track.length
    marks = [a]
    for s in sorted(found):
        if s > marks[-1] + 1e-5:
            marks.append(s)
    if marks[-1] > b - 1e-5 and len(marks) > 1:
        marks[-1] = b
    return marks
