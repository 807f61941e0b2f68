# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Edits by hand find what they refer to after the model was changed, or say that it is gone."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from flatwright.edits.by_hand import ByHand
from flatwright.edits.model import Edits, End, JointEdit, PanelEdit, PanelRef
from flatwright.geometry.frame import Frame
from flatwright.geometry.outline import rectangle
from support.edited import FAR, NEAR, done, slip_near, tenon, unit
from support.pieces import board

CHANGES = {
    "nothing": {},
    "upright 100 mm taller at the top": {"height": 400.0},
    "upright 100 mm taller at the bottom": {"below": 100.0},
    "upright no longer the longer way": {"height": 190.0},
    "slots moved 40 mm up with the shelf": {"rise": 140.0},
    "slots and tenons moved 40 mm along": {"slide": 40.0, "depth": 240.0},
    "slots and tenons moved 40 mm along, same depth": {"slide": 15.0},
    "deeper by half": {"depth": 300.0},
    "boards of 15": {"t": 15.0},
    "a board added before": {"first": (board("a", rectangle(0, 0, 50, 50), origin=(0, 0, 900)),)},
}


@pytest.mark.parametrize("change", CHANGES, ids=str)
def test_a_class_stays_with_its_joint(change: str) -> None:
    edits = slip_near(unit())
    run = done(unit(**CHANGES[change]), edits)
    classes = run.classes()
    assert run.codes == []
    assert len(classes) == 2
    assert classes[min(classes)] == "slip"
    assert classes[max(classes)] == "glue"


def test_the_class_makes_the_gap() -> None:
    run = done(unit(), slip_near(unit()))
    [side] = [p for p in run.piece.panels if p.name == "side"]
    widths = sorted(round(h.bounds()[3] - h.bounds()[1], 4) for h in side.holes)
    assert widths == [round(17.7 + 0.25, 4), round(17.7 + 0.4, 4)]


def test_many_small_changes_one_after_the_other_lose_nothing() -> None:
    edits = slip_near(unit())
    for step in range(1, 6):
        run = done(unit(rise=100.0 + 40 * step, height=300.0 + 40 * step, slide=3.0 * step), edits)
        edits = run.hand.kept
        assert run.codes == []
    assert run.classes() == {NEAR + 15: "slip", FAR + 15: "glue"}


def test_following_edits_twice_is_following_them_once() -> None:
    first = done(unit(height=400.0), slip_near(unit()))
    again = done(unit(height=400.0), first.hand.kept)
    assert again.hand.kept == first.hand.kept


def test_a_joint_that_is_gone_is_told_and_kept() -> None:
    edits = slip_near(unit())
    run = done(unit(tenons=(FAR,)), edits)
    assert run.codes == ["edit.gone"]
    assert "side" in run.findings[0].message
    assert "shelf" in run.findings[0].message
    assert run.hand.kept == edits
    assert set(run.classes().values()) == {"glue"}
    assert run.hand.told.lost_edits() == edits
    assert run.hand.kept.without(edits) == Edits()
    assert done(unit(), run.hand.kept).classes()[round(NEAR)] == "slip"


def test_a_reference_that_fits_two_joints_changes_neither() -> None:
    edits = Edits(joints=(JointEdit(tenon(unit(tenons=(80.0,)), 80.0), "slip"),))
    run = done(unit(tenons=(55.0, 105.0)), edits)
    assert run.codes == ["edit.torn"]
    assert set(run.classes().values()) == {"glue"}
    assert run.hand.kept == edits


def test_a_piece_that_was_turned_round_takes_no_edit_to_the_wrong_joint() -> None:
    """Half a turn about z puts the far tenon where the near one was in both boxes."""
    turned = [
        replace(p, frame=Frame(*(v * (-1, -1, 1) for v in (p.frame.origin, p.frame.u, p.frame.v, p.frame.n))))
        for p in unit()
    ]
    edits = slip_near(unit())
    run = done(turned, edits)
    assert run.codes == ["edit.gone"]
    assert set(run.classes().values()) == {"glue"}
    assert run.hand.kept == edits


def test_two_references_never_mean_one_joint() -> None:
    edits = Edits(joints=(JointEdit(tenon(unit()), "slip"), JointEdit(tenon(unit(), FAR), "press")))
    one = done(unit(tenons=(NEAR + 10,)), edits)
    assert one.classes() == {NEAR + 10: "slip"}
    assert one.codes == ["edit.gone"]


def test_without_a_place_all_joints_of_two_panels_are_meant() -> None:
    ends = (End(PanelRef("shelf")), End(PanelRef("side")))
    run = done(unit(), Edits(joints=(JointEdit(ends, "press"), *slip_near(unit()).joints)))
    assert run.classes() == {NEAR: "slip", FAR: "press"}
    assert done([p for p in unit() if p.name == "side"], Edits(joints=(JointEdit(ends, "press"),))).codes == [
        "edit.gone"
    ]


