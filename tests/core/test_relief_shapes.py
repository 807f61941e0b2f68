# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Reliefs where corners are near each other, on curved edges, at shoulders and in pockets."""

from __future__ import annotations

import math

import numpy as np
import pytest
from shapely.geometry import box

from flatwright.geometry.outline import Outline, polygon_outline, rectangle
from flatwright.geometry.polygon import polygon
from flatwright.joints.relief import widest_bit
from flatwright.joints.relief_choice import CornerChoice, CornerKind
from flatwright.joints.relief_place import Covers, Mate
from flatwright.presets.model import ReliefRules
from support.pieces import board
from support.relief_check import NOTHING, T, blocked, mate_of, plate, relieved

R = 3.0


@pytest.mark.parametrize("width", [6.0, 6.02, 6.25, 7.0, 8.4, 2 * math.sqrt(2) * R, 9.0])
@pytest.mark.parametrize("kind", ["least visible", "dog-bone", "T-bone in", "T-bone out"])
def test_reliefs_at_the_end_of_a_narrow_slot_become_one_shape(width: float, kind: CornerKind) -> None:
    slot = rectangle(-width / 2, -20, width / 2, 20).cw()
    mate = mate_of(slot, 0.01)
    choices = [CornerChoice((x, y), kind) for x, y in slot.points.tolist()]
    done = relieved(plate(slot), [mate], R, corners=choices)
    new = done.panel.holes[0]
    assert done.findings == () and len(done.reliefs) == 4
    assert blocked(new, mate, R) < 0.02 < blocked(slot, mate, R)
    assert {round(s.radius, 6) for s in new.segments() if not s.is_line} == {R}
    ends = [s for s in new.segments() if s.is_line and abs(s.p[1]) == abs(s.q[1]) == 20.0]
    if kind == "dog-bone" and width < 8.4:
        assert ends == [], "nothing is left of the end edges: two arcs meet in the middle"


@pytest.mark.parametrize("kind", ["least visible", "dog-bone", "T-bone"])
def test_the_end_of_a_narrow_slot_still_holds_the_mate(kind: str) -> None:
    """Two dog-bones would take the whole end of a slot little wider than the bit, T-bones along it do not;
    where the preset asks for dog-bones it is said."""
    slot = rectangle(-3.1, -20, 3.1, 20).cw()
    mate = mate_of(slot, 0.125)
    done = relieved(plate(slot), [mate], R, ReliefRules(kind=kind))  # type: ignore[arg-type]
    ends = [s for s in done.panel.holes[0].segments() if s.is_line and abs(s.p[1]) == abs(s.q[1]) == 20.0]
    assert [s.length for s in ends] == [pytest.approx(6.2)] * 2
    assert blocked(done.panel.holes[0], mate, R) < 0.02
    assert [f.code for f in done.findings] == (["relief.other-kind"] if kind == "dog-bone" else [])


def test_two_t_bones_across_the_end_of_a_slot_as_wide_as_the_bit_are_one_round_end() -> None:
    slot = rectangle(-3, -20, 3, 20).cw()
    choices = [CornerChoice((-3, 20), "T-bone out"), CornerChoice((3, 20), "T-bone in")]
    done = relieved(plate(slot), [mate_of(slot, 0.01)], R, corners=choices)
    top = [x for x in done.reliefs if x.corner[1] > 0]
    assert [x.centre for x in top] == [pytest.approx((0, 20))] * 2
    arcs = [s for s in done.panel.holes[0].segments() if not s.is_line and s.centre[1] > 19]
    assert [s.radius for s in arcs] == [pytest.approx(R)]
    assert [x.visible for x in top] == [pytest.approx(math.pi * R * R, abs=0.1), 0.0], "counted once"


@pytest.mark.parametrize("rise", [0.5, 1.0, 2.0, 4.0])
def test_a_step_lower_than_the_bit(rise: float) -> None:
    """The edge of the step is shorter than what a relief takes of it."""
    void = polygon_outline([(0, 0), (40, 0), (40, 30), (20, 30), (20, 30 - rise), (0, 30 - rise)]).cw()
    mate = mate_of(void)
    done = relieved(plate(void), [mate], R)
    assert done.findings == ()
    assert blocked(done.panel.holes[0], mate, R) < 0.02


