# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Mates that are neither square nor parallel to each other: what bears on a line only, and what was not
fitted, is said."""

from __future__ import annotations

import math
from collections.abc import Sequence

from flatwright.findings import Finding, declare, finding
from flatwright.joints.contacts import near_pairs
from flatwright.joints.faces import silhouette
from flatwright.joints.model import FoundJoint
from flatwright.joints.oblique import leaning
from flatwright.joints.sections import section, slabs
from flatwright.plan import Panel

declare(
    "warning",
    joint__tilted="two panels meet at an angle: their joint is not fitted",
    joint__line_bearing="a square shoulder or end bears on a leaning board along a line only",
)

NEAR = 1.0  # mm


def tilted(panels: Sequence[Panel], found: Sequence[FoundJoint]) -> list[Finding]:
    """A warning for each pair of panels that touch and are neither square nor parallel, unless their
    joint is fitted; then for its square shoulders and ends."""
    joined = {frozenset((j.receiver, j.mate)) for j in found if j.lean}
    out: list[Finding] = []
    for i, j in near_pairs(panels):
        a, b = panels[i], panels[j]
        if not leaning(a, b) or {i, j} in joined:
            continue
        c = abs(float(a.frame.n @ b.frame.n))
        meets = section(a.frame, -NEAR, a.thickness + NEAR, slabs(b))
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
    return out + [_on_a_line(j, panels) for j in found if j.lean and _bears_on_a_line(j)]


def _bears_on_a_line(joint: FoundJoint) -> bool:
    return any(c.lean < 1.0 for c in (*joint.shoulders, *joint.floors))


def _on_a_line(joint: FoundJoint, panels: Sequence[Panel]) -> Finding:
    a, b = panels[joint.receiver], panels[joint.mate]
    return finding(
        "joint.line-bearing",
        f"{b.name} on {a.name}",
        f"{b.name} leans {joint.lean:.1f}° in {a.name}: its square shoulders or end bear there along a line.",
        "Plane the shoulder to the angle, or let glue fill the wedge.",
        panels=[a.name, b.name],
    )
