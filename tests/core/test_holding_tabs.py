# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Where tabs stand (DESIGN §8), and what is said when they cannot stand there."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely

from flatwright import resources
from flatwright.bits.choose import choose_bits
from flatwright.bits.figures import full_slot
from flatwright.findings import Finding
from flatwright.geometry.arcs import Segment
from flatwright.geometry.outline import Outline, circle, polygon_outline, rectangle
from flatwright.geometry.polygon import polygon
from flatwright.holding.edges import edges
from flatwright.holding.force import tab_strength
from flatwright.holding.ground import FIRM
from flatwright.holding.tabs import place_tabs
from flatwright.plan import Panel, Placement, Sheet, Tab, placed
from flatwright.presets.model import Board, Holding, Preset, Tabs
from flatwright.presets.reading import load
from support.shopwork import THICK, panel, sheet, shop, side, trolley

SQUARE = replace(shop(), holding=Holding(tabs=Tabs(ends="square")))


def tabbed(
    laid: Sheet,
    *parts: Panel,
    preset: Preset | None = None,
    clear: dict[str, list[Segment]] | None = None,
    mating: dict[str, list[Segment]] | None = None,
) -> tuple[tuple[Tab, ...], list[Finding]]:
    preset = preset or shop()
    panels = {p.name: p for p in parts}
    bits = {n: choose_bits(p, preset)[0] for n, p in panels.items()}
    return place_tabs(laid, panels, bits, preset, clear or {}, mating or {})


def alone(one: Panel, angle: float = 0.0, **more: object) -> tuple[tuple[Tab, ...], list[Finding]]:
    """One part in the middle of a sheet."""
    x0, y0, _, _ = placed(one.outline, Placement(one.name, 0, 0, angle, False)).bounds()
    return tabbed(sheet(Placement(one.name, 200 - x0, 200 - y0, angle, False)), one, **more)  # type: ignore[arg-type]


def plate(w: float, h: float, name: str = "plate") -> Panel:
    return panel(name, rectangle(0, 0, w, h))


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


def chain_of_arcs(rx: float, ry: float, n: int) -> Outline:
    """An ellipse of 4 n arcs through points on it, each half way bent as the ellipse is."""
    at = [(rx * math.cos(a), ry * math.sin(a)) for a in np.linspace(0, math.tau, 8 * n, endpoint=False)]
    points, middles = np.array(at[::2]), np.array(at[1::2])
    chords = np.roll(points, -1, axis=0) - points
    rise = np.linalg.norm(middles - (points + chords / 2), axis=1)
    return Outline(points, 2.0 * rise / np.linalg.norm(chords, axis=1))


def test_a_free_curve_of_many_short_arcs_is_held_as_a_disc_is() -> None:
    """No arc of it is as long as a tab takes."""
    outline = chain_of_arcs(220, 120, 12)
    assert max(s.length for s in outline.segments()) < 29.0 < 2 * (8.0 + THICK / 3 + 6.0)
    tabs, (found,) = alone(panel("seat", outline))
    assert len(tabs) == 3
    assert found.code == "holding.tabs-relaxed"
    assert "3 of its tabs on a gentle curve" in found.message
    assert "draw straight edges of 41 mm that run with the grain" in found.remedy
    assert "mates" not in found.remedy
    assert shapely.MultiPoint([(t.x, t.y) for t in tabs]).convex_hull.contains(shapely.Point(420, 320))


def test_on_such_a_curve_they_keep_off_corners_sharp_bends_and_what_must_stay_clear() -> None:
    """The ends of a flat ellipse bend with less than 25 mm."""
    whole = chain_of_arcs(220, 60, 12)
    middle = (420.0, 260.0)
    before, _ = alone(panel("bow", whole))
    first = (before[0].x - middle[0], before[0].y - middle[1])
    segments = whole.segments()
    k = min(range(len(segments)), key=lambda n: segments[n].distance(first))
    keep = segments[k - 1].part(0.8, 0.9)
    tabs, _ = alone(panel("bow", whole), clear={"bow": [keep]})
    assert len(before) == len(tabs) == 3
    at = [(t.x - middle[0], t.y - middle[1]) for t in tabs]
    assert keep.distance(first) < 14.0, "or it would not have to move"
    assert min(keep.distance(p) for p in at) > 14.0
    bends = [s for s in segments if s.radius < 25.0]
    assert bends
    assert min(s.distance(p) for s in bends for p in at) > 20.0


def test_the_drop_of_a_big_round_opening_hangs_on_its_curve() -> None:
    """It was milled to chips."""
    ring = panel("ring", circle((0, 0), 300), holes=(circle((0, 0), 220).cw(),))
    tabs, findings = alone(ring)
    assert "holding.drop-milled" not in {f.code for f in findings}
    inside = [t for t in tabs if math.dist((t.x, t.y), (500, 500)) < 221.0]
    assert len(inside) == 2


