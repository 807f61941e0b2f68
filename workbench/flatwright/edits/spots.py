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
TOUCHES = 3.0  # mm: how far a corner may be from the joint that it serves
EVEN = 10.0  # mm: two joints this close to equally far are not told apart


Box = tuple[Vector, Vector]  # lower and upper corner in the assembly's axes, (3,) float mm


def box_of(panel: Panel) -> Box:
    """The box about a panel."""
    x0, y0, x1, y1 = panel.outline.bounds()
    p = np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]] * 2)
    q = panel.frame.to_space(p, np.repeat([0.0, panel.thickness], 4))
    return q.min(axis=0), q.max(axis=0)


def spot_in(box: Box, point: Vector) -> Spot:
    """Where a point (3,) of the assembly is on the panel that the box is about."""
    low, high = box
    return Spot(point3(point - low), point3(high - low))


def away(spot: Spot, box: Box, point: Vector) -> float:
    """How far a point is from a spot, mm. Along each axis it is counted from the box's near side, from its
    far side or as a share of its size, whichever agrees best: a panel may have grown at either end."""
    low, high = box
    total = 0.0
    for at, of, now, size in zip(spot.at, spot.of, point - low, high - low, strict=True):
        total += min(abs(now - at), abs((size - now) - (of - at)), abs(now - at / of * size)) ** 2
    return math.sqrt(total)


def point3(v: Vector) -> Point3:
    """As a reference keeps it, 0.001 mm."""
    return (clean(v[0], 3), clean(v[1], 3), clean(v[2], 3))


class Panels:
    """The drawn panels of one reading, by what edits call them. `objects` are the host's own names by
    source; both are paths down the tree."""

    def __init__(self, panels: Sequence[Panel], objects: Mapping[str, str] | None = None) -> None:
        self.panels = tuple(panels)
        self.boxes = tuple(box_of(p) for p in panels)
        self._objects = dict(objects or {})
        self._by_source = {p.source: i for i, p in enumerate(panels)}
        self._by_object = {
            name: self._by_source[s] for s, name in self._objects.items() if name and s in self._by_source
        }

    def find(self, ref: PanelRef) -> int | None:
        """Index of a panel: the host's own names come first, since labels change."""
        for path, known in ((ref.object, self._by_object), (ref.source, self._by_source)):
            found = _by_path(path, known) if path else None
            if found is not None:
                return found
        return None

    def ref(self, index: int) -> PanelRef:
        """What to call a panel from now on."""
        source = self.panels[index].source
        return PanelRef(source, self._objects.get(source, ""))


def _by_path(path: str, known: Mapping[str, int]) -> int | None:
    """What stands under that path; else the only one whose path became longer or shorter at its
    beginning: it was put into a group or taken out of one."""
    if path in known:
        return known[path]
    moved = [i for p, i in known.items() if f"/{p}".endswith(f"/{path}") or f"/{path}".endswith(f"/{p}")]
    return moved[0] if len(moved) == 1 else None


@dataclass(frozen=True, slots=True, eq=False)
class Place:
    """One of the joints that were found, as an edit can refer to it: its index, its panels, and the box
    about it in the assembly, (3,) float mm."""

    index: int
    pair: tuple[int, int]
    low: Vector
    high: Vector

    @property
    def at(self) -> Vector:
        """The middle."""
        return np.asarray((self.low + self.high) / 2, dtype=np.float64)


def places(found: Sequence[FoundJoint]) -> list[Place]:
    """All joints that were found, as places: each where its panels meet, shoulders left out if it has
    anything else."""
    out = []
    for i, joint in enumerate(found):
        contacts = (*joint.cheeks, *joint.sides, *joint.floors, *joint.flanks) or joint.contacts()
        if contacts:
            points = np.concatenate([c.points for c in contacts])
            out.append(Place(i, (joint.receiver, joint.mate), points.min(axis=0), points.max(axis=0)))
    return out


def served(corner: Vector, panel: int, found: Sequence[Place]) -> Place | None:
    """The joint at whose end a corner (3,) of a panel is, if it is at one."""
    near = [(beyond(p.low, p.high, corner), p.index, p) for p in found if panel in p.pair]
    distance_, _, place = min(near, default=(math.inf, 0, None))
    return place if distance_ <= TOUCHES else None


def beyond(low: Vector, high: Vector, point: Vector) -> float:
    """How far a point (3,) is out of a box, rounded to 0.001 mm."""
    out = np.maximum(np.maximum(low - point, point - high), 0.0)
    return round(float(np.linalg.norm(out)), 3)


@dataclass(frozen=True, slots=True)
class JointSpot:
    """What a joint is called, and the box about it in the assembly: kept with the result, so that a joint
    or a corner can be pointed at."""

    ref: JointRef
    low: Point3
    high: Point3


def joint_spot(panels: Panels, place: Place) -> JointSpot:
    """How to call a joint from now on, and where it is."""
    return JointSpot(joint_ref(panels, place), point3(place.low), point3(place.high))


def joint_ref(panels: Panels, place: Place) -> JointRef:
    """What to call a joint from now on."""
    a, b = (End(panels.ref(i), spot_in(panels.boxes[i], place.at)) for i in place.pair)
    return (a, b)


def pair_of(panels: Panels, ref: JointRef) -> frozenset[int]:
    """Indices of the panels of a reference that are there."""
    found = (panels.find(end.panel) for end in ref)
    return frozenset(i for i in found if i is not None)


def by_pair(found: Sequence[Place]) -> dict[frozenset[int], list[Place]]:
    """The joints by the two panels that they are between."""
    out: dict[frozenset[int], list[Place]] = {}
    for place in found:
        out.setdefault(frozenset(place.pair), []).append(place)
    return out


def distance(panels: Panels, ref: JointRef, place: Place) -> float:
    """How far a joint of the right pair is from what a reference says: the sum over both panels, mm;
    infinite where it is out of reach on both, or where the piece was turned round."""
    ends = [(end.spot, panels.boxes[i]) for end in ref if (i := panels.find(end.panel)) is not None]
    known = [(spot, box) for spot, box in ends if spot is not None]
    if len(known) == 2 and _turned(known, place.at):
        return math.inf
    sums = [away(spot, box, place.at) for spot, box in known]
    return math.inf if sums and min(sums) > REACH else sum(sums)


def _turned(ends: Sequence[tuple[Spot, Box]], at: Vector) -> bool:
    """True when the way from one panel's middle to the other's has turned by more than a right angle: the
    same place in the two boxes may be another joint then."""
    before = [np.array(spot.of) / 2 - np.array(spot.at) for spot, _ in ends]
    now = [(low + high) / 2 - at for _, (low, high) in ends]
    return round(float((before[1] - before[0]) @ (now[1] - now[0])), 3) < 0
