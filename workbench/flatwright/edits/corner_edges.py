# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The two edges of an inside corner, for a T-bone that lies along one of them.

Which edge leads into a corner and which out of it depends on the side from which the panel is looked at;
a maker tells them apart by length and by the way they run.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, get_args

import numpy as np

from flatwright.edits.model import Point3
from flatwright.geometry.arcs import Point
from flatwright.geometry.corners import Corner, concave_corners
from flatwright.geometry.drawn_reliefs import drawn_reliefs, without
from flatwright.geometry.outline import clean
from flatwright.joints.relief_choice import CornerKind
from flatwright.plan import Panel

BySize = Literal["T-bone longer", "T-bone shorter"]
Asked = CornerKind | BySize

SAME = 0.05  # mm: edges whose lengths differ by less are equally long
NEAR = 0.05  # mm: how far a corner may be from where a relief says it is


@dataclass(frozen=True, slots=True)
class CornerEdge:
    """An edge of a corner: how long it is, mm, and `way`, its direction in the assembly away from the
    corner, unit; `kind` is the T-bone along it."""

    kind: CornerKind
    length: float
    way: Point3


@dataclass(frozen=True, slots=True)
class CornerEdges:
    """Both edges of a corner; where they are `equal` in length, the one that leads into it comes first."""

    longer: CornerEdge
    shorter: CornerEdge

    @property
    def equal(self) -> bool:
        """Neither is longer."""
        return self.longer.length - self.shorter.length < SAME

    def of(self, kind: Asked) -> CornerEdge | None:
        """The edge of a T-bone, None of other kinds."""
        named = {"T-bone longer": self.longer, "T-bone shorter": self.shorter}
        return named.get(kind) or next((e for e in (self.longer, self.shorter) if e.kind == kind), None)

    def nearest(self, way: Point3) -> CornerEdge:
        """The edge that runs that way more than the other does."""
        return max((self.longer, self.shorter), key=lambda e: round(float(np.dot(e.way, way)), 6))


def sharp_corners(panel: Panel) -> list[Corner]:
    """The inside corners of all loops of a panel, those with a relief drawn at them too."""
    return [c for loop in panel.loops() for c in concave_corners(without(loop, drawn_reliefs(loop)))]


def edges_at(panel: Panel, at: Point) -> CornerEdges | None:
    """The edges of the inside corner at a point of the panel's plane; None if there is none."""
    near = [(round(math.dist(c.at, at), 4), k, c) for k, c in enumerate(sharp_corners(panel))]
    distance, _, corner = min(near, default=(math.inf, 0, None))
    return edges_of(panel, corner) if corner is not None and distance <= NEAR else None


def edges_of(panel: Panel, corner: Corner) -> CornerEdges:
    """The edges of an inside corner of the panel."""
    (ax, ay), b = corner.before.direction(1.0), corner.after.direction(0.0)
    leads_in = CornerEdge("T-bone in", corner.before.length, _in_space(panel, (-ax, -ay)))
    leads_out = CornerEdge("T-bone out", corner.after.length, _in_space(panel, b))
    if leads_out.length - leads_in.length >= SAME:
        return CornerEdges(leads_out, leads_in)
    return CornerEdges(leads_in, leads_out)


def is_t_bone(kind: Asked) -> bool:
    """Whether it lies along an edge."""
    return kind in ("T-bone in", "T-bone out", *get_args(BySize))


def _in_space(panel: Panel, d: Sequence[float]) -> Point3:
    x, y, z = d[0] * panel.frame.u + d[1] * panel.frame.v
    return (clean(x, 3), clean(y, 3), clean(z, 3))