@pytest.mark.parametrize(
    "bulges", [(0, 0.4, 0, 0), (0, -0.4, 0, -0.3), (0.2, -0.3, 0.2, 0), (-0.1, 0, -0.1, 0)]
)
def test_corners_between_lines_and_arcs(bulges: tuple[float, ...]) -> None:
    void = Outline(np.array([(0, 0), (50, 0), (50, 24), (0, 24)], float), np.array(bulges)).cw()
    mate = mate_of(void)
    done = relieved(plate(void), [mate], R)
    assert done.findings == () and done.reliefs
    new = done.panel.holes[0]
    assert blocked(new, mate, R) < 0.02 < blocked(void, mate, R)
    kept = {round(s.radius, 6) for s in void.segments() if not s.is_line}
    assert {round(s.radius, 6) for s in new.segments() if not s.is_line} == {*kept, R}


def test_a_corner_that_no_mate_meets_stays_clean() -> None:
    slot = rectangle(0, 0, 60, 18).cw()
    half = box(0.1, 0.1, 40, 17.9)
    done = relieved(plate(slot), [half], R)
    assert {x.corner for x in done.reliefs} == {(0.0, 0.0), (0.0, 18.0)}


def test_a_mate_with_room_in_the_corner_needs_no_relief() -> None:
    """GEO-6: the bit stays 1.24264 mm short of the corner; a clearance of r(1 - 1/√2) both ways is enough."""
    slot = rectangle(0, 0, 60, 18).cw()
    off = R * (1 - 1 / math.sqrt(2))
    assert relieved(plate(slot), [mate_of(slot, off + 0.01)], R).reliefs == ()
    assert len(relieved(plate(slot), [mate_of(slot, off - 0.05)], R).reliefs) == 4


def test_the_way_in_of_a_mate_counts() -> None:
    """A notch that the mate passes on its way to a narrower place."""
    void = polygon_outline([(0, 0), (60, 0), (60, 18), (30, 18), (30, 30), (0, 30)]).cw()
    resting, way = box(40, 0.1, 59.9, 17.9), box(0.1, 0.1, 59.9, 17.9)
    assert {x.corner for x in relieved(plate(void), [resting], R).reliefs} == {(60.0, 0.0), (60.0, 18.0)}
    assert (0.0, 0.0) in {x.corner for x in relieved(plate(void), [way], R).reliefs}


def shelf(width: float = 60.0, low: float = 0.0, high: float = 200.0) -> Outline:
    """A board with a tenon at its right end, shoulders at x = 100."""
    a, b = 100 - width / 2, 100 + width / 2
    tenon = [(100.0, a), (118.0, a), (118.0, b), (100.0, b)]
    return polygon_outline([(0, low), (100, low), *tenon, (100, high), (0, high)])


SHOULDERS = [box(100, -50, 118, 69.75), box(100, 130.25, 118, 250)]  # the wood of a side about the tenon


def test_shoulders_keep_what_they_bear_with() -> None:
    """The relief goes into the tenon, where the side hides it or a short shoulder would lose too much."""
    side = box(100, -50, 118, 250)
    hidden = relieved(board("shelf", shelf()), SHOULDERS, R, covers=Covers((side,), (side,)))
    short = relieved(board("shelf", shelf(low=60, high=140)), SHOULDERS, R)
    for done, length in ((hidden, 70.0), (short, 10.0)):
        assert {x.kind for x in done.reliefs} == {"T-bone"}
        assert sorted(x.centre for x in done.reliefs) == [(103.0, 70.0), (103.0, 130.0)]
        left = [s for s in done.panel.outline.segments() if s.p[0] == s.q[0] == 100.0]
        assert [round(s.length, 6) for s in left] == [length] * 2, "both shoulders are whole"
        assert done.findings == ()
    assert sum(x.visible for x in hidden.reliefs) == pytest.approx(0, abs=0.01)


def test_a_narrow_tenon_is_not_cut_to_a_neck() -> None:
    """Reliefs from both sides of a tenon together leave the minimum web, though each alone would do."""
    narrow = [box(100, -50, 118, 95.0), box(100, 105.0, 118, 250)]
    done = relieved(board("shelf", shelf(10.2)), narrow, R)
    a, b = (x.centre for x in done.reliefs)
    assert math.dist(a, b) - 2 * R >= 6.0
    assert done.findings == ()


