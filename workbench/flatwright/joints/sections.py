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
from shapely.geometry import LineString, Polygon, box
from shapely.geometry.base import BaseGeometry

from flatwright.geometry.frame import Frame, Vector, cross
from flatwright.geometry.polygon import parts, region
from flatwright.plan import Panel

PARALLEL = 1e-3  # sine
WAY = 300.0  # mm of a mate's way in that is looked at
FAR = 1e5  # mm: longer than any board
TOUCH = 1e-4  # mm: wood that only touches a height is not between the heights


@dataclass(frozen=True, slots=True, eq=False)
class Slab:
    """A layer of a panel in which its wood does not change: `wood` in plane coordinates between
    heights `low` and `high` of `frame`."""

    frame: Frame
    low: float
    high: float
    wood: BaseGeometry


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


def section(
    frame: Frame, z0: float, z1: float, mate: Sequence[Slab], insert: Vector | None = None
) -> BaseGeometry:
    """Region of the frame's plane over which the mate has wood somewhere between heights z0 and z1.

    With `insert` (unit, in space: the way in which the mate comes in) the region also covers
    the way back, its in-plane part.
    """
    back = np.zeros(2) if insert is None else -np.array([float(insert @ frame.u), float(insert @ frame.v)])
    if math.hypot(*back) < 0.5:
        back = np.zeros(2)
    shapes = [_section(frame, z0, z1, s, back * WAY) for s in mate]
    return shapely.union_all([s for s in shapes if not s.is_empty])


def _section(frame: Frame, z0: float, z1: float, slab: Slab, back: Vector) -> BaseGeometry:
    line = cross(frame.n, slab.frame.n)
    size = float(np.linalg.norm(line))
    if size < PARALLEL:
        return _parallel(frame, z0, z1, slab)
    return shapely.union_all([_swept(r, back) for r in _crossing(frame, z0, z1, slab, line / size)])


def _swept(rectangle: Vector, back: Vector) -> BaseGeometry:
    if not back.any():
        return Polygon(rectangle)
    return LineString(np.vstack([rectangle, rectangle + back])).convex_hull


def _parallel(frame: Frame, z0: float, z1: float, slab: Slab) -> BaseGeometry:
    sign = float(frame.n @ slab.frame.n)
    base = float((slab.frame.origin - frame.origin) @ frame.n)
    lo, hi = sorted((base + sign * slab.low, base + sign * slab.high))
    if min(hi, z1) - max(lo, z0) < 1e-3:
        return Polygon()
    return shapely.transform(slab.wood, lambda p: frame.to_plane(slab.frame.to_space(p))[:, :2])


def _crossing(frame: Frame, z0: float, z1: float, slab: Slab, line: Vector) -> list[Vector]:
    """Rectangles (4, 2): stretches of the line where the slab has wood between the heights, times
    its thickness."""
    across = cross(frame.n, line)  # in the frame's plane, square to the line
    up = cross(slab.frame.n, line)  # in the slab's plane, square to the line
    climb = float(up @ frame.n)  # height gained per mm along `up`
    rise = float(slab.frame.n @ across)
    middle = (slab.low + slab.high) / 2
    origin = slab.frame.to_space(np.zeros((1, 2)), middle)[0]
    at = float((origin - frame.origin) @ frame.n)
    half = (slab.high - slab.low) / 2
    tilt = float(slab.frame.n @ frame.n)  # height gained per mm along the slab's normal
    spread = abs(half * tilt / climb)
    a, b = sorted(((z0 - at) / climb, (z1 - at) / climb))
    low, high = a - spread + TOUCH, b + spread - TOUCH
    # the way from the slab's own axes to those along the line and square to it, and back
    turn_in = np.array([[line @ slab.frame.u, up @ slab.frame.u], [line @ slab.frame.v, up @ slab.frame.v]])
    x0, y0, x1, y1 = slab.wood.bounds
    heights = np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]]) @ turn_in[:, 1]
    if high <= heights.min() or low >= heights.max():
        return []
    band = np.array([[-FAR, low], [FAR, low], [FAR, high], [-FAR, high]]) @ turn_in.T
    strip = shapely.transform(_cut_to(band, slab.wood), lambda p: p @ turn_in)
    centre = float((origin - frame.origin) @ across)
    start = float((origin - frame.origin) @ line)
    plane = np.array(
        [[float(line @ frame.u), float(line @ frame.v)], [float(across @ frame.u), float(across @ frame.v)]]
    )
    if spread < TOUCH:
        spans = _merged([(p.bounds[0], p.bounds[2]) for p in parts(strip) if p.area > 1e-9])
        pieces = [(s, e, -half / abs(rise), half / abs(rise)) for s, e in spans]
    else:
        turn = np.array([[float(up @ across), climb], [rise, tilt]])
        pieces = _leaning(strip, half, turn, z0 - at, z1 - at)
    return [
        np.array([[start + s, centre + c], [start + e, centre + c], [start + e, centre + d],
                  [start + s, centre + d]]) @ plane
        for s, e, c, d in pieces
    ]  # fmt: skip


def _cut_to(band: Vector, wood: BaseGeometry) -> BaseGeometry:
    """The wood within a rectangle (4, 2). Along the axes, as nearly always, that is quick: fifteen times."""
    if np.abs(np.prod(band[1] - band[0])) > 1e-9 * FAR * FAR:
        return wood.intersection(Polygon(band))
    return shapely.clip_by_rect(wood, *band.min(axis=0).tolist(), *band.max(axis=0).tolist())


def _leaning(
    strip: BaseGeometry, half: float, turn: Vector, low: float, high: float
) -> list[tuple[float, float, float, float]]:
    """(from, to along the line; from, to across it) that a slab of ± half covers between two heights.

    `turn` takes (up in the slab, along its normal) to (across, height). The slab's wood is taken
    apart at its corners along the line, so a square end is as short as it is.
    """
    band = box(-FAR, low + TOUCH, FAR, high - TOUCH)
    out = []
    for part in parts(strip):
        xs = sorted({round(float(x), 4) for x in shapely.get_coordinates(part)[:, 0]})
        for s, e in zip(xs, xs[1:], strict=False):
            for piece in parts(part.intersection(box(s, -FAR, e, FAR))):
                u0, u1 = piece.bounds[1], piece.bounds[3]
                block = np.array([[u0, -half], [u1, -half], [u1, half], [u0, half]])
                seen = Polygon(block @ turn).intersection(band)
                if piece.area > 1e-6 and not seen.is_empty:
                    out.append((piece.bounds[0], piece.bounds[2], seen.bounds[0], seen.bounds[2]))
    return out


def _merged(spans: list[tuple[float, float]]) -> list[tuple[float, float]]:
    out: list[tuple[float, float]] = []
    for a, b in sorted(spans):
        if out and a <= out[-1][1] + 1e-6:
            out[-1] = (out[-1][0], max(out[-1][1], b))
        else:
            out.append((a, b))
    return out
