# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What a tab ends in: wood of the sheet that no cut takes away, the drop of an opening, or a neighbour.

Where two parts lie so near that their kerfs meet, nothing is left between them: a tab there holds
only if the neighbour's profile is lifted at the same place, as a bridge between both parts.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import Polygon

from flatwright.geometry.arcs import Point
from flatwright.geometry.outline import Outline
from flatwright.geometry.polygon import polygon, straight
from flatwright.holding.edges import Edge

FIRM = 3.0  # mm of wood beyond the kerf that a tab needs to end in
THIN = 6.0  # mm: a strip of waste that is narrower bends with what hangs on it
CHORD = 0.01
PARALLEL = math.cos(math.radians(179.0))  # edges face each other when they run against each other


@dataclass(frozen=True, slots=True, eq=False)
class Laid:
    """A part as it lies: its loops in sheet coordinates and the diameter that its outline is cut with."""

    name: str
    outline: Outline
    holes: tuple[Outline, ...]
    diameter: float

    def wood(self) -> Polygon:
        return polygon(self.outline, self.holes, tolerance=CHORD)


@dataclass(frozen=True, slots=True, eq=False)
class Bridge:
    """The place on a neighbour's edge that faces a tab."""

    name: str
    point: Point
    angle: float


class Ground:
    """Answers, for one sheet, what a tab at a place ends in. Immutable once made."""

    def __init__(self, size: tuple[float, float], laid: Mapping[str, Laid]) -> None:
        self.size = size
        self.laid = laid
        self.woods = {n: p.wood() for n, p in laid.items()}
        self.kerfs = {n: w.buffer(laid[n].diameter) for n, w in self.woods.items()}
        self.near = {n: self._neighbours(n) for n in laid}
        self.taken = {n: shapely.union_all([self.kerfs[k] for k in near]) for n, near in self.near.items()}
        for area in (*self.kerfs.values(), *self.taken.values()):
            shapely.prepare(area)

    def firm(self, part: str, edge: Edge, station: float, length: float, diameter: float) -> bool:
        """Whether wood stays beyond the kerf, over the tab's length, on the far side of it."""
        clear = diameter + 0.05 + _bend(edge, length)
        strip = _strip(edge, station, length, clear, clear + FIRM)
        if self.taken[part].intersects(strip):
            return False
        if edge.loop > 0:
            drop = polygon(self.laid[part].holes[edge.loop - 1].ccw(), tolerance=CHORD).buffer(-diameter)
            return bool(drop.contains(strip))
        x0, y0, x1, y1 = strip.bounds
        on_sheet = x0 >= 0 and y0 >= 0 and x1 <= self.size[0] and y1 <= self.size[1]
        return on_sheet and not self.kerfs[part].intersects(strip)

    def bridge(
        self, part: str, edge: Edge, station: float, facing: Mapping[str, Sequence[Edge]]
    ) -> Bridge | None:
        """The neighbour's place opposite, if its edge there is straight, faces this one and has room."""
        p, n = edge.at(station)
        best: tuple[float, Bridge] | None = None
        for name in self.near[part]:
            reach = self.laid[part].diameter + self.laid[name].diameter + FIRM
            for other in facing.get(name, ()):
                gap, s = _opposite(p, n, edge, other)
                if 0.0 < gap < reach and other.admits(s) and (best is None or gap < best[0] - 1e-6):
                    best = (gap, Bridge(name, other.at(s)[0], direction(other, s)))
        if best is None or self._crossed(part, p, best[1]):
            return None
        return best[1]

    def alongside(self, part: str) -> bool:
        """Whether no more than a thin strip of waste lies between a good deal of the part's edge and a
        neighbour."""
        edge = self.woods[part].exterior
        reach = 2.0 * max(p.diameter for p in self.laid.values()) + THIN - 0.05
        near = (edge.intersection(self.woods[n].buffer(reach)).length for n in self.near[part])
        return any(length > 0.3 * edge.length for length in near)

    def _crossed(self, part: str, p: Point, bridge: Bridge) -> bool:
        """Whether a third part's cut runs through the bridge."""
        way = straight(p, bridge.point)
        third = [n for n in self.near[part] if n != bridge.name]
        return any(self.woods[n].distance(way) < self.laid[n].diameter for n in third)

    def _neighbours(self, part: str) -> list[str]:
        """The parts whose kerfs could meet a tab of this one."""
        widest = max(p.diameter for p in self.laid.values())
        own = self.woods[part]
        return [n for n, w in self.woods.items() if n != part and w.distance(own) < 2.0 * widest + THIN]


def direction(edge: Edge, station: float) -> float:
    """The edge's direction in degrees, from 0 up to 180."""
    ux, uy = edge.segment.direction(station / edge.segment.length)
    angle = round(math.degrees(math.atan2(uy, ux)), 6) % 180.0
    return angle + 0.0


def _bend(edge: Edge, length: float) -> float:
    """How far a curved edge leaves its tangent over half of a length, mm."""
    return 0.0 if edge.segment.is_line else length**2 / (8.0 * edge.segment.radius)


def _strip(edge: Edge, station: float, length: float, near: float, far: float) -> Polygon:
    """The rectangle beyond the edge, from `near` to `far` of it, as long as the tab."""
    p, n = edge.at(station)
    u = np.array([-n[1], n[0]]) * (length / 2.0)
    base, out = np.array(p), np.array(n)
    return Polygon([base + out * near - u, base + out * near + u, base + out * far + u, base + out * far - u])


def _opposite(p: Point, n: Point, edge: Edge, other: Edge) -> tuple[float, float]:
    """(distance along n to the other edge, station there); a gap of -1 if it does not face p."""
    if not other.segment.is_line or other.loop > 0:
        return -1.0, 0.0
    ux, uy = edge.segment.direction(0.5)
    vx, vy = other.segment.direction(0.5)
    if ux * vx + uy * vy > PARALLEL:
        return -1.0, 0.0
    t = other.segment.fraction(p)
    if not 0.0 <= t <= 1.0:
        return -1.0, 0.0
    q = other.segment.at(t)
    return (q[0] - p[0]) * n[0] + (q[1] - p[1]) * n[1], t * other.segment.length
