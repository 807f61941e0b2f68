# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What a careful operator asks of a program, looked for in the posted text alone (DESIGN §8, §9; the rules
are common practice, CHECKS section 0). Where a rule was relaxed, a finding says so and names the part.

On the demo's pieces and a share of the corpus, another every day; on all of it with --long.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable

import numpy as np
import pytest
import shapely

from flatwright.geometry.outline import is_circle
from flatwright.plan import placed
from support.posted_files import Laid, Posted, Step

pytestmark = pytest.mark.slow
ALONG = math.radians(10.0)  # an edge this near to the fibres' direction runs with the grain
LEVEL = 2e-3  # mm between heights that are one
ROUNDED = 1.01  # of a feed: what posted decimals make of it on the shortest moves
GIANT = 5000.0  # mm: no arc is wider


def along_x(s: Step) -> bool:
    dx, dy = s.end[0] - s.start[0], s.end[1] - s.start[1]
    return abs(dy) <= abs(dx) * math.tan(ALONG)


def on_a_tab(laid: Laid, s: Step) -> bool:
    """Whether a step lies on a tab or its slope."""
    for t in laid.sheet.tabs:
        reach = math.hypot((t.length + s.bit.cut) / 2 + t.height + 1.0, s.bit.cut)
        low = s.start[2] <= t.height + LEVEL
        if low and all(math.dist((t.x, t.y), p[:2]) <= reach for p in (s.start, s.end)):
            return True
    return False


def ramps(laid: Laid) -> list[Step]:
    """Slanting descents, but for the far sides of tabs."""
    return [s for s in laid.cutting() if s.drop > LEVEL and s.flat > 1e-6 and not on_a_tab(laid, s)]


def faces_down(posted: Posted, laid: Laid) -> set[str]:
    """The parts whose face that is up does not show."""
    return {
        p.panel
        for p in laid.sheet.placements
        if posted.plan.panel(p.panel).show not in ("both", "-n" if p.flipped else "+n")
    }


def levels_of(laid: Laid, name: str) -> dict[int, tuple[Step, set[float]]]:
    """Heights at which each bit runs along a part's outline, tabs left out."""
    rim = laid.rims[name]
    tabs = {round(t.height, 2) for t in laid.sheet.tabs}
    out: dict[int, tuple[Step, set[float]]] = {}
    for s in laid.cutting():
        at = shapely.Point(s.end[:2])
        if s.flat < 1.0 or abs(s.drop) > LEVEL or rim.contains(at):
            continue
        if abs(rim.distance(at) - s.bit.cut / 2) < 0.02 and round(s.low, 2) not in tabs:
            out.setdefault(s.bit.number, (s, set()))[1].add(round(s.low, 2))
    return out


def test_every_file_ends_parked_with_the_spindle_stopped(posted: Posted) -> None:
    park = posted.preset.machine.park
    for laid in posted.sheets:
        for f in laid.files:
            end = f.steps[-1].end
            assert math.dist(end[:2], park) <= posted.tolerance
            assert end[2] >= laid.largest + posted.preset.machine.clear_height - posted.tolerance
            assert [e.value for e in f.reading.of_kind("spindle")][-1] == 0.0


def test_a_bit_that_may_drill_goes_first_and_no_other_plunges(posted: Posted) -> None:
    """CP-7."""
    for laid in posted.sheets:
        kinds = [s.bit.kind for s in laid.cutting()]
        assert kinds[0] in ("straight", "up-cut") or not {"straight", "up-cut"} & set(kinds)
        for s in laid.cutting():
            if s.bit.kind not in ("straight", "up-cut") and s.flat < 1e-6 and s.drop > 0.0:
                assert s.end[2] > laid.smallest - 1.0, s.place


def test_round_holes_are_bored_by_bits_that_may_drill(posted: Posted) -> None:
    """CP-7; round holes so wide that a drop stays are cut out like other openings."""
    for laid in posted.sheets:
        for p in laid.sheet.placements:
            for hole in posted.plan.panel(p.panel).holes:
                circle = is_circle(placed(hole, p))
                if circle is None:
                    continue
                inside = [s for s in laid.cutting() if math.dist(s.end[:2], circle[0]) < circle[1]]
                assert inside
                for s in inside:
                    assert s.bit.may_drill or circle[1] > s.bit.cut, s.place


