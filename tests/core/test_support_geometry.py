# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The comparison that other tests lean on: it forgives an order, not a distance."""

from __future__ import annotations

from typing import Any

import pytest
from shapely.geometry import Polygon, box

from flatwright.geometry.outline import Outline, circle, rectangle
from support.geometry import assert_close

SQUARE = rectangle(0, 0, 10, 10)


@pytest.mark.parametrize(
    ("actual", "expected"),
    [
        (1.0 + 1e-7, 1.0),
        ([(0, 1), (2, 3)], [[0.0, 1.0], [2.0, 3.0]]),
        (SQUARE.started_at(2), SQUARE),
        (SQUARE.moved((1e-7, 0)), SQUARE),
        (Polygon([(10, 10), (10, 0), (0, 0), (0, 10)]), box(0, 0, 10, 10)),
    ],
)
def test_the_same_within_the_tolerance(actual: Any, expected: Any) -> None:
    assert_close(actual, expected)


@pytest.mark.parametrize(
    ("actual", "expected"),
    [
        (1.0001, 1.0),
        ([1.0, 2.0], [1.0]),
        (SQUARE.moved((0.001, 0)), SQUARE),
        (SQUARE.reversed(), SQUARE),
        (Outline(circle((0, 0), 3).points, [1.0, 0.9]), circle((0, 0), 3)),
        (box(0, 0, 10, 10.001), box(0, 0, 10, 10)),
        (box(0, 0, 10, 10).difference(box(4, 4, 5, 5)), box(0, 0, 10, 10)),
    ],
)
def test_not_the_same(actual: Any, expected: Any) -> None:
    with pytest.raises(AssertionError):
        assert_close(actual, expected)
