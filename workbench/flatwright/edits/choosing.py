# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""From what the user points at in a result to what an edit refers to."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import cast, get_args

import numpy as np

from flatwright.edits.corner_edges import Asked, BySize, CornerEdges, edges_at, is_t_bone
from flatwright.edits.model import CornerEdit, End, JointRef, PanelRef, Point3
from flatwright.edits.spots import TOUCHES, JointSpot, beyond, box_of, point3, spot_in
from flatwright.findings import UsageError
from flatwright.geometry.arcs import Point
from flatwright.geometry.corners import concave_corners
from flatwright.joints.relief_choice import CornerKind
from flatwright.plan import Panel, Relief

NEAR = 25.0  # mm: how far from a corner one may point


def pointed_joint(
    spots: Sequence[JointSpot | None], sources: tuple[str, str], near: Sequence[float] | None
) -> JointRef:
    """The joint between two panels (by source) nearest to a point of the assembly, mm; without a point
    all joints between them. Raises UsageError when there is none."""
    between = [s for s in spots if s is not None and {e.panel.source for e in s.ref} == set(sources)]
    if not between:
        raise UsageError(f"there is no joint between {sources[0]} and {sources[1]}")
    if near is None:
        a, b = (End(end.panel) for end in between[0].ref)
        return (a, b)
    return min(between, key=lambda s: _beyond(s, near)).ref


def pointed_corner(
    panel: Panel,
    ref: PanelRef,
    reliefs: Sequence[Relief],
    spots: Sequence[JointSpot | None],
    near: Sequence[float],
    asked: Asked,
) -> CornerEdit:
    """The edit of a fitted panel's inside corner nearest to a point of the assembly, mm; `reliefs` are
    those of the panel. Raises UsageError when there is no corner near it."""
    at = _corner(panel, reliefs, near)
    kind, along = _kind(panel, at, asked)
    point = panel.frame.to_space(np.array([at]), panel.thickness / 2)[0]
    end = End(ref, spot_in(box_of(panel), point))
    mine = [s for s in spots if s is not None and any(e.panel.source == ref.source for e in s.ref)]
    joint = min(mine, key=lambda s: _beyond(s, point3(point)), default=None)
    if joint is None or _beyond(joint, point3(point)) > TOUCHES:
        return CornerEdit(end, kind, along=along)
    middle = (np.array(joint.low) + np.array(joint.high)) / 2
    return CornerEdit(end, kind, joint.ref, point3(point - middle), along)


def pointed_edges(panel: Panel, reliefs: Sequence[Relief], near: Sequence[float]) -> CornerEdges | None:
    """The edges of the corner that `pointed_corner` takes; None where its relief hides them."""
    return edges_at(panel, _corner(panel, reliefs, near))


def _corner(panel: Panel, reliefs: Sequence[Relief], near: Sequence[float]) -> Point:
    at = nearest_corner(panel, reliefs, near)
    if at is None:
        raise UsageError(f"there is no inside corner of {panel.name} near that place")
    return at


def _kind(panel: Panel, at: Point, asked: Asked) -> tuple[CornerKind, Point3 | None]:
    """The kind of a relief, and of a T-bone the way of its edge."""
    edges = edges_at(panel, at) if is_t_bone(asked) else None
    edge = edges.of(asked) if edges is not None else None
    if edge is not None:
        return edge.kind, edge.way
    if asked in get_args(BySize):
        raise UsageError(f"the edges of that corner of {panel.name} cannot be told apart")
    return cast(CornerKind, asked), None


def nearest_corner(panel: Panel, reliefs: Sequence[Relief], near: Sequence[float]) -> Point | None:
    """The inside corner (u, v) nearest to a point of the assembly, seen along the panel's normal."""
    u, v, _ = panel.frame.to_plane(np.array([near], dtype=np.float64))[0]
    corners = inside_corners(panel, reliefs)
    best = min(corners, key=lambda c: (round(math.dist(c, (u, v)), 3), c), default=None)
    return best if best is not None and math.dist(best, (u, v)) <= NEAR else None


def inside_corners(panel: Panel, reliefs: Sequence[Relief]) -> list[Point]:
    """The inside corners of a relieved panel: those that have a relief, and those that have none."""
    found = {(round(r.corner[0], 3), round(r.corner[1], 3)): r.corner for r in reliefs}
    for loop in panel.loops():
        for c in concave_corners(loop):
            if not any(math.dist(c.at, r.centre) < r.radius + 0.01 for r in reliefs):
                found.setdefault((round(c.at[0], 3), round(c.at[1], 3)), c.at)
    return [found[k] for k in sorted(found)]


def _beyond(spot: JointSpot, near: Sequence[float] | Point3) -> float:
    return beyond(np.array(spot.low), np.array(spot.high), np.array(near, dtype=np.float64))
