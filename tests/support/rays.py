# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""A referee of fitted panels: straight lines through wood. It shares no code with the rooms that it
judges but the plan's values, and sees an assembly only by where a line enters and leaves its boards.

A gap is what lies between leaving one board and entering the next; two boards take the same place if
the lines in which layers of the one cross layers of the other run through both.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from flatwright.geometry.outline import Outline
from flatwright.plan import Panel

Vector = NDArray[np.float64]
Interval = tuple[float, float]
CHORD = 0.0005  # mm between an arc and its chord
INSIDE = 0.003  # mm: how far inside a face the lines run that look for shared wood
COMMON = 0.004  # mm of a line in both boards that counts as shared wood


@dataclass(frozen=True, slots=True, eq=False)
class Layer:
    """Heights between which the wood is the same, and that wood: `starts`, `ends` (k, 2) of its edges."""

    low: float
    high: float
    shape: BaseGeometry
    starts: Vector
    ends: Vector


@dataclass(frozen=True, slots=True, eq=False)
class Body:
    """A panel in space, as layers over a plane: `axes` (3, 3) holds u, v, n in its rows."""

    name: str
    origin: Vector
    axes: Vector
    layers: tuple[Layer, ...]

    def shifted(self, by: Vector) -> Body:
        """The same board somewhere else."""
        return Body(self.name, self.origin + by, self.axes, self.layers)

    @property
    def thickness(self) -> float:
        return self.layers[-1].high

    def height(self, point: Vector) -> float:
        """Above the -n face."""
        return float(self.axes[2] @ (point - self.origin))


def body(panel: Panel) -> Body:
    """The panel as the referee sees it."""
    outer = filled(panel.outline)
    through = [filled(h) for h in panel.holes]
    sunk = recesses(panel)
    levels = sorted({0.0, panel.thickness, *(z for _, a, b in sunk for z in (a, b))})
    layers = []
    for low, high in zip(levels, levels[1:], strict=False):
        if high - low < 1e-6:
            continue
        gone = [s for s, a, b in sunk if a < (low + high) / 2 < b]
        shape = outer.difference(shapely.union_all([*through, *gone]))
        layers.append(layer(low, high, shape))
    f = panel.frame
    return Body(panel.name, f.origin, np.stack([f.u, f.v, f.n]), tuple(layers))


def recesses(panel: Panel) -> list[tuple[Polygon, float, float]]:
    """Each pocket, and the heights between which it takes wood."""
    t = panel.thickness
    return [
        (filled(p.outline), t - p.depth, t) if p.side == "+n" else (filled(p.outline), 0.0, p.depth)
        for p in panel.pockets
    ]


def layer(low: float, high: float, shape: BaseGeometry) -> Layer:
    """A layer of any polygons."""
    starts, ends = [np.zeros((0, 2))], [np.zeros((0, 2))]
    for part in shapely.get_parts(shape):
        if isinstance(part, Polygon):
            for ring in (part.exterior, *part.interiors):
                p = shapely.get_coordinates(ring)
                starts.append(p[:-1])
                ends.append(p[1:])
    return Layer(low, high, shape, np.concatenate(starts), np.concatenate(ends))


def filled(outline: Outline) -> Polygon:
    """The inside of a loop, its arcs within the chord tolerance."""
    points: list[Sequence[float]] = []
    n = len(outline)
    for k in range(n):
        p, q, b = outline.points[k], outline.points[(k + 1) % n], float(outline.bulges[k])
        points.append(p)
        if b:
            points += _arc(p, q, b)
    shape = Polygon(points)
    assert shape.is_valid, f"an outline crosses itself: {shapely.is_valid_reason(shape)}"
    return shape


def _arc(p: Vector, q: Vector, b: float) -> list[tuple[float, float]]:
    """Points between p and q on the arc of bulge b = tan(sweep / 4)."""
    chord = q - p
    # the centre lies off the chord's middle by (1 - b²) / 4b chords, to the left
    centre = (p + q) / 2 + np.array([-chord[1], chord[0]]) * (1 - b * b) / (4 * b)
    r, sweep = math.dist(p, centre), 4 * math.atan(b)
    n = max(2, math.ceil(abs(sweep) / (2 * math.acos(max(0.0, 1 - CHORD / r)))))
    a = math.atan2(p[1] - centre[1], p[0] - centre[0])
    angles = [a + sweep * k / n for k in range(1, n)]
    return [(centre[0] + r * math.cos(w), centre[1] + r * math.sin(w)) for w in angles]


