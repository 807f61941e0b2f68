# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""A right-handed frame in space: where a panel's plane coordinates lie in the assembly."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from flatwright.geometry.outline import clean

Vector = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Frame:
    """Origin and unit axes u, v, n = u × v, each (3,) float."""

    origin: Vector
    u: Vector
    v: Vector
    n: Vector

    @staticmethod
    def of(
        origin: Sequence[float] | Vector, u: Sequence[float] | Vector, n: Sequence[float] | Vector
    ) -> Frame:
        """Frame from an origin, a normal and a direction u (made square to n)."""
        normal = unit(n)
        along = np.asarray(u, dtype=np.float64)
        along = unit(along - normal * float(along @ normal))
        return Frame(np.asarray(origin, dtype=np.float64), along, np.cross(normal, along), normal)

    def to_space(self, points: Vector, z: float | Vector = 0.0) -> Vector:
        """(n, 2) plane points at height z -> (n, 3)."""
        p = np.asarray(points, dtype=np.float64).reshape(-1, 2)
        height = np.asarray(z, dtype=np.float64).reshape(-1, 1)
        out: Vector = self.origin + p[:, :1] * self.u + p[:, 1:] * self.v + height * self.n
        return out

    def to_plane(self, points: Vector) -> Vector:
        """(n, 3) points -> (n, 3) of u, v and height along n."""
        d = np.asarray(points, dtype=np.float64).reshape(-1, 3) - self.origin
        return d @ np.array((self.u, self.v, self.n)).T

    def shifted(self, along_n: float) -> Frame:
        """The same frame moved along its normal."""
        return Frame(self.origin + along_n * self.n, self.u, self.v, self.n)

    def as_json(self) -> dict[str, list[float]]:
        return {
            "origin": [clean(x, 6) for x in self.origin],
            "u": [clean(x, 9) for x in self.u],
            "v": [clean(x, 9) for x in self.v],
            "n": [clean(x, 9) for x in self.n],
        }

    @staticmethod
    def from_json(data: dict[str, Any]) -> Frame:
        return Frame(*(np.array(data[k], dtype=np.float64) for k in ("origin", "u", "v", "n")))


def unit(v: Sequence[float] | Vector) -> Vector:
    """The vector scaled to length 1; raises ValueError for the null vector."""
    a = np.asarray(v, dtype=np.float64)
    length = float(np.linalg.norm(a))
    if length < 1e-12:
        raise ValueError("a direction needs a length")
    return np.asarray(a / length, dtype=np.float64)


def cross(a: Vector, b: Vector) -> Vector:
    """a × b of two (3,) vectors; numpy's own takes ten times as long for one pair."""
    a0, a1, a2 = a.tolist()
    b0, b1, b2 = b.tolist()
    return np.array([a1 * b2 - a2 * b1, a2 * b0 - a0 * b2, a0 * b1 - a1 * b0])


def canonical_sign(v: Vector, tolerance: float = 1e-6) -> Vector:
    """v or -v, so that its z, else its y, else its x is positive (first that is not zero)."""
    for k in (2, 1, 0):
        if abs(v[k]) > tolerance:
            return v if v[k] > 0 else -v
    return v
