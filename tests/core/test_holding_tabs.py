# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Where tabs stand (DESIGN §8), and what is said when they cannot stand there."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
import shapely

from flatwright.bits.figures import full_slot
from flatwright.geometry.arcs import Segment
from flatwright.geometry.outline import circle, polygon_outline, rectangle
from flatwright.geometry.polygon import polygon
from flatwright.holding.edges import edges
from flatwright.holding.force import tab_strength
from flatwright.plan import Placement, Sheet, placed
from flatwright.presets.model import Board, Holding, Preset, Tabs
from support.shopwork import THICK, panel, sheet, shop, side, trolley
from support.tabbing import alone, plate, tabbed

SQUARE = replace(shop(), holding=Holding(tabs=Tabs(ends="square")))


def test_three_tabs_hold_each_part_along_the_grain_around_its_middle() -> None:
    laid, panels = trolley()
    tabs, findings = tabbed(laid, *panels.values())
    assert findings == []
    for p in laid.placements:
        one = panels[p.panel]
        outline = placed(one.outline, p)
        mine = [
            t
            for t in tabs
            if t.panel == one.name and min(s.distance((t.x, t.y)) for s in outline.segments()) < 1e-3
        ]
        assert len(mine) == 3
        assert all(t.angle == 0.0 for t in mine), "the sheet's grain runs along x"
        assert all(t.height == round(THICK / 3, 4) < 6.0 for t in mine), "a third of the board at most"
        hull = shapely.MultiPoint([(t.x, t.y) for t in mine]).convex_hull
        assert hull.contains(polygon(outline).centroid)


def test_a_big_drop_gets_two_tabs_of_its_own() -> None:
    tabs, _ = alone(side())
    handle = placed(side().holes[2], Placement("side", 200, 200, 0, False)).segments()
    assert len([t for t in tabs if min(s.distance((t.x, t.y)) for s in handle) < 1e-3]) == 2


@pytest.mark.parametrize("angle", [0.0, 90.0])
def test_tabs_follow_the_grain_of_the_sheet_however_the_part_lies(angle: float) -> None:
    tabs, findings = alone(plate(300, 200), angle)
    assert {t.angle for t in tabs} == {0.0}
    assert findings == []


def test_grain_across_the_sheet_turns_the_tabs() -> None:
    laid = replace(sheet(Placement("plate", 200, 200, 0, False)), grain="width")
    tabs, _ = tabbed(laid, plate(300, 200))
    assert {t.angle for t in tabs} == {90.0}


@pytest.mark.parametrize(("preset", "footprint"), [(SQUARE, 8.0), (shop(), 8.0 + THICK / 3 + 0.5)])
def test_no_tab_touches_what_must_stay_clear(preset: Preset, footprint: float) -> None:
    """Half a tab and the bit's radius, and the slope where the ends slope (45° from the lowest pass)."""
    mating = Segment((60.0, 0.0), (220.0, 0.0))
    preset = replace(preset, bits=preset.bits[:1], feeds=preset.feeds[:1])
    tabs, findings = alone(plate(300, 200), preset=preset, clear={"plate": [mating]})
    assert findings == []
    below = [t for t in tabs if abs(t.y - 200) < 1e-6]
    assert below, "the rest of that edge is free"
    laid = Segment((260.0, 200.0), (420.0, 200.0))
    assert all(laid.distance((t.x, t.y)) >= footprint - 1e-3 for t in below)
    corners = [(x, y) for x in (200, 500) for y in (200, 400)]
    assert all(math.dist((t.x, t.y), c) > footprint for t in tabs for c in corners)


def test_edges_across_the_grain_are_the_first_rule_to_go() -> None:
    along = [Segment((0.0, y), (300.0, y)) for y in (0.0, 200.0)]
    tabs, (found,) = alone(plate(300, 200), clear={"plate": along})
    assert {t.angle for t in tabs} == {90.0}
    assert (found.code, found.severity) == ("holding.tabs-relaxed", "warning")
    assert "3 of its tabs on an edge across the grain" in found.message


def around(w: float, h: float) -> list[Segment]:
    return list(rectangle(0, 0, w, h).segments())


def test_no_tab_stands_on_an_edge_of_a_joint_while_another_will_do() -> None:
    """Both edges along the grain are in joints: those across it come first."""
    tabs, (found,) = alone(
        plate(300, 200), mating={"plate": [s for s in around(300, 200) if s.p[0] != s.q[0]]}
    )
    assert found.code == "holding.tabs-relaxed"
    assert {round(t.x) for t in tabs} == {200, 500}
    assert not any(t.dress for t in tabs)


