# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Any smooth curve as arcs within a tolerance (biarcs: two arcs that meet with one tangent)."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from flatwright.geometry.arcs import FLAT, Point, Segment

Floats = NDArray[np.float64]


def arcs_through(points: Floats, tangents: Floats, tolerance: float = 0.01) -> list[Segment]:
    """Arcs from the first to the last sample, no sample further away than the tolerance.

    `points` and unit `tangents` are (k, 2). Greedy halving: a stretch that one biarc cannot
    follow is halved at its middle sample; two neighbouring samples are always accepted.
    """
    out: list[Segment] = []
    stack = [(0, len(points) - 1)]
    while stack:
        i, j = stack.pop()
        pieces = _biarc(points[i], tangents[i], points[j], tangents[j])
        if j - i <= 1 or _deviation(points[i + 1 : j], pieces) <= tolerance:
            out.extend(pieces)
        else:
            m = (i + j) // 2
            stack.append((m, j))
            stack.append((i, m))
    return out


def _deviation(points: Floats, pieces: list[Segment]) -> float:
    return max(min(s.distance((float(x), float(y))) for s in pieces) for x, y in points)


def _biarc(p: Floats, t: Floats, q: Floats, w: Floats) -> list[Segment]:
    """Two arcs from p (tangent t) to q (tangent w) with equal leg lengths."""
    v = q - p
    s = t + w
    tw = float(t @ w)
    vs = float(v @ s)
    vv = float(v @ v)
    k = 2.0 * (1.0 - tw)
    if k < 1e-12:
        d = vv / (4.0 * float(v @ w)) if abs(float(v @ w)) > 1e-12 else 0.0
    else:
        d = (-vs + math.sqrt(max(0.0, vs * vs + k * vv))) / k
    m = (p + t * d + q - w * d) / 2.0
    return [x for x in (_arc(p, t, m), _arc_to(m, q, w)) if x.chord > 1e-9]


def _arc(p: Floats, t: Floats, q: Floats) -> Segment:
    """The arc from p to q that leaves p in direction t."""
    d = q - p
    angle = math.atan2(float(t[0] * d[1] - t[1] * d[0]), float(t @ d))  # half the sweep
    b = math.tan(angle / 2.0)
    return Segment(_pt(p), _pt(q), b if abs(b) > FLAT else 0.0)


def _arc_to(p: Floats, q: Floats, w: Floats) -> Segment:
    return _arc(q, -w, p).reversed()


def _pt(p: Floats) -> Point:
    return (float(p[0]), float(p[1]))
