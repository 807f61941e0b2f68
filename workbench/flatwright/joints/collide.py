# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Fitted panels must not take the same place."""

from __future__ import annotations

from collections.abc import Sequence

import shapely

from flatwright.findings import Finding, declare, finding
from flatwright.geometry.polygon import largest
from flatwright.joints.contacts import near_pairs
from flatwright.joints.sections import Slab, section, slabs
from flatwright.plan import Panel

declare("error", joint__collision="two panels take the same place")
declare("warning", joint__collision_uncut="a panel takes the place of a part that is not cut from board")

SKIN = 0.01  # mm: wood this near to a surface is not counted (float noise, chords of arcs)


def collisions(panels: Sequence[Panel]) -> list[Finding]:
    """A finding for each pair of panels that overlap by more than the skin: an error, but where one
    of them is not cut (it has no board: hardware, most likely) a warning."""
    layers = [slabs(p) for p in panels]
    out: list[Finding] = []
    for i, j in near_pairs(panels, margin=0.0):
        place = common_place(layers[i], layers[j])
        if place is None:
            continue
        a, b = panels[i], panels[j]
        u, v = place
        cut = a.board is not None and b.board is not None
        out.append(
            finding(
                "joint.collision" if cut else "joint.collision-uncut",
                f"{a.name} at ({u:.1f}, {v:.1f})",
                f"{a.name} and {b.name} take the same place there, and no slot is drawn for it.",
                "Draw the slot, let it be cut (--cut-slots, or the link in Findings), or move a board.",
                panels=[a.name, b.name],
            )
        )
    return out


def common_place(a: Sequence[Slab], b: Sequence[Slab]) -> tuple[float, float] | None:
    """A place (plane coordinates of a) where both have wood, or None."""
    thin = [Slab(s.frame, s.low + SKIN, s.high - SKIN, s.wood) for s in b]
    for s in a:
        both = section(s.frame, s.low + SKIN, s.high - SKIN, thin)
        shapely.prepare(s.wood)
        if both.is_empty or not s.wood.intersects(both):
            continue
        common = both.intersection(s.wood).buffer(-SKIN)
        if not common.is_empty and common.area > 1e-6:
            p = largest(common).representative_point()
            return float(shapely.get_x(p)), float(shapely.get_y(p))
    return None
