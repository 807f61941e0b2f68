# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""A panel's own frame, by a rule that depends on its geometry alone, and its loops in that frame."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from flatwright.geometry.arcs import Point
from flatwright.geometry.frame import Frame, canonical_sign
from flatwright.geometry.outline import Outline, is_circle
from flatwright.panels.solid import Vector
from flatwright.panels.view import View


@dataclass(frozen=True, slots=True, eq=False)
class OwnFrame:
    """The frame, and how loops of the view come into it: turned back by `angle`, then shifted."""

    frame: Frame
    angle: float
    shift: tuple[float, float]

    def settled(self, outline: Outline) -> Outline:
        """The loop in the panel's frame, free of float dust, starting at its lowest left point."""
        cos, sin = math.cos(self.angle), math.sin(self.angle)
        moved = outline.points @ np.array([[cos, -sin], [sin, cos]]) + np.array(self.shift)
        points = np.round(moved, 7) + 0.0
        bulges = outline.bulges
        if bulges.any():
            bulges = np.where(np.abs(bulges) < 1e-9, 0.0, np.round(bulges, 9))
        round_one = is_circle(Outline(points, bulges)) if bulges.all() else None
        if round_one is not None:
            c, r = round_one
            sign = 1.0 if outline.area() > 0 else -1.0
            return Outline(np.array([[c[0] - r, c[1]], [c[0] + r, c[1]]]), np.array([sign, sign]))
        starts = np.round(points, 3).tolist()
        first = min(range(len(starts)), key=lambda i: (starts[i][1], starts[i][0]))
        return Outline(*(np.concatenate([x[first:], x[:first]]) for x in (points, bulges)))

    def place(self, point: Point) -> Point:
        """A point of the view in the panel's plane coordinates."""
        c, s = math.cos(self.angle), math.sin(self.angle)
        x, y = point
        return (x * c + y * s + self.shift[0], y * c - x * s + self.shift[1])

    def in_model(self, point: Point) -> str:
        """A point of the -n face, in words that lead to it in the model: the panel's own coordinates
        mean nothing to a reader while there is no panel."""
        x, y, z = self.frame.to_space(np.array([point]))[0].tolist()
        return f"x {x:.1f}, y {y:.1f}, z {z:.1f}"


def own_frame(outer: Outline, view: View, bottom: float) -> OwnFrame:
    """The frame of a panel with this outer loop whose -n face lies at height `bottom`.

    u runs along the longer side of the box about the outline whose sides follow the direction
    with the greatest length of straight edges; its z, else y, else x is positive. The origin
    is that box's corner with the least u and v, on the -n face.
    """
    x, y = view.x, view.y
    angle = _edge_direction(outer, x, y)
    x0, y0, x1, y1 = outer.moved(angle=-angle).bounds()
    if round(y1 - y0, 3) > round(x1 - x0, 3):
        angle += math.pi / 2
    u = canonical_sign(math.cos(angle) * x + math.sin(angle) * y)
    angle = math.atan2(float(u @ y), float(u @ x))
    x0, y0, _, _ = outer.moved(angle=-angle).bounds()
    v = np.cross(view.normal, u)
    frame = Frame(view.normal * bottom + x0 * u + y0 * v, u, v, view.normal)
    return OwnFrame(frame, angle, (-x0, -y0))


def _edge_direction(outer: Outline, x: Vector, y: Vector) -> float:
    """Angle of the direction with most straight edge, radians; ties go to the greater z, y, x."""
    totals: list[list[float]] = []  # angle in [0, π), length
    for s in outer.segments():
        if not s.is_line:
            continue
        dx, dy = s.direction(0.0)
        a = math.atan2(dy, dx) % math.pi
        for t in totals:
            gap = abs(a - t[0])
            if min(gap, math.pi - gap) < 1e-4:
                t[1] += s.length
                break
        else:
            totals.append([a, s.length])
    if not totals:
        return 0.0

    def rank(t: list[float]) -> tuple[float, ...]:
        d = canonical_sign(math.cos(t[0]) * x + math.sin(t[0]) * y)
        return (round(t[1], 3), *(round(abs(float(d[k])), 6) for k in (2, 1, 0)))

    return max(totals, key=rank)[0]
