# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Shapes and their cells contain the true part, and hardly more."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import Polygon, box
from shapely.ops import unary_union

from flatwright.geometry.outline import Outline, circle, rectangle
from flatwright.geometry.polygon import polygon
from flatwright.sheets.job import Part
from flatwright.sheets.raster import Mask, blocked, ladder, mask
from flatwright.sheets.shapes import outside_ring, shapes_of
from support.layouts import HALVES, QUARTERS, ell

WAVY = Outline([(0, 0), (90, 0), (90, 40), (0, 40)], [0.4, -0.3, 0.5, -0.2])


@pytest.mark.parametrize("outline", [circle((3, 4), 25), WAVY, ell()])
def test_the_outside_ring_contains_the_outline_and_keeps_its_extents(outline: Outline) -> None:
    ring = Polygon(outside_ring(outline, 0.05))
    true = polygon(outline, tolerance=1e-5)
    assert ring.buffer(1e-4).contains(true)
    assert true.buffer(0.051).contains(ring)
    assert ring.bounds == pytest.approx(outline.bounds(), abs=1e-9)


@pytest.mark.parametrize(
    ("outline", "turns", "ways"),
    [(rectangle(0, 0, 50, 30), HALVES, 1), (rectangle(0, 0, 50, 30), QUARTERS, 2), (ell(), QUARTERS, 4)],
)
def test_turns_that_look_the_same_are_one_shape(
    outline: Outline, turns: tuple[float, ...], ways: int
) -> None:
    assert len(shapes_of(Part("a", outline, turns))) == ways


def test_sizes_are_whole_micrometres_that_noise_does_not_raise() -> None:
    (shape,) = shapes_of(Part("a", rectangle(0.1 + 0.2, 0, 100.3, 17.7335), (0.0,)))
    assert shape.size == (100_000, 17_734)


def cells_of(m: Mask, cell: tuple[float, float]) -> Polygon:
    """The area that a mask covers."""
    return unary_union(
        [
            box(i * cell[0], j * cell[1], (i + count) * cell[0], (j + n) * cell[1])
            for i, count, runs in m.blocks
            for j, n in runs
        ]
    )


@given(
    st.sampled_from([circle((0, 0), 25), WAVY, ell()]),
    st.floats(0.0, 360.0),
    st.sampled_from([0.0, 4.0, 7.5]),
    st.tuples(st.floats(1.5, 6.0), st.floats(1.5, 6.0)),
)
def test_a_mask_covers_the_grown_shape_within_a_cell(
    outline: Outline, turn: float, half: float, cell: tuple[float, float]
) -> None:
    (shape,) = shapes_of(Part("a", outline, (turn,)))
    covered = cells_of(mask(shape.ring, half, cell), cell).buffer(0)
    moved = [(x + half, y + half) for x, y in shape.ring]
    grown = Polygon(moved).buffer(half, quad_segs=64)
    assert grown.difference(covered).area < 1e-3 * grown.length
    assert grown.buffer(math.hypot(*cell) + 1e-3).contains(covered)


def test_edges_along_cell_borders_touch_no_cell_beyond() -> None:
    noisy = [(0.0, 1e-10), (6.0 + 1e-10, 0.0), (6.0, 4.0 + 1e-10), (0.0, 4.0)]
    assert mask(tuple(noisy), 0.0, (2.0, 2.0)).blocks == ((0, 3, ((0, 2),)),)
    assert mask(tuple(noisy), 1.0, (2.0, 2.0)).blocks == ((0, 4, ((0, 3),)),)


@given(st.sets(st.tuples(st.integers(0, 9), st.integers(0, 7)), max_size=12))
def test_blocked_is_where_the_shape_meets_a_taken_cell(taken: set[tuple[int, int]]) -> None:
    stride = 12
    hook = Mask(3, ((0, 1, ((0, 3),)), (1, 2, ((0, 1), (2, 1)))))
    own = [(0, 0), (0, 1), (0, 2), (1, 0), (2, 0), (1, 2), (2, 2)]
    cells = sum(1 << (i * stride + j) for i, j in taken)
    found = blocked(ladder(cells, hook.rows), hook, stride)
    for i in range(10):
        for j in range(stride - 3):
            meets = any((i + a, j + b) in taken for a, b in own)
            assert bool(found >> (i * stride + j) & 1) == meets
