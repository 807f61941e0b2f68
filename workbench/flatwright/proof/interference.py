# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Where two assembled parts want the same place.

Each slab is first drawn in by half the tolerance on every side, so that parts that only touch
do not count. For square planes the test is exact: along the line where the planes meet, both
parts have wood in the other's thickness or not. Slanted planes are cut at several heights.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.affinity import affine_transform
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from flatwright.geometry.frame import Vector
from flatwright.geometry.polygon import parts
from flatwright.proof.meeting import FAR, PARALLEL, Meeting, cross_angle
from flatwright.proof.slab import Layer, Slab

TOLERANCE = 0.01  # mm of penetration that counts as touching
SQUARE = 1e-5  # cosine below which two planes are square to each other
CUTS = (0.0, 0.25, 0.5, 0.75, 1.0)  # of a layer's height, for slanted planes


@dataclass(frozen=True, slots=True)
class Overlap:
    """Two parts in one place: about how far they reach into each other (mm) and where in space."""

    a: str
    b: str
    depth: float
    at: tuple[float, float, float]


def overlaps(slabs: Sequence[Slab], tolerance: float = TOLERANCE) -> list[Overlap]:
    """The deepest overlap of every pair that has one, in the order of the slabs."""
    thin = [drawn_in(s, tolerance / 2) for s in slabs]
    out = []
    for i, j in _near_pairs(thin):
        found = list(_overlaps(thin[i], thin[j]))
        if found:
            deepest = max(found, key=lambda o: (round(o.depth, 3), o.at))
            out.append(Overlap(deepest.a, deepest.b, deepest.depth + tolerance, deepest.at))
    return out


def drawn_in(s: Slab, by: float) -> Slab:
    """The slab with every surface moved inward."""
    layers = [
        Layer(x.low + by, x.high - by, x.wood.buffer(-by, join_style="mitre"))
        for x in s.layers
        if x.high - x.low > 2 * by
    ]
    return Slab(s.name, s.frame, s.thickness, tuple(x for x in layers if not x.wood.is_empty))


def _near_pairs(slabs: Sequence[Slab]) -> Iterator[tuple[int, int]]:
    """Pairs whose bounding boxes in space meet."""
    whole = [s for s in slabs if s.layers]
    index = [k for k, s in enumerate(slabs) if s.layers]
    if not whole:
        return
    boxes = [s.box() for s in whole]
    low, high = np.array([b[0] for b in boxes]), np.array([b[1] for b in boxes])
    for i in range(len(whole)):
        meets = (low[i + 1 :] < high[i]).all(axis=1) & (high[i + 1 :] > low[i]).all(axis=1)
        for j in (np.flatnonzero(meets) + i + 1).tolist():
            yield index[i], index[j]


def _overlaps(a: Slab, b: Slab) -> Iterator[Overlap]:
    if cross_angle(a, b) < PARALLEL:
        yield from _parallel(a, b)
        return
    m = Meeting(a, b)
    for x in a.layers:
        for y in b.layers:
            if abs(m.cos) < SQUARE:
                yield from _square(m, x, y)
            else:
                yield from _slanted(m, x, y)


def _parallel(a: Slab, b: Slab) -> Iterator[Overlap]:
    """Layers at common heights: plain overlaps in the plane."""
    f, g = a.frame, b.frame
    sign = 1.0 if float(f.n @ g.n) > 0.0 else -1.0
    lift = float((g.origin - f.origin) @ f.n)
    shift = g.origin - f.origin
    entries = (g.u @ f.u, g.v @ f.u, g.u @ f.v, g.v @ f.v, shift @ f.u, shift @ f.v)
    matrix = [float(x) for x in entries]
    for y in b.layers:
        ends = sorted((lift + sign * y.low, lift + sign * y.high))
        here = affine_transform(y.wood, matrix)
        for x in a.layers:
            low, high = max(x.low, ends[0]), min(x.high, ends[1])
            if low < high:
                for p in parts(x.wood.intersection(here)):
                    c = p.representative_point()
                    at = f.to_space(np.array([[c.x, c.y]]), (low + high) / 2)[0]
                    yield Overlap(a.name, b.name, min(high - low, _width(p)), _rounded(at))


