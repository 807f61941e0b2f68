# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Where a panel's edge is not as high as its board."""

from __future__ import annotations

from flatwright.geometry.arcs import Segment
from flatwright.plan import Panel

NEAR = 1e-3  # mm


def low_edges(panel: Panel) -> list[Segment]:
    """The pieces of the outline where a pocket runs out of it: a tab there might not reach its height."""
    edges = panel.outline.segments()
    return [
        s
        for pocket in panel.pockets
        for s in pocket.outline.segments()
        if any(max(e.distance(s.at(t)) for t in (0.0, 0.5, 1.0)) < NEAR for e in edges)
    ]
