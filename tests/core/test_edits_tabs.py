# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Tabs by hand are found again on fitted panels whose sizes and outlines have changed."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from flatwright.edits.model import Edits, PanelRef, TabsEdit, TabSpot
from flatwright.edits.said import Told
from flatwright.edits.spots import Panels
from flatwright.edits.tabs import HandTab, HandTabs, tab_edits, tab_spot
from flatwright.edits.turning import poses, turned
from flatwright.geometry.outline import Outline, rectangle
from flatwright.plan import Panel
from support.pieces import board, slot

UPRIGHT = {"u": (0, 1, 0), "n": (1, 0, 0), "t": 18.0}


def side(outline: Outline | None = None, **more: object) -> Panel:
    return board("side", outline or rectangle(0, 0, 400, 200), **UPRIGHT, **more)  # type: ignore[arg-type]


def edit(panel: Panel, *tabs: HandTab, only: bool = True) -> TabsEdit:
    return TabsEdit(PanelRef(panel.source), tuple(tab_spot(panel, t) for t in tabs), only)


def now(one: TabsEdit, panel: Panel) -> tuple[HandTabs | None, TabsEdit, Told]:
    told = Told()
    found, (kept,) = tab_edits([one], Panels([panel]), [panel], told)
    return found.get(panel.name), kept, told


def test_what_was_put_stays_where_it_was_put() -> None:
    tabs = HandTab(0, (120.0, 0.0), 12.0, None), HandTab(0, (400.0, 80.0), None, 5.0)
    found, kept, told = now(edit(side(), *tabs), side())
    assert found == HandTabs(tabs, True)
    assert kept == edit(side(), *tabs)
    assert told.findings == []


@pytest.mark.parametrize(("x", "expected"), [(60.0, 60.0), (350.0, 450.0)])
def test_in_a_longer_panel_it_stays_as_far_from_the_end_that_it_was_near(x: float, expected: float) -> None:
    found, kept, _ = now(edit(side(), HandTab(0, (x, 200.0))), side(rectangle(0, 0, 500, 200)))
    assert found is not None
    assert found.tabs[0].at == pytest.approx((expected, 200.0))
    again, _, _ = now(kept, side(rectangle(0, 0, 500, 200)))
    assert again == found, "kept as it is now"


def test_a_thinner_board_and_a_turned_frame_change_nothing() -> None:
    put = edit(side(), HandTab(0, (120.0, 200.0)))
    thin = replace(side(), thickness=17.62)
    assert now(put, thin)[0] == HandTabs((HandTab(0, (120.0, 200.0)),), True)
    other = board("side", rectangle(0, 0, 200, 400), u=(0, 0, 1), n=(1, 0, 0), origin=(0, 400, 0), t=18.0)
    found = now(put, other)[0]
    assert found is not None
    space = other.frame.to_space(np.array([found.tabs[0].at]), 9.0)[0]
    assert space == pytest.approx([9.0, 120.0, 200.0])


def test_a_tab_in_an_opening_goes_with_the_opening_s_edge() -> None:
    one = side(holes=[slot(100, 60, 300, 140)])
    found, _, _ = now(edit(one, HandTab(1, (200.0, 140.0))), side(holes=[slot(100, 60, 300, 143)]))
    assert found is not None
    assert (found.tabs[0].loop, found.tabs[0].at) == (1, pytest.approx((200.0, 143.0)))


def test_an_edge_that_is_gone_is_told_and_the_others_stay() -> None:
    notched = Outline(
        np.array(
            [(0, 0), (400, 0), (400, 200), (250, 200), (250, 120), (150, 120), (150, 200), (0, 200)], float
        ),
        np.zeros(8),
    )
    put = edit(side(), HandTab(0, (200.0, 200.0)), HandTab(0, (60.0, 200.0)))
    found, kept, told = now(put, side(notched))
    assert found is not None
    assert [t.at for t in found.tabs] == [(60.0, 200.0)]
    (f,) = told.findings
    assert (f.code, f.severity) == ("edit.gone", "warning")
    assert "The tab of side at" in f.message
    assert kept.tabs[0] == put.tabs[0], "kept in case it comes back"
    assert told.lost_edits().tabs[0].tabs == (put.tabs[0],)
    assert now(kept, side())[0] == HandTabs((HandTab(0, (200.0, 200.0)), HandTab(0, (60.0, 200.0))), True)


def test_a_panel_that_is_gone_is_told() -> None:
    told = Told()
    put = edit(side(), HandTab(0, (200.0, 200.0)))
    other = replace(side(), name="back", source="back")
    found, kept = tab_edits([put], Panels([other]), [other], told)
    assert (found, kept) == ({}, (put,))
    assert [f.code for f in told.findings] == ["edit.gone"]


def test_a_spot_carries_its_sizes() -> None:
    spot = tab_spot(side(), HandTab(0, (120.0, 0.0), 12.0, 5.5))
    assert isinstance(spot, TabSpot)
    assert (spot.length, spot.height) == (12.0, 5.5)
    assert spot.spot.at == (9.0, 120.0, 0.0)


def test_it_goes_with_a_piece_that_was_turned_as_a_whole() -> None:
    """A quarter turn about z: what was along y is along -x."""
    lying = [board("side", rectangle(0, 0, 400, 200), **UPRIGHT), board("base", rectangle(0, 0, 500, 300))]
    put = edit(lying[0], HandTab(0, (120.0, 200.0)))
    edits = Edits(tabs=(put,), poses=poses(Panels(lying)))
    stood = [
        board("side", rectangle(0, 0, 400, 200), u=(-1, 0, 0), n=(0, 1, 0), t=18.0),
        board("base", rectangle(0, 0, 500, 300), u=(0, 1, 0)),
    ]
    (now_put,) = turned(edits, Panels(stood)).tabs
    found, _, told = now(now_put, stood[0])
    assert told.findings == []
    assert found is not None
    assert found.tabs[0].at == pytest.approx((120.0, 200.0), abs=1e-3)
