# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The exact check finds every way in which a layout can be wrong, and nothing in a right one."""

from __future__ import annotations

from dataclasses import replace

import pytest

from flatwright.geometry.outline import circle, rectangle
from flatwright.sheets.job import Layout, LayoutJob, Part, Spot, Stock
from flatwright.sheets.verify import verify
from support.layouts import HALVES, box, ell, job

# A box and, 8 mm to its right, an L that is turned over: its arm is at the right.
JOB = job(box("box", 100, 200, HALVES), Part("ell", ell(), HALVES, flipped=True))
GOOD = Layout(JOB.stock, (Spot("box", 0, 10, 10, 0), Spot("ell", 0, 418, 10, 0)))


def moved(part: str, **changes: float) -> Layout:
    """The good layout with one spot changed."""
    return replace(GOOD, spots=tuple(replace(s, **changes) if s.part == part else s for s in GOOD.spots))


def test_a_right_layout_passes() -> None:
    assert verify(JOB, GOOD) == []


@pytest.mark.parametrize(
    ("layout", "says"),
    [
        (moved("box", x=9.99), "box leaves the usable area by 0.0100 mm"),
        (moved("ell", y=401), "ell leaves the usable area by 11.0000 mm"),
        (moved("ell", x=417.99), "box and ell are only 7.9900 mm apart"),
        (moved("ell", x=300), "box and ell are overlapping"),
        (moved("ell", angle=90), "ell is turned by 90°"),
        (moved("ell", sheet=1), "ell lies on a sheet that does not exist"),
        (replace(GOOD, spots=GOOD.spots[:1]), "ell is there 0 times"),
        (replace(GOOD, left=("ell",)), "ell is there 2 times"),
        (replace(GOOD, spots=(*GOOD.spots, Spot("cat", 0, 800, 300, 0))), "cat is no part of the job"),
        (replace(GOOD, sheets=(Stock(1000, 601),)), "1000 x 601 mm is not in stock"),
    ],
)
def test_a_wrong_layout_is_named(layout: Layout, says: str) -> None:
    assert says in "; ".join(verify(JOB, layout))


def test_the_side_that_is_up_counts() -> None:
    as_drawn = replace(JOB, parts=(JOB.parts[0], replace(JOB.parts[1], flipped=False)))
    # as drawn the L reaches to the right of its corner, turned over to the left
    assert verify(as_drawn, moved("ell", x=118)) == []
    assert verify(JOB, moved("ell", x=118)) != []


def test_only_as_many_sheets_as_there_are() -> None:
    few = replace(JOB, stock=(replace(JOB.stock[0], count=1),))
    two = Layout((few.stock[0],) * 2, (GOOD.spots[0], replace(GOOD.spots[1], sheet=1)))
    assert "1 in stock" in verify(few, two)[0]


@pytest.mark.parametrize(("x", "fault"), [(108.0, False), (107.99, True)])
def test_curves_count_in_full(x: float, fault: bool) -> None:
    discs = job(*(Part(n, circle((0, 0), 50), (0.0,)) for n in ("left", "right")))
    spots = (Spot("left", 0, 60, 60, 0), Spot("right", 0, 60 + x, 60, 0))
    assert bool(verify(discs, Layout(discs.stock, spots))) is fault


def test_a_part_in_anothers_opening_is_refused() -> None:
    # its drop comes loose when the opening is cut
    tray = LayoutJob((Part("tray", rectangle(0, 0, 400, 400), (0.0,)), box("cup", 50, 50)), JOB.stock, 10, 8)
    spots = (Spot("tray", 0, 10, 10, 0), Spot("cup", 0, 180, 180, 0))
    assert verify(tray, Layout(tray.stock, spots)) == ["tray and cup are overlapping"]
