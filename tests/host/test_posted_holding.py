# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What holds the parts, looked for in the posted text alone: spot marks, room for screws, tabs."""

from __future__ import annotations

import math
from collections import defaultdict
from dataclasses import dataclass

import pytest
import shapely

from flatwright.holding.force import SHEAR_STRENGTH, share_along
from support.posted_files import Laid, Posted, Step

pytestmark = pytest.mark.slow
SPECIFIC_FORCE = 40.0  # N/mm², assumed for plywood; MAC-5: 32 to 37.6 measured on particleboard
FIRM = 3.0  # mm of wood that a tab ends in, beyond the kerf
ROUNDED = 5.0  # mm: how much of a rounded corner the planner may pass over
CORNER = 3.0  # mm between a tab and the next corner, at the least


@dataclass(frozen=True, slots=True)
class Bridge:
    """A tab as the text leaves it: the middle of the bit's way over it, that way's length, its height."""

    at: tuple[float, float]
    way: float
    height: float
    step: Step


def marks(laid: Laid) -> list[tuple[float, float, float]]:
    return [
        s.end for f in laid.files if f.kind == "spots" for s in f.steps if s.kind != "rapid" and s.drop > 0
    ]


def bridges(laid: Laid) -> dict[str, list[Bridge]]:
    """The lifts of the lowest pass over the kerf of each part's outline, by the part."""
    tops = sorted({round(t.height, 3) for t in laid.sheet.tabs})
    lowest: dict[tuple[str, tuple[int, int]], Bridge] = {}
    for s in laid.cutting():
        if s.centre is not None or s.flat < 3.0 or abs(s.drop) > 1e-3:
            continue
        if not any(abs(s.low - h) < 3e-3 for h in tops):
            continue
        middle = ((s.start[0] + s.end[0]) / 2, (s.start[1] + s.end[1]) / 2)
        for name, rim in laid.rims.items():
            off = rim.exterior.distance(shapely.Point(middle)) - s.bit.cut / 2
            if abs(off) < 0.02 and not rim.contains(shapely.Point(middle)):
                found = Bridge(middle, s.flat, s.low, s)
                lowest[name, (round(middle[0]), round(middle[1]))] = found
    out: dict[str, list[Bridge]] = defaultdict(list)
    for (name, _), found in lowest.items():
        if all(math.dist(found.at, b.at) > 2.0 for b in out[name]):
            out[name].append(found)
    return out


def relaxed(posted: Posted) -> set[str]:
    """Parts for whose tabs a rule had to go."""
    return posted.told("holding.tabs-relaxed") | posted.told("holding.dress-edge")


def test_spot_marks_come_first_at_every_screw_and_nothing_else_is_cut(posted: Posted) -> None:
    depth = posted.preset.holding.fasteners.mark_depth
    for laid in posted.sheets:
        spots, *cuts = laid.files
        assert spots.kind == "spots"
        assert all(c.kind == "cut" for c in cuts)
        assert {s.bit for s in spots.steps} == {next(laid.cutting()).bit}, "the bit that cuts first"
        wanted = [(s.x, s.y) for s in laid.sheet.screws]
        found = marks(laid)
        assert len(found) == len(wanted)
        for x, y, z in found:
            assert min(math.dist((x, y), w) for w in wanted) <= posted.tolerance
            assert z == pytest.approx(laid.smallest - depth, abs=posted.tolerance), (
                "from the smallest reading"
            )
        lines = [s for s in spots.steps if s.kind != "rapid"]
        assert all(s.flat < 1e-6 for s in lines), "marks, and no cuts"


def test_every_part_and_corner_is_in_reach_of_a_screw(posted: Posted) -> None:
    reach = posted.preset.holding.fasteners.reach + ROUNDED
    missed = posted.told("holding.uncovered")
    for laid in posted.sheets:
        screws = [m[:2] for m in marks(laid)]
        length, width = laid.sheet.size
        corners = {"": [(0.0, 0.0), (length, 0.0), (length, width), (0.0, width)]}
        ends = {n: [*shapely.get_coordinates(r.convex_hull)] for n, r in laid.rims.items()}
        codes = {f.code for f in posted.run.result.findings if f.sheet == laid.sheet.name}
        for name, points in (corners | ends).items():
            far = max(min(math.dist(p, s) for s in screws) for p in points)
            assert far <= reach or name in missed or (not name and "holding.uncovered" in codes), name