def test_round_pockets_with_room_are_entered_by_a_helix(posted: Posted) -> None:
    for laid in posted.sheets:
        for p in laid.sheet.placements:
            panel = posted.plan.panel(p.panel)
            for pocket in panel.pockets:
                circle = is_circle(placed(pocket.outline, p))
                if circle is None:
                    continue
                floor = panel.thickness - pocket.depth
                for s in laid.cutting():
                    there = math.dist(s.end[:2], circle[0]) < circle[1] and s.low >= floor - LEVEL
                    room = circle[1] - s.bit.cut / 2 >= s.bit.cut / 4
                    if there and room and s.start[2] < laid.smallest and s.drop > LEVEL:
                        assert s.centre is not None, s.place


def test_ramps_run_with_the_grain_and_no_steeper_than_asked(posted: Posted) -> None:
    """CP-6. The sheet's grain runs along x."""
    exempt = posted.told("cutting.ramp-across-grain")
    steepest = math.tan(posted.preset.entries.ramp_angle)
    for laid in posted.sheets:
        found = ramps(laid)
        assert found
        free = exempt | faces_down(posted, laid)
        for s in found:
            assert s.drop <= s.flat * steepest + 2.0 * posted.tolerance, s.place
            if s.centre is None and not along_x(s):
                assert laid.beside(s, free), s.place


def test_no_ramp_runs_where_a_tab_stands(posted: Posted) -> None:
    for laid in posted.sheets:
        spots = shapely.MultiPoint([(t.x, t.y) for t in laid.sheet.tabs])
        for s in ramps(laid):
            if s.low < max((t.height for t in laid.sheet.tabs), default=0.0):
                assert not spots.distance(s.way()) < s.bit.cut / 2 + 0.1, s.place


def test_nothing_is_deeper_than_the_overcut_and_every_outline_is_cut_through(posted: Posted) -> None:
    """Through but for the skin, where the shop leaves one."""
    through = -posted.preset.machine.overcut
    for laid in posted.sheets:
        assert min(s.low for s in laid.cutting()) >= through - posted.tolerance
        for name in laid.woods:
            heights = set.union(*(found for _, found in levels_of(laid, name).values()))
            assert min(heights) == pytest.approx(laid.sheet.skin or through, abs=0.006), name


def test_rapids_stay_over_the_board_and_never_slant(posted: Posted) -> None:
    for laid in posted.sheets:
        for s in (s for f in laid.files for s in f.steps if s.kind == "rapid"):
            assert s.low >= laid.largest + 1.0, s.place
            assert s.flat < 1e-6 or abs(s.drop) < 1e-6, s.place


def test_passes_are_even_and_none_is_too_deep(posted: Posted) -> None:
    """MAC-12: the levels of every outline; a skin's last pass and a compression bit's first stand apart."""
    for laid in posted.sheets:
        for name in laid.woods:
            for s, heights in levels_of(laid, name).values():
                most = posted.preset.feed(s.bit.number, laid.sheet.board).pass_depth
                steps = -np.diff([laid.largest, *sorted(heights, reverse=True)])
                if s.bit.kind == "compression":
                    assert s.bit.up_cut_length is not None
                    assert steps[0] >= min(s.bit.up_cut_length + 0.5, most) - 0.01, name  # CP-8
                    most = max(most, s.bit.up_cut_length + 0.5)
                    steps = steps[1:]
                assert len(steps) == 0 or steps.max() <= most + 0.01, (name, steps)
                assert len(steps) < 2 or np.ptp(steps) < 0.03, (name, steps)


