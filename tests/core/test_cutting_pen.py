# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Single moves: rounding, splitting, arcs too big and too small."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from flatwright.cutting.pen import Pen
from flatwright.geometry.arcs import Segment
from flatwright.geometry.outline import circle

coordinate = st.floats(-2000, 2000)


def pen(at: tuple[float, float] = (0.0, 0.0), z: float = 0.0) -> Pen:
    return Pen(at, z, feed=3600.0, plunge=900.0)


@given(coordinate, coordinate, coordinate, coordinate, st.floats(-1.0, 1.0))
def test_any_arc_keeps_both_radii_within_the_limit(x: float, y: float, u: float, v: float, b: float) -> None:
    """GCD-2: 0.002 mm (NIST RS274/NGC v3 §3.5.3), after rounding to 4 decimals."""
    p = pen((x, y))
    p.along(Segment((x, y), (u, v), b), 0.0)
    at = (p.chain().x, p.chain().y)
    for m in p.chain().moves:
        if m.kind != "line":
            c = (at[0] + m.i, at[1] + m.j)
            assert abs(math.dist(c, at) - math.dist(c, (m.x, m.y))) < 0.002
        at = (m.x, m.y)
    assert at == pytest.approx((u, v), abs=1e-4)


def test_more_than_a_half_turn_is_two_arcs() -> None:
    start = Segment((10.0, 0.0), (0.0, -10.0), math.tan(1.5 * math.pi / 4))
    p = pen((10.0, 0.0))
    p.along(start, 0.0)
    assert [m.kind for m in p.chain().moves] == ["ccw", "ccw"]


def test_a_giant_arc_becomes_lines_that_follow_it() -> None:
    giant = Segment((0.0, 0.0), (500.0, 0.0), 0.01)
    assert giant.radius > 5000
    p = pen()
    p.along(giant, 0.0)
    assert {m.kind for m in p.chain().moves} == {"line"}
    assert max(giant.distance((m.x, m.y)) for m in p.chain().moves) < 1e-3
    assert len(p.chain().moves) >= 8


def test_a_tiny_arc_becomes_a_line() -> None:
    p = pen()
    p.along(Segment((0.0, 0.0), (0.012, 0.0), 1.0), 0.0)
    assert [m.kind for m in p.chain().moves] == ["line"]


def test_a_helix_goes_down_evenly() -> None:
    p = pen((-4.0, 0.0), 6.0)
    for half, z in zip(circle((0, 0), 4).segments(), (4.5, 3.0), strict=True):
        p.along(half, z)
    assert [(m.kind, m.z) for m in p.chain().moves] == [("ccw", 4.5), ("ccw", 3.0)]


@pytest.mark.parametrize(
    ("run", "drop", "feed"), [(10, 0, 3600), (100, 1, 3600), (1, 1, 1272.8), (0, 5, 900)]
)
def test_descents_are_slowed_to_the_plunge_feed(run: float, drop: float, feed: float) -> None:
    p = pen(z=5.0)
    p.to((run, 0.0), 5.0 - drop)
    assert p.chain().moves[0].feed == feed


def test_a_move_to_where_the_bit_stands_is_left_out() -> None:
    p = pen()
    p.to((0.00003, 0.0), 0.0)
    assert p.chain().moves == ()
