# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The grain rule: along the span of a loaded panel, else along its longest side.

"Strong direction of a loaded part = direction of the face grain" is common practice, no source;
the strength figures behind it are in `boards.stiffness`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from flatwright.geometry.frame import Vector
from flatwright.joints.model import FoundJoint
from flatwright.plan import Panel

LEVEL = 0.87  # a panel whose normal is within 30° of upright carries load across its face
HANGS = ("cross-lap", "half-lap", "T-halving", "edge to edge", "face to face")  # joints that bear no shelf
UP = (0.0, 0.0, 1.0)


def with_grain(panels: Sequence[Panel], found: Sequence[FoundJoint]) -> list[Panel]:
    """Panels with their grain in degrees from u: 0 along u (the longer side), 90 across it."""
    out = []
    for panel, (along_u, along_v) in zip(panels, spans(panels, found), strict=True):
        out.append(replace(panel, grain=90.0 if along_v > along_u else 0.0))
    return out


def spans(panels: Sequence[Panel], found: Sequence[FoundJoint]) -> list[tuple[float, float]]:
    """How far each panel spans between its supports along u and along v, mm; 0 where it does not, as
    panels on edge do not, or those that are not held at both ends of that direction."""
    places: list[list[Vector]] = [[] for _ in panels]
    for j in found:
        contacts = j.contacts()
        if j.kind in HANGS or not contacts:
            continue
        middle: Vector = sum((c.centre for c in contacts), np.zeros(3)) / len(contacts)
        for i in (j.receiver, j.mate):
            places[i].append(middle)
    return [_spans(p, at) if len(at) > 1 else (0.0, 0.0) for p, at in zip(panels, places, strict=True)]


def _spans(panel: Panel, places: Sequence[Vector]) -> tuple[float, float]:
    if abs(float(panel.frame.n @ np.asarray(UP))) < LEVEL:
        return 0.0, 0.0
    at = panel.frame.to_plane(np.array(places))[:, :2]
    x0, y0, x1, y1 = panel.outline.bounds()
    out = []
    for axis, (lo, hi) in enumerate(((x0, x1), (y0, y1))):
        ends = at[:, axis]
        # supported at both ends of this direction: within a quarter of it from each
        quarter = (hi - lo) / 4
        held = ends.min() < lo + quarter and ends.max() > hi - quarter
        out.append(round(float(ends.max() - ends.min()), 3) if held else 0.0)
    return out[0], out[1]
