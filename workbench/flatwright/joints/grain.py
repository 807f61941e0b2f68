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
CARRIES = ("mortise and tenon", "slot", "housing", "finger joint", "rabbet", "butt")


def with_grain(
    panels: Sequence[Panel], found: Sequence[FoundJoint], up: Sequence[float] = (0, 0, 1)
) -> list[Panel]:
    """Panels with their grain in degrees from u: 0 along u (the longer side), 90 across it."""
    upright = np.asarray(up, dtype=np.float64)
    return [replace(p, grain=_grain(i, p, found, upright)) for i, p in enumerate(panels)]


def _grain(i: int, panel: Panel, found: Sequence[FoundJoint], up: Vector) -> float:
    if abs(float(panel.frame.n @ up)) < LEVEL:
        return 0.0
    x0, y0, x1, y1 = panel.outline.bounds()
    places = []
    for j in found:
        if i in (j.receiver, j.mate) and j.kind in CARRIES and j.contacts():
            p = np.mean([c.centre for c in j.contacts()], axis=0)
            places.append(panel.frame.to_plane(p)[0, :2])
    if len(places) < 2:
        return 0.0
    at = np.array(places)
    spans = []
    for axis, (lo, hi) in enumerate(((x0, x1), (y0, y1))):
        ends = at[:, axis]
        # supported at both ends of this direction: within a quarter of it from each
        quarter = (hi - lo) / 4
        held = ends.min() < lo + quarter and ends.max() > hi - quarter
        spans.append(round(float(ends.max() - ends.min()), 3) if held else 0.0)
    return 90.0 if spans[1] > spans[0] else 0.0
