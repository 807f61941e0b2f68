# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Two slabs whose planes cross: common coordinates along and across the line where they meet.

`d` runs along that line, shared by both. In slab a, `e` runs across it in a's plane and `h`
is the height above a's -n face; in slab b, `f` and `w` likewise.
"""

from __future__ import annotations

import numpy as np
from shapely.affinity import affine_transform
from shapely.geometry import LineString
from shapely.geometry.base import BaseGeometry

from flatwright.geometry.frame import Vector, unit
from flatwright.proof.slab import Slab

FAR = 1e6  # mm: longer than any line through a part
PARALLEL = 1e-5  # sine below which two planes do not cross


def cross_angle(a: Slab, b: Slab) -> float:
    """Sine of the angle between the slabs' planes."""
    return float(np.linalg.norm(np.cross(a.frame.n, b.frame.n)))


class Meeting:
    """The coordinates of a pair; raises ValueError for parallel planes."""

    def __init__(self, a: Slab, b: Slab) -> None:
        self.a, self.b = a, b
        self.d: Vector = unit(np.cross(a.frame.n, b.frame.n))
        self.cos = float(a.frame.n @ b.frame.n)
        self.e = _inward(np.cross(a.frame.n, self.d), b.frame.n)
        self.f = _inward(np.cross(b.frame.n, self.d), a.frame.n)
        self.sin = float(self.e @ b.frame.n)
        self.base_a = float(a.frame.origin @ a.frame.n)
        self.base_b = float(b.frame.origin @ b.frame.n)

    def e_at(self, w: float, h: float) -> float:
        """Where b's plane at height w cuts a's plane at height h."""
        return (w + self.base_b - (self.base_a + h) * self.cos) / self.sin

    def f_at(self, h: float, w: float) -> float:
        """Where a's plane at height h cuts b's plane at height w."""
        return (h + self.base_a - (self.base_b + w) * self.cos) / self.sin

    def h_at(self, f: float, w: float) -> float:
        """Height above a's -n face of b's point at f and w."""
        return f * self.sin + (self.base_b + w) * self.cos - self.base_a

    def w_at(self, e: float, h: float) -> float:
        """Height above b's -n face of a's point at e and h."""
        return e * self.sin + (self.base_a + h) * self.cos - self.base_b

    def in_a(self, wood: BaseGeometry) -> BaseGeometry:
        """A region of a from (u, v) to (d, e)."""
        return _turned(self.a, wood, self.d, self.e)

    def in_b(self, wood: BaseGeometry) -> BaseGeometry:
        """A region of b from (u, v) to (d, f)."""
        return _turned(self.b, wood, self.d, self.f)

    def point(self, d: float, e: float, h: float) -> tuple[float, float, float]:
        """The point in space at (d, e) of a and height h."""
        p = d * self.d + e * self.e + (self.base_a + h) * self.a.frame.n
        return (float(p[0]), float(p[1]), float(p[2]))


def _inward(axis: Vector, towards: Vector) -> Vector:
    return axis if float(axis @ towards) > 0.0 else -axis


def _turned(s: Slab, wood: BaseGeometry, x: Vector, y: Vector) -> BaseGeometry:
    f = s.frame
    entries = (f.u @ x, f.v @ x, f.u @ y, f.v @ y, f.origin @ x, f.origin @ y)
    return affine_transform(wood, [float(v) for v in entries])


def wood_along(region: BaseGeometry, at: float, *, level: bool) -> list[tuple[float, float]]:
    """Intervals of a region on the line second coordinate = at (`level`), else first = at."""
    ends = [(-FAR, at), (FAR, at)] if level else [(at, -FAR), (at, FAR)]
    cut = region.intersection(LineString(ends))
    pieces = getattr(cut, "geoms", [cut])
    k = 0 if level else 1
    spans = sorted((p.bounds[k], p.bounds[k + 2]) for p in pieces if not p.is_empty and p.length > 0.0)
    out: list[tuple[float, float]] = []
    for lo, hi in spans:
        if out and lo - out[-1][1] < 1e-6:
            out[-1] = (out[-1][0], max(hi, out[-1][1]))
        else:
            out.append((lo, hi))
    return out


def free_around(wood: list[tuple[float, float]], x: float) -> tuple[float | None, float | None] | None:
    """The wood-free span about x: its ends, None where it is open; None when x lies in wood."""
    if any(lo < x < hi for lo, hi in wood):
        return None
    below = [hi for lo, hi in wood if hi <= x]
    above = [lo for lo, hi in wood if lo >= x]
    return (max(below, default=None), min(above, default=None))
