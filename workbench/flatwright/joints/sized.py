# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The whole piece before and after the fit: boards that went as a whole, sizes that changed."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from flatwright.findings import Finding, declare, finding
from flatwright.geometry.frame import Vector
from flatwright.geometry.polygon import ring
from flatwright.plan import Panel

declare(
    "note",
    fit__size="the whole piece is not as large as drawn",
    joint__stack_moved="a board glued to another went along with its face",
)

TELL = 0.005  # mm: changes smaller than this are not told
AXES = (("x", "width"), ("y", "depth"), ("z", "height"))


def moved_boards(panels: Sequence[Panel], shift: Vector) -> list[Finding]:
    """A note for each board that left its place with the board that it is glued to."""
    out = []
    for p, s in zip(panels, shift, strict=True):
        way = float(np.linalg.norm(s))
        if way > TELL:
            out.append(
                finding(
                    "joint.stack-moved",
                    p.name,
                    f"It went {way:.2f} mm with the face that it is glued to, since the boards of the stack "
                    "differ from the drawing; what stands on it or in it follows.",
                    "Nothing to do; if the other face is to stay, choose it with Keep Face in Place.",
                    panels=[p.name],
                )
            )
    return out


def changed_sizes(drawn: Sequence[Panel], fitted: Sequence[Panel]) -> list[Finding]:
    """One note that names the overall sizes that changed, along the document's axes."""
    if not drawn:
        return []
    before, after = _box(drawn), _box(fitted)
    changes = [
        f"{name} ({axis}) {new:.2f} mm, drawn {old:.2f} mm"
        for (axis, name), old, new in zip(AXES, before, after, strict=True)
        if abs(round(new - old, 4)) > TELL
    ]
    if not changes:
        return []
    return [
        finding(
            "fit.size",
            "the whole piece",
            f"the boards change the overall size: {'; '.join(changes)}",
            "Nothing to do, unless it must fill an opening: then draw it by that much larger or smaller.",
        )
    ]


def _box(panels: Sequence[Panel]) -> Vector:
    points = np.vstack([_corners(p) for p in panels])
    size: Vector = points.max(axis=0) - points.min(axis=0)
    return size


def _corners(panel: Panel) -> Vector:
    flat = ring(panel.outline, 0.001)
    return np.vstack([panel.frame.to_space(flat, z) for z in (0.0, panel.thickness)])
