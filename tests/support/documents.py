# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Small documents for tests of the host room, and what a solid must have to be well read."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from flatwright.panels.solid import Solid


def box(doc: Any, label: str, size: Sequence[float] = (100, 60, 18), at: Sequence[float] = (0, 0, 0)) -> Any:
    """A Part box whose lower corner is `at`."""
    import FreeCAD

    obj = doc.addObject("Part::Box", "Box")
    obj.Label = label
    obj.Length, obj.Width, obj.Height = size
    obj.Placement.Base = FreeCAD.Vector(*at)
    return obj


def feature(doc: Any, label: str, shape: Any) -> Any:
    """A Part feature with a shape of its own."""
    obj = doc.addObject("Part::Feature", "Feature")
    obj.Label = label
    obj.Shape = shape
    return obj


def body(doc: Any, label: str, size: Sequence[float] = (100, 60, 18)) -> Any:
    """A PartDesign body: a sketched rectangle, padded, with a hole."""
    import FreeCAD
    import Part

    made = doc.addObject("PartDesign::Body", "Body")
    made.Label = label
    length, width, height = size
    sketch = made.newObject("Sketcher::SketchObject", "Sketch")
    corners = [FreeCAD.Vector(x, y, 0) for x, y in ((0, 0), (length, 0), (length, width), (0, width))]
    sketch.addGeometry([Part.LineSegment(corners[k], corners[(k + 1) % 4]) for k in range(4)], False)
    pad = made.newObject("PartDesign::Pad", "Pad")
    pad.Profile, pad.Length = sketch, height
    hole = made.newObject("Sketcher::SketchObject", "Sketch")
    hole.addGeometry(
        Part.Circle(FreeCAD.Vector(length / 2, width / 2, 0), FreeCAD.Vector(0, 0, 1), 10), False
    )
    pocket = made.newObject("PartDesign::Pocket", "Pocket")
    pocket.Profile, pocket.Type, pocket.Reversed = hole, 1, 1
    doc.recompute()
    return made


def turned(axis: Sequence[float], degrees: float, at: Sequence[float] = (0, 0, 0)) -> Any:
    """A placement."""
    import FreeCAD

    return FreeCAD.Placement(FreeCAD.Vector(*at), FreeCAD.Rotation(FreeCAD.Vector(*axis), degrees))


def labels(solids: Sequence[Solid]) -> list[str]:
    return [s.label for s in solids]


def bounds(solid: Solid) -> tuple[list[float], list[float]]:
    """Lower and upper corner of a solid by the ends and middles of its curves, rounded to 1e-6 mm."""
    points = [
        p
        for i in range(len(solid.faces))
        for loop in solid.loops(i)
        for c in loop
        for p in (c.start, c.end, *([c.mid] if c.mid is not None else []))
    ]
    low, high = np.min(points, axis=0), np.max(points, axis=0)
    return [round(float(v), 6) + 0.0 for v in low], [round(float(v), 6) + 0.0 for v in high]


def volume(solid: Solid) -> float:
    """Volume by the divergence theorem of flat faces and straight edges; wrong if a normal points inwards."""
    assert all(f.kind == "plane" for f in solid.faces)
    total = 0.0
    for i, f in enumerate(solid.faces):
        curves = [c for loop in solid.loops(i) for c in loop]
        assert all(c.kind == "line" for c in curves)
        area = sum(float(np.cross(c.start, c.end) @ f.direction) for c in curves) / 2.0
        total += area * float(f.direction @ f.point)
    return total / 3.0
