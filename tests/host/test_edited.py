# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Edits by hand live with the result in the document: through Apply, changes of the model, undo and files."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from flatwright import api
from flatwright.edits.text import dumps
from flatwright.findings import UsageError
from flatwright.plan import Plan
from flatwright.steps import Options
from support.documents import box, feature
from support.sources import ROOT
from support.unit import TENONS, draw_unit, set_shown, shelf_shape, side_shape

pytestmark = pytest.mark.filterwarnings("ignore::DeprecationWarning")
PRESET = ROOT / "resources/presets/metric.shop.json"
NEAR = (9.0, TENONS[0], 109.0)  # the middle of the first joint
CORNER = (18.0, 20.0, 100.0)  # the lower, outer corner of its mortise, on the inner face


def apply(doc: Any, out: Path) -> api.Result:
    return api.apply_shop_rules(
        doc, PRESET, out, readings=["18:17.7"], options=Options((700, 500), "built-in")
    )


def classes(plan: Plan) -> list[str]:
    return [str(j.fit.get("class")) for j in plan.joints]


def fitted(doc: Any, name: str) -> Any:
    from flatwright.host import edited

    return edited.panel(doc, name)


def drawn(doc: Any) -> list[tuple[Any, ...]]:
    return [
        (o.Name, o.Label, round(o.Shape.Volume, 6), sorted(o.PropertiesList))
        for o in doc.Objects
        if o.Name.startswith(("Feature", "Box"))
    ]


def set_all(doc: Any) -> None:
    """One edit of each kind."""
    api.fit_joints(doc, [("Side", "Shelf", NEAR, "slip")])
    api.relieve_corners(doc, [("Side", CORNER)], "off")
    api.set_grain(doc, ["Side"], 90)
    api.choose_show_face(doc, ["Shelf"], "-n")


def check_all(result: api.Result, corners: int) -> None:
    """All edits of `set_all` are in a plan: one corner of the side's has no relief."""
    plan = result.plan
    assert sorted(classes(plan)) == ["glue", "slip"]
    assert plan.panel("Side").grain == 90
    assert plan.panel("Shelf").show == "-n"
    assert sum(r.panel == "Side" for r in plan.reliefs) == corners - 1
    assert [f.code for f in result.findings if f.code.startswith("edit.")] == []


@pytest.fixture
def out(tmp_path: Path) -> Path:
    return tmp_path / "out"


def test_edits_live_through_apply_and_leave_what_is_drawn_alone(document: Any, out: Path) -> None:
    from flatwright.host import edited, remembered

    draw_unit(document)
    before = drawn(document)
    first = apply(document, out).plan
    assert classes(first) == ["glue", "glue"]
    corners = sum(r.panel == "Side" for r in first.reliefs)
    set_all(document)
    assert remembered.stale(document) == edited.CHANGED
    check_all(apply(document, out), corners)
    assert remembered.stale(document) == ""
    kept = dumps(edited.edits(document))
    check_all(apply(document, out), corners)
    assert dumps(edited.edits(document)) == kept
    assert drawn(document) == before


def test_edits_live_through_changes_of_the_model(document: Any, out: Path) -> None:
    side, shelf = draw_unit(document)
    corners = sum(r.panel == "Side" for r in apply(document, out).plan.reliefs)
    set_all(document)
    side.Shape = side_shape(height=400.0)  # before the first Apply with them
    check_all(apply(document, out), corners)
    side.Shape, shelf.Shape = side_shape(400.0, rise=140.0), shelf_shape(rise=140.0)
    check_all(apply(document, out), corners)
    box(document, "A foot", (100, 60, 18), at=(0, 0, -200))
    check_all(apply(document, out), corners)