@given(
    height=st.integers(200, 500), below=st.integers(0, 150), rise=st.integers(60, 150),
    depth=st.integers(180, 300), slide=st.integers(-20, 20),
)  # fmt: skip
def test_an_edit_never_goes_to_the_wrong_joint(
    height: int, below: int, rise: int, depth: int, slide: int
) -> None:
    """It goes with its own, or it is told that it does not."""
    edits = Edits(joints=(JointEdit(tenon(unit()), "slip"), JointEdit(tenon(unit(), FAR), "press")))
    tenons = [y + slide for y in (NEAR, FAR)]
    moved = unit(height=height, below=below, rise=rise, depth=max(depth, tenons[1] + 21), tenons=tenons)
    run = done(moved, edits)
    classes = run.classes()
    assert classes[min(classes)] in ("slip", "glue")
    assert classes[max(classes)] in ("press", "glue")
    assert len(run.findings) == list(classes.values()).count("glue")


def test_a_class_that_the_preset_has_not_is_told() -> None:
    [edit] = slip_near(unit()).joints
    run = done(unit(), Edits(joints=(replace(edit, fit_class="loose"),)))
    assert run.codes == ["edit.no-such-class"]
    assert "glue, press, slip" in run.findings[0].remedy
    assert run.classes()[round(NEAR)] == "glue"
    assert run.hand.kept.joints[0].fit_class == "loose"


# -- panels ------------------------------------------------------------------------------


def test_a_renamed_panel_is_found_by_the_hosts_own_name() -> None:
    objects = {"side": "Box", "shelf": "Box001"}
    edits = replace(slip_near(unit(), objects), panels=(PanelEdit(PanelRef("side", "Box"), grain=90.0),))
    renamed = [replace(p, name="left", source="left") if p.name == "side" else p for p in unit()]
    run = done(renamed, edits, {"left": "Box", "shelf": "Box001"})
    assert run.codes == []
    assert [p.grain for p in run.piece.panels if p.name == "left"] == [90.0]
    assert run.hand.kept.panels[0].panel == PanelRef("left", "Box")
    assert sorted(str(j.fit["class"]) for j in run.piece.joints if "class" in j.fit) == ["glue", "slip"]


@pytest.mark.parametrize(("before", "now"), [("side", "Trolley/side"), ("Trolley/side", "side")])
def test_a_panel_put_into_a_group_is_the_same_panel(before: str, now: str) -> None:
    moved = [replace(p, source=now) if p.name == "side" else p for p in unit()]
    run = done(moved, Edits((PanelEdit(PanelRef(before), grain="any"),)))
    assert run.codes == []
    assert run.hand.kept.panels[0].panel.source == now


def test_a_panel_of_the_same_label_in_another_group_is_another_panel() -> None:
    other = [replace(p, source="Cabinet B/side") if p.name == "side" else p for p in unit()]
    assert done(other, Edits((PanelEdit(PanelRef("Cabinet A/side"), grain="any"),))).codes == ["edit.gone"]


def test_labels_that_changed_places_take_nothing_along() -> None:
    edit = PanelEdit(PanelRef("side", "Box"), grain="any")
    swapped = [replace(p, name=n, source=n) for p, n in zip(unit(), ("shelf", "side"), strict=True)]
    run = done(swapped, Edits((edit,)), {"shelf": "Box", "side": "Box001"})
    assert [p.grain is None for p in run.piece.panels] == [True, False]


def test_a_panel_that_is_gone_is_told_and_kept() -> None:
    edits = Edits((PanelEdit(PanelRef("Trolley/back"), show="-n", board="birch 6"),))
    run = done(unit(), edits)
    assert run.codes == ["edit.gone"]
    assert run.findings[0].where == "back"
    assert "The show face and board of back" in run.findings[0].message
    assert run.hand.kept == edits


def test_show_face_and_grain_are_as_set() -> None:
    edits = Edits(
        (PanelEdit(PanelRef("side"), grain="any", show="-n"), PanelEdit(PanelRef("shelf"), grain=30.0))
    )
    side, shelf = done(unit(), edits).piece.panels
    assert (side.grain, side.show, shelf.grain) == (None, "-n", 30.0)


def test_the_grain_stays_when_another_side_becomes_the_longer_one() -> None:
    """Said as 0 of a board whose longer side was y, it is 90 of one whose longer side is z."""
    tall = board("side", rectangle(0, 0, 300, 200), u=(0, 0, 1), n=(1, 0, 0))
    wide = board("side", rectangle(0, 0, 400, 300), u=(0, 1, 0), n=(1, 0, 0))
    first = ByHand(Edits((PanelEdit(PanelRef("side"), grain=0.0),)), [tall], {})
    second = ByHand(first.kept, [wide], {})
    assert second.kept.panels[0].grain == 90.0
    assert ByHand(second.kept, [tall], {}).kept.panels[0].grain == 0.0


@pytest.mark.parametrize("stays", ["+n", "-n"])
def test_the_face_that_is_to_stay_stays(stays: str) -> None:
    run = done(unit(), Edits((PanelEdit(PanelRef("side"), stays=stays),)))  # type: ignore[arg-type]
    side = run.piece.panels[0]
    low, high = float(side.frame.origin[0]), float(side.frame.origin[0]) + side.thickness
    assert (round(low, 6), round(high, 6)) == ((0.3, 18.0) if stays == "+n" else (0.0, 17.7))


def test_a_board_goes_with_its_panel() -> None:
    edits = Edits((PanelEdit(PanelRef("side", "Box"), board="birch 12"),))
    renamed = [replace(p, name="left", source="left") if p.name == "side" else p for p in unit()]
    assert ByHand(edits, renamed, {"left": "Box"}).boards() == {"left": "birch 12"}
