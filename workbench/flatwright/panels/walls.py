# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The walls of a solid seen from its face: upright, slanted in pairs, or what a bit cannot cut."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from flatwright.geometry.arcs import Point
from flatwright.panels.reasons import LEVEL, SQUARE, NotAPanel
from flatwright.panels.solid import Face
from flatwright.panels.view import View

STEEPEST = math.sin(math.radians(45.0)) + SQUARE  # of a slanted slot's walls, off square

Span = tuple[float, float]


@dataclass(frozen=True, slots=True, eq=False)
class Slanted:
    """A plane wall that leans: `away` points out of the wood, (2,) unit; `slope` is the sine of its
    lean, positive where it looks up. `top` and `bottom` are its coordinates along `away` on the two
    faces, `on_top` and `on_bottom` its stretches there along `line`."""

    away: Point
    slope: float
    top: float
    bottom: float
    on_top: tuple[Span, ...]
    on_bottom: tuple[Span, ...]

    @property
    def line(self) -> Point:
        """Direction of its upper and lower edge: the wood lies on the left."""
        return (-self.away[1], self.away[0])

    @property
    def degrees(self) -> float:
        """Off square."""
        return math.degrees(math.asin(abs(self.slope)))

    def middle(self) -> Point:
        """The middle of the wall seen from the face."""
        stretches = [t for span in self.on_top + self.on_bottom for t in span]
        along, out = (min(stretches) + max(stretches)) / 2, (self.top + self.bottom) / 2
        (ax, ay), (lx, ly) = self.away, self.line
        return (out * ax + along * lx, out * ay + along * ly)

    def faces(self, other: Slanted) -> bool:
        """True when the two are the walls of one slot: parallel, open to each other, side by side."""
        (ax, ay), (bx, by) = self.away, other.away
        if math.hypot(ax + bx, ay + by) > SQUARE or abs(self.slope + other.slope) > SQUARE:
            return False
        if self.top > -other.top - LEVEL:
            return False
        return any(
            min(b, -c) - max(a, -d) > LEVEL
            for mine, theirs in ((self.on_top, other.on_top), (self.on_bottom, other.on_bottom))
            for a, b in mine
            for c, d in theirs
        )


def walls(view: View, top: float, bottom: float) -> list[tuple[Slanted, Slanted]]:
    """The pairs of slanted walls of a board between two heights. Raises NotAPanel for what an upright
    bit cannot cut: bevels, mitres, tapers, slanted or free surfaces."""
    slanted = [i for i, f in enumerate(view.solid.faces) if _leans(f, view)]
    found = [_slanted(view, group, top, bottom) for group in _coplanar(view, slanted)]
    pairs = [(a, b) for k, a in enumerate(found) for b in found[k + 1 :] if a.faces(b)]
    for wall in found:
        if not any(wall is w for pair in pairs for w in pair):
            raise _bevel(wall.slope)
    return pairs


def _leans(f: Face, view: View) -> bool:
    c = abs(float(f.direction @ view.normal))
    if f.kind == "plane":
        if SQUARE < c < 1.0 - SQUARE * SQUARE:
            if c > STEEPEST:
                raise _bevel(c)
            return True
    elif f.kind in ("cylinder", "extrusion"):
        if c < SQUARE:
            raise NotAPanel("it has a hole in its edge or a rounded edge, which cannot be cut from the face")
        if c < 1.0 - SQUARE:
            raise NotAPanel("it has a slanted round face, which an upright bit cannot cut")
    else:
        raise NotAPanel("it has a face that is neither flat nor upright")
    return False


def _bevel(slope: float) -> NotAPanel:
    angle = math.degrees(math.acos(min(1.0, abs(slope))))
    return NotAPanel(
        f"a face stands at {angle:.1f}° to its broad faces (a bevel, mitre or taper), "
        "which an upright bit cannot cut"
    )


def _coplanar(view: View, faces: Sequence[int]) -> list[list[int]]:
    """The faces grouped by the plane that they lie in: modellers leave faces split."""
    groups: list[list[int]] = []
    for i in faces:
        f = view.solid.faces[i]
        for group in groups:
            g = view.solid.faces[group[0]]
            same = float(np.linalg.norm(f.direction - g.direction)) < SQUARE
            if same and abs(float((f.point - g.point) @ g.direction)) < LEVEL:
                group.append(i)
                break
        else:
            groups.append([i])
    return groups


def _slanted(view: View, group: Sequence[int], top: float, bottom: float) -> Slanted:
    face = view.solid.faces[group[0]]
    slope = float(face.direction @ view.normal)
    upright = math.sqrt(1.0 - slope * slope)
    away = (float(face.direction @ view.x) / upright, float(face.direction @ view.y) / upright)
    offset = float(face.direction @ face.point)
    line = -away[1] * view.x + away[0] * view.y
    edges: dict[float, list[Span]] = {top: [], bottom: []}
    for curve in (c for i in group for wire in view.curves(i) for c in wire):
        for height, spans in edges.items():
            ends = (float(curve.start @ view.normal), float(curve.end @ view.normal))
            if all(abs(z - height) < LEVEL for z in ends):
                a, b = sorted((float(curve.start @ line), float(curve.end @ line)))
                spans.append((a, b))
    if not edges[top] or not edges[bottom]:
        raise _bevel(slope)
    return Slanted(
        away,
        slope,
        (offset - slope * top) / upright,
        (offset - slope * bottom) / upright,
        tuple(sorted(edges[top])),
        tuple(sorted(edges[bottom])),
    )