@pytest.mark.parametrize(
    ("axis", "degrees"), [((0, 0, 1), 180), ((1, 0, 0), 90), ((1, 2, 3), 50)], ids=["half", "laid", "tilted"]
)
def test_edits_go_with_a_piece_that_was_turned(
    document: Any, out: Path, axis: tuple[float, float, float], degrees: float
) -> None:
    import FreeCAD

    solids = draw_unit(document)
    corners = sum(r.panel == "Side" for r in apply(document, out).plan.reliefs)
    set_all(document)
    before = apply(document, out).plan
    turn = FreeCAD.Rotation(FreeCAD.Vector(*axis), degrees)
    for solid in solids:
        solid.Placement = FreeCAD.Placement(FreeCAD.Vector(70, -20, 400), turn)
    result = apply(document, out)
    assert [f.code for f in result.findings if f.code.startswith("edit.")] == []
    after = result.plan
    assert sorted(classes(after)) == ["glue", "slip"]
    assert sum(r.panel == "Side" for r in after.reliefs) == corners - 1
    assert abs(after.panel("Side").grain) == pytest.approx(90)
    faces = {"+n": 1, "-n": -1}
    was, now = (p.panel("Shelf") for p in (before, after))
    n = turn.multVec(FreeCAD.Vector(*was.frame.n)) * faces[was.show]
    assert list(n) == pytest.approx((now.frame.n * faces[now.show]).tolist(), abs=1e-6)


def test_a_renamed_panel_keeps_its_edits(document: Any, out: Path) -> None:
    side, _ = draw_unit(document)
    apply(document, out)
    set_all(document)
    side.Label = "Left"
    result = apply(document, out)
    assert result.plan.panel("Left").grain == 90
    assert sorted(classes(result.plan)) == ["glue", "slip"]
    assert [f.code for f in result.findings if f.code.startswith("edit.")] == []
    assert fitted(document, "Left").SetGrain == "90 deg"


def test_what_is_gone_is_told_and_comes_back(document: Any, out: Path) -> None:
    side, shelf = draw_unit(document)
    corners = sum(r.panel == "Side" for r in apply(document, out).plan.reliefs)
    set_all(document)
    apply(document, out)
    set_shown(document, shelf, False)
    told = [f for f in apply(document, out).findings if f.code == "edit.gone"]
    assert [f.severity for f in told] == ["warning"] * 3  # the class, the corner, the show face
    assert all("Shelf" in f.message for f in told)
    set_shown(document, shelf, True)
    check_all(apply(document, out), corners)
    side.Shape, shelf.Shape = side_shape(tenons=TENONS[1:]), shelf_shape(tenons=TENONS[1:])
    result = apply(document, out)
    assert classes(result.plan) == ["glue"]
    assert len([f for f in result.findings if f.code == "edit.gone"]) == 2  # the class and the corner


def test_lost_edits_can_be_forgotten(document: Any, out: Path) -> None:
    from flatwright.host import edited

    document.UndoMode = 1
    _, shelf = draw_unit(document)
    apply(document, out)
    set_all(document)
    set_shown(document, shelf, False)
    apply(document, out)
    lost = edited.lost_edits(document)
    assert (len(lost.panels), len(lost.joints), len(lost.corners)) == (1, 1, 1)
    api.forget_lost_edits(document)
    assert document.UndoNames[0] == "Forget Lost Edits"
    [left] = edited.edits(document).panels
    assert (left.panel.source, left.grain) == ("Side", 90.0)
    assert edited.edits(document).joints == edited.edits(document).corners == ()
    result = apply(document, out)
    assert [f.code for f in result.findings if f.code.startswith("edit.")] == []
    document.undo()
    document.undo()
    assert edited.lost_edits(document) == lost


def test_missing_slots_are_cut_once_asked_for_and_from_then_on(document: Any, out: Path) -> None:
    """The side is drawn without its mortises: refused, until the slots may be cut."""
    from flatwright.host import edited

    document.UndoMode = 1
    feature(document, "Side", side_shape(tenons=()))
    feature(document, "Shelf", shelf_shape())
    document.recompute()
    refused = apply(document, out)
    assert refused.refused and "joint.collision" in {f.code for f in refused.findings}
    api.cut_missing_slots(document)
    assert document.UndoNames[0] == "Cut Missing Slots"
    for _ in range(2):
        done = apply(document, out)
        assert not done.refused
        assert [j.kind for j in done.plan.joints] == ["mortise and tenon"] * 2
        assert [f.code for f in done.findings].count("joint.slot-cut") == 1
    api.cut_missing_slots(document, False)
    assert not edited.edits(document).cut_slots
    assert apply(document, out).refused


