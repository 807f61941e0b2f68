# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What of one panel lies inside the slab of another: the wood that a slot has to let through."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import shapely
from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from flatwright.geometry.frame import Frame, Vector
from flatwright.geometry.outline import Floats
from flatwright.geometry.polygon import Shapes, region
from flatwright.joints.crossing import PARALLEL, Slab, crossing
from flatwright.plan import Panel

WAY = 300.0  # mm of a mate's way in that is looked at
STRAIGHT = 1e-6  # sine: a mate that comes in so nearly along a side comes along it
LEAST = 1e-3  # mm: what two parallel layers have less in common is not counted

Found = list[list[BaseGeometry]]


@lru_cache(maxsize=1024)
def slabs(panel: Panel) -> tuple[Slab, ...]:
    """The panel as layers, parted at the depths of its pockets."""
    t = panel.thickness
    spans = [(t - p.depth, t) if p.side == "+n" else (0.0, p.depth) for p in panel.pockets]
    levels = sorted({0.0, t, *(z for s in spans for z in s)})
    out = []
    for low, high in zip(levels, levels[1:], strict=False):
        if high - low < 1e-6:
            continue
        open_here = [
            p.outline for p, (z0, z1) in zip(panel.pockets, spans, strict=True) if z0 < (low + high) / 2 < z1
        ]
        out.append(Slab(panel.frame, low, high, region(panel.outline, [*panel.holes, *open_here])))
    return tuple(out)


@dataclass(frozen=True, slots=True, eq=False)
class Cut:
    """A question: over which region of the frame's plane has the mate wood somewhere between heights z0
    and z1? With `insert` (unit, in space: the way in which the mate comes in) the region also covers the
    way back, its in-plane part."""

    frame: Frame
    z0: float
    z1: float
    mate: Sequence[Slab]
    insert: Vector | None = None

    def back(self) -> tuple[float, float]:
        """The way back in the plane, mm; zeros where there is none to speak of."""
        if self.insert is None:
            return 0.0, 0.0
        x, y = -float(self.insert @ self.frame.u), -float(self.insert @ self.frame.v)
        return (x * WAY, y * WAY) if math.hypot(x, y) >= 0.5 else (0.0, 0.0)


def section(
    frame: Frame, z0: float, z1: float, mate: Sequence[Slab], insert: Vector | None = None
) -> BaseGeometry:
    """The region of one `Cut`."""
    return sections([Cut(frame, z0, z1, mate, insert)])[0]


def sections(cuts: Sequence[Cut]) -> list[BaseGeometry]:
    """The region of each cut, empty where the mate has no wood there."""
    rows = [(k, slab) for k, cut in enumerate(cuts) for slab in cut.mate]
    found: Found = [[] for _ in cuts]
    if rows:
        normals = np.array([cuts[k].frame.n for k, _ in rows]), np.array([s.frame.n for _, s in rows])
        parallel = np.linalg.norm(np.cross(*normals), axis=1) < PARALLEL
        _parallel(cuts, [rows[k] for k in np.flatnonzero(parallel).tolist()], found)
        _crossing(cuts, [rows[k] for k in np.flatnonzero(~parallel).tolist()], found)
    return [_together(cut, shapes) for cut, shapes in zip(cuts, found, strict=True)]


def _together(cut: Cut, shapes: Sequence[BaseGeometry]) -> BaseGeometry:
    if len(shapes) < 2:
        return shapes[0] if shapes else Polygon()
    if len(cut.mate) == 1 and not any(cut.back()):  # stretches of one slab do not meet
        return MultiPolygon([s for s in shapes if isinstance(s, Polygon)])
    return shapely.union_all(shapes)


def _parallel(cuts: Sequence[Cut], rows: Sequence[tuple[int, Slab]], found: Found) -> None:
    """Slabs parallel to the plane: their whole wood, if they reach in between the heights."""
    there: list[tuple[int, Slab]] = []
    for k, slab in rows:
        c, sign = cuts[k], float(cuts[k].frame.n @ slab.frame.n)
        base = float((slab.frame.origin - c.frame.origin) @ c.frame.n)
        lo, hi = sorted((base + sign * slab.low, base + sign * slab.high))
        if min(hi, c.z1) - max(lo, c.z0) >= LEAST:
            there.append((k, slab))
    shapes = np.array([s.wood for _, s in there], dtype=object)
    points, of = shapely.get_coordinates(shapes, return_index=True)
    first = np.searchsorted(of, np.arange(len(there) + 1)).tolist()
    moved = [
        cuts[k].frame.to_plane(s.frame.to_space(points[a:b]))[:, :2]
        for (k, s), a, b in zip(there, first, first[1:], strict=False)
    ]
    if moved:
        shapely.set_coordinates(shapes, np.concatenate(moved))
    for (k, _), shape in zip(there, shapes, strict=True):
        if not shape.is_empty:
            found[k].append(shape)


def _crossing(cuts: Sequence[Cut], rows: Sequence[tuple[int, Slab]], found: Found) -> None:
    """Slabs that cross the plane: rectangles, each with its way back."""
    if not rows:
        return
    number = np.array([k for k, _ in rows])
    heights = np.array([(cuts[k].z0, cuts[k].z1) for k, _ in rows])
    of, corners = crossing([cuts[k].frame for k, _ in rows], heights, [s for _, s in rows])
    back = np.array([c.back() for c in cuts])[number[of]]
    for k, shape in zip(number[of].tolist(), _swept(corners, back), strict=True):
        found[k].append(shape)


def _swept(corners: Floats, back: Floats) -> Shapes:
    """Rectangles (k, 4, 2) on the ways (k, 2) that they go."""
    grown, askew = corners.copy(), back.any(axis=1)
    for n, away in ((1, (1, 2)), (3, (2, 3))):  # along a side it becomes a longer rectangle
        side = corners[:, n] - corners[:, 0]
        off = side[:, 0] * back[:, 1] - side[:, 1] * back[:, 0]
        along = askew & (np.abs(off) < STRAIGHT * np.hypot(*side.T) * np.hypot(*back.T))
        onward = (side * back).sum(axis=1) > 0
        for at in range(4):
            go = along & (onward == (at in away))
            grown[go, at] += back[go]
        askew &= ~along
    shapes = np.asarray(shapely.polygons(grown), dtype=np.object_)
    both = np.concatenate([corners[askew], corners[askew] + back[askew, None]], axis=1)
    shapes[askew] = shapely.convex_hull(shapely.linestrings(both))
    return shapes
