# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What a class of fit and a board's thickness ask of slots and tips."""

from __future__ import annotations

import pytest

from flatwright.joints.contacts import find_contacts
from flatwright.joints.fit import Fitted, Thickness, fit, over_boards
from flatwright.joints.recognise import recognise
from flatwright.plan import Joint
from flatwright.presets.model import FitClass, Fits, Tip
from flatwright.proof.dry_fit import dry_fit
from support.pieces import cross_lap, finger_corner, through_tenon

LOOSER = FitClass(0.40, 0.50, 0.40)


def fitted(board: Thickness, values: FitClass = LOOSER) -> Fitted:
    scene = find_contacts(through_tenon(0.3))
    return fit(scene, recognise(scene), {0: board, 1: board}, Fits("only", {"only": values}))


def slot_width(result: Fitted) -> float:
    """Of the side's mortise, across the shelf."""
    _, y0, _, y1 = result.panels[0].holes[0].bounds()
    return y1 - y0


@pytest.mark.parametrize(
    ("board", "width"),
    [
        (Thickness(17.7, 17.7), 18.10),  # measured 17.7, the class's 0.40 over it
        (Thickness(17.7, 17.8), 18.20),  # cut for a thicker board, such as the largest reading
        (Thickness(17.7, 17.7, 0.15), 17.85),  # a clearance that the class has no say in
        (Thickness(17.7, 17.8, 0.15), 17.95),
    ],
)
def test_a_slot_is_cut_for_its_thickness_and_clearance(board: Thickness, width: float) -> None:
    result = fitted(board)
    assert slot_width(result) == pytest.approx(width)
    assert result.joints[0].fit["across_mm"] == pytest.approx(width - board.real)


def test_a_given_clearance_does_not_depend_on_the_class() -> None:
    board = Thickness(17.7, 17.7, 0.15)
    assert slot_width(fitted(board, FitClass(0.05, 0.2, 0.3))) == pytest.approx(slot_width(fitted(board)))


def test_another_boards_clearance_is_the_class_value() -> None:
    assert over_boards([0], LOOSER, {0: Thickness(17.7, 17.7)}) == 0.40
    scene = find_contacts(through_tenon())
    [joint] = fit(scene, recognise(scene), {}, Fits("only", {"only": LOOSER})).joints
    assert joint == Joint(joint.kind, joint.panels, {**joint.fit, "across_mm": 0.40})


@pytest.mark.parametrize(("tip", "proud"), [("flush", 0.0), ("proud", 1.2), ("shy", -1.2), ("as drawn", 0.0)])
@pytest.mark.parametrize("t", [17.6, 18.4])
def test_tips_are_flush_proud_or_shy_by_the_class(tip: Tip, proud: float, t: float) -> None:
    """The shelf's tenon ends at x = 0, the far face of the side, as drawn."""
    result = fitted(Thickness(t, t), FitClass(0.25, 0.5, 0.4, tip, 1.2))
    side, shelf = result.panels
    far = min(float(side.frame.to_space([[0, 0]], h)[0, 0]) for h in (0.0, side.thickness))
    end = float(shelf.frame.to_space(shelf.outline.points)[:, 0].min())
    assert far - end == pytest.approx(proud)


def test_fingers_stand_proud_on_both_boards() -> None:
    scene = find_contacts(finger_corner())
    values = Fits("only", {"only": FitClass(0.25, 0.5, 0.4, "proud", 0.8)})
    result = fit(scene, recognise(scene), {}, values)
    for panel in result.panels:
        x0, *_ = panel.outline.bounds()
        assert x0 == pytest.approx(-0.8)


def test_a_cross_lap_of_two_boards_has_a_clearance_each_way() -> None:
    """Boards that scatter differently take different clearances for one probability."""
    scene = find_contacts(cross_lap())
    boards = {0: Thickness(17.75, 17.75, 0.15, 0.18), 1: Thickness(18.06, 18.06, 0.24, 0.29)}
    result = fit(scene, recognise(scene), boards, Fits("only", {"only": LOOSER}))
    [joint] = result.joints
    assert (joint.fit["across_mm"], joint.fit["across_other_mm"]) == pytest.approx((0.29, 0.18))
    assert dry_fit(result.panels, result.joints).findings == ()
    same = fit(scene, recognise(scene), {0: boards[0], 1: boards[0]}, Fits("only", {"only": LOOSER}))
    assert "across_other_mm" not in same.joints[0].fit


def test_boards_glued_together_take_the_clearance_of_their_spreads_together() -> None:
    stack = {0: Thickness(18.0, 18.0, 0.3), 1: Thickness(9.0, 9.1, 0.4)}
    assert over_boards([0, 1], LOOSER, stack) == pytest.approx(0.5 + 0.1)


@pytest.mark.parametrize(
    ("values", "loose"),
    [
        (FitClass(0.05, 0.2, 0.3), 0.3),
        (FitClass(0.25, 0.5, 0.5), 0.5),
        (FitClass(0.25, 0.5, 0.5, too_loose=0.35), 0.35),
    ],
)
def test_too_loose_is_twice_the_clearance_unless_the_preset_says_otherwise(
    values: FitClass, loose: float
) -> None:
    assert values.loose == pytest.approx(loose)
