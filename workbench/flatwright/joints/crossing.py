# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Slabs that cross a plane: the rectangles over which they have wood between two heights of it.

Many are worked out at once: a shelving wall has thousands, and one at a time the calls alone take seconds.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon, box
from shapely.geometry.base import BaseGeometry

from flatwright.geometry.frame import Frame, Vector
from flatwright.geometry.outline import Floats
from flatwright.geometry.polygon import all_parts, parts

PARALLEL = 1e-3  # sine
FAR = 1e5  # mm: longer than any board
TOUCH = 1e-4  # mm: wood that only touches a height is not between the heights
LEAST = 1e-9  # mm²

Span = tuple[float, float]


@dataclass(frozen=True, slots=True, eq=False)
class Slab:
    """A layer of a panel in which its wood does not change: `wood` in plane coordinates between
    heights `low` and `high` of `frame`."""

    frame: Frame
    low: float
    high: float
    wood: BaseGeometry


def dots(a: Floats, b: Floats) -> Floats:
    """The products of each two vectors, (n, 3) each."""
    return np.asarray((a * b).sum(axis=1), dtype=np.float64)


def crossing(
    frames: Sequence[Frame], heights: Floats, slabs: Sequence[Slab]
) -> tuple[NDArray[np.int64], Floats]:
    """Rectangles (k, 4, 2) in the frames' planes, with the number of the frame and slab of each: stretches of
    the line in which the two planes meet where the slab has wood between two `heights` (n, 2) of the frame,
    times its thickness. The planes of each two cross."""
    z0, z1 = heights.T
    fu, fv, fn, fo = (np.array([getattr(f, a) for f in frames]) for a in ("u", "v", "n", "origin"))
    su, sv, sn, so = (np.array([getattr(s.frame, a) for s in slabs]) for a in ("u", "v", "n", "origin"))
    low, high = np.array([(s.low, s.high) for s in slabs]).T
    line = np.cross(fn, sn)
    line /= np.linalg.norm(line, axis=1)[:, None]
    across = np.cross(fn, line)  # in the frame's plane, square to the line
    up = np.cross(sn, line)  # in the slab's plane, square to the line
    climb = dots(up, fn)  # height gained per mm along `up`
    rise = dots(sn, across)
    away = so + ((low + high) / 2)[:, None] * sn - fo
    at, centre, start = dots(away, fn), dots(away, across), dots(away, line)
    half = (high - low) / 2
    tilt = dots(sn, fn)  # height gained per mm along the slab's normal
    spread = np.abs(half * tilt / climb)
    ends = np.sort(np.stack([(z0 - at) / climb, (z1 - at) / climb]), axis=0)
    band = np.stack([ends[0] - spread + TOUCH, ends[1] + spread - TOUCH], axis=1)
    # the way from the slab's own axes to those along the line and square to it
    turn = np.stack([dots(su, line), dots(su, up), dots(sv, line), dots(sv, up)], axis=1).reshape(-1, 2, 2)
    rows, strips = _strips(slabs, band, turn)
    plane = np.stack([dots(line, fu), dots(line, fv), dots(across, fu), dots(across, fv)], axis=1)
    found: list[tuple[int, float, float, float, float]] = []
    upright = spread[rows] < TOUCH
    for k, spans in _spans(rows[upright], strips[upright], turn).items():
        c = half[k] / abs(rise[k])
        found += [(k, s, e, -c, c) for s, e in spans]
    for k, strip in zip(rows[~upright].tolist(), strips[~upright], strict=True):
        lean = np.array([[float(up[k] @ across[k]), climb[k]], [rise[k], tilt[k]]])
        found += [(k, *p) for p in _leaning(_turned(strip, turn[k]), half[k], lean, *(heights[k] - at[k]))]
    if not found:
        return np.zeros(0, dtype=np.int64), np.zeros((0, 4, 2))
    row = np.array([k for k, *_ in found])
    s, e, c, d = np.array([r for _, *r in found]).T
    s, e, c, d = s + start[row], e + start[row], c + centre[row], d + centre[row]
    corners = np.stack([s, c, e, c, e, d, s, d], axis=1).reshape(-1, 4, 2)
    return row, corners @ plane.reshape(-1, 2, 2)[row]


def _strips(
    slabs: Sequence[Slab], band: Floats, turn: Floats
) -> tuple[NDArray[np.int64], NDArray[np.object_]]:
    """Each slab's wood between two coordinates square to the line; those with none are left out."""
    bounds = shapely.bounds(np.array([s.wood for s in slabs], dtype=object))
    reach = np.sort(bounds.reshape(-1, 2, 2) * turn[:, None, :, 1], axis=1).sum(axis=2)  # lowest, highest
    rows = np.flatnonzero((band[:, 1] > reach[:, 0]) & (band[:, 0] < reach[:, 1]))
    ends = np.array([[-FAR, FAR, FAR, -FAR]]), band[:, [0, 0, 1, 1]]
    corners = np.stack(np.broadcast_arrays(*ends), axis=2) @ turn.transpose(0, 2, 1)
    square = np.abs(np.prod(corners[:, 1] - corners[:, 0], axis=1)) <= LEAST * FAR * FAR
    boxes = np.concatenate([corners.min(axis=1), corners.max(axis=1)], axis=1).tolist()
    out = np.empty(len(rows), dtype=object)
    for n, k in enumerate(rows.tolist()):
        # along the axes, as nearly always, that is quick: fifteen times
        wood = slabs[k].wood
        out[n] = (
            shapely.clip_by_rect(wood, *boxes[k]) if square[k] else wood.intersection(Polygon(corners[k]))
        )
    return rows, out


def _spans(rows: NDArray[np.int64], strips: NDArray[np.object_], turn: Floats) -> dict[int, list[Span]]:
    """Per row the stretches along the line of the strip's polygons, joined where they meet."""
    pieces, of = all_parts(strips)
    large = shapely.area(pieces) > LEAST
    pieces, of = pieces[large], of[large]
    if not len(pieces):
        return {}
    points, index = shapely.get_coordinates(pieces, return_index=True)
    along = (points * turn[rows[of[index]], :, 0]).sum(axis=1)
    first = np.flatnonzero(np.diff(index, prepend=-1))
    low, high = np.minimum.reduceat(along, first), np.maximum.reduceat(along, first)
    out: dict[int, list[Span]] = {}
    for k, a, b in zip(rows[of].tolist(), low.tolist(), high.tolist(), strict=True):
        out.setdefault(k, []).append((a, b))
    return {k: _merged(spans) if len(spans) > 1 else spans for k, spans in out.items()}


def _turned(shape: BaseGeometry, by: Floats) -> BaseGeometry:
    turned: BaseGeometry = shapely.transform(shape, lambda p: p @ by)
    return turned


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


def _merged(spans: list[Span]) -> list[Span]:
    out: list[Span] = []
    for a, b in sorted(spans):
        if out and a <= out[-1][1] + 1e-6:
            out[-1] = (out[-1][0], max(out[-1][1], b))
        else:
            out.append((a, b))
    return out
