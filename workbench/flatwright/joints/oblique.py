# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Contacts of panels that meet at an angle: an upright edge against a leaning face.

A router cuts upright walls, so a wall and the face of a tilted mate touch at a rim only. The gap
is the smallest normal distance there; a through slot comes out (t + c)/cos a + d·tan a wide, a
pocket for a square-ended mate t·cos a + c/cos a + d·tan a (a from square, t the mate's thickness,
c the clearance, d the depth).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence

import numpy as np
import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from flatwright.geometry.frame import Vector, cross
from flatwright.joints.faces import PlaneFace
from flatwright.plan import Panel

SQUARE = math.sin(math.radians(0.05))  # planes within this of square or parallel are that
STEEPEST = math.cos(math.radians(50.0))  # a mate leans at most this far
LEAST = 1e-9  # mm²
ALONG = 0.999999  # cosine above which an edge runs along the line in which the planes meet


def leaning(a: Panel, b: Panel) -> bool:
    """True for panels that are neither square nor parallel to each other."""
    c = abs(float(a.frame.n @ b.frame.n))
    return SQUARE < c < math.sqrt(1.0 - SQUARE * SQUARE)


def rims(
    edges: Sequence[PlaneFace],
    faces: Sequence[PlaneFace],
    panels: Sequence[Panel],
    region: Callable[[PlaneFace], BaseGeometry],
) -> Iterator[tuple[PlaneFace, PlaneFace, float, float, Vector, BaseGeometry]]:
    """(edge, face, gap, lean, points (k, 3), region) for each upright edge of one panel that a broad
    face or floor of the other leans against. `lean` is the cosine between their normals, the region
    is where they face each other, in the plane of the face."""
    line: Vector = cross(panels[edges[0].panel].frame.n, panels[faces[0].panel].frame.n)
    line = line / float(np.linalg.norm(line))
    upright = [e for e in edges if e.is_line and abs(float(e.along @ line)) > ALONG]
    for f in faces:
        if f.is_line:
            continue
        frame = panels[f.panel].frame
        for e in upright:
            lean = -float(e.normal @ f.normal)
            if not STEEPEST <= lean <= 1.0 - 1e-9:
                continue
            seen = frame.to_plane(_facing(e.corners, e, f, lean))
            common = region(f).intersection(Polygon(seen[:, :2]))
            if common.area < LEAST and e.kind == "wall":
                # a square end may turn its corner only above the pocket: that corner bounds it
                seen = frame.to_plane(_facing(_raised(e, panels, f.panel), e, f, lean))
                common = region(f).intersection(Polygon(seen[:, :2]))
            if common.area < LEAST:
                continue
            points = frame.to_space(shapely.get_coordinates(common), float(seen[0, 2]))
            gap = float((points @ e.normal - e.offset).min()) * lean
            yield e, f, gap, lean, points, common


def _facing(corners: Vector, e: PlaneFace, f: PlaneFace, lean: float) -> Vector:
    """The corners carried along the edge's normal to the plane of the face, (k, 3)."""
    reach = (f.offset - corners @ f.normal) / -lean
    out: Vector = corners + reach[:, None] * e.normal
    return out


def _raised(e: PlaneFace, panels: Sequence[Panel], mate: int) -> Vector:
    """A pocket's wall made taller at its mouth by the thickness of the board that leans there, (4, 3)."""
    panel = panels[e.panel]
    pocket = panel.pockets[e.loop - 1 - len(panel.holes)]
    up = panel.frame.n if pocket.side == "+n" else -panel.frame.n
    height = e.corners @ up
    top = height > height.mean()
    out: Vector = e.corners + np.where(top, panels[mate].thickness, 0.0)[:, None] * up
    return out
