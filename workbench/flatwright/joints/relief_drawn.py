# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Reliefs that the user drew stand aside while a piece is fitted, and go where their corners go.

With them an edge would be shorter than it is meant, and where two of them meet the end of a slot would be
no edge at all.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from flatwright.findings import Finding
from flatwright.geometry.drawn_reliefs import drawn_reliefs, with_reliefs, without
from flatwright.geometry.outline import Outline
from flatwright.joints.relief_messages import replaced
from flatwright.plan import Panel


def taken_back(panels: Sequence[Panel]) -> list[Panel]:
    """The panels with sharp corners where reliefs were drawn."""
    out = []
    for p in panels:
        loops = [without(o, drawn_reliefs(o)) for o in p.loops()]
        changed = any(a is not b for a, b in zip(loops, p.loops(), strict=True))
        out.append(p.with_loops(loops) if changed else p)
    return out


def put_back(fitted: Sequence[Panel], drawn: Sequence[Panel]) -> tuple[list[Panel], list[Finding]]:
    """The fitted panels with the reliefs of the drawn ones at their corners; a warning for each panel where
    some found no place."""
    out, findings = [], []
    for panel, before in zip(fitted, drawn, strict=True):
        loops, lost = [], []
        for loop, old in zip(panel.loops(), before.loops(), strict=True):
            reliefs = drawn_reliefs(old)
            sharp = without(old, reliefs)
            if reliefs and not _same(loop, sharp):
                loop, gone = with_reliefs(loop, sharp, reliefs)
                lost += [(r.at, r.radius) for r in gone]
            elif reliefs:
                loop = old
            loops.append(loop)
        changed = any(a is not b for a, b in zip(loops, panel.loops(), strict=True))
        out.append(panel.with_loops(loops) if changed else panel)
        findings += [replaced(panel, lost)] if lost else []
    return out, findings


def _same(a: Outline, b: Outline) -> bool:
    return len(a) == len(b) and bool(
        np.allclose(a.points, b.points, rtol=0.0, atol=1e-6) and np.allclose(a.bulges, b.bulges, atol=1e-6)
    )
