# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""For each fitted panel: the wood of its mates in its plane, and what they hide of its faces."""

from __future__ import annotations

from collections.abc import Sequence

from shapely.geometry.base import BaseGeometry

from flatwright.geometry.frame import Vector
from flatwright.joints.contacts import near_pairs
from flatwright.joints.model import FoundJoint
from flatwright.joints.relief_place import Covers, Mate
from flatwright.joints.sections import Cut, sections, slabs
from flatwright.plan import Panel

HIDES = 1.0  # mm: wood this near above a face hides it
CLEAR = 0.01  # mm above a face: what reaches no higher does not stand on it


def mates(panels: Sequence[Panel], found: Sequence[FoundJoint]) -> list[list[Mate]]:
    """Per panel, what has to get past its corners, the way in included."""
    layers = [slabs(p) for p in panels]
    inserts: dict[tuple[int, int], Vector] = {}
    for joint in found:
        if joint.insert is not None:
            inserts.setdefault((joint.receiver, joint.mate), joint.insert)
            inserts.setdefault((joint.mate, joint.receiver), -joint.insert)
    places = [
        (a, s, Cut(s.frame, s.low, s.high, layers[b], inserts.get((a, b))))
        for i, j in near_pairs(panels)
        for a, b in ((i, j), (j, i))
        for s in layers[a]
    ]
    out: list[list[Mate]] = [[] for _ in panels]
    for (a, s, _), shape in zip(places, sections([c for _, _, c in places]), strict=True):
        if not shape.is_empty:
            out[a].append(Mate(shape, s.low, s.high))
    return out


def covers(panels: Sequence[Panel]) -> list[Covers]:
    """Per panel, what mates standing on its broad faces hide of them."""
    layers = [slabs(p) for p in panels]
    ways = [way for i, j in near_pairs(panels) for way in ((i, j), (j, i))]
    above = [
        Cut(panels[a].frame, t + CLEAR, t + HIDES, layers[b]) for a, b in ways for t in (panels[a].thickness,)
    ]
    below = [Cut(panels[a].frame, -HIDES, -CLEAR, layers[b]) for a, b in ways]
    upper: list[list[BaseGeometry]] = [[] for _ in panels]
    lower: list[list[BaseGeometry]] = [[] for _ in panels]
    for side, cuts in ((upper, above), (lower, below)):
        for (a, _), shape in zip(ways, sections(cuts), strict=True):
            if not shape.is_empty:
                side[a].append(shape)
    return [Covers(tuple(u), tuple(w)) for u, w in zip(upper, lower, strict=True)]
