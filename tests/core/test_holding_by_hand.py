# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Tabs put by hand: kept where they are put, checked by every rule of DESIGN §8, the rest placed around."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from flatwright.bits.choose import choose_bits
from flatwright.edits.tabs import HandTab, HandTabs
from flatwright.findings import Finding
from flatwright.geometry.arcs import Segment
from flatwright.geometry.outline import circle, polygon_outline, rectangle
from flatwright.holding.tabs import place_tabs
from flatwright.plan import Panel, Placement, Pocket, Sheet, Tab
from flatwright.presets.model import Holding, Preset, Tabs
from support.shopwork import panel, sheet, shop, side

AT = (200.0, 200.0)  # where a panel's origin lies on the sheet


def plate(w: float = 300.0, h: float = 200.0, name: str = "plate", **more: object) -> Panel:
    return panel(name, rectangle(0, 0, w, h), **more)


def put(
    *tabs: HandTab,
    only: bool = True,
    one: Panel | None = None,
    laid: Sheet | None = None,
    others: tuple[Panel, ...] = (),
    preset: Preset | None = None,
    clear: list[Segment] | None = None,
    mating: list[Segment] | None = None,
) -> tuple[tuple[Tab, ...], list[Finding]]:
    one = one or plate()
    preset = preset or shop()
    laid = laid or sheet(Placement(one.name, *AT, 0, False))
    panels = {p.name: p for p in (one, *others)}
    bits = {n: choose_bits(p, preset)[0] for n, p in panels.items()}
    hand = {one.name: HandTabs(tabs, only)}
    return place_tabs(laid, panels, bits, preset, {one.name: clear or []}, {one.name: mating or []}, hand)


def on(x: float, y: float, **sizes: float) -> HandTab:
    return HandTab(0, (x, y), **sizes)


NOTCH = [(180, 200), (180, 150), (120, 150), (120, 200)]
SOUND = (on(60, 0), on(240, 0), on(150, 200))


def places(tabs: tuple[Tab, ...]) -> list[tuple[float, float]]:
    return [(round(t.x - AT[0], 6), round(t.y - AT[1], 6)) for t in tabs]


def test_sound_tabs_stay_where_they_are_put_and_nothing_is_said() -> None:
    tabs, findings = put(*SOUND)
    assert places(tabs) == [t.at for t in SOUND]
    assert findings == []


@pytest.mark.parametrize(("angle", "flipped"), [(180.0, False), (0.0, True), (180.0, True), (90.0, False)])
def test_they_go_with_the_part_however_it_lies(angle: float, flipped: bool) -> None:
    laid = sheet(Placement("plate", 600, 400, angle, flipped))
    tabs, _ = put(*SOUND, laid=laid)
    turn, sign = math.radians(angle), -1.0 if flipped else 1.0
    for tab, asked in zip(tabs, SOUND, strict=True):
        x, y = sign * asked.at[0], asked.at[1]
        where = (
            600 + x * math.cos(turn) - y * math.sin(turn),
            400 + x * math.sin(turn) + y * math.cos(turn),
        )
        assert (tab.x, tab.y) == pytest.approx(where, abs=1e-5)
        assert tab.angle == pytest.approx(angle % 180.0)


def test_their_own_sizes_are_kept() -> None:
    tabs, findings = put(on(60, 0, length=14.0, height=4.5), *SOUND[1:])
    assert (tabs[0].length, tabs[0].height) == (14.0, 4.5)
    assert (tabs[1].length, tabs[1].height) == (10.0, 5.9)
    assert findings == []


def test_the_rest_is_placed_around_them() -> None:
    tabs, findings = put(on(77, 0), only=False)
    assert findings == []
    assert len(tabs) == 3
    assert (77.0, 0.0) in places(tabs)
    alone, _ = put(on(77, 0))
    assert places(alone) == [(77.0, 0.0)]


def test_with_enough_by_hand_none_is_added() -> None:
    tabs, findings = put(*SOUND, only=False)
    assert (places(tabs), findings) == ([t.at for t in SOUND], [])


def told(findings: list[Finding], code: str) -> str:
    (f,) = [f for f in findings if f.code == code]
    assert f.panels == ("plate",)
    assert f.sheet == "sheet-1"
    return f.message


BAD: dict[str, tuple[HandTab, str]] = {
    "over a corner": (on(8, 0), "does not fit between the ends of its edge"),
    "as high as the board": (on(150, 0, height=17.5), "17.50 mm high in a board of 17.70 mm"),
    "longer than its edge": (on(150, 0, length=290.0), "does not fit between the ends of its edge"),
}


