# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Mates that are neither square nor parallel to each other: they are not fitted, and that is said."""

from __future__ import annotations

import math
from collections.abc import Sequence

from flatwright.findings import Finding, declare, finding
from flatwright.joints.contacts import near_pairs
from flatwright.joints.faces import silhouette
from flatwright.joints.sections import section, slabs
from flatwright.plan import Panel

declare("warning", joint__tilted="two panels meet at an angle: their joint is not fitted")

SQUARE = math.sin(math.radians(0.5))  # a mate within half a degree counts as square or parallel
NEAR = 1.0  # mm


def tilted(panels: Sequence[Panel]) -> list[Finding]:
    """A warning for each pair of panels that touch and are neither square nor parallel."""
    layers = [slabs(p) for p in panels]
    out: list[Finding] = []
    for i, j in near_pairs(panels):
        a, b = panels[i], panels[j]
        c = abs(float(a.frame.n @ b.frame.n))
        if c < SQUARE or c > math.cos(math.asin(SQUARE)):
            continue
        meets = section(a.frame, -NEAR, a.thickness + NEAR, layers[j])
        if meets.is_empty or not meets.buffer(NEAR).intersects(silhouette(a)):
            continue
        angle = math.degrees(math.acos(min(1.0, c)))
        out.append(
            finding(
                "joint.tilted",
                f"{b.name} on {a.name}",
                f"{a.name} and {b.name} meet at {min(angle, 180 - angle):.1f}°; a joint at an angle is not "
                "fitted to the boards.",
                "Check its slot by hand, with the boards as measured.",
                panels=[a.name, b.name],
            )
        )
    return out
