# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The plane faces of a panel in space: broad faces, edges, pocket walls and floors."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from shapely.geometry.base import BaseGeometry

from flatwright.geometry.arcs import Segment
from flatwright.geometry.frame import Vector
from flatwright.geometry.polygon import polygon, region
from flatwright.plan import Panel, Side

FaceKind = Literal["broad", "edge", "wall", "floor"]
TOUCH = 1e-3  # mm: a pocket's edge this near to an outline's edge is open there


@dataclass(frozen=True, slots=True, eq=False)
class PlaneFace:
    """`loop` and `segment` number the edge as in Panel.loops(); `side` is where a broad face or
    floor looks. `normal` points out of the wood and `offset` = normal · p for its points.
    `corners` (k, 3) bound it. For edges and walls `start` and `along` (unit) give its line."""

    panel: int
    kind: FaceKind
    loop: int
    segment: int
    side: Side
    normal: Vector
    offset: float
    corners: Vector
    start: Vector
    along: Vector

    @property
    def is_line(self) -> bool:
        """True for edges and walls: faces that stand on one segment."""
        return self.kind in ("edge", "wall")

    @property
    def key(self) -> tuple[int, int, int]:
        """(panel, loop, segment)."""
        return (self.panel, self.loop, self.segment)


def plane_faces(index: int, panel: Panel) -> list[PlaneFace]:
    """All plane faces of a panel; round edges are not among them."""
    t = panel.thickness
    out = [_broad(index, panel, "+n", t), _broad(index, panel, "-n", 0.0)]
    through = [panel.outline, *panel.holes]
    pockets = [(p, p.outline.segments()) for p in panel.pockets]
    edges = [
        (loop, k, s if t1 - t0 == 1.0 else s.part(t0, t1), z0, z1)
        for loop, outline in enumerate(through)
        for k, s in enumerate(outline.segments())
        if s.is_line
        for t0, t1, z0, z1 in _edge_pieces(s, panel, pockets)
    ]
    out += _uprights(index, panel, "edge", edges)
    for n, (pocket, segs) in enumerate(pockets):
        loop = len(through) + n
        z_floor = t - pocket.depth if pocket.side == "+n" else pocket.depth
        points = panel.frame.to_space(pocket.outline.points, z_floor)
        sign = 1.0 if pocket.side == "+n" else -1.0
        normal = sign * panel.frame.n
        out.append(
            PlaneFace(index, "floor", loop, -1, pocket.side, normal, float(normal @ points[0]),
                      points, points[0], panel.frame.u)
        )  # fmt: skip
        z_top = t if pocket.side == "+n" else 0.0
        low, high = min(z_floor, z_top), max(z_floor, z_top)
        walls = [
            (loop, k, s.part(t0, t1), low, high)
            for k, s in enumerate(segs)
            if s.is_line
            for t0, t1 in _standing(s, through, panel, n)
        ]
        out += _uprights(index, panel, "wall", walls)
    return out


def face_region(panel: Panel, face: PlaneFace) -> BaseGeometry:
    """The wood of a broad face or floor in the panel's plane coordinates."""
    if face.kind == "floor":
        pocket = panel.pockets[face.loop - 1 - len(panel.holes)]
        return region(pocket.outline.ccw(), panel.holes)
    voids = [*panel.holes, *(p.outline for p in panel.pockets if p.side == face.side)]
    return region(panel.outline, voids)


def _broad(index: int, panel: Panel, side: Side, z: float) -> PlaneFace:
    x0, y0, x1, y1 = panel.outline.bounds()
    corners = panel.frame.to_space(np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]]), z)
    normal = panel.frame.n if side == "+n" else -panel.frame.n
    return PlaneFace(
        index, "broad", -1, -1, side, normal, float(normal @ corners[0]), corners, corners[0], panel.frame.u
    )


