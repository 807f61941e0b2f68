# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Keys: a small panel through the end of a tenon that holds it against the board it comes through.

It bears on that board with an edge, or lies on it with a broad face: then it is no board of a stack to glue.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from flatwright.joints.contacts import BITE, REACH, Contact, Scene
from flatwright.joints.faces import PlaneFace
from flatwright.joints.model import FoundJoint

ALONG = 0.999
SLANT = (0.01, 0.35)  # tangent of a wedge's slope that is meant: from 1:100 to about 1:3


def with_keys(scene: Scene, found: Sequence[FoundJoint]) -> list[FoundJoint]:
    """The joints with keyed and wedged tenons named, and what their keys bear on made part of them."""
    tenons = {(j.mate, j.receiver): k for k, j in enumerate(found) if j.kind == "mortise and tenon"}
    butts: dict[int, list[int]] = {}
    for b, x in enumerate(found):
        if x.kind == "butt":
            butts.setdefault(x.mate, []).append(b)
    lying = {k: b for b, x in enumerate(found) if x.kind == "face to face" for k in _both_ways(x)}
    out: list[FoundJoint | None] = list(found)
    for k, j in enumerate(found):
        if j.kind != "mortise and tenon":
            continue
        bears = [b for b in butts.get(j.mate, ()) if (j.receiver, found[b].receiver) in tenons]
        flat = [lying[j.mate, r] for m, r in tenons if m == j.receiver and (j.mate, r) in lying]
        if not bears and not flat:
            continue
        rims = _wedge_rims(scene, j) if bears else []
        shoulders = [*(c for b in bears for c in found[b].shoulders), *rims]
        kind = "wedged tenon" if rims else "keyed tenon"
        out[k] = replace(j, kind=kind, shoulders=(*j.shoulders, *shoulders))
        for b in (*bears, *flat):
            out[b] = None
    return [j for j in out if j is not None]


def _both_ways(x: FoundJoint) -> tuple[tuple[int, int], tuple[int, int]]:
    return (x.receiver, x.mate), (x.mate, x.receiver)


def _wedge_rims(scene: Scene, joint: FoundJoint) -> list[Contact]:
    """Where a slanted edge of the key, driven home, bears on the rim of an end of its mortise."""
    loop = joint.cheeks[0].a.loop
    line = joint.line
    ends = [
        f for f in scene.faces[joint.receiver]
        if f.loop == loop and f.kind == "edge" and line is not None and abs(float(f.normal @ line)) > ALONG
    ]  # fmt: skip
    slants = [f for f in scene.faces[joint.mate] if f.kind == "edge"]
    return [c for end in ends for slant in slants if (c := _rim(end, slant)) is not None]


def _rim(end: PlaneFace, slant: PlaneFace) -> Contact | None:
    lean = -float(end.normal @ slant.normal)
    if not SLANT[0] < math.tan(math.acos(max(-1.0, min(1.0, lean)))) < SLANT[1]:
        return None
    points = end.corners + ((slant.offset - end.corners @ slant.normal) / -lean)[:, None] * end.normal
    reach = points @ end.normal - end.offset
    along = slant.corners @ slant.along
    at = points @ slant.along
    if float(at.max()) < float(along.min()) or float(at.min()) > float(along.max()):
        return None
    gap = float(reach.min())
    return Contact(end, slant, gap, points, 0.0, None, lean) if -BITE <= gap <= REACH else None