def test_a_part_with_one_free_edge_is_held_around_its_middle_all_the_same() -> None:
    """One tab of three stands on an edge of a joint: a part that hangs on one side breaks loose."""
    free = Segment((300.0, 0.0), (300.0, 200.0))
    tabs, findings = alone(plate(300, 200), mating={"plate": [s for s in around(300, 200) if s != free]})
    assert [f.code for f in findings] == ["holding.tabs-relaxed", "holding.dress-edge"]
    assert [t.dress for t in tabs].count(True) == 1
    assert shapely.MultiPoint([(t.x, t.y) for t in tabs]).convex_hull.contains(shapely.Point(350, 300))


def test_edges_of_joints_are_the_last_rule_to_go_and_are_to_be_dressed() -> None:
    tabs, (found,) = alone(plate(300, 200), mating={"plate": around(300, 200)})
    assert len(tabs) == 3
    assert all(t.dress for t in tabs)
    assert (found.code, found.severity, found.panels) == ("holding.dress-edge", "warning", ("plate",))
    assert "Dress that edge flush before assembling" in found.remedy


def test_what_must_stay_clear_is_never_relaxed() -> None:
    _, (found,) = alone(plate(300, 200), clear={"plate": around(300, 200)})
    assert found.code == "holding.no-tab"


def test_the_drop_of_a_slot_gets_no_tab_on_an_edge_of_a_joint() -> None:
    hole = rectangle(100, 50, 200, 150).cw()
    one = panel("frame", rectangle(0, 0, 300, 200), holes=(hole,))
    tabs, (found,) = alone(one, mating={"frame": hole.segments()})
    assert found.code == "holding.drop-milled"
    assert not any(t.dress for t in tabs)


def test_a_disc_is_held_on_its_curve() -> None:
    tabs, (found,) = alone(panel("seat", circle((0, 0), 150)))
    assert len(tabs) == 3
    assert "3 of its tabs on a gentle curve" in found.message


def test_near_to_a_corner_comes_before_fewer_tabs() -> None:
    """A tile that one tab has no room on else."""
    tabs, (found,) = alone(plate(60, 30))
    assert len(tabs) == 3
    assert "2 of its tabs less than 6 mm from a corner" in found.message
    half = 8.0 + THICK / 3 + 0.5
    assert all(half + 1.0 <= t.x - 200.0 + 1e-3 and t.x - 200.0 <= 60.0 - half - 1.0 + 1e-3 for t in tabs)
    tabs, (found,) = alone(plate(31, 31))
    assert {t.angle for t in tabs} == {0.0}, "along the grain, if nothing else speaks for the other edges"
    assert "only 2 of 3 tabs" in found.message


def test_no_tab_reaches_over_a_corner() -> None:
    tabs, findings = alone(plate(30, 30))
    assert tabs == ()
    assert [f.code for f in findings] == ["holding.no-tab"]
    assert "takes 31 mm of free edge between corners" in findings[0].message


def test_beside_an_inside_corner_the_bits_radius_is_kept_free_too() -> None:
    """The bit turns off there before the edge ends: the slope of a tab would go round the corner with it."""
    notched = polygon_outline([(0, 0), (93, 0), (93, 40), (63, 40), (63, 10), (30, 10), (30, 40), (0, 40)])
    for inside, room in ((1.0, 1.0), (4.0, None), (1.9, None)):
        found = [e for e in edges(notched, 0, (), 15.0, 0.0, 1.0, inside) if e.segment.p == (63, 10)]
        assert [b - a for e in found for a, b in e.free] == ([] if room is None else [room])
    outer = [e for e in edges(notched, 0, (), 15.0, 0.0, 1.0, 4.0) if e.segment.p == (93, 0)]
    assert outer[0].free == ((16.0, 24.0),)


def test_fewer_tabs_come_before_none() -> None:
    _, (found,) = alone(plate(50, 30))
    assert "only 2 of 3 tabs" in found.message


def test_a_part_too_small_for_any_tab_is_an_error_with_remedies() -> None:
    tabs, (found,) = alone(plate(30, 20))
    assert tabs == ()
    assert (found.code, found.severity, found.panels) == ("holding.no-tab", "error", ("plate",))
    assert "square-ended" in found.remedy


