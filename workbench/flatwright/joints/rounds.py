# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Places where a mate touches a round edge: only plane contacts are fitted, so these are named."""

from __future__ import annotations

from collections.abc import Sequence

from shapely.geometry import LineString, MultiPolygon

from flatwright.findings import Finding, declare, finding
from flatwright.geometry.polygon import parts
from flatwright.joints.contacts import near_pairs
from flatwright.joints.sections import section, slabs
from flatwright.plan import Panel

declare("warning", joint__round="a mate touches a round edge: that contact is not fitted")

CLOSE = 0.3  # mm between the mate and the arc
RUN = 3.0  # mm of the mate that lie so near: less is a corner in its relief


def round_contacts(panels: Sequence[Panel]) -> list[Finding]:
    """A warning for each pair of panels of which one touches a round edge of the other."""
    bent = [any(not s.is_line for o in p.loops() for s in o.segments()) for p in panels]
    out = []
    for i, j in near_pairs(panels) if any(bent) else ():
        for a, b in ((i, j), (j, i)):
            place = _touch(panels[a], panels[b]) if bent[a] else None
            if place is not None:
                out.append(_told(panels[a], panels[b], *place))
                break
    return out


def _touch(panel: Panel, mate: Panel) -> tuple[float, float] | None:
    """A place on a round edge of the panel along which the mate lies, or None."""
    layers = slabs(mate)
    through = 1 + len(panel.holes)
    for k, loop in enumerate(panel.loops()):
        z0, z1 = 0.0, panel.thickness
        if k >= through:
            pocket = panel.pockets[k - through]
            z0, z1 = (z1 - pocket.depth, z1) if pocket.side == "+n" else (0.0, pocket.depth)
        arcs = [s for s in loop.segments() if not s.is_line]
        if not arcs:
            continue
        rim = MultiPolygon(parts(section(panel.frame, z0, z1, layers))).boundary  # no lines of no width
        for s in arcs:
            curve = LineString([*s.flattened(0.01), s.q])
            if rim.intersection(curve.buffer(CLOSE)).length > RUN:
                at = curve.interpolate(0.5, normalized=True)
                return float(at.x), float(at.y)
    return None


def _told(panel: Panel, mate: Panel, x: float, y: float) -> Finding:
    return finding(
        "joint.round",
        panel.spot((x, y)),
        f"{mate.name} touches a round edge of {panel.name} there; only flat edges are fitted to the boards.",
        "Draw that end straight (its corners are relieved where a mate needs it), or check it by hand.",
        panels=[panel.name, mate.name],
    )
