# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""For each fitted panel: the wood of its mates in its plane, and what they hide of its faces."""

from __future__ import annotations

from collections.abc import Sequence

import shapely
from shapely.geometry import Polygon

from flatwright.geometry.frame import Vector
from flatwright.joints.contacts import near_pairs
from flatwright.joints.model import FoundJoint
from flatwright.joints.relief_place import Covers, Mate
from flatwright.joints.sections import section, slabs
from flatwright.plan import Panel

HIDES = 1.0  # mm: wood this near above a face hides it


def mates(panels: Sequence[Panel], found: Sequence[FoundJoint]) -> list[list[Mate]]:
    """Per panel, what has to get past its corners, the way in included."""
    layers = [slabs(p) for p in panels]
    inserts: dict[tuple[int, int], Vector] = {}
    for joint in found:
        if joint.insert is not None:
            inserts.setdefault((joint.receiver, joint.mate), joint.insert)
            inserts.setdefault((joint.mate, joint.receiver), -joint.insert)
    out: list[list[Mate]] = [[] for _ in panels]
    for i, j in near_pairs(panels):
        for a, b in ((i, j), (j, i)):
            insert = inserts.get((a, b))
            for s in layers[a]:
                shape = section(s.frame, s.low, s.high, layers[b], insert)
                if not shape.is_empty:
                    out[a].append(Mate(shape, s.low, s.high))
    return out


def covers(panels: Sequence[Panel]) -> list[Covers]:
    """Per panel, what mates standing on its broad faces hide of them."""
    layers = [slabs(p) for p in panels]
    upper: list[list[shapely.Geometry]] = [[Polygon()] for _ in panels]
    lower: list[list[shapely.Geometry]] = [[Polygon()] for _ in panels]
    for i, j in near_pairs(panels):
        for a, b in ((i, j), (j, i)):
            t = panels[a].thickness
            upper[a].append(section(panels[a].frame, t + 0.01, t + HIDES, layers[b]))
            lower[a].append(section(panels[a].frame, -HIDES, -0.01, layers[b]))
    return [Covers(shapely.union_all(u), shapely.union_all(w)) for u, w in zip(upper, lower, strict=True)]
