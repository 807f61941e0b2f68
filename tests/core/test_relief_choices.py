# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Choices for single corners: switched off, forced, and belonging to no corner."""

from __future__ import annotations

from collections.abc import Sequence

import pytest
from shapely.geometry import box

from flatwright.geometry.outline import rectangle
from flatwright.joints.contacts import find_contacts
from flatwright.joints.mates import covers, mates
from flatwright.joints.recognise import recognise
from flatwright.joints.relief import Relieved, relieve
from flatwright.joints.relief_choice import CornerChoice, CornerKind
from flatwright.joints.relief_place import Covers, Mate
from flatwright.plan import Panel
from flatwright.presets.model import ReliefRules
from support.pieces import board, slot, through_tenon

R = 3.0


def relieved(
    panels: Sequence[Panel], choices: Sequence[CornerChoice], rules: ReliefRules | None = None
) -> Relieved:
    """The first panel of a piece as drawn, relieved."""
    near, hidden = mates(panels, recognise(find_contacts(panels)).joints), covers(panels)
    radii = [R] * len(panels[0].loops())
    return relieve(panels[0], near[0], hidden[0], radii, rules or ReliefRules(), choices)


# the mortise of the side runs from (60, 100) to (140, 118)
CORNER = (60.0, 100.0)


def test_a_corner_switched_off_stays_and_says_that_the_mate_meets_it() -> None:
    plain = relieved(through_tenon(), [])
    done = relieved(through_tenon(), [CornerChoice((60.4, 101.5), "off")])
    assert {r.corner for r in plain.reliefs} - {r.corner for r in done.reliefs} == {CORNER}
    (found,) = done.findings
    assert found.code == "relief.switched-off"
    assert found.severity == "warning"
    assert "(60.0, 100.0)" in found.where
    assert done.failed == () and done.unused == ()


def test_switching_off_a_corner_that_needs_no_relief_says_nothing() -> None:
    side, shelf = through_tenon()
    done = relieved([side], [CornerChoice(CORNER, "off")])
    assert done.findings == () and done.reliefs == () and done.unused == ()
    assert shelf.name == "shelf"


@pytest.mark.parametrize("kind", ["dog-bone", "T-bone in", "T-bone out"])
def test_a_forced_kind_is_put_there_with_a_mate_or_without(kind: CornerKind) -> None:
    for panels in (through_tenon(), through_tenon()[:1]):
        done = relieved(panels, [CornerChoice(CORNER, kind)])
        (here,) = [r for r in done.reliefs if r.corner == CORNER]
        assert here.kind == kind.removesuffix(" in").removesuffix(" out")
        assert done.findings == ()
    # the hole runs clockwise with wood on its left: into this corner along v, out of it along u or back
    x, y = here.centre
    assert {"dog-bone": x > 60 and y > 100, "T-bone in": x > 60, "T-bone out": y > 100}[kind]


def test_least_visible_at_one_corner_overrules_the_kind_of_the_preset() -> None:
    rules = ReliefRules(kind="dog-bone")
    done = relieved(through_tenon(), [CornerChoice(CORNER, "least visible")], rules)
    free = relieved(through_tenon(), [])
    kinds = {r.corner: r.kind for r in done.reliefs}
    assert kinds.pop(CORNER) == {r.corner: r.kind for r in free.reliefs}[CORNER]
    assert set(kinds.values()) == {"dog-bone"}


def test_a_choice_that_no_corner_is_near_to_is_handed_back() -> None:
    far = CornerChoice((56.0, 100.0), "dog-bone")
    done = relieved(through_tenon(), [far, CornerChoice((63.0, 100.0), "dog-bone")])
    assert done.unused == (far,)


def test_of_two_choices_for_one_corner_the_later_counts() -> None:
    done = relieved(through_tenon(), [CornerChoice(CORNER, "off"), CornerChoice(CORNER, "dog-bone")])
    assert done.findings == ()
    assert {r.corner: r.kind for r in done.reliefs}[CORNER] == "dog-bone"


def test_two_reliefs_do_not_take_the_whole_end_of_a_narrow_slot() -> None:
    # 6 mm board in a strip with 8 mm of wood on either side: two dog-bones would leave no end wall, T-bones
    # at the end's upper corners leave 5 mm of the 6 mm web that is wanted
    strip = board("strip", rectangle(0, 0, 300, 22), t=12.0, holes=[slot(40, 7.9, 260, 14.1)])
    mate = Mate(box(40.2, 8.05, 259.8, 13.95), 0.0, 12.0)
    done = relieve(strip, [mate], Covers(), [R] * 2, ReliefRules())
    for x in (40.0, 260.0):
        assert sorted(r.kind for r in done.reliefs if r.corner[0] == x) in (
            ["T-bone"] * 2,
            ["T-bone", "dog-bone"],
        )
        ends = [s for s in done.panel.holes[0].segments() if s.is_line and s.p[0] == s.q[0] == x]
        assert sum(s.length for s in ends) > 1.5
    assert {f.code for f in done.findings} == {"relief.thin-web"}


def test_where_a_spared_end_would_cost_most_of_the_web_the_web_stays() -> None:
    strip = board("strip", rectangle(0, 0, 300, 17), t=12.0, holes=[slot(40, 5.4, 260, 11.6)])
    mate = Mate(box(40.2, 5.55, 259.8, 11.45), 0.0, 12.0)
    done = relieve(strip, [mate], Covers(), [R] * 2, ReliefRules())
    assert {r.kind for r in done.reliefs} == {"dog-bone"}


def test_where_a_housing_runs_into_a_deeper_rabbet_it_has_no_corner() -> None:
    # the rabbet for the back runs along the whole edge; the shelf ends at the back's face
    pockets = [(rectangle(0, 282, 600, 300), 9.0, "+n"), (rectangle(200, 0, 218, 282), 6.0, "+n")]
    side = board("side", rectangle(0, 0, 600, 300), pockets=pockets)
    shelf = Mate(box(200.1, 0, 217.9, 282), 12.0, 18.0)
    back = Mate(box(0, 282, 600, 300), 9.0, 18.0)
    done = relieve(side, [shelf, back], Covers(), [R] * 3, ReliefRules())
    assert done.reliefs == () and done.findings == ()
    stopped = board("side", rectangle(0, 0, 600, 300), pockets=pockets[1:])
    done = relieve(stopped, [shelf], Covers(), [R] * 2, ReliefRules())
    assert len(done.reliefs) == 2
