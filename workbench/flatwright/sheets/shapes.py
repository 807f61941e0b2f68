# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The ways in which a part may lie, as polygons that contain its true outline.

Positions are whole micrometres, so that engines compare integers and every host decides alike.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

from flatwright.geometry.arcs import Point, Segment
from flatwright.geometry.outline import Outline
from flatwright.sheets.job import Part

Ring = tuple[Point, ...]
Identity = tuple[tuple[int, int], ...]

OUTSIDE = 0.05  # mm: how far a polygon may lie outside an arc
NOISE = 0.01  # µm: float noise that must not cost a whole micrometre


@dataclass(frozen=True, slots=True)
class Shape:
    """A part turned: `ring` mm with the lower left corner of its extents at (0, 0), counter-clockwise;
    `size` of the extents and `corner`, where that corner lay before, in µm.
    """

    turn: float
    ring: Ring
    size: tuple[int, int]
    corner: tuple[int, int]

    def spot(self, x: int, y: int) -> tuple[float, float]:
        """The shift (mm) that brings the corner of the extents to x, y (µm) on the sheet."""
        return (x - self.corner[0]) / 1000.0, (y - self.corner[1]) / 1000.0


def shapes_of(part: Part, tolerance: float = OUTSIDE) -> tuple[Shape, ...]:
    """One shape for each allowed turn, without those that lie just like an earlier one."""
    found: dict[Identity, Shape] = {}
    for turn in part.turns:
        shape = _shape(part, turn, tolerance)
        found.setdefault(identity(shape), shape)
    return tuple(found.values())


def identity(shape: Shape) -> Identity:
    """Equal for shapes that are the same within 1e-5 mm, wherever their loops start."""
    ring = [(quantised(x, 1e-5), quantised(y, 1e-5)) for x, y in shape.ring]
    k = ring.index(min(ring))
    return tuple(ring[k:] + ring[:k])


def quantised(value: float, step: float) -> int:
    """The value in whole steps. The steps begin at odd fractions, so that values that a person
    would choose never lie where float noise decides."""
    return math.floor(value / step + 0.3713)


def _shape(part: Part, turn: float, tolerance: float) -> Shape:
    turned = part.outer.moved(angle=math.radians(turn), mirror=part.flipped).ccw()
    ring = outside_ring(turned, tolerance)
    xs, ys = [p[0] for p in ring], [p[1] for p in ring]
    corner = micrometres_down(min(xs)), micrometres_down(min(ys))
    far = micrometres_up(max(xs)), micrometres_up(max(ys))
    dx, dy = corner[0] / 1000.0, corner[1] / 1000.0
    moved = tuple((round(x - dx, 6), round(y - dy, 6)) for x, y in ring)
    return Shape(turn, moved, (far[0] - corner[0], far[1] - corner[1]), corner)


def micrometres_up(mm: float) -> int:
    """Whole micrometres, rounded up, but not for mere noise."""
    return math.ceil(mm * 1000.0 - NOISE)


def micrometres_down(mm: float) -> int:
    return math.floor(mm * 1000.0 + NOISE)


def outside_ring(outline: Outline, tolerance: float) -> Ring:
    """Corners of a polygon that contains a counter-clockwise outline, with the same extents.

    Arcs that bulge outwards become tangents, arcs that bulge inwards chords, neither further
    than the tolerance (mm) from the arc.
    """
    return tuple(p for s in outline.segments() for p in _outside(s, tolerance))


def _outside(s: Segment, tolerance: float) -> list[Point]:
    """Points from the segment's start (included) to its end (left out)."""
    if s.b <= 0.0 or s.is_line:
        return s.flattened(tolerance)
    c, r, sweep = s.centre, s.radius, s.sweep
    first = math.atan2(s.p[1] - c[1], s.p[0] - c[0])
    step = min(2.0 * math.acos(r / (r + tolerance)), math.pi / 4.0)
    points = [s.p]
    for a, b in _quarters(first, first + sweep):
        n = max(1, math.ceil((b - a) / step - 1e-9))
        reach = r / math.cos((b - a) / n / 2.0)
        for k in range(n):
            t = a + (b - a) * (k + 0.5) / n
            points.append((c[0] + reach * math.cos(t), c[1] + reach * math.sin(t)))
    return points


def _quarters(start: float, end: float) -> list[tuple[float, float]]:
    """The range of angles cut where the arc is level or upright, so that its extents stay exact."""
    quarter = math.pi / 2.0
    first = math.floor(start / quarter + 1e-9) + 1
    last = math.ceil(end / quarter - 1e-9) - 1
    cuts = [start, *(k * quarter for k in range(first, last + 1)), end]
    return list(pairwise(cuts))