@pytest.mark.parametrize(("tab", "says"), BAD.values(), ids=BAD)
def test_what_cannot_be_cut_is_an_error(tab: HandTab, says: str) -> None:
    tabs, findings = put(tab, on(60, 200), on(240, 200))
    assert places(tabs)[0] == tab.at, "it is kept all the same"
    assert says in told(findings, "holding.hand-tab")
    assert next(f for f in findings if f.code == "holding.hand-tab").severity == "error"


DOUBTFUL: dict[str, tuple[HandTab, str]] = {
    "across the grain": (on(0, 100), "across the grain"),
    "near a corner": (on(17, 0), "mm from a corner or relief"),
    "higher than a third": (on(150, 0, height=8.0), "more than a third of the board"),
}


@pytest.mark.parametrize(("tab", "says"), DOUBTFUL.values(), ids=DOUBTFUL)
def test_what_is_unwise_is_a_warning(tab: HandTab, says: str) -> None:
    _, findings = put(tab, on(60, 200), on(240, 200), on(240, 0))
    assert says in told(findings, "holding.hand-tab-rule")
    assert {f.severity for f in findings} == {"warning"}


def test_on_an_edge_of_a_joint_it_is_to_be_dressed() -> None:
    tabs, findings = put(*SOUND, mating=[Segment((50.0, 0.0), (100.0, 0.0))])
    assert [t.dress for t in tabs] == [True, False, False]
    assert [f.code for f in findings] == ["holding.dress-edge"]


def test_where_a_pocket_runs_out_it_has_no_wood() -> None:
    _, findings = put(*SOUND, clear=[Segment((50.0, 0.0), (70.0, 0.0))])
    assert "a pocket runs out of the edge there" in told(findings, "holding.hand-tab")


def test_next_to_a_relief_is_next_to_a_corner() -> None:
    """The fillet of a notch ends the straight edge."""
    notched = panel(
        "plate",
        polygon_outline([(0, 0), (300, 0), (300, 200), *NOTCH, (0, 200)]),
    )
    _, findings = put(on(60, 0), on(240, 0), on(110, 200), one=notched)
    assert "too near to a corner or relief" in told(findings, "holding.hand-tab")


@pytest.mark.parametrize(("radius", "code"), [(150.0, "holding.hand-tab-rule"), (20.0, "holding.hand-tab")])
def test_on_a_curve_it_depends_on_the_radius(radius: float, code: str) -> None:
    one = panel("plate", circle((150.0, 150.0), radius))
    _, findings = put(on(150.0, 150.0 - radius), one=one)
    assert f"curve of {radius:.0f} mm radius" in told(findings, code)


def test_two_that_run_into_each_other_are_an_error() -> None:
    _, findings = put(*SOUND, on(80, 0))
    assert "runs into the one at (260, 200)" in told(findings, "holding.hand-tab")


def test_at_the_sheet_s_edge_it_ends_in_no_wood() -> None:
    _, findings = put(*SOUND, laid=sheet(Placement("plate", 200, 7, 0, False)))
    assert [f.code for f in findings] == ["holding.hand-tab"] * 2
    assert "ends in no firm wood" in findings[0].message


def test_too_few_or_all_on_one_side_is_told() -> None:
    _, two = put(*SOUND[:2])
    assert told(two, "holding.hand-tabs").endswith(
        "they are 2, where the rules ask for 3; they do not surround its middle."
    )
    _, row = put(on(40, 0), on(150, 0), on(260, 0))
    assert told(row, "holding.hand-tabs").endswith("put by hand: they do not surround its middle.")


def test_without_any_it_comes_loose() -> None:
    tabs, findings = put()
    assert tabs == ()
    (f,) = findings
    assert (f.code, f.severity) == ("holding.all-tabs-taken", "error")
    assert "comes loose" in f.message
    assert put(only=False)[1] == [], "nothing was put: the rules place all"


def test_weak_tabs_are_told_with_their_sizes() -> None:
    weak = [replace(t, length=1.0, height=1.2) for t in SOUND]
    heavy = replace(shop(), holding=Holding(tabs=Tabs(factor=20.0)))
    _, findings = put(*weak, preset=heavy)
    assert "Its 3 tabs of 1 by 1.20 mm bear about" in told(findings, "holding.weak")


def test_where_kerfs_meet_it_becomes_a_bridge() -> None:
    laid = sheet(Placement("plate", *AT, 0, False), Placement("other", 200, 412, 0, False))
    tabs, findings = put(*SOUND, laid=laid, others=(plate(name="other"),))
    assert "it is a bridge to other" in told(findings, "holding.hand-tab-rule")
    twin = [t for t in tabs if t.panel == "other" and (t.x, t.y) == (350.0, 412.0)]
    assert len(twin) == 1
    assert len([t for t in tabs if t.panel == "other"]) == 3, "the others around it"


