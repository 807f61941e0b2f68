# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What a round bit reaches: all but the usual corner fillets."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from flatwright.bits.reach import largest_bit, leaves_drop, leaves_room, reaches, unreached
from flatwright.geometry.outline import Outline, circle, polygon_outline, rectangle
from support.shopwork import slot

NOTCHED = [(0, 0), (50, 0), (50, 20), (55, 20), (55, 0), (100, 0), (100, 60), (0, 60)]


@given(st.integers(30, 300), st.integers(20, 60))
def test_the_largest_bit_of_a_slot_is_its_width(length: int, width: int) -> None:
    assert largest_bit(rectangle(0, 0, width + length, width / 2).cw()) == pytest.approx(width / 2, abs=0.1)


def test_a_slot_narrower_than_the_bit_says_where_and_what_would_do() -> None:
    narrow = rectangle(0, 0, 60, 5).cw()
    (place,) = unreached(narrow, 6.0)
    assert (place.x, place.y) == pytest.approx((30, 2.5))
    assert largest_bit(narrow) == 5.0


def test_a_slot_of_exactly_the_bit_is_reached() -> None:
    assert reaches(rectangle(0, 0, 60, 6).cw(), 6.0)
    assert not reaches(rectangle(0, 0, 60, 5.9).cw(), 6.0)


def test_a_notch_in_the_outline_counts_too() -> None:
    assert largest_bit(polygon_outline(NOTCHED)) == 5.0


@pytest.mark.parametrize("tip", [(60, 40), (30, 40), (5, 40)])
def test_a_sharp_corner_keeps_only_its_fillet(tip: tuple[int, int]) -> None:
    assert reaches(polygon_outline([(0, 0), (60, 0), tip]).cw(), 4.0)


def test_rounded_and_chamfered_corners_keep_less_and_pass() -> None:
    q = math.tan(math.pi / 8)
    corner = [(0, 0), (58, 0), (60, 2), (60, 40), (0, 40)]
    assert reaches(Outline(corner, [0, q, 0, 0, 0]).cw(), 6.0)  # type: ignore[arg-type]
    assert reaches(polygon_outline(corner).cw(), 6.0)


def test_a_neck_and_a_wedge_are_not_corners() -> None:
    neck = [
        (0, 0),
        (20, 0),
        (20, 8),
        (30, 8),
        (30, 0),
        (50, 0),
        (50, 20),
        (30, 20),
        (30, 12),
        (20, 12),
        (20, 20),
    ]
    assert largest_bit(polygon_outline([*neck, (0, 20)]).cw()) == 4.0
    assert not reaches(polygon_outline([(0, 0), (4, 0), (8, 30), (-4, 30)]).cw(), 6.0)


def test_reliefs_of_the_bits_radius_are_reached_and_smaller_ones_not() -> None:
    assert reaches(slot(0, 0, 60, 18), 6.0)
    assert not reaches(slot(0, 0, 60, 18), 6.35)


def test_a_round_hole_takes_its_own_diameter() -> None:
    assert largest_bit(circle((7, 8), 2.55).cw()) == 5.1


def test_a_drop_is_kept_from_three_bit_diameters_on() -> None:
    """The kerf takes a diameter on both sides: 6 + 18 + 6."""
    assert leaves_drop(rectangle(0, 0, 100, 30.1).cw(), 6.0)
    assert not leaves_drop(rectangle(0, 0, 100, 29.9).cw(), 6.0)


def test_room_to_ramp() -> None:
    assert leaves_room(rectangle(0, 0, 9, 7).cw(), 6.0)
    assert not leaves_room(rectangle(0, 0, 8, 8).cw(), 6.0)


def test_a_bit_reaches_a_round_pocket_little_wider_than_itself() -> None:
    """shapely 2.0 (GEOS 3.11) took ground away inside a small ring that it buffered."""
    assert reaches(circle((0, 0), 4.0).cw(), 6.0)


@pytest.mark.parametrize("step", [0.05, 0.3, 1.0, 2.9, 3.0, 10.0])
@pytest.mark.parametrize("run", [0.2, 5.0, 40.0])
def test_a_step_in_an_edge_keeps_the_fillet_of_its_corner_however_low_it_is(step: float, run: float) -> None:
    """One corner looks in, one looks out: no bit cuts the inner one square, and none is asked to."""
    stepped = [(0, 0), (100, 0), (100, 60), (run, 60), (run, 60 - step), (0, 60 - step)]
    assert reaches(polygon_outline(stepped), 6.0)
    raised = [
        (0, 0),
        (100, 0),
        (100, 60),
        (60 + run, 60),
        (60 + run, 60 + step),
        (60, 60 + step),
        (60, 60),
        (0, 60),
    ]
    assert reaches(polygon_outline(raised), 6.0)
