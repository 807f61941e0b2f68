# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Tabs leave stubs: none may stand where a part meets another (common practice, no source), unless the
plan says that the edge is to be dressed."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np
from shapely.geometry import Point

from flatwright.findings import Finding, finding
from flatwright.plan import Joint, Placement, Sheet, Tab
from flatwright.proof.slab import Slab, to_panel

NEAR = 0.3  # mm: a board nearer than this bears on the edge
ROOM = 0.1  # mm: beyond the clearance of a joint, its mate is no further off
STEP = 2.0  # mm along a tab between the places looked at: no board is as thin


def check_places(
    sheets: Sequence[Sheet], joints: Sequence[Joint], slabs: Sequence[Slab]
) -> Iterator[Finding]:
    """Tabs that stand where the assembled parts touch, or within the clearance of a joint."""
    by_name = {s.name: s for s in slabs}
    reach = _reaches(joints)
    for sheet in sheets:
        laid = {p.panel: p for p in sheet.placements}
        for tab in sheet.tabs:
            if tab.dress or tab.panel not in by_name or tab.panel not in laid:
                continue
            others = [m for m in slabs if m.name != tab.panel]
            mates = [
                m.name
                for m in others
                if _meets(tab, laid[tab.panel], by_name, m, reach.get(frozenset((tab.panel, m.name)), NEAR))
            ]
            if mates:
                yield finding(
                    "proof.tab-on-joint",
                    f"{sheet.name}, {tab.panel}, tab at ({tab.x:.1f}, {tab.y:.1f})",
                    f"The tab of {tab.panel} at ({tab.x:.1f}, {tab.y:.1f}) stands where {tab.panel} meets "
                    f"{mates[0]}.",
                    "Move the tab to a free edge, or trim its stub flush before assembling.",
                    panels=(tab.panel,),
                    sheet=sheet.name,
                )


def _reaches(joints: Sequence[Joint]) -> dict[frozenset[str], float]:
    """How far a mate may be from the edge that goes into it, mm, by the two panels of a joint."""
    out: dict[frozenset[str], float] = {}
    for joint in joints:
        clear = [float(v) for k, v in joint.fit.items() if k.endswith("_mm")]
        pair = frozenset(joint.panels)
        out[pair] = max(NEAR, out.get(pair, 0.0), *(c + ROOM for c in clear))
    return out


def _meets(tab: Tab, placement: Placement, slabs: dict[str, Slab], mate: Slab, near: float) -> bool:
    own = slabs[tab.panel]
    a, b, d, e, x, y = to_panel(placement)
    height = own.thickness - tab.height / 2 if placement.flipped else tab.height / 2
    turn = math.radians(tab.angle)
    end = max(0.0, tab.length / 2 - near)  # what is near a place no further out is not beside the tab
    for along in np.linspace(-end, end, 2 * math.ceil(end / STEP) + 1):
        px = tab.x + along * math.cos(turn)
        py = tab.y + along * math.sin(turn)
        here = np.array([[a * px + b * py + x, d * px + e * py + y]])
        u, v, h = (float(c) for c in mate.frame.to_plane(own.frame.to_space(here, height))[0])
        within = [layer.wood for layer in mate.layers if layer.low - near < h < layer.high + near]
        if any(wood.distance(Point(u, v)) < near for wood in within):
            return True
    return False