def test_a_bridge_between_two_that_hold_on_nothing_else_is_an_error() -> None:
    laid = sheet(Placement("plate", *AT, 0, False), Placement("other", 200, 412, 0, False))
    other, preset = plate(name="other"), shop()
    panels = {"plate": plate(), "other": other}
    bits = {n: choose_bits(p, preset)[0] for n, p in panels.items()}
    hand = {
        "plate": HandTabs((on(60, 200), on(150, 200), on(240, 200)), True),
        "other": HandTabs((on(60, 0), on(150, 0), on(240, 0)), True),
    }
    _, findings = place_tabs(laid, panels, bits, preset, {}, {}, hand)
    assert "holding.leans-on-loose" in {f.code for f in findings if f.severity == "error"}


def test_a_bridge_that_both_parts_have_by_hand_is_one_tab_on_each() -> None:
    laid = sheet(Placement("plate", *AT, 0, False), Placement("other", 200, 412, 0, False))
    preset = shop()
    panels = {"plate": plate(), "other": plate(name="other")}
    bits = {n: choose_bits(p, preset)[0] for n, p in panels.items()}
    hand = {
        "plate": HandTabs((on(60, 0), on(240, 0), on(150, 200)), True),
        "other": HandTabs((on(60, 200), on(240, 200), on(150, 0)), True),
    }
    tabs, findings = place_tabs(laid, panels, bits, preset, {}, {}, hand)
    assert [t.panel for t in tabs] == ["plate"] * 3 + ["other"] * 3
    assert {f.severity for f in findings} == {"warning"}


def test_in_an_opening_it_holds_the_drop() -> None:
    one = side("plate")
    handle = HandTab(3, (570.0, 100.0))
    tabs, findings = put(handle, only=False, one=one)
    drop = [t for t in tabs if 300 <= t.y <= 420 and 700 <= t.x <= 840]
    assert [(t.x, t.y) for t in drop] == [(770.0, 300.0)], "the rules leave that opening alone"
    assert findings == []


def test_in_a_slot_that_is_milled_away_it_holds_nothing() -> None:
    one = plate(holes=(rectangle(100, 60, 118, 140).cw(),))
    _, findings = put(*SOUND, HandTab(1, (109.0, 60.0)), one=one)
    assert "nothing is left in that opening" in told(findings, "holding.hand-tab")


def test_an_opening_without_a_tab_is_milled_out_once_all_are_by_hand() -> None:
    one = plate(500, 400, holes=(rectangle(100, 100, 400, 300).cw(),))
    _, findings = put(on(60, 0), on(440, 0), on(250, 400), one=one)
    assert [f.code for f in findings] == ["holding.drop-milled"]
    assert "It has no tab by hand" in findings[0].message


def test_a_part_in_the_drop_of_such_an_opening_is_an_error() -> None:
    frame = plate(500, 400, holes=(rectangle(100, 100, 400, 300).cw(),))
    laid = sheet(Placement("plate", 50, 50, 0, False), Placement("guest", 225, 200, 0, False))
    _, findings = put(
        on(60, 0), on(440, 0), on(250, 400), one=frame, laid=laid, others=(plate(150, 100, "guest"),)
    )
    assert "holding.loose-drop" in {f.code for f in findings}


def test_without_tabs_in_the_method_they_count_for_nothing() -> None:
    skin = replace(shop(), holding=Holding(method=("onion skin",)))
    tabs, findings = put(*SOUND, preset=skin)
    assert tabs == ()
    assert "there are none" in told(findings, "holding.hand-tabs-idle")


def test_square_ended_tabs_take_less_of_the_edge() -> None:
    """Half the length and the bit's radius, 8 mm, and no slope (45° up from the lowest pass)."""
    square = replace(shop(), holding=Holding(tabs=Tabs(ends="square")))
    square = replace(square, bits=square.bits[:1], feeds=square.feeds[:1])
    sloped = replace(shop(), bits=square.bits, feeds=square.feeds)
    near = (on(14.2, 0), *SOUND[1:])
    assert put(*near, preset=square)[1] == []
    assert [f.code for f in put(*near, preset=sloped)[1]] == ["holding.hand-tab"]


def test_a_pocket_in_the_face_changes_nothing() -> None:
    one = plate(pockets=(Pocket(rectangle(40, 40, 80, 80).cw(), 6.0, "+n"),))
    assert put(*SOUND, one=one)[1] == []
