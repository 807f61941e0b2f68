# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The pockets of one side: what lies lower than its broad face."""

from __future__ import annotations

import numpy as np

from flatwright.geometry.outline import Outline
from flatwright.geometry.polygon import polygon
from flatwright.panels.own_frame import OwnFrame
from flatwright.panels.reasons import LEVEL, NotAPanel
from flatwright.panels.regions import Regions
from flatwright.plan import Pocket, Side


def pockets(side: Regions, face: float, name: Side, holes: list[Outline], own: OwnFrame) -> list[Pocket]:
    """The pockets of a side whose broad face lies at height `face`; `holes` are the panel's, settled."""
    out: list[Pocket] = []
    for level, loops in side.levels.items():
        depth = abs(level - face)
        if depth < LEVEL:
            continue
        for loop in (own.settled(o) for o in loops):
            if loop.area() > 0:
                out.append(Pocket(loop.reversed(), round(depth, 6), name))
            elif not any(_alike(loop, h) for h in holes) and not _is_deeper(loop, side, level, own, face):
                u0, v0, u1, v1 = loop.bounds()
                place = own.in_model(((u0 + u1) / 2, (v0 + v1) / 2))
                raise NotAPanel(f"a pocket leaves an island standing at {place}, which is not cut yet")
    return out


def _is_deeper(loop: Outline, side: Regions, level: float, own: OwnFrame, face: float) -> bool:
    """True when a floor's inner loop bounds deeper floors or holes, not standing wood."""
    inside = polygon(loop.ccw()).buffer(0.01)
    for other, loops in side.levels.items():
        if abs(other - face) >= abs(level - face) - LEVEL:
            continue
        if any(o.area() > 0 and inside.contains(polygon(own.settled(o))) for o in loops):
            return False
    return True


def _alike(a: Outline, b: Outline) -> bool:
    return abs(abs(a.area()) - abs(b.area())) < 0.01 and np.allclose(a.bounds(), b.bounds(), atol=0.001)
