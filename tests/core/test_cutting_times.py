# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Estimated times against closed forms, and their directions."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from flatwright.cutting.moves import Move
from flatwright.cutting.times import seconds

START = Move("rapid", 0, 0, 5)


def test_one_long_move_is_a_trapezium() -> None:
    """Kinematics: s/v + v/a for a move from rest to rest that reaches its speed."""
    assert seconds([START, Move("line", 100, 0, 5, 3600)], 6000, 600) == pytest.approx(100 / 60 + 60 / 600)


def test_a_short_move_never_reaches_its_speed() -> None:
    """Kinematics: 2 √(s/a)."""
    assert seconds([START, Move("line", 1, 0, 5, 3600)], 6000, 400) == pytest.approx(2 * math.sqrt(1 / 400))


def test_a_line_in_pieces_takes_no_longer() -> None:
    whole = [START, Move("line", 100, 0, 5, 3600)]
    pieces = [START, *(Move("line", k, 0, 5, 3600) for k in range(1, 101))]
    assert seconds(pieces, 6000, 600) == pytest.approx(seconds(whole, 6000, 600))


def test_a_smooth_arc_is_no_corner() -> None:
    """A line that runs into an arc tangentially: as one long move of the same length."""
    half = Move("ccw", 50, 20, 5, 3600, 0, 10)
    told = seconds([START, Move("line", 50, 0, 5, 3600), half], 6000, 600)
    assert told == pytest.approx((50 + 10 * math.pi) / 60 + 60 / 600)


def test_at_a_right_angle_the_machine_stops() -> None:
    corner = [START, Move("line", 100, 0, 5, 3600), Move("line", 100, 100, 5, 3600)]
    assert seconds(corner, 6000, 600) == pytest.approx(2 * (100 / 60 + 60 / 600))


def test_a_slanting_rapid_is_two_moves() -> None:
    up = seconds([START, Move("rapid", 0, 0, 25)], 6000, 600)
    along = seconds([START, Move("rapid", 100, 0, 5)], 6000, 600)
    assert seconds([START, Move("rapid", 100, 0, 25)], 6000, 600) == pytest.approx(up + along)


places = st.tuples(st.integers(0, 300), st.integers(0, 300), st.integers(0, 20))


@given(st.lists(places, min_size=1, max_size=12))
def test_never_faster_than_the_feed_and_faster_with_more_acceleration(at: list[tuple[int, int, int]]) -> None:
    moves = [START, *(Move("line", x, y, z, 1800) for x, y, z in at)]
    length = sum(math.dist((a.x, a.y, a.z), (b.x, b.y, b.z)) for a, b in zip(moves, moves[1:], strict=False))
    slow, quick = seconds(moves, 6000, 200), seconds(moves, 6000, 2000)
    assert slow >= quick - 1e-9
    assert quick >= length / 30 - 1e-9
    assert seconds(moves, 6000, 1e12) == pytest.approx(length / 30, abs=1e-3)


def test_nothing_takes_no_time() -> None:
    assert seconds([], 6000, 500) == seconds([START], 6000, 500) == 0.0
