# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Tabs and screws keep apart: what frees a part meets no screw (common practice, no source)."""

from __future__ import annotations

from dataclasses import replace

import pytest
import shapely
from shapely.geometry import box

from flatwright.bits.choose import choose_bits
from flatwright.geometry.outline import rectangle
from flatwright.holding.beside_screws import ROOM, check_beside, place_off_tabs
from flatwright.holding.screws import place_screws
from flatwright.plan import Placement, Screw, Sheet, Tab
from support.corpus_work import corpus_work
from support.shopwork import panel, sheet, shop

SHOP = shop()
PLATE = panel("plate", rectangle(0, 0, 300, 200))
BITS = {"plate": choose_bits(PLATE, SHOP)[0]}
LAID = sheet(Placement("plate", 500, 300, 0, False))
NEAR = 6.0 + ROOM + 8.5 / 2  # the kerf, room for a saw, half a head


def tabbed(*screws: tuple[float, float]) -> Sheet:
    """With a tab in the middle of the lower edge."""
    tab = Tab("plate", 650.0, 300.0, 0.0, 10.0, 5.9)
    return replace(LAID, tabs=(tab,), screws=tuple(Screw(*s) for s in screws))


@pytest.mark.parametrize(
    ("screw", "told"),
    [((650, 300 - NEAR + 0.1), 1), ((654, 284), 1), ((650, 300 - NEAR - 0.1), 0), ((680, 288), 0)],
)
def test_a_screw_where_a_saw_must_go_is_told(screw: tuple[float, float], told: int) -> None:
    found = check_beside(tabbed(screw), BITS, SHOP)
    assert [f.code for f in found] == ["holding.tab-at-screw"] * told
    assert all(f.severity == "warning" and f.panels == ("plate",) for f in found)
    assert all("Move the tab or the screw" in f.remedy for f in found)


def test_screws_of_the_steps_stand_elsewhere_where_there_is_room() -> None:
    """The zone is deepest in front of the tab; it reaches as much from beside it."""
    zone = box(580, 282, 720, 292).union(box(640, 278, 660, 292))
    wood = {"plate": box(500, 300, 800, 500)}
    at_first, _ = place_screws(LAID, zone, wood, SHOP, 6.0)
    assert check_beside(replace(tabbed(), screws=at_first), BITS, SHOP), "they would stand beside the tab"
    screws, _ = place_off_tabs(tabbed(), zone, wood, SHOP, 6.0, BITS)
    assert screws
    assert check_beside(replace(tabbed(), screws=screws), BITS, SHOP) == []
    assert all(zone.covers(shapely.Point(s.x, s.y)) for s in screws)


def test_they_stay_where_the_part_would_lose_its_screw() -> None:
    zone, wood = box(640, 282, 660, 292), {"plate": box(500, 300, 800, 500)}
    screws, found = place_off_tabs(tabbed(), zone, wood, SHOP, 6.0, BITS)
    assert (screws, found) == place_screws(LAID, zone, wood, SHOP, 6.0)
    assert len(check_beside(replace(tabbed(), screws=screws), BITS, SHOP)) == 1


def test_on_the_whole_way_no_screw_stands_beside_a_tab() -> None:
    """This piece's screws stood 16 mm from a tab."""
    done = corpus_work("split_back")
    at = [shapely.Point(s.x, s.y) for sheet in done.plan.sheets for s in sheet.screws]
    assert (
        min(shapely.Point(t.x, t.y).distance(p) for s in done.plan.sheets for t in s.tabs for p in at) > NEAR
    )
    assert "holding.tab-at-screw" not in {f.code for f in done.findings}
