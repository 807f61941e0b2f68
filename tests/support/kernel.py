# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Panels as solids of the host's kernel, made for tests alone: the outline extruded, holes and recesses
cut one by one. It shares nothing with host/shapes.py but the plan's values."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from flatwright.geometry.outline import Outline
from flatwright.plan import Panel


def solid(panel: Panel) -> Any:
    """The panel's solid at its place."""
    import FreeCAD

    made = _prism(panel.outline, 0.0, panel.thickness)
    tools = [_prism(h, -1.0, panel.thickness + 1.0) for h in panel.holes]
    for p in panel.pockets:
        spans = (panel.thickness - p.depth, panel.thickness + 1.0) if p.side == "+n" else (-1.0, p.depth)
        tools.append(_prism(p.outline, *spans))
    for tool in tools:
        made = made.cut(tool)
    made = made.removeSplitter() if tools else made
    assert len(made.Solids) == 1
    f = panel.frame
    rows = np.column_stack([f.u, f.v, f.n, f.origin])
    matrix = FreeCAD.Matrix(*(float(x) for row in rows for x in row), 0.0, 0.0, 0.0, 1.0)
    made = made.Solids[0]
    made.Placement = FreeCAD.Placement(matrix)
    return made


def common_volumes(panels: Sequence[Panel]) -> dict[tuple[str, str], float]:
    """mm³ that pairs of panels share, of those whose boxes meet."""
    solids = [solid(p) for p in panels]
    out = {}
    for i, a in enumerate(solids):
        for k in range(i):
            if a.BoundBox.intersect(solids[k].BoundBox):
                out[panels[k].name, panels[i].name] = a.common(solids[k]).Volume
    return out


def _prism(outline: Outline, low: float, high: float) -> Any:
    import FreeCAD
    import Part

    edges = []
    n = len(outline)
    for k in range(n):
        p, q, b = outline.points[k], outline.points[(k + 1) % n], float(outline.bulges[k])
        start, end = (FreeCAD.Vector(float(x), float(y), low) for x, y in (p, q))
        if not b:
            edges.append(Part.LineSegment(start, end).toShape())
            continue
        # the arc's middle: off the chord by b half chords, to the right of the way for b > 0
        way = q - p
        x, y = (p + q) / 2 + np.array([way[1], -way[0]]) * b / 2
        edges.append(Part.Arc(start, FreeCAD.Vector(float(x), float(y), low), end).toShape())
    return Part.Face(Part.Wire(edges)).extrude(FreeCAD.Vector(0, 0, high - low))