def test_the_wood_lies_on_the_side_that_was_asked_for(posted: Posted) -> None:
    """Climb milling with a spindle that turns clockwise has the wood on the right of the feed."""
    climb = posted.preset.entries.direction == "climb"
    for laid in posted.sheets:
        every = shapely.union_all(list(laid.woods.values()))
        shapely.prepare(every)
        rims = every.boundary
        checked = 0
        for s in laid.cutting():
            if s.centre is not None or s.flat < 15.0 or abs(s.drop) > LEVEL:
                continue
            x, y = (s.start[0] + s.end[0]) / 2, (s.start[1] + s.end[1]) / 2
            r = s.bit.cut / 2
            ux, uy = (s.end[0] - s.start[0]) / s.flat, (s.end[1] - s.start[1]) / s.flat
            right, left = (x + uy * (r + 0.1), y - ux * (r + 0.1)), (x - uy * (r + 0.1), y + ux * (r + 0.1))
            if every.contains(shapely.Point(x, y)) or abs(rims.distance(shapely.Point(x, y)) - r) > 0.02:
                continue
            checked += 1
            one_side = every.contains(shapely.Point(right)), every.contains(shapely.Point(left))
            assert one_side != ((False, True) if climb else (True, False)), s.place
        assert checked > 2


def test_insides_come_before_outsides(posted: Posted) -> None:
    for laid in posted.sheets:
        moves = [s for s in laid.cutting() if s.flat > 1e-6 and s.low < laid.smallest - 0.1]
        ends = shapely.points([s.end[:2] for s in moves])
        radii = np.array([s.bit.cut / 2 for s in moves])
        for name, rim in laid.rims.items():
            inside = np.flatnonzero(shapely.contains(rim, ends))
            outside = np.flatnonzero(np.abs(shapely.distance(rim, ends) - radii) < 0.02)
            assert len(outside)
            assert not len(inside) or inside.max() < outside.min(), name


def test_no_bit_is_taken_up_twice(posted: Posted) -> None:
    """Bit changes are as few as there are bits: no part of the corpus asks for more."""
    for laid in posted.sheets:
        taken = [n for n, _ in itertools.groupby(s.bit.number for s in laid.cutting())]
        assert len(taken) == len(set(taken))


def test_arcs_are_arcs_with_centres_and_of_sensible_radius(posted: Posted) -> None:
    """GCD-2: both radii agree within 0.002 mm or 0.0002 in. GCD-3: no radius-format arcs. None is giant."""
    for laid in posted.sheets:
        for f in laid.files:
            assert not any(c.kind == "radius-arc" for c in f.reading.cautions)
            same = 0.002 if posted.preset.post.units == "mm" else 0.0002 * 25.4
            for s in f.steps:
                if s.centre is not None:
                    a, b = (math.dist(p[:2], s.centre) for p in (s.start, s.end))
                    assert abs(a - b) <= same + 1e-9, s.place
                    assert 0.01 <= a <= GIANT, s.place


def too_fast(posted: Posted, laid: Laid, steps: Iterable[Step]) -> list[str]:
    out = []
    for s in steps:
        feed = posted.preset.feed(s.bit.number, laid.sheet.board)
        length = math.hypot(s.flat, s.drop)
        sinking = s.feed * s.drop / length if length else 0.0
        if s.feed > ROUNDED * feed.cutting_feed(s.bit.flutes) or sinking > ROUNDED * feed.plunge:
            out.append(f"{s.place}: {s.feed:.0f}, sinking {sinking:.0f} mm/min")
        if s.spindle != feed.spindle:
            out.append(f"{s.place}: spindle {s.spindle:.0f}")
    return out


def test_feeds_and_speeds_are_those_of_bit_and_board(posted: Posted) -> None:
    """v_f = n z f_z (MAC-1) and the plunge's feed are never passed; the spindle turns as it is told."""
    for laid in posted.sheets:
        fed = [s for f in laid.files for s in f.steps if s.kind != "rapid"]
        assert too_fast(posted, laid, fed) == []
        wanted = {posted.preset.feed(s.bit.number, laid.sheet.board).cutting_feed(s.bit.flutes) for s in fed}
        assert max(s.feed for s in laid.cutting()) == pytest.approx(max(wanted), abs=1.0)
