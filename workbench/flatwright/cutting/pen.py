# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Writing feed moves: rounded to 4 decimals, arcs kept as arcs and consistent after rounding.

An arc's centre is worked out from its rounded ends, so that both radii agree far within the 0.002 mm
that RS274/NGC asks for (GCD-2). Arcs of a giant or tiny radius become lines; none sweeps more than a
half turn. A steep descent is slowed so that the bit never sinks faster than its plunge feed.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from flatwright.cutting.moves import Move
from flatwright.geometry.arcs import Point, Segment, centre
from flatwright.geometry.outline import clean

DIGITS = 4
GIANT, TINY = 5000.0, 0.01  # mm: arcs of a larger or smaller radius are written as lines
CHORD = 0.005  # mm: how far such lines may lie from the arc
SHORT = 0.005  # mm: an arc between nearer ends is a line


@dataclass(frozen=True, slots=True)
class Chain:
    """An unbroken row of feed moves that begins in the air at (x, y, z) and ends in the air."""

    x: float
    y: float
    z: float
    moves: tuple[Move, ...]

    @property
    def end(self) -> Point:
        return (self.moves[-1].x, self.moves[-1].y) if self.moves else (self.x, self.y)


class Pen:
    """Collects the moves of one chain."""

    def __init__(self, at: Point, z: float, feed: float, plunge: float) -> None:
        self.x, self.y, self.z = (clean(v, DIGITS) for v in (*at, z))
        self.feed, self.plunge = feed, plunge
        self._start = (self.x, self.y, self.z)
        self._moves: list[Move] = []

    def to(self, p: Point, z: float) -> None:
        """A straight feed move; one that goes nowhere after rounding is left out."""
        x, y, z = (clean(v, DIGITS) for v in (*p, z))
        if (x, y, z) == (self.x, self.y, self.z):
            return
        self._add(Move("line", x, y, z, self._speed(math.hypot(x - self.x, y - self.y), z)))

    def up(self, z: float) -> None:
        """Straight up or down where the pen stands."""
        self.to((self.x, self.y), z)

    def along(self, s: Segment, z: float) -> None:
        """Along a line or arc that starts where the pen stands, to height z at its end."""
        if s.is_line or s.chord < SHORT or s.radius < TINY:
            self.to(s.q, z)
        elif s.radius > GIANT:
            points = [*s.flattened(CHORD)[1:], s.q]
            for k, p in enumerate(points, 1):
                self.to(p, self.z + (z - self.z) / (len(points) - k + 1))
        elif abs(s.sweep) > math.pi + 1e-6:
            middle = (self.z + z) / 2.0
            self.along(s.part(0.0, 0.5), middle)
            self.along(s.part(0.5, 1.0), z)
        else:
            self._arc(s, z)

    def chain(self) -> Chain:
        return Chain(*self._start, tuple(self._moves))

    def _arc(self, s: Segment, z: float) -> None:
        x, y, z = (clean(v, DIGITS) for v in (*s.q, z))
        cx, cy = centre((self.x, self.y), (x, y), s.b)
        i, j = clean(cx - self.x, DIGITS), clean(cy - self.y, DIGITS)
        feed = self._speed(s.length, z)
        self._add(Move("ccw" if s.b > 0 else "cw", x, y, z, feed, i, j))

    def _speed(self, run: float, z: float) -> float:
        drop = self.z - z
        if drop <= 0:
            return self.feed
        sine = drop / math.hypot(run, drop)
        return clean(min(self.feed, self.plunge / sine), 1)

    def _add(self, move: Move) -> None:
        self._moves.append(move)
        self.x, self.y, self.z = move.x, move.y, move.z
