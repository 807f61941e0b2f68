# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Places on panels and joints that can be found again after the model was changed."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from flatwright.edits.model import End, JointRef, PanelRef, Point3, Spot
from flatwright.geometry.frame import Vector
from flatwright.geometry.outline import clean
from flatwright.joints.model import FoundJoint
from flatwright.plan import Panel

REACH = 50.0  # mm: how far a joint may have moved on each of its two panels, and still be that joint
EVEN = 1.0  # mm: two candidates this close to equally far are not told apart


def box_of(panel: Panel) -> tuple[Vector, Vector]:
    """Lower and upper corner of the box about a panel in the assembly's axes, (3,) float mm."""
    x0, y0, x1, y1 = panel.outline.bounds()
    p = np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]] * 2)
    q = panel.frame.to_space(p, np.repeat([0.0, panel.thickness], 4))
    return q.min(axis=0), q.max(axis=0)


def spot_of(panel: Panel, point: Vector) -> Spot:
    """Where a point (3,) of the assembly is on a panel."""
    low, high = box_of(panel)
    return Spot(point3(point - low), point3(high - low))


def away(spot: Spot, panel: Panel, point: Vector) -> float:
    """How far a point is from a spot, mm. Along each axis it is counted from the box's near side, from its
    far side or as a share of its size, whichever agrees best: a panel may have grown at either end."""
    low, high = box_of(panel)
    total = 0.0
    for at, of, now, size in zip(spot.at, spot.of, point - low, high - low, strict=True):
        total += min(abs(now - at), abs((size - now) - (of - at)), abs(now - at / of * size)) ** 2
    return math.sqrt(total)


def point3(v: Vector) -> Point3:
    """As a reference keeps it, 0.001 mm."""
    return (clean(v[0], 3), clean(v[1], 3), clean(v[2], 3))


def middle(joint: FoundJoint) -> Vector:
    """The middle of a joint in the assembly, (3,) float mm: of all that is not mere shoulder."""
    contacts = (*joint.cheeks, *joint.sides, *joint.floors, *joint.flanks) or joint.contacts()
    points = np.concatenate([c.points for c in contacts])
    return np.asarray((points.min(axis=0) + points.max(axis=0)) / 2, dtype=np.float64)


class Panels:
    """The drawn panels of one reading, by what edits call them. `objects` are the host's own names by
    source."""

    def __init__(self, panels: Sequence[Panel], objects: Mapping[str, str] | None = None) -> None:
        self.panels = tuple(panels)
        self._objects = dict(objects or {})
        self._by_source = {p.source: i for i, p in enumerate(panels)}
        self._by_object = {
            name: self._by_source[s] for s, name in self._objects.items() if name and s in self._by_source
        }

    def find(self, ref: PanelRef) -> int | None:
        """Index of a panel: the host's own name comes first, since labels change."""
        found = self._by_object.get(ref.object) if ref.object else None
        return self._by_source.get(ref.source) if found is None else found

    def ref(self, index: int) -> PanelRef:
        """What to call a panel from now on."""
        source = self.panels[index].source
        return PanelRef(source, self._objects.get(source, ""))


@dataclass(frozen=True, slots=True, eq=False)
class Place:
    """One of the joints that were found, as an edit can refer to it: its index, panels and middle."""

    index: int
    pair: tuple[int, int]
    at: Vector


def places(found: Sequence[FoundJoint]) -> list[Place]:
    """All joints that were found, as places."""
    return [Place(i, (j.receiver, j.mate), middle(j)) for i, j in enumerate(found) if j.contacts()]


def joint_ref(panels: Panels, place: Place) -> JointRef:
    """What to call a joint from now on."""
    a, b = (End(panels.ref(i), spot_of(panels.panels[i], place.at)) for i in place.pair)
    return (a, b)


def between(panels: Panels, ref: JointRef, found: Sequence[Place]) -> list[Place]:
    """All joints between the two panels of a reference."""
    pair = {panels.find(end.panel) for end in ref}
    return [p for p in found if set(p.pair) == pair]


def distance(panels: Panels, ref: JointRef, place: Place) -> float:
    """How far a joint of the right pair is from what a reference says: the sum over both panels, mm;
    infinite where it is out of reach on both."""
    sums = []
    for end in ref:
        index = panels.find(end.panel)
        if end.spot is not None and index is not None:
            sums.append(away(end.spot, panels.panels[index], place.at))
    return math.inf if sums and min(sums) > REACH else sum(sums)