def test_an_edit_is_one_undo_step(document: Any, out: Path) -> None:
    from flatwright.host import edited, remembered

    document.UndoMode = 1
    draw_unit(document)
    apply(document, out)
    nothing = edited.edits(document)
    for name, edit in (
        ("Set Grain", lambda: api.set_grain(document, ["Side", "Shelf"], "any")),
        ("Keep Face in Place", lambda: api.keep_face_in_place(document, ["Side"], "-n")),
        ("Choose Board", lambda: api.choose_board(document, ["Side"], "birch 15")),
        ("Choose Show Face", lambda: api.choose_show_face(document, ["Side"], "both")),
        ("Fit Joints", lambda: api.fit_joints(document, [("Side", "Shelf", None, "press")])),
        ("Relieve Corners", lambda: api.relieve_corners(document, [("Side", CORNER)], "dog-bone")),
    ):
        edit()
        done = edited.edits(document)
        assert document.UndoNames[0] == name
        assert done != nothing
        document.undo()
        assert edited.edits(document) == nothing
        assert remembered.stale(document) == ""
        document.redo()
        assert edited.edits(document) == done
        assert remembered.stale(document) == edited.CHANGED
        document.undo()


def test_apply_with_edits_is_one_undo_step(document: Any, out: Path) -> None:
    from flatwright.host import edited

    document.UndoMode = 1
    draw_unit(document)
    apply(document, out)
    set_all(document)
    before = dumps(edited.edits(document))
    apply(document, out)
    document.undo()
    assert document.UndoNames[0] == "Choose Show Face"
    assert dumps(edited.edits(document)) == before


def test_the_property_editor_changes_what_concerns_a_panel(document: Any, out: Path) -> None:
    from flatwright.host import edited, remembered

    draw_unit(document)
    apply(document, out)
    panel = fitted(document, "Side")
    assert panel.getEnumerationsOfProperty("SetBoard")[0] == "by rule"
    assert {panel.SetGrain, panel.SetShowFace, panel.SetStayingFace, panel.SetBoard} == {"by rule"}
    panel.SetStayingFace = "-n"
    assert remembered.stale(document) == edited.CHANGED
    panel.SetGrain = "any"
    result = apply(document, out)
    assert result.plan.panel("Side").grain is None
    assert round(float(result.plan.panel("Side").frame.origin[0]), 6) == 0.0  # x 0..17.7: -n stayed
    assert fitted(document, "Side").SetStayingFace == "-n"
    fitted(document, "Side").SetStayingFace = "by rule"
    fitted(document, "Side").SetGrain = "by rule"
    assert edited.edits(document).panels == ()


def test_the_face_that_stays_and_the_board_have_commands(document: Any, out: Path) -> None:
    draw_unit(document)
    apply(document, out)
    api.keep_face_in_place(document, ["Side"], "-n")
    api.choose_board(document, ["Shelf"], "birch 15")
    plan = apply(document, out).plan
    assert round(float(plan.panel("Side").frame.origin[0]), 6) == 0.0  # x 0..17.7: -n stayed
    assert plan.panel("Shelf").board == "birch 15"
    api.keep_face_in_place(document, ["Side"], None)
    api.choose_board(document, ["Shelf"], None)
    plan = apply(document, out).plan
    assert round(float(plan.panel("Side").frame.origin[0]), 6) == 0.3
    assert plan.panel("Shelf").board == "birch 18"


def test_t_bones_lie_along_the_longer_edge_of_each_corner(document: Any, out: Path) -> None:
    draw_unit(document)
    apply(document, out)
    corners = [("Side", (18.0, y, z)) for y in (20.0, 60.0) for z in (100.0, 118.0)]
    api.relieve_corners(document, corners, "T-bone longer")
    plan = apply(document, out).plan
    frame = plan.panel("Side").frame
    chosen = 0
    for r in plan.reliefs:
        corner, centre = frame.to_space([r.corner, r.centre])
        if r.panel == "Side" and corner[1] < 70:
            chosen += 1
            # the mortise is 40 mm along y and 18 along z
            assert [abs(v) for v in centre - corner] == pytest.approx([0, r.radius, 0], abs=1e-6)
    assert chosen == 4


def test_a_board_by_hand(document: Any, out: Path) -> None:
    draw_unit(document)
    apply(document, out)
    panel = fitted(document, "Shelf")
    other = next(b for b in panel.getEnumerationsOfProperty("SetBoard")[1:] if b != panel.Board)
    panel.SetBoard = other
    assert apply(document, out).plan.panel("Shelf").board == other