def wood(board: Body, start: Vector, way: Vector) -> list[Interval]:
    """Where the line start + s · way (a unit vector) runs in the board's wood, in order of s (mm)."""
    x, y, z = board.axes @ (start - board.origin)
    dx, dy, dz = board.axes @ way
    found: list[Interval] = []
    for one in board.layers:
        if abs(dz) < 1e-9:
            lo, hi = (-math.inf, math.inf) if one.low <= z < one.high else (0.0, 0.0)
        else:
            lo, hi = sorted(((one.low - z) / dz, (one.high - z) / dz))
        if hi <= lo:
            continue
        for a, b in _through(one, x, y, dx, dy):
            if min(b, hi) > max(a, lo):
                found.append((max(a, lo), min(b, hi)))
    return _joined(found)


def _through(one: Layer, x: float, y: float, dx: float, dy: float) -> list[Interval]:
    """Crossings of a line with a layer's edges, even and odd; all of it where it stands still."""
    speed = math.hypot(dx, dy)
    if speed < 1e-9:
        return [(-math.inf, math.inf)] if one.shape.contains(shapely.Point(x, y)) else []
    a, b = one.starts - (x, y), one.ends - (x, y)
    left, right = dx * a[:, 1] - dy * a[:, 0], dx * b[:, 1] - dy * b[:, 0]
    cross = (left > 0) != (right > 0)
    left, right, a, b = left[cross], right[cross], a[cross], b[cross]
    at = a + (left / (left - right))[:, None] * (b - a)
    s = np.sort((at[:, 0] * dx + at[:, 1] * dy) / speed**2)
    return [(float(p), float(q)) for p, q in zip(s[::2], s[1::2], strict=True)]


def _joined(found: list[Interval]) -> list[Interval]:
    out: list[Interval] = []
    for a, b in sorted(found):
        if out and a <= out[-1][1] + 1e-6:
            out[-1] = (out[-1][0], max(out[-1][1], b))
        else:
            out.append((a, b))
    return out


def leaves(board: Body, start: Vector, way: Vector) -> float | None:
    """How far it is from a place in the wood to where the line leaves it; None outside the wood."""
    return next((b for a, b in wood(board, start, way) if a <= 0.0 <= b), None)


def gap(of: Body, to: Body, start: Vector, way: Vector) -> float | None:
    """From leaving the one board to entering the other (negative: they share wood); None if the line
    does not start in the one, or does not meet the other."""
    out = leaves(of, start, way)
    if out is None:
        return None
    return next((a - out for a, b in wood(to, start, way) if b > out + 1e-6), None)


def shared(a: Body, b: Body) -> float:
    """Length of the longest stretch of a line that runs in the wood of both, mm; 0 if none counts."""
    direction = np.cross(a.axes[2], b.axes[2])
    size = float(np.linalg.norm(direction))
    if size < 1e-6:
        return _shared_flat(a, b)
    direction = direction / size
    normals = np.stack([a.axes[2], b.axes[2], direction])
    inverse = np.linalg.inv(normals)
    base = np.array([a.axes[2] @ a.origin, b.axes[2] @ b.origin, 0.0])
    longest = 0.0
    for z in _heights(a):
        for w in _heights(b):
            point = inverse @ (base + np.array([z, w, 0.0]))
            ours = wood(a, point, direction)
            if ours:
                for c, d in wood(b, point, direction):
                    longest = max(longest, *(min(d, f) - max(c, e) for e, f in ours))
    return longest if longest > COMMON else 0.0


def _heights(board: Body) -> list[float]:
    return [
        z for one in board.layers for z in (one.low + INSIDE, (one.low + one.high) / 2, one.high - INSIDE)
    ]


def _shared_flat(a: Body, b: Body) -> float:
    """Of parallel boards: how thick the wood is that they share, half its least width."""
    sign = float(a.axes[2] @ b.axes[2])
    base = a.height(b.origin)
    across = b.axes[:2] @ a.axes[:2].T
    shift = a.axes[:2] @ (b.origin - a.origin)
    longest = 0.0
    for one in a.layers:
        for two in b.layers:
            lo, hi = sorted((base + sign * two.low, base + sign * two.high))
            deep = min(hi, one.high) - max(lo, one.low)
            if deep <= COMMON:
                continue
            there = shapely.transform(two.shape, lambda p: p @ across + shift)
            if not one.shape.intersection(there).buffer(-INSIDE).is_empty:
                longest = max(longest, deep)
    return longest
