# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The one way in which tests compare geometry: within a stated tolerance in mm.

Outlines are compared as loops, wherever they start; polygons as regions, however their rings are
ordered; numbers, points and arrays entry by entry.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from flatwright.geometry.outline import Outline

TOLERANCE = 1e-6  # mm


def assert_close(actual: Any, expected: Any, tolerance: float = TOLERANCE) -> None:
    """Fail, saying by how much, unless both are the same within `tolerance`.

    Takes two Outlines, two shapely geometries, or numbers and (nested) sequences of numbers.
    """
    if isinstance(expected, Outline):
        assert isinstance(actual, Outline), f"{actual!r} is no outline"
        _assert_outlines(actual, expected, tolerance)
    elif isinstance(expected, BaseGeometry):
        _assert_regions(actual, expected, tolerance)
    else:
        _assert_numbers(actual, expected, tolerance)


def _assert_numbers(actual: Any, expected: Any, tolerance: float) -> None:
    a, e = np.asarray(actual, dtype=np.float64), np.asarray(expected, dtype=np.float64)
    assert a.shape == e.shape, f"shape {a.shape}, expected {e.shape}"
    off = np.max(np.abs(a - e), initial=0.0)
    assert off <= tolerance, f"{actual} is off by {off:.3g}, more than {tolerance:g}: expected {expected}"


def _assert_outlines(actual: Outline, expected: Outline, tolerance: float) -> None:
    assert len(actual) == len(expected), f"{len(actual)} segments, expected {len(expected)}"
    a, e = _rows(actual), _rows(expected)
    off = min(float(np.max(np.abs(np.roll(a, -k, axis=0) - e))) for k in range(len(a)))
    assert off <= tolerance, f"outlines are {off:.3g} apart, more than {tolerance:g}:\n{a}\nexpected\n{e}"


def _rows(outline: Outline) -> Any:
    """(n, 4): start point, and the middle of the segment, which a wrong bulge would move."""
    middles = [s.at(0.5) for s in outline.segments()]
    return np.hstack([outline.points, np.array(middles)])


def _assert_regions(actual: BaseGeometry, expected: BaseGeometry, tolerance: float) -> None:
    """Each boundary lies within the tolerance of the other, and the regions overlap."""
    off = max(
        shapely.hausdorff_distance(actual.boundary, expected.boundary),
        shapely.hausdorff_distance(actual, expected),
    )
    assert off <= tolerance, f"regions are {off:.3g} apart, more than {tolerance:g}"
    different = actual.symmetric_difference(expected).area
    room = max(tolerance * (actual.length + expected.length), tolerance**2)
    assert different <= room, f"regions differ by {different:.3g} square mm"
