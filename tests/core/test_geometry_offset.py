# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Moving edges: the algebra that every fit rests on."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from flatwright.geometry.biarc import arcs_through
from flatwright.geometry.offset import move_edges, split_edges
from flatwright.geometry.outline import Outline, circle, polygon_outline, rectangle, simplified

small = st.floats(-2.0, 2.0, allow_nan=False)


@given(small, small, small, small)
def test_each_edge_moves_by_its_own_distance(a: float, b: float, c: float, d: float) -> None:
    moved = move_edges(rectangle(0, 0, 100, 60), [a, b, c, d]).outline
    assert moved.bounds() == pytest.approx((-d, -a, 100 + b, 60 + c), abs=1e-9)


@given(small)
def test_there_and_back_is_nothing(d: float) -> None:
    shape = polygon_outline([(0, 0), (80, 0), (90, 50), (30, 70), (-5, 40)])
    out = move_edges(move_edges(shape, [d] * 5).outline, [-d] * 5).outline
    assert np.allclose(out.points, shape.points, atol=1e-9)


def test_a_hole_widens_when_wood_goes() -> None:
    hole = rectangle(10, 10, 30, 20).reversed()
    assert move_edges(hole, [-0.25] * 4).outline.bounds() == pytest.approx((9.75, 9.75, 30.25, 20.25))


def test_neighbours_in_line_that_differ_get_a_step() -> None:
    split, origins = split_edges(rectangle(0, 0, 10, 5), {0: [0.5]})
    moved = move_edges(split, [1.0, 0.0, 0.0, 0.0, 0.0])
    assert origins == [0, 0, 1, 2, 3]
    assert -1 in moved.origins, "the step comes from no old edge"
    assert moved.outline.points[:3].tolist() == [[0, -1], [5, -1], [5, 0]]


def test_arcs_keep_their_centre() -> None:
    moved = move_edges(circle((0, 0), 10), [1.0, 1.0]).outline
    assert {round(s.radius, 9) for s in moved.segments()} == {11.0}


def test_a_line_into_an_arc_meets_it_again() -> None:
    """A rounded end: both moved by the same distance stay tangent."""
    d = Outline(np.array([[0.0, 0.0], [40.0, 0.0], [40.0, 20.0], [0.0, 20.0]]), np.array([0, 1.0, 0, 0]))
    moved = move_edges(d, [0.5] * 4).outline
    assert moved.bounds() == pytest.approx((-0.5, -0.5, 50.5, 20.5))


def test_an_edge_that_turns_over_is_reported() -> None:
    assert move_edges(rectangle(0, 0, 10, 5), [-3, 0, -3, 0]).collapsed == (1, 3)


def test_any_smooth_curve_becomes_arcs_within_a_hundredth() -> None:
    t = np.linspace(0, math.pi, 129)
    points = np.c_[50 * np.cos(t), 20 * np.sin(t)]
    tangents = np.c_[-50 * np.sin(t), 20 * np.cos(t)]
    tangents /= np.linalg.norm(tangents, axis=1)[:, None]
    arcs = arcs_through(points, tangents, 0.01)
    assert len(arcs) < 60
    assert max(min(a.distance(p) for a in arcs) for p in map(tuple, points)) <= 0.01


def test_simplified_joins_what_runs_on() -> None:
    loop = polygon_outline([(0, 0), (5, 0), (10, 0), (10, 5), (0, 5)])
    assert len(simplified(loop)) == 4


def rounded_corner(turn: float = 1.0) -> Outline:
    """A square with one corner rounded by 12 mm."""
    q = turn * math.tan(math.pi / 8)
    return Outline(
        np.array([[12.0, 0.0], [100.0, 0.0], [100.0, 100.0], [0.0, 100.0], [0.0, 12.0]]),
        np.array([0, 0, 0, 0, q]),
    )


@pytest.mark.parametrize("d", [0.2875, -0.2875, 1.0])
def test_a_rounded_corner_goes_with_its_edges_and_stays_tangent(d: float) -> None:
    moved = move_edges(rounded_corner(), [0, 0, 0, d, 0]).outline
    (arc,) = [s for s in moved.segments() if not s.is_line]
    assert arc.radius == pytest.approx(12.0)
    assert arc.p == pytest.approx((-d, 12.0))
    assert arc.q == pytest.approx((12.0 - d, 0.0))
    assert len(moved) == 5, "no step"


def test_a_round_end_between_parallel_edges_takes_their_distance() -> None:
    slot = Outline(np.array([[0.0, 0.0], [40.0, 0.0], [40.0, 20.0], [0.0, 20.0]]), np.array([0, 1.0, 0, 0]))
    moved = move_edges(slot, [0.5, 0, -0.1, 0]).outline
    (arc,) = [s for s in moved.segments() if not s.is_line]
    assert arc.radius == pytest.approx(10.2)
    assert arc.centre == pytest.approx((40.0, 9.7))


def test_a_line_moved_away_from_a_free_curve_meets_it_earlier() -> None:
    """Tangent to an arc that runs on into another arc: no step where the line moves into the arc."""
    a = math.tan(math.pi / 16)
    half = 30 * math.sin(math.pi / 4)
    points = [[0.0, 0.0], [50.0, 0.0], [50.0 + half, 30.0 - half], [80.0, 30.0], [0.0, 30.0]]
    outline = Outline(np.array(points), np.array([0, a, a, 0, 0]))
    moved = move_edges(outline, [-0.3, 0, 0, 0, 0])
    assert -1 not in moved.origins
