# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Tabs by hand on the whole way: from edits to posted programs that the proof reads back."""

from __future__ import annotations

from functools import cache

import pytest

from flatwright import steps
from flatwright.edits.model import Edits, PanelRef, Spot, TabsEdit, TabSpot
from flatwright.holding.tab_rules import dumps, loads, placed_tabs
from flatwright.plan import Tab
from flatwright.run import refusal
from support.pieces import housing
from support.planned_work import Work, shop, shown, work_of

SIDE = (18.0, 200.0, 300.0)  # the box about the side: x its thickness


def spot(y: float, z: float, length: float | None = None, height: float | None = None) -> TabSpot:
    return TabSpot(Spot((9.0, y, z), SIDE), length, height)


def edits(*tabs: TabSpot, only: bool = True) -> Edits:
    return Edits(tabs=(TabsEdit(PanelRef("side"), tabs, only),))


SOUND = (spot(60, 0, 14.0), spot(140, 0), spot(100, 300, None, 4.0))


@cache
def work(*tabs: TabSpot, only: bool = True) -> Work:
    return work_of(shown(housing()), edits=edits(*tabs, only=only))


def tabs_of(done: Work, panel: str) -> list[Tab]:
    return [t for s in done.plan.sheets for t in s.tabs if t.panel == panel]


def test_they_are_cut_as_they_were_put() -> None:
    done = work(*SOUND)
    sizes = sorted((t.length, t.height) for t in tabs_of(done, "side"))
    assert sizes == [(10.0, 4.0), (10.0, 5.905), (14.0, 5.905)]
    assert [
        f for f in done.findings if f.severity != "note" and f.code.startswith(("holding.", "edit."))
    ] == []
    assert done.codes() == set()


def test_the_other_panel_keeps_its_own() -> None:
    assert tabs_of(work(*SOUND), "shelf") == tabs_of(work(only=False), "shelf")


@pytest.mark.parametrize(
    ("tabs", "code"),
    [((spot(8, 0), *SOUND[1:]), "holding.hand-tab"), ((), "holding.all-tabs-taken")],
    ids=["over a corner", "none"],
)
def test_an_unsafe_program_is_never_posted(tabs: tuple[TabSpot, ...], code: str) -> None:
    done = work(*tabs)
    assert {f.code for f in done.findings if f.severity == "error"} == {code}
    assert refusal(done.plan.sheets[0], done.findings) is not None


def test_tabs_that_leave_no_room_for_a_ramp_along_the_grain_are_told() -> None:
    """Side by side along all edges: the bit goes down around a corner, on a face that shows."""
    row = [25.0 + 50.0 * k for k in range(6)]
    tabs = [spot(y, z, 31.1) for z in row for y in (0, 200)] + [
        spot(y, z, 31.1) for y in row[:4] for z in (0, 300)
    ]
    done = work(*tabs)
    assert "cutting.ramp-across-grain" in {f.code for f in done.findings}
    assert "holding.hand-tab" not in {f.code for f in done.findings}


def test_one_on_an_edge_of_a_joint_is_told_to_be_dressed_and_the_proof_knows() -> None:
    """The shelf's end in the housing: on its own it would be a warning of the proof as well."""
    shelf = (388.0, 160.0, 18.0)
    end = TabsEdit(PanelRef("shelf"), (TabSpot(Spot((0.0, 80.0, 9.0), shelf)),))
    done = work_of(shown(housing()), edits=Edits(tabs=(end,)))
    assert "holding.dress-edge" in {f.code for f in done.findings}
    assert [t.dress for t in tabs_of(done, "shelf")].count(True) == 1
    assert "proof.tab-on-joint" not in done.codes()


def test_what_tabs_depend_on_survives_being_written_and_gives_the_same_tabs() -> None:
    panels = shown(housing())
    known = steps.find_panels
    steps.find_panels = lambda solids: (list(panels), [])  # type: ignore[assignment]
    try:
        done = steps.decide([], shop(), (), steps.Options(engine="built-in"))
    finally:
        steps.find_panels = known
    rules = loads(dumps(done.tab_rules), shop())
    (sheet,) = done.plan.sheets
    tabs, _ = placed_tabs(sheet, {p.name: p for p in done.plan.panels}, rules, shop(), {})
    assert tabs == sheet.tabs
