# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Faces of the kernel as plain values: what kind of surface, which way it looks, how large."""

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

_NEVER_UPRIGHT = (Part.Cone, Part.Sphere, Part.Toroid)


def read_face(face: Any) -> Face:
    """A face of a placed solid as a value; see `Face` for what `direction` means."""
    surface = _surface(face)
    if isinstance(surface, Part.Plane):
        # normalAt knows about reversed faces and mirrored planes; the plane's axis does not.
        return Face("plane", vector(face.normalAt(0.0, 0.0)), vector(surface.Position), face.Area)
    if isinstance(surface, Part.Cylinder):
        axis = canonical_sign(vector(surface.Axis))
        return Face("cylinder", axis, vector(surface.value(0.0, 0.0)), face.Area)
    return _free_face(face, upright=not isinstance(surface, _NEVER_UPRIGHT))


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
        return Face("other", np.zeros(3), point, face.Area)
    normals = np.array(
        [vector(face.normalAt(u0 + a * (u1 - u0), v0 + b * (v1 - v0))) for a in _GRID for b in _GRID]
    )
    spread, axes = np.linalg.svd(normals, full_matrices=False)[1:]
    spread = spread / np.sqrt(len(normals))
    if spread[1] < _FLAT and abs(normals.mean(axis=0) @ axes[0]) > 0.5:
        mean = normals.mean(axis=0)
        return Face("plane", mean / np.linalg.norm(mean), point, face.Area)
    if spread[2] < _FLAT:
        return Face("extrusion", canonical_sign(axes[2]), point, face.Area)
    return Face("other", np.zeros(3), point, face.Area)


def vector(v: Any) -> Vector:
    """A vector of the host as (3,) float."""
    return np.array((v.x, v.y, v.z), dtype=np.float64)
