# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Whether a part that moves away in a straight line meets another part on its way.

Exact for planes that are square or parallel to each other and moves along their axes, as in most
furniture; other pairs are tried step by step. Slabs come drawn in a little, so that parts may slide
along each other.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import shapely
from shapely.affinity import affine_transform
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from flatwright.geometry.frame import Vector
from flatwright.geometry.polygon import parts
from flatwright.proof.interference import SQUARE, overlaps
from flatwright.proof.meeting import FAR, PARALLEL, Meeting, cross_angle
from flatwright.proof.slab import Layer, Slab

SMALL = 1e-6  # mm²: less shared area than this is none
ALONG = 1e-6  # of a unit vector, by which it may miss an axis
LONG = 1e5  # mm: farther than any part moves
STEPS = 60  # tried at most on the way of a pair that is neither square nor parallel


def blocks(a: Slab, b: Slab, way: Vector) -> bool:
    """True when a, moved along the unit vector `way` for ever, meets b."""
    if _along(way, b.frame.n) and (_parallel(a, b) or _square(a, b)):
        return _through_plane(a, b, up=float(way @ b.frame.n) > 0.0)
    if _along(way, a.frame.n) and (_parallel(a, b) or _square(a, b)):
        return _through_plane(b, a, up=float(way @ a.frame.n) < 0.0)
    if _parallel(a, b) and abs(float(way @ a.frame.n)) < ALONG:
        return _in_plane(a, b, way)
    if _square(a, b):
        m = Meeting(a, b)
        if _along(way, m.d):
            return _along_line(m, forwards=float(way @ m.d) > 0.0)
    return _step_by_step(a, b, way)


def _along(way: Vector, axis: Vector) -> bool:
    return abs(abs(float(way @ axis)) - 1.0) < ALONG


def _parallel(a: Slab, b: Slab) -> bool:
    return cross_angle(a, b) < PARALLEL


def _square(a: Slab, b: Slab) -> bool:
    return abs(float(a.frame.n @ b.frame.n)) < SQUARE


def _through_plane(a: Slab, b: Slab, *, up: bool) -> bool:
    """a moves along b's normal: all of it that lies before a layer of b is projected onto it."""
    return any(
        shadow.intersection(wood).area > SMALL
        for layer in b.layers
        for shadow, wood in _shadows(a, b, layer, layer.high if up else layer.low, up)
    )


def _shadows(
    a: Slab, b: Slab, layer: Layer, height: float, up: bool
) -> list[tuple[BaseGeometry, BaseGeometry]]:
    """Pairs of what of a lies before a height of b, seen along b's normal, and the layer's wood."""
    if _parallel(a, b):
        laid = _laid_on(a, b)
        return [(here, layer.wood) for low, high, here in laid if (low < height if up else high > height)]
    m = Meeting(b, a)
    wood = m.in_a(layer.wood)
    out: list[tuple[BaseGeometry, BaseGeometry]] = []
    for x in a.layers:
        e0, e1 = sorted((m.e_at(x.low, 0.0), m.e_at(x.high, 0.0)))
        f = m.f_at(height, 0.0)
        side = shapely.box(-FAR, -FAR, FAR, f) if up else shapely.box(-FAR, f, FAR, FAR)
        for p in parts(m.in_b(x.wood).intersection(side)):
            out.append((shapely.box(p.bounds[0], e0, p.bounds[2], e1), wood))
    return out


def _laid_on(a: Slab, b: Slab) -> list[tuple[float, float, BaseGeometry]]:
    """The layers of a parallel slab: from, to above b's -n face, and the wood in b's u, v."""
    f, g = b.frame, a.frame
    shift = g.origin - f.origin
    lift, sign = float(shift @ f.n), 1.0 if float(f.n @ g.n) > 0.0 else -1.0
    entries = (g.u @ f.u, g.v @ f.u, g.u @ f.v, g.v @ f.v, shift @ f.u, shift @ f.v)
    matrix = [float(x) for x in entries]
    out = []
    for x in a.layers:
        low, high = sorted((lift + sign * x.low, lift + sign * x.high))
        out.append((low, high, affine_transform(x.wood, matrix)))
    return out


def _in_plane(a: Slab, b: Slab, way: Vector) -> bool:
    """Parallel slabs at common heights: a's wood swept along the way meets b's."""
    step = np.array([float(way @ b.frame.u), float(way @ b.frame.v)]) * LONG
    for low, high, wood in _laid_on(a, b):
        for y in b.layers:
            if min(high, y.high) > max(low, y.low) and _sweeps_over(wood, y.wood, step):
                return True
    return False


def _sweeps_over(wood: BaseGeometry, other: BaseGeometry, step: Vector) -> bool:
    for p in parts(wood):
        ring = shapely.get_coordinates(p.exterior)
        corners = np.stack([ring[:-1], ring[1:], ring[1:] + step, ring[:-1] + step], axis=1)
        strips = [Polygon(c) for c in corners.tolist()]
        if any(s.area > SMALL and s.intersects(other) and s.intersection(other).area > SMALL for s in strips):
            return True
    return False


def _along_line(m: Meeting, *, forwards: bool) -> bool:
    """Square planes, along the line where they meet: who reaches farther in each other's thickness."""
    for x in m.a.layers:
        for y in m.b.layers:
            e0, e1 = sorted((m.e_at(y.low, 0.0), m.e_at(y.high, 0.0)))
            f0, f1 = sorted((m.f_at(x.low, 0.0), m.f_at(x.high, 0.0)))
            mine = parts(m.in_a(x.wood).intersection(shapely.box(-FAR, e0, FAR, e1)))
            theirs = parts(m.in_b(y.wood).intersection(shapely.box(-FAR, f0, FAR, f1)))
            if mine and theirs and _meets(mine, theirs, forwards):
                return True
    return False


def _meets(mine: list[Polygon], theirs: list[Polygon], forwards: bool) -> bool:
    if forwards:
        return min(p.bounds[0] for p in mine) < max(q.bounds[2] for q in theirs)
    return max(p.bounds[2] for p in mine) > min(q.bounds[0] for q in theirs)


def _step_by_step(a: Slab, b: Slab, way: Vector) -> bool:
    first, last = shared_way(a.box(), b.box(), way)
    step = max(min(a.thickness, b.thickness) / 3.0, (last - first) / STEPS)
    at = max(first, 0.0) + step / 2
    while at < last:
        moved = replace(a, frame=replace(a.frame, origin=a.frame.origin + at * way))
        if overlaps([moved, b], 0.0):
            return True
        at += step
    return False


def shared_way(a: tuple[Vector, Vector], b: tuple[Vector, Vector], way: Vector) -> tuple[float, float]:
    """From where to where box a, moved along the way, meets box b; first > last when it never does."""
    low, high = b[0] - a[1], b[1] - a[0]
    first, last = 0.0, np.inf
    for k in range(3):
        if abs(float(way[k])) < 1e-9:
            if low[k] >= 0.0 or high[k] <= 0.0:
                return np.inf, 0.0
            continue
        ends = sorted((float(low[k] / way[k]), float(high[k] / way[k])))
        first, last = max(first, ends[0]), min(last, ends[1])
    return first, last