def _uprights(
    index: int, panel: Panel, kind: FaceKind, pieces: Sequence[tuple[int, int, Segment, float, float]]
) -> list[PlaneFace]:
    """Faces on straight pieces of the panel's loops: (loop, segment, piece, lowest and greatest height)."""
    if not pieces:
        return []
    f = panel.frame
    flat = np.array([(s.p, s.q, s.q, s.p) for _, _, s, _, _ in pieces])
    heights = np.array([(z0, z0, z1, z1) for _, _, _, z0, z1 in pieces])
    corners = f.to_space(flat.reshape(-1, 2), heights.reshape(-1)).reshape(-1, 4, 3)
    way = np.array([s.direction(0.0) for _, _, s, _, _ in pieces])
    along = way[:, :1] * f.u + way[:, 1:] * f.v
    normals = way[:, 1:] * f.u - way[:, :1] * f.v  # wood on the left: outward is to the right
    offsets = (normals * corners[:, 0]).sum(axis=1).tolist()
    return [
        PlaneFace(index, kind, loop, k, "+n", normals[i], offsets[i], corners[i], corners[i, 0], along[i])
        for i, (loop, k, *_) in enumerate(pieces)
    ]


def _overlap(s: Segment, t: Segment) -> tuple[float, float] | None:
    """Fractions of s where the line t lies on it, run the other way."""
    if not t.is_line:
        return None
    (ux, uy), (vx, vy) = s.direction(0.0), t.direction(0.0)
    if ux * vx + uy * vy > -0.999999 or abs((t.p[0] - s.p[0]) * uy - (t.p[1] - s.p[1]) * ux) > TOUCH:
        return None
    a, b = sorted((s.fraction(t.p), s.fraction(t.q)))
    a, b = max(0.0, a), min(1.0, b)
    return (a, b) if (b - a) * s.length > TOUCH else None


def _edge_pieces(
    s: Segment, panel: Panel, pockets: Sequence[tuple[object, list[Segment]]]
) -> list[tuple[float, float, float, float]]:
    """(t0, t1, z0, z1): an outline's edge is lower where an open pocket runs out of it."""
    if not pockets:
        return [(0.0, 1.0, 0.0, panel.thickness)] if s.chord >= TOUCH < panel.thickness else []
    marks = {0.0, 1.0}
    low: list[tuple[float, float, float, float]] = []
    for pocket, (_, segs) in zip(panel.pockets, pockets, strict=True):
        for t in segs:
            hit = _overlap(s, t)
            if hit is not None:
                z0, z1 = (
                    (0.0, panel.thickness - pocket.depth)
                    if pocket.side == "+n"
                    else (pocket.depth, panel.thickness)
                )
                low.append((*hit, z0, z1))
                marks.update(hit)
    out = []
    cuts = sorted(marks)
    for a, b in zip(cuts, cuts[1:], strict=False):
        if (b - a) * s.length < TOUCH:
            continue
        z0, z1 = 0.0, panel.thickness
        for la, lb, lz0, lz1 in low:
            if la < (a + b) / 2 < lb:
                z0, z1 = max(z0, lz0), min(z1, lz1)
        if z1 - z0 > TOUCH:
            out.append((a, b, z0, z1))
    return out


def _standing(s: Segment, through: Sequence[object], panel: Panel, own: int) -> list[tuple[float, float]]:
    """Pieces of a pocket's edge where a wall stands: not where it is open to an outline, a hole
    or a deeper pocket."""
    gone: list[tuple[float, float]] = []
    pocket = panel.pockets[own]
    others = [panel.outline, *panel.holes]
    others += [
        q.outline
        for k, q in enumerate(panel.pockets)
        if k != own and q.side == pocket.side and q.depth > pocket.depth - TOUCH
    ]
    for o in others:
        for t in o.segments():
            hit = _overlap(s, t)
            if hit is not None:
                gone.append(hit)
    out = []
    at = 0.0
    for a, b in sorted(gone):
        if (a - at) * s.length > TOUCH:
            out.append((at, a))
        at = max(at, b)
    if (1.0 - at) * s.length > TOUCH:
        out.append((at, 1.0))
    return out


def silhouette(panel: Panel) -> BaseGeometry:
    """The outline filled, holes included."""
    return polygon(panel.outline)
