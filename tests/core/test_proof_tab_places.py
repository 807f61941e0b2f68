# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Tabs on edges of joints, as the proof sees them: told, unless the plan says that they are dressed."""

from __future__ import annotations

from dataclasses import replace

import pytest

from flatwright.plan import placed
from support.pieces import housing
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
