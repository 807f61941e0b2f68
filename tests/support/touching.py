# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Which boards of a drawing touch, told by the referee's lines; and of which of them nothing is said."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from flatwright.plan import Panel
from support.laws import Fit, box_of, near_pairs
from support.rays import Body, Vector, body, gap

BESIDE = 1.0  # mm: boards nearer than this touch (the largest clearance that is drawn)


def passed_over(fit: Fit) -> list[str]:
    """Boards that touch as drawn, and of which neither a joint nor a finding tells."""
    told = [set(j.panels) for j in fit.piece.joints] + [set(f.panels) for f in fit.findings]
    told += [set(pair) for pair in fit.model.passing]
    drawn = fit.model.panels  # a key's contact with the board that it draws tight is its joint's
    told += [{drawn[c.a.panel].name, drawn[c.b.panel].name} for j in fit.piece.found for c in j.contacts()]
    for stack in fit.model.stacks:
        told += [s | set(stack) for s in told if s & set(stack)]
    out = []
    for a, b in touching(fit.model.panels):
        if not any({a, b} <= names for names in told):
            out.append(f"{a} and {b} touch")
    return out


def touching(panels: Sequence[Panel]) -> list[tuple[str, str]]:
    """Pairs of boards with wood within a clearance of each other, square to a face of one of them."""
    bodies = [body(p) for p in panels]
    out = []
    for a, b in near_pairs(bodies, BESIDE):
        if any(_reaches(one, other) for one, other in ((a, b), (b, a))):
            out.append((a.name, b.name))
    return out


def _reaches(a: Body, b: Body) -> bool:
    """True if lines out of a, square to its faces and edges, run into b within a clearance."""
    low, high = box_of(b)
    low, high = low - 2.0, high + 2.0

    def near(start: Vector) -> bool:
        return bool((low <= start).all() and (start <= high).all())

    for one in a.layers:
        for z, sign in ((one.low, -1.0), (one.high, 1.0)):
            for x, y in _inner_points(one.shape):
                start = a.origin + np.array([x, y, z - sign * 0.5]) @ a.axes
                if near(start) and _meets(a, b, start, sign * a.axes[2]):
                    return True
        way = one.ends - one.starts
        length = np.hypot(way[:, 0], way[:, 1])
        for p, d, size in zip(one.starts, way, length, strict=True):
            if size < 1.0:
                continue
            out = np.array([d[1], -d[0]]) / size
            for t in (0.5 / size, 0.25, 0.5, 0.75, 1 - 0.5 / size):
                for sign in (1.0, -1.0):
                    flat = p + t * d - sign * 0.05 * out
                    start = a.origin + np.array([*flat, (one.low + one.high) / 2]) @ a.axes
                    if near(start) and _meets(a, b, start, sign * (out @ a.axes[:2])):
                        return True
    return False


def _meets(a: Body, b: Body, start: Vector, way: Vector) -> bool:
    found = gap(a, b, start, way)
    return found is not None and -0.01 <= found <= BESIDE - 1e-3


def _inner_points(shape: object) -> list[tuple[float, float]]:
    x0, y0, x1, y1 = shapely.bounds(shape)
    xs, ys = np.meshgrid(np.arange(x0 + 4, x1, 25.0), np.arange(y0 + 4, y1, 25.0))
    keep = shapely.contains_xy(shape, xs, ys)
    return [(float(x), float(y)) for x, y in zip(xs[keep], ys[keep], strict=True)]