def test_a_board_by_hand_is_measured_by_its_own_thickness(document: Any, out: Path) -> None:
    from flatwright.host import measuring
    from flatwright.presets.reading import load

    draw_unit(document)
    apply(document, out)
    boards = load(PRESET).boards
    other = next(b for b in boards if abs(b.nominal - 18) > 3)
    fitted(document, "Shelf").SetBoard = other.name
    drawn = measuring.panel_thicknesses(document, boards)
    assert drawn == {"Side": 18.0, "Shelf": other.nominal}
    readings = ["18:17.7", f"{other.nominal:g}:{other.nominal - 0.2:g}"]
    needed, _ = measuring.needed_boards(drawn, boards, readings)
    assert {n.board for n in needed} == {fitted(document, "Side").Board, other.name}
    result = api.apply_shop_rules(
        document, PRESET, out, readings=readings, options=Options((700, 500), "built-in")
    )
    assert result.plan.panel("Shelf").thickness == pytest.approx(other.nominal - 0.2)


def test_edits_are_in_the_file(app: Any, document: Any, out: Path, tmp_path: Path) -> None:
    from flatwright.host import edited

    draw_unit(document)
    corners = sum(r.panel == "Side" for r in apply(document, out).plan.reliefs)
    set_all(document)
    kept = edited.edits(document)
    document.saveCopy(str(tmp_path / "unit.FCStd"))
    again = app.openDocument(str(tmp_path / "unit.FCStd"))
    assert edited.edits(again) == kept
    app.closeDocument(again.Name)
    options = Options((700, 500), "built-in")
    result = api.apply(
        tmp_path / "unit.FCStd", PRESET, tmp_path / "cli", readings=["18:17.7"], options=options
    )
    check_all(result, corners)
    once_more = api.apply(
        tmp_path / "cli/fitted.FCStd", PRESET, tmp_path / "more", readings=["18:17.7"], options=options
    )
    check_all(once_more, corners)


def test_a_file_of_edits_comes_on_top(document: Any, out: Path, tmp_path: Path) -> None:
    from flatwright.host import edited
    from flatwright.host.solids import read_solids
    from flatwright.host.step import write_step
    from flatwright.panels.find import find_panels

    draw_unit(document)
    corners = sum(r.panel == "Side" for r in apply(document, out).plan.reliefs)
    set_all(document)
    (tmp_path / "edits.json").write_text(dumps(edited.edits(document)), encoding="utf-8")
    write_step(find_panels(read_solids(document)[0])[0], tmp_path / "unit.step")
    result = api.apply(
        tmp_path / "unit.step", PRESET, tmp_path / "cli", readings=["18:17.7"],
        options=Options((700, 500), "built-in"), edits=tmp_path / "edits.json",
    )  # fmt: skip
    check_all(result, corners)


def test_a_file_of_edits_that_is_not_sound_changes_nothing(tmp_path: Path) -> None:
    (tmp_path / "edits.json").write_text('{"format": "flatwright-edits", "version": 1, "joint": []}')
    with pytest.raises(UsageError, match='did you mean "joints"'):
        api.apply("no.step", PRESET, tmp_path / "cli", edits=tmp_path / "edits.json")
    assert not (tmp_path / "cli").exists()


@pytest.mark.parametrize(
    ("edit", "says"),
    [
        (lambda d: api.set_grain(d, ["Door"], 0), "no fitted panel called Door"),
        (lambda d: api.fit_joints(d, [("Side", "Side", None, "slip")]), "no joint between"),
        (lambda d: api.relieve_corners(d, [("Side", (9, 100, 250))], "off"), "no inside corner"),
        (lambda d: api.choose_board(d, ["Side"], "oak 18"), "no board called 'oak 18'; it has birch 3"),
    ],
)
def test_what_is_not_there_cannot_be_edited(document: Any, out: Path, edit: Any, says: str) -> None:
    draw_unit(document)
    apply(document, out)
    with pytest.raises(UsageError, match=says):
        edit(document)


def test_before_there_is_a_result_there_is_nothing_to_edit(document: Any) -> None:
    draw_unit(document)
    with pytest.raises(UsageError, match="apply the shop rules first"):
        api.set_grain(document, ["Side"], 0)
