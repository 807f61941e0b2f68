# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Inside corners drawn round, as a bit leaves them, where a mate with square corners goes.

As drawn the two take the same place. Such corners are read as sharp; they get their reliefs like all others.
Rounded corners that no mate reaches into stay as they are.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from flatwright.findings import Finding, declare, finding
from flatwright.geometry.arcs import Segment
from flatwright.geometry.drawn_reliefs import DrawnRelief, without
from flatwright.geometry.outline import Outline
from flatwright.joints.collide import SKIN
from flatwright.joints.contacts import near_pairs
from flatwright.joints.sections import section, slabs
from flatwright.plan import Panel

declare("note", joint__round_corner="a corner was drawn round where a square mate goes; it is read as square")

LARGEST = 8.0  # mm: a larger radius is no bit's (common practice, no source)
SMOOTH = math.sin(math.radians(2.0))  # greatest turn where a rounding leaves its edges
TURNS = (math.radians(45.0), math.radians(135.0))  # of a rounded corner
REACHES = 0.02  # mm² of a mate in what a rounding leaves: it goes about 0.1 mm into it


def squared(panels: Sequence[Panel]) -> tuple[list[Panel], list[Finding]]:
    """The panels with sharp corners where a mate reaches into a rounded one, and a note for each of them."""
    out = list(panels)
    near: dict[int, list[int]] = {}
    for i, j in near_pairs(panels, margin=0.0):
        near.setdefault(i, []).append(j)
        near.setdefault(j, []).append(i)
    findings = []
    for i, panel in enumerate(panels):
        rounded = [_rounded(o) for o in panel.loops()]
        if i not in near or not any(rounded):
            continue
        met = [
            _met(panel, n, some, [panels[j] for j in near[i]]) if some else []
            for n, some in enumerate(rounded)
        ]
        loops = [without(o, some) for o, some in zip(panel.loops(), met, strict=True)]
        at = [r.at for some in met for r in some]
        if at:
            out[i] = panel.with_loops(loops)
            findings.append(_told(panel, at))
    return out, findings


def _rounded(loop: Outline) -> list[DrawnRelief]:
    """The rounded inside corners of a loop between straight edges, told as reliefs are."""
    if not (loop.bulges < 0).any():
        return []
    segs = loop.segments()
    out = []
    for i, arc in enumerate(segs):
        before, after = segs[i - 1], segs[(i + 1) % len(segs)]
        if arc.b >= 0 or not (before.is_line and after.is_line) or arc.radius > LARGEST:
            continue
        if not TURNS[0] <= abs(arc.sweep) <= TURNS[1] or not (_smooth(before, arc) and _smooth(arc, after)):
            continue
        (ux, uy), far = before.direction(1.0), arc.radius * math.tan(abs(arc.sweep) / 2)
        at = (arc.p[0] + ux * far, arc.p[1] + uy * far)
        out.append(DrawnRelief(i, "dog-bone", at, arc.centre, arc.radius, i))
    return out


def _smooth(a: Segment, b: Segment) -> bool:
    (ax, ay), (bx, by) = a.direction(1.0), b.direction(0.0)
    return abs(ax * by - ay * bx) <= SMOOTH and ax * bx + ay * by > 0


def _met(
    panel: Panel, index: int, rounded: Sequence[DrawnRelief], mates: Sequence[Panel]
) -> list[DrawnRelief]:
    """Those of a loop's rounded corners into which a mate reaches."""
    low, high = 0.0, panel.thickness
    through = 1 + len(panel.holes)
    if index >= through:
        pocket = panel.pockets[index - through]
        low, high = (high - pocket.depth, high) if pocket.side == "+n" else (0.0, pocket.depth)
    wood: BaseGeometry = shapely.union_all(
        [section(panel.frame, low + SKIN, high - SKIN, slabs(m)) for m in mates]
    )
    segs = panel.loops()[index].segments()
    return [r for r in rounded if _nook(segs[r.index], r).intersection(wood).area > REACHES]


def _nook(arc: Segment, corner: DrawnRelief) -> Polygon:
    """What a rounding leaves of its corner."""
    return Polygon([corner.at, *arc.flattened(0.01), arc.q])


def _told(panel: Panel, at: Sequence[tuple[float, float]]) -> Finding:
    some = "A corner" if len(at) == 1 else f"{len(at)} corners"
    are = "is" if len(at) == 1 else "are"
    return finding(
        "joint.round-corner",
        panel.spot(at[0]),
        f"{some} of {panel.name} {are} drawn round where a mate with square corners goes; read as square, "
        "with reliefs where the mate needs them.",
        "Nothing to do; draw plain corners to make this note go away.",
        panels=[panel.name],
    )