def test_no_bit_comes_near_a_screw(posted: Posted) -> None:
    """Cuts keep head and margin off the screws at any depth, low rapids the head and 1 mm."""
    rules = posted.preset.holding.fasteners
    for laid in posted.sheets:
        screws = shapely.MultiPoint([m[:2] for m in marks(laid)])
        over = laid.largest + rules.head_height
        for f in laid.files:
            for s in f.steps if f.kind == "cut" else ():
                if s.low >= over or (s.kind == "rapid" and s.flat < 1e-6):
                    continue
                keep = rules.margin if s.kind != "rapid" else 0.9
                clear = s.way().distance(screws) - s.bit.cut / 2 - rules.head_diameter / 2
                assert clear >= keep - 0.05, f"{s.place}: {clear:.3f} mm"


def test_screws_stand_in_no_part(posted: Posted) -> None:
    rules = posted.preset.holding.fasteners
    for laid in posted.sheets:
        for x, y, _ in marks(laid):
            off = min(w.distance(shapely.Point(x, y)) for w in laid.woods.values())
            assert off >= rules.head_diameter / 2 + rules.margin - 0.05


def test_every_planned_tab_is_in_the_text_along_the_grain(posted: Posted) -> None:
    """CP-4: straight, along x, as long and as high as planned, at most a third of the board."""
    exempt = relaxed(posted)
    for laid in posted.sheets:
        found = bridges(laid)
        for t in laid.sheet.tabs:
            if t.panel in exempt or laid.rims[t.panel].buffer(-1.0).contains(shapely.Point(t.x, t.y)):
                continue  # a drop is waste: its tabs may stand on any edge
            b = min(found[t.panel], key=lambda b: math.dist(b.at, (t.x, t.y)))
            assert math.dist(b.at, (t.x, t.y)) <= b.step.bit.cut / 2 + 0.1, t
            assert b.way - b.step.bit.cut == pytest.approx(t.length, abs=0.01)
            assert b.height == pytest.approx(t.height, abs=posted.tolerance)
            assert b.height <= laid.sheet.thickness / 3 + 0.01
            dx, dy = (q - p for p, q in zip(b.step.start[:2], b.step.end[:2], strict=True))
            assert abs(dy) <= abs(dx) * math.tan(math.radians(10.0)), b.step.place


def test_tabs_surround_the_middle_and_are_strong_enough(posted: Posted) -> None:
    """HLD-4: only the plies across the tab count; MAC-5: the force of a full slot, one pass deep."""
    rules = posted.preset.holding
    if "tabs" not in rules.method:
        return
    exempt = relaxed(posted) | posted.told("holding.weak")
    for laid in posted.sheets:
        found = bridges(laid)
        board = next(b for b in posted.preset.boards if b.name == laid.sheet.board)
        for name in sorted(set(laid.woods) - exempt):
            mine = found[name]
            assert len(mine) >= rules.tabs.at_least, name
            if len(mine) > 2:
                hull = shapely.MultiPoint([b.at for b in mine]).convex_hull
                assert hull.distance(laid.woods[name].centroid) < 1.0, name
            bit = mine[0].step.bit
            feed = posted.preset.feed(bit.number, board.name)
            force = SPECIFIC_FORCE * feed.pass_depth * bit.flutes * feed.chip_load / math.pi
            assert board.plies
            across = 1.0 - share_along(
                mine[0].height, laid.sheet.thickness, board.plies, board.face_veneer or 1.0
            )
            bears = sum(SHEAR_STRENGTH * (b.way - bit.cut) * b.height * across for b in mine)
            assert bears >= rules.tabs.factor * force, f"{name}: {bears:.0f} N for {force:.1f} N"


def test_tabs_keep_off_corners_neighbours_and_edges_of_the_sheet(posted: Posted) -> None:
    exempt = relaxed(posted)
    for laid in posted.sheets:
        length, width = laid.sheet.size
        for name, mine in bridges(laid).items():
            if name in exempt:
                continue
            sharp = shapely.MultiPoint(shapely.get_coordinates(laid.rims[name].simplify(0.05)))
            others = shapely.union_all([r for n, r in laid.rims.items() if n != name])
            for b in mine:
                bit = b.step.bit.cut
                at = shapely.Point(b.at)
                assert sharp.distance(at) >= (b.way - bit) / 2 + CORNER, b.step.place
                assert others.is_empty or others.distance(at) >= bit + FIRM - 0.1, b.step.place
                assert min(b.at[0], b.at[1], length - b.at[0], width - b.at[1]) >= bit / 2 + FIRM - 0.1
