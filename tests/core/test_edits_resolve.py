# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Edits by hand find what they refer to after the model was changed, or say that it is gone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import pytest

from flatwright.edits.by_hand import ByHand
from flatwright.edits.model import CornerEdit, Edits, End, JointEdit, JointRef, PanelEdit, PanelRef
from flatwright.edits.spots import Panels, point3, spot_of
from flatwright.findings import Finding
from flatwright.geometry.frame import Frame
from flatwright.geometry.outline import rectangle
from flatwright.joints.fit import Thickness
from flatwright.joints.piece import Piece, fit_piece, surroundings
from flatwright.plan import Panel, Relief
from flatwright.presets.model import FitClass, Fits, ReliefRules
from support.pieces import board, slot

T = 18.0
FITS = Fits(
    "glue",
    {"press": FitClass(0.05, 0.2, 0.3), "glue": FitClass(0.25, 0.5, 0.4), "slip": FitClass(0.4, 0.8, 0.8)},
)
NEAR, FAR = 40.0, 160.0  # middle of the two tenons along y


@dataclass
class Done:
    """A run on panels that are there already, as `steps.decide` does it."""

    hand: ByHand
    piece: Piece
    reliefs: list[Relief]

    @property
    def codes(self) -> list[str]:
        return [f.code for f in self.hand.findings]

    @property
    def findings(self) -> list[Finding]:
        return self.hand.findings

    def classes(self) -> dict[float, str]:
        """Fit class by the middle of the joint along y, of the joints of side and shelf."""
        out = {}
        for joint, found, ref in zip(
            self.piece.joints, self.piece.found, self.hand.spots(self.piece.joints), strict=True
        ):
            if {"side", "shelf"} == set(joint.panels) and found.kind == "mortise and tenon":
                assert ref is not None
                spot = next(e.spot for e in ref.ref if e.panel.source == "shelf")
                assert spot is not None
                out[round(spot.at[1])] = str(joint.fit["class"])
        return out


def unit(
    *, height: float = 300.0, below: float = 0.0, rise: float = 100.0, depth: float = 200.0,
    tenons: Sequence[float] = (NEAR, FAR), slide: float = 0.0, first: Sequence[Panel] = (), t: float = T,
) -> list[Panel]:  # fmt: skip
    """An upright side (x 0..t, z from -below to height) and a shelf at z = rise whose tenons, 40 mm wide
    about y = `tenons` (moved by `slide`), go through it."""
    ys = [y + slide for y in tenons]
    holes = [slot(y - 20, below + rise, y + 20, below + rise + T) for y in ys]
    side = board(
        "side",
        rectangle(0, 0, depth, below + height),
        origin=(0, 0, -below),
        u=(0, 1, 0),
        n=(1, 0, 0),
        holes=holes,
        t=t,
    )
    left = [(t, depth)]
    for y in reversed(ys):
        left += [(t, y + 20), (0, y + 20), (0, y - 20), (t, y - 20)]
    shelf = board("shelf", [*left, (t, 0), (400, 0), (400, depth)], origin=(0, 0, rise))
    return [*first, side, shelf]


def done(panels: Sequence[Panel], edits: Edits = Edits(), objects: dict[str, str] | None = None) -> Done:  # noqa: B008
    hand = ByHand(edits, panels, objects or {})
    board_ = {p.name: Thickness(17.7, 17.7) for p in panels}
    drawn = [replace(p, board="birch") for p in hand.shown(panels)]
    piece, _ = fit_piece(
        drawn, board_, FITS, classes=lambda found: hand.classes(found, FITS), stays=hand.stays()
    )
    piece = replace(piece, panels=tuple(hand.grained(piece.panels)))
    corners = hand.corners(piece.panels)
    reliefs: list[Relief] = []
    for around in surroundings(piece):
        radii = [3.0] * len(around.panel.loops())
        relieved = around.relieve(radii, ReliefRules(), corners.get(around.panel.name, ()))
        reliefs += relieved.reliefs
        assert relieved.unused == ()
    return Done(hand, piece, reliefs)


def tenon(panels: Sequence[Panel], y: float = NEAR, objects: dict[str, str] | None = None) -> JointRef:
    """What a run calls the joint whose tenon is about y."""
    run = done(panels, objects=objects)
    for ref, found in zip(run.hand.spots(run.piece.joints), run.piece.found, strict=True):
        if ref is not None and found.kind == "mortise and tenon":
            spot = next(e.spot for e in ref.ref if e.panel.source == "shelf")
            if spot is not None and abs(spot.at[1] - y) < 5:
                return ref.ref
    raise LookupError(y)