def test_a_bit_that_would_take_a_whole_edge_is_too_wide() -> None:
    """A tenon 3 mm long beside shoulders of 4 mm: a bit of 6 mm leaves nothing of one or the other."""
    outline = [(0, 0), (100, 0), (100, 4), (103, 4), (103, 40), (100, 40), (100, 44), (0, 44)]
    panel = board("lid", polygon_outline(outline))
    mates = [box(100, -50, 103, 3.75), box(100, 40.25, 103, 90)]
    done = relieved(panel, mates, 3.0)
    assert {f.code for f in done.findings} == {"relief.no-room"} and done.failed == (0,)
    assert relieved(panel, mates, 1.0).failed == ()
    asked = [CornerChoice((100, 4), "T-bone in"), CornerChoice((100, 40), "T-bone out")]
    assert relieved(panel, mates, 3.0, corners=asked).failed == (), "by hand it may"


def test_a_pocket_is_relieved_on_its_own_face() -> None:
    pocket = rectangle(0, 0, 60, 18)
    mate = mate_of(pocket.cw())
    done = relieved(plate(pockets=[pocket]), [mate], R)
    assert len(done.reliefs) == 4
    assert sum(x.visible for x in done.reliefs) == pytest.approx(4 * 5.13717, abs=0.05)  # GEO-2, one face
    through = relieved(plate(pocket.cw()), [mate], R)
    assert sum(x.visible for x in through.reliefs) == pytest.approx(8 * 5.13717, abs=0.1)  # both faces


def test_a_mate_above_the_pocket_floor_alone_counts() -> None:
    pocket = rectangle(0, 0, 60, 18)
    panel = plate(pockets=[pocket])
    from flatwright.joints.relief import relieve

    under = relieve(panel, [Mate(mate_of(pocket.cw()), 0.0, 5.0)], NOTHING, [R, R], ReliefRules())
    assert under.reliefs == ()
    within = relieve(panel, [Mate(mate_of(pocket.cw()), 12.0, T)], NOTHING, [R, R], ReliefRules())
    assert len(within.reliefs) == 4


def test_a_relief_that_would_break_through_is_an_error_with_the_bit_that_works() -> None:
    slot = rectangle(-30, 0, 30, 18)
    panel = board("strip", rectangle(-30.9, -0.9, 30.9, 18.9), holes=[slot.cw()])
    mate = mate_of(slot.cw(), 0.05)
    done = relieved(panel, [mate], 6.0)
    assert {f.code for f in done.findings} <= {"relief.no-room", "relief.thin-web"}
    assert "relief.no-room" in {f.code for f in done.findings} and done.failed == (1,)
    rules = ReliefRules()
    widest = widest_bit(panel, [Mate(mate, 0, T)], NOTHING, 1, rules, 12.0)
    assert widest == 4.7, "0.9 mm less r(1 - 1/√2) of wood is left (GEO-1), and 0.2 mm are wanted"
    assert relieved(panel, [mate], widest / 2).failed == ()


def test_a_forced_relief_without_room_on_a_clean_corner_is_only_a_warning() -> None:
    panel = board("strip", rectangle(-60, -1, 60, 19), holes=[rectangle(-30, 0, 30, 18).cw()])
    done = relieved(panel, [], R, corners=[CornerChoice((-30, 0), "dog-bone")])
    (found,) = done.findings
    assert (found.code, found.severity) == ("relief.not-placed", "warning")
    assert done.reliefs == () and done.failed == ()


def test_visible_counts_what_mates_do_not_hide() -> None:
    """GEO-2: a dog-bone takes 5.13717 mm² of each face."""
    slot = rectangle(0, 0, 60, 18).cw()
    half = Covers((box(-50, -50, 30, 50),))
    done = relieved(plate(slot), [mate_of(slot)], R, ReliefRules(kind="dog-bone"), covers=half)
    by_corner = {x.corner: x.visible for x in done.reliefs}
    assert by_corner[0.0, 0.0] == pytest.approx(5.13717, abs=0.01)
    assert by_corner[60.0, 0.0] == pytest.approx(2 * 5.13717, abs=0.02)


def test_places_that_are_alike_come_out_alike() -> None:
    """Slots of one shape are thought about once; the result is the same as for each alone."""
    slots = [rectangle(x, y, x + 40, y + 18).cw() for x in (-150, 0, 110) for y in (-140.0, 3.3)]
    together = relieved(plate(*slots), [mate_of(s) for s in slots], R)
    for slot, new in zip(slots, together.panel.holes, strict=True):
        alone = relieved(plate(slot), [mate_of(slot)], R).panel.holes[0]
        assert np.allclose(alone.points, new.points, atol=2e-6)
    assert polygon(together.panel.holes[0].ccw()).area > polygon(slots[0].ccw()).area