def neighbours(gap: float) -> Sheet:
    """One over the other: with a narrow gap the middle one has no firm wood along its grain."""
    return sheet(*(Placement(f"part {k}", 50, 50 + k * (200 + gap), 0, False) for k in range(3)))


def test_where_kerfs_meet_both_parts_get_a_tab_at_the_same_place() -> None:
    parts = [plate(300, 200, f"part {k}") for k in range(3)]
    ends = [Segment((x, 0.0), (x, 200.0)) for x in (0.0, 300.0)]
    tabs, findings = tabbed(neighbours(12.0), *parts, clear={p.name: ends for p in parts})
    assert {f.code for f in findings} == {"holding.tabs-relaxed"}
    assert "3 of its tabs as a bridge to a neighbour" in " ".join(f.message for f in findings)
    by_name = {p.name: [(t.x, t.y) for t in tabs if t.panel == p.name] for p in parts}
    facing = [p for p in by_name["part 1"] if 250 < p[1] < 480]
    assert facing
    for x, y in facing:
        others = [q for n in ("part 0", "part 2") for q in by_name[n]]
        assert any(abs(q[0] - x) < 1e-6 and abs(abs(q[1] - y) - 12.0) < 1e-6 for q in others)


def test_with_room_between_them_parts_hang_on_the_sheet() -> None:
    parts = [plate(300, 200, f"part {k}") for k in range(3)]
    assert tabbed(neighbours(16.0), *parts)[1] == []


def test_a_thin_board_and_a_heavy_cut_ask_for_more_tabs() -> None:
    """4 mm of three plies: the tab of a third is all face veneer but for a little (HLD-4)."""
    thin = replace(shop(), boards=(Board("birch 18", 4.0, 3, "length", 1.3),))
    one = replace(plate(600, 400), thickness=4.0)
    assert len(alone(one, preset=thin)[0]) > 3


def test_many_weak_tabs_become_fewer_long_ones() -> None:
    """A deep pass asks for more than six tabs of 2 mm: they get longer, and bear what is asked for."""
    heavy = replace(shop(), holding=Holding(tabs=Tabs(length=2.0, factor=30.0)))
    tabs, findings = alone(plate(600, 400), preset=heavy)
    assert findings == []
    assert 3 <= len(tabs) <= 6
    assert all(t.length > 2.0 for t in tabs)
    force = full_slot(heavy.bits[2], heavy.feeds[2]).force
    hold = sum(tab_strength(t.length, t.height, "along", THICK, heavy.boards[0]) for t in tabs)
    assert hold >= 30.0 * force


def test_tabs_without_a_ply_across_are_said_to_be_weak() -> None:
    """HLD-4: a third of a board of three equal plies is all face veneer."""
    thin = replace(shop(), boards=(Board("birch 18", 3.0, 3, "length", 1.0),))
    tabs, (found,) = alone(replace(plate(600, 400), thickness=3.0), preset=thin)
    assert len(tabs) == 3
    assert (found.code, found.severity) == ("holding.weak", "warning")
    assert "bear about 0 N" in found.message


def test_without_tabs_in_the_method_there_is_a_warning() -> None:
    preset = replace(shop(), holding=Holding(method=("screws",)))
    tabs, (found,) = alone(plate(300, 200), preset=preset)
    assert (tabs, found.code) == ((), "holding.without-tabs")


def test_a_drop_that_no_tab_can_hold_is_said_to_be_milled() -> None:
    one = panel("frame", rectangle(0, 0, 300, 200), holes=(rectangle(100, 80, 140, 120).cw(),))
    edge = [Segment((100.0, y), (140.0, y)) for y in (80.0, 120.0)]
    edge += [Segment((x, 80.0), (x, 120.0)) for x in (100.0, 140.0)]
    _, (found,) = alone(one, clear={"frame": edge})
    assert (found.code, found.severity) == ("holding.drop-milled", "note")


def test_a_part_in_such_a_drop_is_an_error() -> None:
    frame = panel("frame", rectangle(0, 0, 500, 400), holes=(rectangle(100, 100, 400, 300).cw(),))
    guest = plate(150, 100, "guest")
    laid = sheet(Placement("frame", 50, 50, 0, False), Placement("guest", 225, 200, 0, False))
    hole = [s.reversed() for s in rectangle(100, 100, 400, 300).segments()]
    assert tabbed(laid, frame, guest)[1] == []
    _, findings = tabbed(laid, frame, guest, clear={"frame": hole})
    assert [f.code for f in findings] == ["holding.loose-drop"]
    assert findings[0].panels == ("frame", "guest")
