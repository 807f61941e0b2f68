# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Equal parts share a shape id, by which the papers count quantities."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from flatwright.geometry.outline import Outline
from flatwright.plan import Panel

NEAR = 2e-3  # mm: points this close are one


@dataclass(frozen=True, slots=True, eq=False)
class _Loop:
    outline: Outline
    kind: str  # "through", or side and depth of a pocket
    area: float


def with_shape_ids(panels: Sequence[Panel]) -> list[Panel]:
    """The panels with `shape` set to "shape-1", "shape-2", … in order of first appearance.

    Two panels are one shape if one, turned in its plane or laid on its other face, is the other:
    board, thickness, loops, pockets and their sides agree within 0.002 mm.
    """
    known: list[tuple[Panel, list[list[_Loop]]]] = []
    out: list[Panel] = []
    for panel in panels:
        loops = _turned(panel, 0.0, False)
        for k, (first, poses) in enumerate(known):
            if _like(panel, first) and any(_equal(loops, pose) for pose in poses):
                out.append(replace(panel, shape=f"shape-{k + 1}"))
                break
        else:
            poses = [_turned(panel, q * math.pi / 2, flip) for flip in (False, True) for q in range(4)]
            known.append((panel, poses))
            out.append(replace(panel, shape=f"shape-{len(known)}"))
    return out


def _like(a: Panel, b: Panel) -> bool:
    return (
        a.board == b.board
        and abs(a.thickness - b.thickness) < NEAR
        and len(a.holes) == len(b.holes)
        and len(a.pockets) == len(b.pockets)
        and abs(a.outline.area() - b.outline.area()) < 1.0
    )


def _turned(panel: Panel, angle: float, flip: bool) -> list[_Loop]:
    """The loops in a pose whose outline's box starts at the origin."""
    named = [(o, "through") for o in (panel.outline, *panel.holes)]
    for p in panel.pockets:
        side = p.side if not flip else ("-n" if p.side == "+n" else "+n")
        named.append((p.outline, f"{side} {p.depth:.2f}"))
    x0, y0, _, _ = panel.outline.moved(angle=angle, mirror=flip).bounds()
    out = []
    for o, kind in named:
        m = o.moved((-x0, -y0), angle, flip)
        out.append(_Loop(m.reversed() if flip else m, kind, m.area()))
    return out


def _equal(a: list[_Loop], b: list[_Loop]) -> bool:
    if len(a) != len(b) or not _same_loop(a[0], b[0]):
        return False
    free = list(b[1:])
    for loop in a[1:]:
        match = next((f for f in free if _same_loop(loop, f)), None)
        if match is None:
            return False
        free.remove(match)
    return True


def _same_loop(a: _Loop, b: _Loop) -> bool:
    p, q = a.outline, b.outline
    if a.kind != b.kind or len(p) != len(q) or not np.allclose(p.bounds(), q.bounds(), atol=NEAR):
        return False
    for start in np.flatnonzero(np.hypot(*(q.points - p.points[0]).T) < NEAR).tolist():
        r = q.started_at(start)
        if np.allclose(r.points, p.points, atol=NEAR) and np.allclose(r.bulges, p.bulges, atol=1e-4):
            return True
    return False