@pytest.mark.parametrize(("w", "count"), [(25.0, 5), (60.0, 3), (200.0, 3)])
def test_a_slender_part_does_not_give_way_between_its_tabs(w: float, count: int) -> None:
    """A batten of 1200 mm or more on three tabs bends from the bit: F L³ / 48 E I (textbook), 15 N of cutting
    force, birch with half of its plies along it."""
    laid = sheet(Placement("batten", 100, 200, 0, False), size=(2440.0, 750.0))
    tabs, findings = tabbed(laid, plate(2000, w, "batten"))
    assert findings == []
    assert len(tabs) == count
    at = sorted(t.x for t in tabs)
    force = full_slot(shop().bits[0], shop().feeds[0]).force
    gives = force * max(np.diff(at)) ** 3 / (48 * 8750 * THICK * w**3 / 12)
    assert gives < 0.25


def test_along_a_very_slender_part_they_stand_evenly() -> None:
    laid = sheet(Placement("lath", 100, 200, 0, False), size=(2440.0, 750.0))
    tabs, _ = tabbed(laid, plate(2300, 16, "lath"))
    gaps = np.diff(sorted(t.x for t in tabs))
    assert len(tabs) > 7
    assert max(gaps) < 1.05 * min(gaps)


@pytest.mark.parametrize("name", ["metric", "inch"])
def test_the_starters_lay_parts_out_with_firm_wood_between_their_kerfs(name: str) -> None:
    """With less every tab towards a neighbour is a bridge to it."""
    starter = load(resources.path(f"presets/{name}.shop.json"))
    assert starter.layout.spacing >= 2.0 * max(b.cut for b in starter.bits) + FIRM + 0.1


def test_mates_are_spoken_of_only_where_they_take_room_from_tabs() -> None:
    one = panel("seat", circle((0, 0), 150), holes=(rectangle(-50, -9, 50, 9).cw(),))
    _, (found, *_) = alone(one, mating={"seat": one.holes[0].segments()})
    assert found.code == "holding.tabs-relaxed"
    assert "mates" not in found.remedy


def test_a_thin_ring_hangs_on_more_tabs_than_a_wide_one() -> None:
    """15 mm of wood from tab to tab along a third of its round would give way by half a millimetre."""

    def ring(inside: float) -> Panel:
        return panel("ring", circle((0, 0), 200), holes=(circle((0, 0), inside).cw(),))

    def count(one: Panel) -> int:
        return sum(math.dist((t.x, t.y), (400, 400)) > 199.0 for t in alone(one)[0])

    assert count(ring(185.0)) == 5
    assert count(ring(120.0)) == 3


def test_a_panel_full_of_holes_is_not_slender() -> None:
    holes = tuple(circle((x, y), 15).cw() for x in range(50, 600, 100) for y in range(50, 400, 60))
    tabs, _ = alone(panel("tray", rectangle(0, 0, 600, 400), holes=holes))
    assert len(tabs) == 3


def many_sided(n: int, r: float) -> Outline:
    turns = [math.tau * k / n for k in range(n)]
    return polygon_outline([(r * math.cos(a), r * math.sin(a)) for a in turns])


def test_a_round_drawn_as_short_lines_is_held_as_a_disc_is() -> None:
    """72 lines of 13 mm; a tab takes 41."""
    tabs, (found,) = alone(panel("seat", many_sided(72, 150)))
    assert len(tabs) == 3
    assert "3 of its tabs on a gentle curve" in found.message


@pytest.mark.parametrize(("n", "r"), [(24, 100.0), (72, 20.0)])
def test_corners_and_sharp_rounds_of_short_lines_are_no_curve(n: int, r: float) -> None:
    """They turn by 15 degrees each, or as a round of 20 mm does."""
    tabs, (found,) = alone(panel("seat", many_sided(n, r)))
    assert tabs == ()
    assert found.code == "holding.no-tab"


@pytest.mark.parametrize(("gap", "told"), [(16.0, True), (32.0, False)])
def test_slender_parts_side_by_side_with_a_thin_strip_between_are_told(gap: float, told: bool) -> None:
    """Between kerfs of 6 mm, 4 mm are left over the whole length."""
    laid = sheet(
        *(Placement(f"batten {k}", 100, 200 + k * (25 + gap), 0, False) for k in range(2)),
        size=(2440.0, 750.0),
    )
    _, findings = tabbed(laid, *(plate(2000, 25, f"batten {k}") for k in range(2)))
    assert [f.code for f in findings] == ["holding.thin-waste"] * (2 if told else 0)
    assert all("32 mm of spacing or more" in f.remedy for f in findings)


def test_slender_parts_that_meet_end_to_end_are_not() -> None:
    laid = sheet(
        *(Placement(f"batten {k}", 50 + k * 1216, 200, 0, False) for k in range(2)), size=(2600.0, 750.0)
    )
    tabs, findings = tabbed(laid, *(plate(1200, 16, f"batten {k}") for k in range(2)))
    assert len(tabs) > 6
    assert findings == []