def slip_near(panels: Sequence[Panel], objects: dict[str, str] | None = None) -> Edits:
    """The tenon at NEAR set to slip."""
    return Edits(joints=(JointEdit(tenon(panels, objects=objects), "slip"),))


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
    assert "show face, board" in run.findings[0].message
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


# -- corners -----------------------------------------------------------------------------


def corner(panels: Sequence[Panel], at: tuple[float, float, float], kind: str, served: bool = True) -> Edits:
    """An edit of the side's corner nearest to a point of the assembly, as the window makes one."""
    run = done(panels)
    named = Panels(panels)
    index = next(i for i, p in enumerate(panels) if p.name == "side")
    end = End(named.ref(index), spot_of(panels[index], np.array(at)))
    [edit] = slip_near(panels).joints
    low = np.array([0.0, 0.0, 0.0])
    joint = edit.joint if served else None
    spot = next(e.spot for e in edit.joint if e.panel.source == "side")
    assert spot is not None
    middle = np.array(spot.at) + low
    way = point3(np.array(at) - middle) if served else None
    assert run.codes == []
    return Edits(corners=(CornerEdit(end, kind, joint, way),))  # type: ignore[arg-type]


def relieved(run: Done) -> set[tuple[float, float]]:
    """Corners of the side with a relief, (y, z) to the nearest mm."""
    [side] = [p for p in run.piece.panels if p.name == "side"]
    out = set()
    for r in run.reliefs:
        if r.panel == "side":
            _, y, z = side.frame.to_space(np.array([r.corner]), 0.0)[0]
            out.add((float(round(y)), float(round(z))))
    return out


LOWER = (9.0, 20.0, 100.0)  # the corner of the near slot at its lower, outer end


@pytest.mark.parametrize("served", [True, False], ids=["of a joint", "of the panel"])
def test_a_relief_that_is_off_stays_off(served: bool) -> None:
    assert (20.0, 100.0) in relieved(done(unit()))
    edits = corner(unit(), LOWER, "off", served)
    run = done(unit(), edits)
    assert run.codes == []
    assert relieved(done(unit())) - relieved(run) == {(20.0, 100.0)}
    again = done(unit(), run.hand.kept)
    assert relieved(again) == relieved(run)
    assert again.hand.kept == run.hand.kept


@pytest.mark.parametrize(
    ("change", "off"),
    [
        ({"height": 400.0}, (20.0, 100.0)),
        ({"below": 100.0}, (20.0, 100.0)),
        ({"rise": 140.0}, (20.0, 140.0)),
        ({"slide": 40.0, "depth": 240.0}, (60.0, 100.0)),
        ({"first": (board("a", rectangle(0, 0, 50, 50), origin=(0, 0, 900)),)}, (20.0, 100.0)),
    ],
    ids=str,
)
def test_a_corner_goes_with_its_joint(change: dict[str, float], off: tuple[float, float]) -> None:
    run = done(unit(**change), corner(unit(), LOWER, "off"))  # type: ignore[arg-type]
    assert run.codes == []
    assert relieved(done(unit(**change))) - relieved(run) == {off}  # type: ignore[arg-type]


def test_a_corner_whose_joint_is_gone_is_told_and_kept() -> None:
    edits = corner(unit(), LOWER, "off")
    run = done(unit(tenons=(FAR,)), edits)
    assert run.codes == ["edit.gone"]
    assert "No relief at a corner of side" in run.findings[0].message
    assert run.hand.kept == edits


def test_a_corner_that_is_gone_is_told() -> None:
    edits = corner(unit(), (9.0, 100.0, 200.0), "off", served=False)
    assert done(unit(), edits).codes == ["edit.gone"]


def test_a_relief_is_of_the_kind_that_was_chosen() -> None:
    kinds = {}
    for kind in ("dog-bone", "T-bone in", "T-bone out"):
        run = done(unit(), corner(unit(), LOWER, kind))
        [one] = [r for r in run.reliefs if r.panel == "side" and np.allclose(r.corner, (20, 100), atol=1)]
        kinds[kind] = (one.kind, tuple(np.round(np.subtract(one.centre, one.corner), 3)))
    assert [k for k, _ in kinds.values()] == ["dog-bone", "T-bone", "T-bone"]
    assert len({c for _, c in kinds.values()}) == 3