def _square(m: Meeting, x: Layer, y: Layer) -> Iterator[Overlap]:
    """Exact for square planes: at each d the overlap is (a's wood within b's thickness) times
    (b's wood within a's thickness)."""
    e0, e1 = sorted((m.e_at(y.low, 0.0), m.e_at(y.high, 0.0)))
    f0, f1 = sorted((m.f_at(x.low, 0.0), m.f_at(x.high, 0.0)))
    mine = parts(m.in_a(x.wood).intersection(shapely.box(-FAR, e0, FAR, e1)))
    theirs = parts(m.in_b(y.wood).intersection(shapely.box(-FAR, f0, FAR, f1)))
    for p in mine:
        for q in theirs:
            d0, d1 = max(p.bounds[0], q.bounds[0]), min(p.bounds[2], q.bounds[2])
            if d0 < d1:
                strip = shapely.box(d0, -FAR, d1, FAR)
                for one in parts(p.intersection(strip)):
                    for other in parts(q.intersection(strip)):
                        yield from _block(m, y, one, other)


def _block(m: Meeting, y: Layer, one: Polygon, other: Polygon) -> Iterator[Overlap]:
    """The overlap of one piece of each part, if they share a stretch of the line."""
    p, q = one.bounds, other.bounds
    d0, d1 = max(p[0], q[0]), min(p[2], q[2])
    if d0 < d1:
        depth = min(d1 - d0, _width(one), _width(other))
        h = m.h_at((q[1] + q[3]) / 2, (y.low + y.high) / 2)
        at = np.array(m.point((d0 + d1) / 2, (p[1] + p[3]) / 2, h))
        yield Overlap(m.a.name, m.b.name, depth, _rounded(at))


def _slanted(m: Meeting, x: Layer, y: Layer) -> Iterator[Overlap]:
    """Plane cuts at several heights of a's layer."""
    mine, theirs = m.in_a(x.wood), m.in_b(y.wood)
    for share in CUTS:
        h = x.low + share * (x.high - x.low)
        section = _section(m, theirs, y, h)
        for p in parts(mine.intersection(section)):
            c = p.representative_point()
            at = np.array(m.point(c.x, c.y, h))
            yield Overlap(m.a.name, m.b.name, _width(p), _rounded(at))


def _section(m: Meeting, wood: BaseGeometry, y: Layer, h: float) -> BaseGeometry:
    """b's layer cut by a's plane at height h, in (d, e): an affine picture of the part of b's
    region that the plane passes while inside the layer."""
    e0, e1 = sorted((m.e_at(y.low, h), m.e_at(y.high, h)))
    f0, f1 = sorted((m.f_at(h, y.low), m.f_at(h, y.high)))
    passed = wood.intersection(shapely.box(-FAR, f0, FAR, f1))
    # f falls by cos/sin per w, e rises by 1/sin per w: e as a function of f is linear
    scale = (m.e_at(y.high, h) - m.e_at(y.low, h)) / (m.f_at(h, y.high) - m.f_at(h, y.low))
    offset = m.e_at(y.low, h) - scale * m.f_at(h, y.low)
    picture = affine_transform(passed, [1.0, 0.0, 0.0, scale, 0.0, offset])
    return picture.intersection(shapely.box(-FAR, e0, FAR, e1))


def _width(p: BaseGeometry) -> float:
    """About how thick a piece is: exact for a long strip, half the side for a square."""
    return 2.0 * float(p.area) / float(p.length)


def _rounded(p: Vector) -> tuple[float, float, float]:
    x, y, z = (round(float(v), 1) + 0.0 for v in p)
    return (x, y, z)
