# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The built-in engine: always right, always the same, and not wasteful."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from flatwright.geometry.outline import Outline, circle, polygon_outline, rectangle
from flatwright.sheets.bound import sheets_needed
from flatwright.sheets.built_in import lay_out
from flatwright.sheets.engines import score
from flatwright.sheets.job import Layout, LayoutCancelled, LayoutJob, Part, Stock
from flatwright.sheets.verify import verify
from support.layouts import HALVES, QUARTERS, box, boxes, ell, job

WAVY = Outline([(0, 0), (200, 0), (200, 80), (0, 80)], [0.4, -0.3, 0.5, -0.2])
OUTLINES = [
    rectangle(0, 0, 300, 120), rectangle(-5, 7, 395, 8), ell(), circle((0, 0), 70), WAVY,
    polygon_outline([(0, 0), (250, 40), (30, 190)]),
]  # fmt: skip

turns = st.sampled_from([(0.0,), HALVES, QUARTERS, (33.0, 213.0)])
parts = st.lists(st.tuples(st.sampled_from(OUTLINES), turns, st.booleans()), max_size=9)


def checked(j: LayoutJob) -> Layout:
    """The engine's layout, verified."""
    layout = lay_out(j)
    assert verify(j, layout) == []
    return layout


@settings(max_examples=15)
@given(parts, st.sampled_from([(1000.0, 600.0), (450.0, 900.0)]), st.sampled_from([0.0, 8.0, 12.7]))
def test_every_layout_holds_and_is_found_again(
    chosen: list[tuple[Outline, tuple[float, ...], bool]], sheet: tuple[float, float], spacing: float
) -> None:
    j = job(*(Part(f"p{k}", *c) for k, c in enumerate(chosen)), stock=sheet, spacing=spacing)
    layout = checked(j)
    assert layout.left == ()
    assert len(layout.sheets) >= sheets_needed(j)
    assert lay_out(j) == layout


@settings(max_examples=15)
@given(parts, st.sampled_from([(1000.0, 600.0), (450.0, 900.0)]), st.sampled_from([0.0, 12.7]))
def test_no_part_lies_near_a_keep_out(
    chosen: list[tuple[Outline, tuple[float, ...], bool]], sheet: tuple[float, float], spacing: float
) -> None:
    areas = ((0.0, 0.0, 60.0, 40.0), (380.0, 500.0, 460.0, 640.0))
    j = job(*(Part(f"p{k}", *c) for k, c in enumerate(chosen)), stock=sheet, spacing=spacing)
    layout = checked(replace(j, keep_outs=areas))
    assert lay_out(replace(j, keep_outs=areas)) == layout


@settings(max_examples=15)
@given(parts, st.sampled_from([(1000.0, 600.0), (450.0, 900.0)]))
def test_no_part_lies_near_a_keep_out_in_the_margin(
    chosen: list[tuple[Outline, tuple[float, ...], bool]], sheet: tuple[float, float]
) -> None:
    """Clamps that stand wholly in the edge margin, nearer to the parts than the spacing."""
    length, width = sheet
    areas = (
        (0.0, 90.0, 14.0, 140.0), (100.0, 0.0, 160.0, 14.0),
        (length - 14.0, 50.0, length, 190.0), (60.0, width - 14.0, 190.0, width),
    )  # fmt: skip
    j = job(*(Part(f"p{k}", *c) for k, c in enumerate(chosen)), stock=sheet, spacing=16.0)
    layout = checked(replace(j, edge=25.0, keep_outs=areas))
    assert lay_out(replace(j, edge=25.0, keep_outs=areas)) == layout


def test_a_part_that_a_clamp_leaves_no_place_is_left_over() -> None:
    j = replace(
        job(box("a", 900.0, 500.0), box("b", 900.0, 500.0)), keep_outs=((480.0, 280.0, 520.0, 320.0),)
    )
    assert lay_out(j).left == ("a", "b")
    assert lay_out(replace(j, keep_outs=())).left == ()


def test_the_check_sees_a_part_on_a_clamp() -> None:
    j = job(box("shelf", 300.0, 200.0))
    clamped = replace(j, keep_outs=((0.0, 0.0, 30.0, 30.0),))
    assert "too near to a keep-out" in verify(clamped, lay_out(j))[0]


