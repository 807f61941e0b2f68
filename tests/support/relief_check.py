# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""An independent look at reliefs, with shapely alone: whether a mate enters what a round bit leaves."""

from __future__ import annotations

from collections.abc import Sequence

import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from flatwright.geometry.outline import Outline, rectangle
from flatwright.geometry.polygon import parts, polygon
from flatwright.joints.relief import Relieved, relieve
from flatwright.joints.relief_choice import CornerChoice
from flatwright.joints.relief_place import Covers, Mate
from flatwright.plan import Panel
from flatwright.presets.model import ReliefRules
from support.pieces import board

T = 18.0
NOTHING = Covers()
FINE = 5e-4  # mm: chords of arcs in here


def plate(*holes: Outline, size: float = 400.0, pockets: Sequence[Outline] = ()) -> Panel:
    """A square board about the origin with holes, and pockets 6 mm deep."""
    a = size / 2
    return board(
        "plate", rectangle(-a, -a, a, a), t=T, holes=holes, pockets=[(o, 6.0, "+n") for o in pockets]
    )


def mate_of(loop: Outline, clear: float = 0.1) -> BaseGeometry:
    """A mate with sharp corners that fills a void but for a clearance all round."""
    return polygon(loop.ccw(), tolerance=FINE).buffer(-clear, join_style="mitre", mitre_limit=50)


def relieved(
    panel: Panel, mates: Sequence[BaseGeometry], r: float, rules: ReliefRules | None = None,
    corners: Sequence[CornerChoice] = (), covers: Covers = NOTHING,
) -> Relieved:  # fmt: skip
    """The panel relieved with one bit for mates that go right through it."""
    through = [Mate(m, 0.0, T) for m in mates]
    return relieve(panel, through, covers, [r] * len(panel.loops()), rules or ReliefRules(), corners)


def swept(void: BaseGeometry, r: float) -> BaseGeometry:
    """What a bit covers of a void when its centre walks in one piece: the largest where there are several."""
    centres = parts(void.buffer(2 * FINE - r, quad_segs=96))
    if not centres:
        return Polygon()
    return max(centres, key=lambda p: p.area).buffer(r - 2 * FINE, quad_segs=96)


def blocked(loop: Outline, mate: BaseGeometry, r: float) -> float:
    """Area of the mate that a bit of radius r cannot clear inside a hole, mm²."""
    void = polygon(loop.ccw(), tolerance=FINE)
    missed = mate.difference(swept(void, r).buffer(4 * FINE))
    return float(sum(p.area for p in parts(missed) if not p.buffer(-0.003).is_empty))


def only_removes(before: Outline, after: Outline) -> bool:
    """Whether a hole only grew."""
    lost = polygon(before.ccw(), tolerance=FINE).difference(polygon(after.ccw(), tolerance=FINE))
    return bool(shapely.area(lost.buffer(-FINE)) < 1e-4)
