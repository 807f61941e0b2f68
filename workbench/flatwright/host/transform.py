# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Moving shapes by matrices: turned, shifted, mirrored or scaled, with planes kept as planes."""

from __future__ import annotations

import math
from typing import Any

import FreeCAD as App
import Part

_SAME = 1e-9


def scaling(vector: Any) -> Any:
    """The matrix that scales by the vector's components."""
    m = App.Matrix()
    m.scale(vector)
    return m


def moved(shape: Any, matrix: Any) -> Any:
    """The shape under a matrix of turn, shift, mirror and any scale.

    A mirror is done by the kernel's own mirror, since its general transform (the only one
    there is on FreeCAD 0.20) turns every plane into a spline surface.
    """
    factor = _uniform_scale(matrix)
    if factor is None:
        return shape.transformGeometry(matrix)
    out = shape
    if matrix.determinant() < 0:
        out = out.mirror(App.Vector(0, 0, 0), App.Vector(1, 0, 0))
        matrix = matrix * scaling(App.Vector(-1, 1, 1))
    if abs(factor - 1.0) > _SAME:
        out = out.copy()
        out.scale(factor)
        matrix = matrix * scaling(App.Vector(1 / factor, 1 / factor, 1 / factor))
    out = Part.Shape(out)  # the same geometry, elsewhere; an object's own shape can't be changed
    out.Placement = App.Placement(matrix).multiply(out.Placement)
    return out


def _uniform_scale(matrix: Any) -> float | None:
    """The factor, if the matrix keeps all angles; else None."""
    a = matrix.A
    columns = [App.Vector(a[k], a[4 + k], a[8 + k]) for k in range(3)]
    lengths = [c.Length for c in columns]
    if max(lengths) - min(lengths) > _SAME * max(lengths):
        return None
    size = math.prod(lengths) ** (2 / 3)
    square = all(abs(columns[i].dot(columns[j])) < _SAME * size for i, j in ((0, 1), (0, 2), (1, 2)))
    return lengths[0] if square else None
