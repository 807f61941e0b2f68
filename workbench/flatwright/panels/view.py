# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""A solid looked at square to its broad faces: which way that is, and its faces in that plane."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from flatwright.geometry.arcs import Point, Segment
from flatwright.geometry.frame import canonical_sign
from flatwright.geometry.outline import chain_area
from flatwright.panels.loops import oriented, plane_segments
from flatwright.panels.reasons import SQUARE, NotAPanel
from flatwright.panels.solid import Curve, Face, Solid, Vector

Wires = list[list[Segment]]


@dataclass(frozen=True, slots=True, eq=False)
class View:
    """A solid seen against `normal`. `x` and `y` are the axes of the plane, about the assembly's
    origin; faces are read when they are asked for."""

    solid: Solid
    normal: Vector
    x: Vector
    y: Vector
    _curves: dict[int, Sequence[Sequence[Curve]]]
    _wires: dict[int, Wires] = field(default_factory=dict)

    def curves(self, i: int) -> Sequence[Sequence[Curve]]:
        """The wires of face i in space."""
        if i not in self._curves:
            self._curves[i] = self.solid.loops(i)
        return self._curves[i]

    def wires(self, i: int) -> Wires:
        """The wires of face i as plane segments, the outer one first to last counter-clockwise."""
        if i not in self._wires:
            self._wires[i] = oriented(plane_segments(self.curves(i), self.x, self.y))
        return self._wires[i]

    def area(self, i: int) -> float:
        """Area of face i, mm²; only of one that lies square to the view."""
        return sum(chain_area(wire) for wire in self.wires(i))

    def middle(self, i: int) -> Point:
        """The middle of the box about face i, in the plane."""
        boxes = [s.bounds() for wire in self.wires(i) for s in wire]
        x0, y0, x1, y1 = zip(*boxes, strict=True)
        return ((min(x0) + max(x1)) / 2, (min(y0) + max(y1)) / 2)


def broad_view(solid: Solid) -> View:
    """The view along the direction with the largest area of plane faces; raises NotAPanel without any.

    Equal areas (a cube) go to the direction nearest to the assembly's z, then y, then x.
    """
    curves: dict[int, Sequence[Sequence[Curve]]] = {}
    best: tuple[tuple[float, ...], View] | None = None
    for at_most, axis, indices in _directions(solid.faces):
        if best is not None and at_most < best[0][0] - 1e-3:
            break
        view = _view(solid, axis, curves)
        area = sum(view.area(i) for i in indices)
        rank = (round(area, 3), *(round(abs(float(axis[k])), 6) for k in (2, 1, 0)))
        if best is None or rank > best[0]:
            best = (rank, view)
    if best is None:
        raise NotAPanel("it has no flat faces")
    return best[1]


def _directions(faces: Sequence[Face]) -> list[tuple[float, Vector, list[int]]]:
    """Directions of plane faces with an upper bound of their area together, largest first."""
    left = [i for i, f in enumerate(faces) if f.kind == "plane"]
    found = []
    while left:
        axis = canonical_sign(faces[left[0]].direction)
        turned = np.abs(np.array([faces[i].direction for i in left]) @ axis) > 1.0 - SQUARE * SQUARE / 2
        same = [i for i, s in zip(left, turned.tolist(), strict=True) if s]
        left = [i for i, s in zip(left, turned.tolist(), strict=True) if not s]
        found.append((sum(faces[i].at_most for i in same), axis, same))
    return sorted(found, key=lambda d: -d[0])


def _view(solid: Solid, normal: Vector, curves: dict[int, Sequence[Sequence[Curve]]]) -> View:
    x = _some_axis(normal)
    return View(solid, normal, x, np.cross(normal, x), curves)


def _some_axis(normal: Vector) -> Vector:
    """Any direction square to the normal, by a fixed rule."""
    k = int(np.argmin([round(abs(float(c)), 6) for c in normal]))
    e = np.zeros(3)
    e[k] = 1.0
    e -= normal * float(e @ normal)
    return np.asarray(e / np.linalg.norm(e), dtype=np.float64)
