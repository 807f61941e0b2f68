# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Faces of the kernel as plain values: what kind of surface, which way it looks."""

from __future__ import annotations

from typing import Any

import numpy as np
import Part
from numpy.typing import NDArray

from flatwright.geometry.frame import canonical_sign
from flatwright.panels.solid import Face

Vector = NDArray[np.float64]

_GRID = (0.02, 0.18, 0.34, 0.5, 0.66, 0.82, 0.98)  # where normals of a free surface are sampled
_FLAT = 1e-5  # sine of the angle that sampled normals may stray

_SHARE = 1e-3  # of a unit normal: sides of the box that the face stands across say nothing
_NEVER_UPRIGHT = (Part.Cone, Part.Sphere, Part.Toroid)


def read_face(face: Any) -> Face:
    """A face of a placed solid as a value; see `Face` for what `direction` means."""
    surface = _surface(face)
    if isinstance(surface, Part.Plane):
        # The surface's normal knows about mirrored planes (their axis does not); the face may be turned.
        n = surface.normal(0.0, 0.0)
        sign = -1.0 if face.Orientation == "Reversed" else 1.0
        outward = np.array((sign * n.x, sign * n.y, sign * n.z))
        return Face("plane", outward, vector(surface.Position), _at_most(face, n.x, n.y, n.z))
    if isinstance(surface, Part.Cylinder):
        axis = canonical_sign(vector(surface.Axis))
        return Face("cylinder", axis, vector(surface.value(0.0, 0.0)))
    return _free_face(face, upright=not isinstance(surface, _NEVER_UPRIGHT))


def _at_most(face: Any, nx: float, ny: float, nz: float) -> float:
    """An upper bound of a flat face's area: its shadow on a side of its box is no larger than that side."""
    box = face.BoundBox
    x, y, z = box.XLength, box.YLength, box.ZLength
    bounds = ((y * z, abs(nx)), (z * x, abs(ny)), (x * y, abs(nz)))
    return min([side / share for side, share in bounds if share > _SHARE])


def _surface(face: Any) -> Any | None:
    try:
        return face.Surface
    except Exception:  # the host has no name for a few kinds of surface
        return None


def _free_face(face: Any, upright: bool) -> Face:
    """Any other surface: flat, square to one direction, or neither, by its sampled normals."""
    u0, u1, v0, v1 = face.ParameterRange
    point = vector(face.valueAt(u0 + 0.5 * (u1 - u0), v0 + 0.5 * (v1 - v0)))
    if not upright:
        return Face("other", np.zeros(3), point)
    normals = np.array(
        [vector(face.normalAt(u0 + a * (u1 - u0), v0 + b * (v1 - v0))) for a in _GRID for b in _GRID]
    )
    spread, axes = np.linalg.svd(normals, full_matrices=False)[1:]
    spread = spread / np.sqrt(len(normals))
    if spread[1] < _FLAT and abs(normals.mean(axis=0) @ axes[0]) > 0.5:
        mean = normals.mean(axis=0)
        normal = mean / np.linalg.norm(mean)
        return Face("plane", normal, point, _at_most(face, *normal.tolist()))
    if spread[2] < _FLAT:
        return Face("extrusion", canonical_sign(axes[2]), point)
    return Face("other", np.zeros(3), point)


def vector(v: Any) -> Vector:
    """A vector of the host as (3,) float."""
    return np.array((v.x, v.y, v.z), dtype=np.float64)
