# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Tabs on edges of joints, as the proof sees them: told, unless the plan says that they are dressed."""

from __future__ import annotations

from dataclasses import replace

import pytest

from flatwright.geometry.outline import rectangle
from flatwright.holding.edges import point_on_sheet
from flatwright.plan import placed
from support.pieces import board, housing
from support.planned_work import Work, shown, work_of


@pytest.fixture(scope="module")
def work() -> Work:
    return work_of(shown(housing()))


def told_at_the_ends(work: Work, dress: bool) -> int:
    """At how many of the shelf's two ends a tab is told; one is 0.5 mm off the floor of its housing, the
    other stands free."""
    (sheet,) = work.plan.sheets
    laid = next(p for p in sheet.placements if p.panel == "shelf")
    ends = [s for s in placed(work.plan.panel("shelf").outline, laid).segments() if abs(s.length - 160) < 1]
    assert len(ends) == 2
    count = 0
    for end in ends:
        (x, y), (ux, uy) = end.at(0.5), end.direction(0.5)
        tab = replace(sheet.tabs[0], panel="shelf", x=x, y=y, angle=90.0 * abs(round(uy)), dress=dress)
        assert abs(ux) + abs(uy) == pytest.approx(1.0)
        more = replace(work, plan=work.plan.with_sheet(replace(sheet, tabs=(*sheet.tabs, tab))))
        count += "proof.tab-on-joint" in more.codes()
    return count


def test_clean_work_has_nothing_to_tell(work: Work) -> None:
    assert work.codes() == set()


def test_a_tab_within_the_clearance_of_a_floor_is_told_unless_it_is_to_be_dressed(work: Work) -> None:
    assert told_at_the_ends(work, dress=False) == 1
    assert told_at_the_ends(work, dress=True) == 0


def test_a_mate_thinner_than_the_tab_is_long_is_seen_wherever_it_stands_beside_it() -> None:
    """A wall on a foot of 12 mm, and a tab of 60 mm whose middle and ends lie beside it."""
    wall = board("wall", rectangle(0, 0, 600, 160), origin=(0, 100, 18), u=(1, 0, 0), n=(0, -1, 0))
    done = work_of(shown([wall, board("foot", rectangle(300, 0, 312, 200))]))
    (sheet,) = done.plan.sheets
    laid = next(p for p in sheet.placements if p.panel == "wall")
    x, y = point_on_sheet((283.0, 0.0), laid)
    tab = replace(sheet.tabs[0], panel="wall", x=x, y=y, angle=0.0, length=60.0, dress=False)
    more = replace(done, plan=done.plan.with_sheet(replace(sheet, tabs=(*sheet.tabs, tab))))
    assert "proof.tab-on-joint" in more.codes() - done.codes()