def test_float_noise_in_the_outlines_changes_nothing() -> None:
    rng = random.Random(5)
    j = job(*(Part(f"p{k}", OUTLINES[k % len(OUTLINES)], QUARTERS) for k in range(12)))
    plain = checked(j)

    def noisy(o: Outline) -> Outline:
        return Outline(o.points + [[rng.uniform(-2e-9, 2e-9) for _ in "xy"] for _ in o.points], o.bulges)

    shaken = lay_out(replace(j, parts=tuple(replace(p, outer=noisy(p.outer)) for p in j.parts)))
    assert [(s.part, s.sheet, s.x, s.y, s.angle) for s in shaken.spots] == [
        (s.part, s.sheet, pytest.approx(s.x, abs=5e-4), pytest.approx(s.y, abs=5e-4), s.angle)
        for s in plain.spots
    ]


def test_no_part_and_one_part() -> None:
    assert lay_out(job()) == Layout()
    (spot,) = checked(job(box("a", 100, 50, HALVES))).spots
    assert (spot.x, spot.y) == (10.0, 10.0)


@pytest.mark.parametrize("outline", [rectangle(0, 0, 980, 580), circle((0, 0), 290), rectangle(0, 0, 1, 580)])
def test_a_part_may_fill_the_usable_area(outline: Outline) -> None:
    assert checked(job(Part("a", outline, (0.0,)))).left == ()


@pytest.mark.parametrize("outline", [rectangle(0, 0, 980.01, 100), circle((0, 0), 290.01)])
def test_a_part_larger_than_that_is_left_over(outline: Outline) -> None:
    assert checked(job(Part("a", outline), box("b", 50, 50))).left == ("a",)


def test_rows_that_fill_a_sheet_exactly_are_found() -> None:
    # 3 x 321.333 + 2 x 8 = 980 - 0.001, 4 x 139 + 3 x 8 = 580: no tenth is left either way
    assert len(checked(job(*boxes(12, 321.333, 139, (0.0,)))).sheets) == 1
    assert len(checked(job(*boxes(13, 321.333, 139, (0.0,)))).sheets) == 2


def test_real_shapes_lie_inside_each_others_extents() -> None:
    # two of these L cannot share a sheet of 310 x 310 as boxes of 260 x 260, but nested they can
    hooks = [Part(n, ell(260, 260, 50), HALVES) for n in "ab"]
    assert len(checked(job(*hooks, stock=(360.0, 360.0))).sheets) == 1


def test_parts_are_pushed_to_one_end_of_the_long_side() -> None:
    for stock, reach in [((2000.0, 500.0), 0), ((500.0, 2000.0), 1)]:
        layout = checked(job(*boxes(6, 230, 230), stock=stock))
        assert max((s.x, s.y)[reach] for s in layout.spots) < 500.0


def test_a_sheet_is_taken_from_the_size_that_costs_least() -> None:
    stock = (Stock(1000, 600, cost=30.0), Stock(520, 320, cost=6.0), Stock(700, 400, cost=12.0))
    assert checked(job(box("a", 450, 250), stock=stock)).sheets == (stock[1],)
    assert checked(job(box("a", 600, 300), stock=stock)).sheets == (stock[2],)
    both = checked(job(box("a", 450, 250), box("b", 900, 500), stock=stock))
    assert sorted(s.cost or 0.0 for s in both.sheets) == [6.0, 30.0]


def test_counted_sheets_run_out() -> None:
    stock = (Stock(520, 320, count=1), Stock(520, 620, count=1))
    layout = checked(job(*boxes(4, 480, 290, HALVES), stock=stock))
    assert sorted(s.width for s in layout.sheets) == [320, 620]
    assert layout.left == ("part 4",)
    assert lay_out(job(*boxes(2, 50, 50), stock=(Stock(500, 300, count=0),))).left == ("part 1", "part 2")


def test_more_time_is_never_worse() -> None:
    j = job(*(Part(f"p{k}", OUTLINES[k % len(OUTLINES)], HALVES) for k in range(24)))
    short, long = (checked(replace(j, time=t)) for t in (0.001, 3.0))
    assert score(j, long) <= score(j, short)


def test_cancel_stops_it() -> None:
    asked = iter([False] * 5 + [True] * 100)
    stop: Callable[[], bool] = lambda: next(asked)  # noqa: E731
    with pytest.raises(LayoutCancelled):
        lay_out(job(*boxes(9, 200, 100)), cancelled=stop)


def test_progress_goes_forward() -> None:
    told: list[float] = []
    mixed = [Part(f"p{k}", o, HALVES) for k, o in enumerate(OUTLINES * 3)]
    lay_out(job(*mixed), progress=lambda done, what: told.append(done))
    assert told == sorted(told) and told[0] < 0.5 < told[-1] <= 1.0
