# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Fitted panels must not take the same place."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from flatwright.findings import Finding, declare, finding
from flatwright.geometry.arcs import Point
from flatwright.geometry.polygon import largest
from flatwright.joints.contacts import near_pairs
from flatwright.joints.crossing import Slab
from flatwright.joints.sections import Cut, sections, slabs
from flatwright.plan import Panel

declare("error", joint__collision="two panels take the same place")
declare("warning", joint__collision_uncut="a panel takes the place of a part that is not cut from board")

SKIN = 0.01  # mm: wood this near to a surface is not counted (float noise, chords of arcs)


def collisions(panels: Sequence[Panel]) -> list[Finding]:
    """A finding for each pair of panels that overlap by more than the skin: an error, but where one
    of them is not cut (it has no board: hardware, most likely) a warning."""
    layers = [slabs(p) for p in panels]
    near = near_pairs(panels, margin=0.0)
    places = common_places([(layers[i], layers[j]) for i, j in near])
    out: list[Finding] = []
    for (i, j), place in zip(near, places, strict=True):
        if place is None:
            continue
        a, b = panels[i], panels[j]
        u, v = place
        cut = a.board is not None and b.board is not None
        out.append(
            finding(
                "joint.collision" if cut else "joint.collision-uncut",
                a.spot((u, v)),
                f"{a.name} and {b.name} take the same place there, and no slot is drawn for it.",
                "Draw the slot, let it be cut (--cut-slots, or the link in Findings), or move a board.",
                panels=[a.name, b.name],
            )
        )
    return out


def common_place(a: Sequence[Slab], b: Sequence[Slab]) -> Point | None:
    """A place (plane coordinates of a) where both have wood, or None."""
    return common_places([(a, b)])[0]


def common_places(pairs: Sequence[tuple[Sequence[Slab], Sequence[Slab]]]) -> list[Point | None]:
    """The same for many pairs at once."""
    cuts = [
        (k, s, Cut(s.frame, s.low + SKIN, s.high - SKIN, thin))
        for k, (a, b) in enumerate(pairs)
        for thin in ([Slab(s.frame, s.low + SKIN, s.high - SKIN, s.wood) for s in b],)
        for s in a
    ]
    out: list[Point | None] = [None] * len(pairs)
    seen = np.array(sections([c for _, _, c in cuts]), dtype=object)
    woods = np.array([s.wood for _, s, _ in cuts], dtype=object)
    shapely.prepare(woods)
    for n in np.flatnonzero(shapely.intersects(woods, seen)).tolist():
        k = cuts[n][0]
        out[k] = out[k] or _within(woods[n], seen[n])
    return out


def _within(wood: BaseGeometry, seen: BaseGeometry) -> Point | None:
    common = seen.intersection(wood).buffer(-SKIN)
    if common.is_empty or common.area <= 1e-6:
        return None
    p = largest(common).representative_point()
    return float(shapely.get_x(p)), float(shapely.get_y(p))
