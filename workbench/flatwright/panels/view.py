# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""A solid looked at square to its broad faces: which way that is, and its faces in that plane."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np

from flatwright.geometry.arcs import Point, Segment
from flatwright.geometry.frame import canonical_sign
from flatwright.geometry.outline import chain_area
from flatwright.panels.loops import oriented, plane_segments
from flatwright.panels.reasons import SQUARE, NotAPanel
from flatwright.panels.solid import Curve, Face, Solid, Vector

Wires = list[list[Segment]]

OTHERS = 2  # directions: a board has three but for those of cut corners


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


def broad_views(solid: Solid) -> Iterator[View]:
    """The views in which a solid may be a board, the likeliest first; raises NotAPanel without any.

    That is the direction with the largest area of plane faces. A grille or a comb has more wood in the walls
    of its slots than in its broad faces: the next `OTHERS` directions are looked at too when asked for. Equal
    areas (a cube) go to the direction nearest to the assembly's z, then y, then x.
    """
    curves: dict[int, Sequence[Sequence[Curve]]] = {}
    directions = _directions(solid.faces)
    if not directions:
        raise NotAPanel("it has no flat faces")
    ranked: list[tuple[tuple[float, ...], View]] = []
    for at_most, axis, indices in directions:
        if ranked and at_most < max(ranked, key=_rank)[0][0] - 1e-3:
            break
        ranked.append(_ranked(_view(solid, axis, curves), indices))
    yield max(ranked, key=_rank)[1]
    ranked += [_ranked(_view(solid, axis, curves), found) for _, axis, found in directions[len(ranked) :]]
    for _, view in sorted(ranked, key=_rank, reverse=True)[1 : 1 + OTHERS]:
        yield view


def _ranked(view: View, indices: Sequence[int]) -> tuple[tuple[float, ...], View]:
    area = sum(view.area(i) for i in indices)
    return (round(area, 3), *(round(abs(float(view.normal[k])), 6) for k in (2, 1, 0))), view


def _rank(of: tuple[tuple[float, ...], View]) -> tuple[float, ...]:
    return of[0]


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
