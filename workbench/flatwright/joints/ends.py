# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What the ends of a socket say of its kind, and which ends of the mate come out flush."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache

import shapely
from shapely.geometry.base import BaseGeometry

from flatwright.geometry.frame import Vector
from flatwright.geometry.outline import Outline
from flatwright.geometry.polygon import polygon
from flatwright.joints.contacts import BITE, REACH, Contact, Scene
from flatwright.joints.faces import PlaneFace
from flatwright.joints.model import FoundJoint, Tip
from flatwright.plan import Panel

ALONG = 0.999
TENON = 0.6  # of the mate's width: a stub longer than this is the shouldered end of a shelf


def socket_kind(scene: Scene, cheeks: Sequence[Contact], line: Vector) -> str:
    """The trade's name for the slot: a hole is a mortise, an open notch a slot, a recess across the
    panel a housing (stopped where it ends inside), one along it a groove."""
    face = cheeks[0].a
    if face.kind == "edge":
        return "slot" if face.loop == 0 else "mortise and tenon"
    panel = scene.panels[face.panel]
    ends = [
        f for f in scene.faces[face.panel]
        if f.kind == "wall" and f.loop == face.loop and abs(float(f.normal @ line)) > ALONG
    ]  # fmt: skip
    closed = len({float(f.normal @ line) > 0 for f in ends})
    x0, y0, x1, y1 = panel.outline.bounds()
    run = abs(float(line @ (panel.frame.u if x1 - x0 >= y1 - y0 else panel.frame.v)))
    if run > ALONG and abs((x1 - x0) - (y1 - y0)) > 1.0:
        return "groove"
    return "stopped housing" if closed else "housing"


def is_blind_tenon(scene: Scene, joint: FoundJoint, shoulders: Sequence[Contact]) -> bool:
    """A recess closed at both ends of a mate that shoulders bear beside, and that is much wider than it."""
    if joint.kind not in ("stopped housing", "groove") or joint.line is None:
        return False
    line = joint.line
    if len({float(c.a.normal @ line) > 0 for c in joint.sides}) < 2:
        return False
    if not any(c.b.panel == joint.receiver for c in shoulders):
        return False
    ends = [c.extent(line) for c in joint.cheeks]
    length = max(e[1] for e in ends) - min(e[0] for e in ends)
    mate = [f.corners @ line for f in scene.faces[joint.mate]]
    return length < TENON * (max(float(m.max()) for m in mate) - min(float(m.min()) for m in mate))


def tips(scene: Scene, joint: FoundJoint, near: float) -> tuple[Tip, ...]:
    """Ends that lie flush (within the reach) with the far face of the panel they go through."""
    if joint.kind not in ("mortise and tenon", "finger joint", "slot"):
        return ()
    mates = sorted({joint.mate, *(k for s in joint.spans for k in s)})
    pairs = [(m, joint.receiver) for m in mates]
    if joint.kind == "finger joint":
        pairs.append((joint.receiver, joint.mate))
    reach = _reach(joint, near)
    out = []
    for giver, taker in pairs:
        flush = [
            (edge, face)
            for face in scene.faces[taker][:2]
            for edge in scene.faces[giver]
            if edge.kind == "edge"
            and edge.loop == 0  # the end of a hole, a key's mortise, is no tip
            and abs(edge.offset - face.offset) <= REACH + BITE
            and float(edge.normal @ face.normal) > 1.0 - 1e-6
            and _in_reach(edge, joint.line, reach)
        ]
        if flush:
            panel = scene.panels[taker]
            hull = _hull(panel.outline)
            out += [Tip(e, f, e.offset - f.offset) for e, f in flush if _inside(e, panel, hull)]
    return tuple(out)


def _reach(joint: FoundJoint, near: float) -> tuple[float, float]:
    """Between which coordinates along the joint's line the end of a tenon lies: the ends of its slot; a
    finger lies anywhere."""
    if joint.kind == "finger joint" or joint.line is None:
        return -math.inf, math.inf
    ends = [c.extent(joint.line) for c in joint.cheeks]
    return min(e[0] for e in ends) - near, max(e[1] for e in ends) + near


def _in_reach(edge: PlaneFace, line: Vector | None, reach: tuple[float, float]) -> bool:
    if line is None or math.isinf(reach[0]):
        return True
    d: list[float] = (edge.corners @ line).tolist()
    return min(d) > reach[0] and max(d) < reach[1]


@lru_cache(maxsize=256)
def _hull(outline: Outline) -> BaseGeometry:
    hull = polygon(outline).convex_hull.buffer(REACH)
    shapely.prepare(hull)
    return hull


def _inside(edge: PlaneFace, panel: Panel, hull: BaseGeometry) -> bool:
    """The edge lies over the panel's outline (in a slot or notch of it)."""
    u, v, _ = panel.frame.to_plane((edge.corners[0] + edge.corners[2]) / 2)[0].tolist()
    return bool(shapely.contains_xy(hull, u, v))
