# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""From contacts to joints: a role follows from what faces what."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from flatwright.geometry.frame import cross
from flatwright.joints.contacts import REACH, Contact, Scene
from flatwright.joints.faces import PlaneFace
from flatwright.joints.keys import with_keys
from flatwright.joints.laps import parallel_joints
from flatwright.joints.model import FoundJoint
from flatwright.joints.pair import Pair
from flatwright.joints.stacks import Bodies, bodies


@dataclass(frozen=True, slots=True, eq=False)
class Recognised:
    """The joints in the order of the panel pairs and along each pair's line, the bodies that panels
    form, and the contacts that play no known role."""

    joints: tuple[FoundJoint, ...]
    bodies: Bodies
    left: tuple[Contact, ...]


def recognise(scene: Scene) -> Recognised:
    """Find all joints."""
    parts = bodies(scene)
    found: list[FoundJoint] = []
    left: list[Contact] = []
    crossing: dict[tuple[int, int], list[Contact]] = {}
    for (i, j), contacts in sorted(scene.contacts.items()):
        normals = scene.panels[i].frame.n, scene.panels[j].frame.n
        if float(np.linalg.norm(cross(*normals))) < 1e-3:
            joints, rest = parallel_joints(i, j, contacts)
            found += joints
            left += rest
        else:
            a, b = parts.of[i], parts.of[j]
            turned = a > b
            pair = crossing.setdefault((b, a) if turned else (a, b), [])
            pair += [c.turned() for c in contacts] if turned else contacts
    for (a, b), mixed in sorted(crossing.items()):
        pair_of_bodies = Pair(scene, parts.members[a], parts.members[b], mixed)
        found += pair_of_bodies.joints()
        left += pair_of_bodies.free
    found.sort(key=_first)
    partners = _partners(found)
    known = [j for j in with_keys(scene, found) if not _in_passing(scene, j, partners)]
    return Recognised(tuple(known), parts, tuple(left))


def _partners(found: Sequence[FoundJoint]) -> dict[int, set[int]]:
    """Per panel the others that it shares a joint with."""
    out: dict[int, set[int]] = {}
    for j in found:
        out.setdefault(j.receiver, set()).add(j.mate)
        out.setdefault(j.mate, set()).add(j.receiver)
    return out


def _in_passing(scene: Scene, joint: FoundJoint, partners: Mapping[int, set[int]]) -> bool:
    """Edges that meet in the face of a third board which holds both: a tenon's flush end against a
    neighbour's shoulder. That is no joint of the two."""
    if joint.kind != "edge to edge":
        return False
    both = partners[joint.receiver] & partners[joint.mate]
    faces = [f for k in sorted(both) for f in scene.faces[k][:2]]
    return all(any(_in_plane(c, f) for f in faces) for c in joint.shoulders)


def _in_plane(c: Contact, face: PlaneFace) -> bool:
    same = abs(float(c.a.normal @ face.normal)) > 1.0 - 1e-6
    return same and abs(float(c.points[0] @ face.normal) - face.offset) <= REACH


def _first(joint: FoundJoint) -> tuple[int, int]:
    """Joints follow the order of their panels; those of one pair keep theirs."""
    return min(joint.receiver, joint.mate), max(joint.receiver, joint.mate)
