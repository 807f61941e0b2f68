# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Tabs by hand in a document: shown at once, kept by Apply, one undo step, in the file."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from flatwright import api
from flatwright.edits.text import dumps
from flatwright.findings import UsageError
from flatwright.steps import Options
from support.sources import ROOT
from support.unit import draw_unit, set_shown, side_shape

pytestmark = pytest.mark.filterwarnings("ignore::DeprecationWarning")
PRESET = ROOT / "resources/presets/metric.shop.json"


def apply(doc: Any, out: Path) -> api.Result:
    return api.apply_shop_rules(
        doc, PRESET, out, readings=["18:17.7"], options=Options((700, 500), "built-in")
    )


def member(doc: Any, kind: str) -> Any:
    return next(o for o in doc.Objects if getattr(o, "FlatwrightKind", "") == kind)


def at(doc: Any, panel: str) -> list[tuple[float, float]]:
    """Where the tabs of a part are shown, in its own frame."""
    from flatwright.host import tabs

    return [g[:2] for g in tabs.given(tabs.laid_part(doc, panel))]


@pytest.fixture
def out(tmp_path: Path) -> Path:
    return tmp_path / "out"


@pytest.fixture
def unit(document: Any, out: Path) -> Any:
    document.UndoMode = 1
    draw_unit(document)
    apply(document, out)
    return document


def box_of(shape: Any) -> list[float]:
    b = shape.BoundBox
    return [round(v, 3) for v in (b.XMin, b.YMin, b.ZMin, b.XLength, b.YLength, b.ZLength)]


def test_the_tabs_of_the_plan_are_shown_on_the_sheet(unit: Any) -> None:
    from flatwright.host import remembered

    (sheet,) = remembered.plan(unit).sheets
    shown = member(unit, "tabs").Shape.Solids
    assert len(shown) == 2 * len(sheet.tabs) > 6
    for solid, mark, tab in zip(shown[::2], shown[1::2], sheet.tabs, strict=True):
        assert mark.BoundBox.ZMin == pytest.approx(sheet.thickness)
        assert (mark.CenterOfMass.x, mark.CenterOfMass.y) == pytest.approx((tab.x, tab.y), abs=1e-6)
        assert (solid.CenterOfMass.x, solid.CenterOfMass.y) == pytest.approx((tab.x, tab.y), abs=1e-6)
        assert solid.BoundBox.ZMin == pytest.approx(0.0, abs=1e-6)
        assert solid.BoundBox.ZMax == pytest.approx(tab.height, abs=1e-6)


def test_looking_again_without_edits_gives_the_same_tabs(unit: Any) -> None:
    from flatwright.host import remembered, tabs

    placed, findings = tabs._look(unit, member(unit, "tabs"))
    assert placed == remembered.plan(unit).sheets[0].tabs
    told = {f.message for f in remembered.findings(unit)}
    assert {f.message for f in findings} <= told


def test_a_tab_is_moved_added_taken_away_and_resized_each_in_one_step(unit: Any, out: Path) -> None:
    from flatwright.host import edited, remembered, tabs

    before = tabs.given(tabs.laid_part(unit, "Side"))
    (u, v, *_), *rest = before  # at the end of a long edge
    nothing, shape = edited.edits(unit), box_of(member(unit, "tabs").Shape)
    steps = {
        "moved": [(u + 9.0, v), *rest],
        "added": [*before, (155.0, v)],
        "taken away": before[1:],
        "resized": [(u, v, 14.0, 4.0), *rest],
    }
    for what, given in steps.items():
        api.place_tabs(unit, "Side", given)
        assert unit.UndoNames[0] == "Place Tabs"
        now = tabs.given(tabs.laid_part(unit, "Side"))
        assert sorted(n[:2] for n in now) == sorted(g[:2] for g in given), what
        assert remembered.stale(unit) == edited.CHANGED
        if what == "resized":
            assert (14.0, 4.0) in {n[2:] for n in now}
            boxes = {round(s.BoundBox.ZLength, 3) for s in member(unit, "tabs").Shape.Solids}
            assert 4.0 in boxes
        unit.undo()
        assert edited.edits(unit) == nothing
        assert box_of(member(unit, "tabs").Shape) == shape
        assert remembered.stale(unit) == ""
    api.place_tabs(unit, "Side", steps["moved"])
    result = apply(unit, out)
    there = {(round(t.x, 2), round(t.y, 2)) for t in result.plan.sheets[0].tabs if t.panel == "Side"}
    laid = tabs.laid_part(unit, "Side")
    assert there == {tuple(round(c, 2) for c in laid.to_sheet(g[:2])) for g in steps["moved"]}  # type: ignore[misc]
    assert not result.refused
    again = apply(unit, out)
    assert again.plan.sheets[0].tabs == result.plan.sheets[0].tabs
    api.place_tabs(unit, "Side", None)
    assert at(unit, "Side") == [g[:2] for g in before]
    assert edited.edits(unit).tabs == ()


def test_they_outlive_a_change_of_the_model_and_the_file(
    app: Any, unit: Any, out: Path, tmp_path: Path
) -> None:
    from flatwright.host import edited

    given = at(unit, "Side")
    api.place_tabs(unit, "Side", given)
    next(o for o in unit.Objects if o.Label == "Side").Shape = side_shape(height=340.0)
    result = apply(unit, out)
    assert [f.code for f in result.findings if f.code.startswith("edit.")] == []
    assert len([t for t in result.plan.sheets[0].tabs if t.panel == "Side"]) == len(given)
    kept = dumps(edited.edits(unit))
    unit.saveCopy(str(tmp_path / "unit.FCStd"))
    again = app.openDocument(str(tmp_path / "unit.FCStd"))
    assert dumps(edited.edits(again)) == kept
    assert len(member(again, "tabs").Shape.Solids) == 2 * len(result.plan.sheets[0].tabs)
    app.closeDocument(again.Name)


def test_a_wrong_tab_refuses_the_jobs_of_its_sheet_at_once_and_undo_gives_them_back(
    unit: Any, out: Path
) -> None:
    from flatwright.host import outdated, tabs
    from flatwright.host.cam_job import our_jobs

    paths = [len(o.Path.Commands) for j in our_jobs(unit) for o in j.Operations.Group]
    corner = (0.0, 3.0)
    given = [*at(unit, "Side"), corner]
    api.place_tabs(unit, "Side", given)
    assert "does not fit between the ends of its edge" in member(unit, "tabs").Wrong
    assert outdated.wrong_by_hand(unit) == {"sheet-1": [member(unit, "tabs").Wrong]}
    operations = [o for j in our_jobs(unit) for o in j.Operations.Group]
    assert all(o.Refused.startswith("out of date: ") and not o.Path.Commands for o in operations)
    codes = {f.code for f in tabs.findings_of(unit, "Side")}
    assert "holding.hand-tab" in codes
    result = apply(unit, out)
    assert "holding.hand-tab" in {f.code for f in result.findings}
    assert result.refused
    assert result.plan.sheets[0].programs == ()
    assert list((out / "sheets").glob("*.nc")) == []
    unit.undo()
    unit.undo()
    operations = [o for j in our_jobs(unit) for o in j.Operations.Group]
    assert all(o.Refused == "" for o in operations)
    assert [len(o.Path.Commands) for o in operations] == paths


def test_put_right_again_the_jobs_are_as_they_were(unit: Any) -> None:
    from flatwright.host.cam_job import our_jobs

    given = at(unit, "Side")
    paths = [len(o.Path.Commands) for j in our_jobs(unit) for o in j.Operations.Group]
    api.place_tabs(unit, "Side", [*given, (0.0, 3.0)])
    api.place_tabs(unit, "Side", given)
    assert member(unit, "tabs").Wrong == ""
    assert [len(o.Path.Commands) for j in our_jobs(unit) for o in j.Operations.Group] == paths


def test_lost_tabs_are_told_and_forgotten(unit: Any, out: Path) -> None:
    from flatwright.host import edited

    api.place_tabs(unit, "Shelf", at(unit, "Shelf"))
    set_shown(unit, next(o for o in unit.Objects if o.Label == "Shelf"), False)
    told = [f for f in apply(unit, out).findings if f.code == "edit.gone"]
    assert [f.message.split(",")[0] for f in told] == ["What was said of tabs of Shelf"]
    assert len(edited.lost_edits(unit).tabs) == 1
    api.forget_lost_edits(unit)
    assert edited.edits(unit).tabs == ()


@pytest.mark.parametrize(
    ("panel", "tabs", "says"),
    [
        ("Back", [], "no fitted panel called Back"),
        ("Side", [(100.0, 100.0)], "mm from the nearest edge of Side"),
        ("Side", [(0.0, 60.0, -2.0, None)], "-2 mm length"),
        ("Side", [(None, 60.0)], "has no place"),
    ],
)
def test_bad_input_is_told_and_changes_nothing(unit: Any, panel: str, tabs: Any, says: str) -> None:
    from flatwright.host import edited

    before = dumps(edited.edits(unit))
    with pytest.raises(UsageError, match=says):
        api.place_tabs(unit, panel, tabs)
    assert dumps(edited.edits(unit)) == before


def test_a_part_that_lies_on_no_sheet_with_tabs_is_told(unit: Any) -> None:
    unit.removeObject(member(unit, "tabs").Name)
    with pytest.raises(UsageError, match="lies on no sheet that is held by tabs"):
        api.place_tabs(unit, "Side", [])


def test_a_file_of_edits_on_the_command_line_puts_them_too(unit: Any, tmp_path: Path) -> None:
    """The places are in the box about the fitted panel, as the document keeps them."""
    from flatwright.host import edited

    api.place_tabs(unit, "Side", at(unit, "Side")[:2])
    file = tmp_path / "tabs.json"
    file.write_text(dumps(edited.edits(unit)), encoding="utf-8")
    unit.undo()
    unit.saveCopy(str(tmp_path / "unit.FCStd"))
    options = Options((700, 500), "built-in")
    result = api.apply(
        tmp_path / "unit.FCStd", PRESET, tmp_path / "cli", readings=["18:17.7"], options=options, edits=file
    )
    assert len([t for t in result.plan.sheets[0].tabs if t.panel == "Side"]) == 2
    assert "holding.hand-tabs" in {f.code for f in result.findings}


def test_one_beside_a_screw_is_told_in_the_panel_and_by_apply(unit: Any, out: Path) -> None:
    """The screw was dragged there, inside its zone, so it stays where it is."""
    import FreeCAD
    import Part

    from flatwright.host import tabs

    (tab, *_) = tabs.laid_part(unit, "Side").tabs()
    across = (0.0, 1.0) if abs(tab.angle % 180.0) < 1.0 else (1.0, 0.0)
    sketch = member(unit, "screws")
    for k in range(len(sketch.Geometry) - 1, -1, -1):
        sketch.delGeometry(k)
    for way in (14.5, -14.5):
        at = FreeCAD.Vector(tab.x + way * across[0], tab.y + way * across[1], 0)
        sketch.addGeometry(Part.Point(at), False)
        unit.recompute()
        if not member(unit, "heads").Outside:
            break
        sketch.delGeometry(0)
    given = tabs.given(tabs.laid_part(unit, "Side"))
    api.place_tabs(unit, "Side", given)
    told = [f for f in tabs.findings_of(unit, "Side") if f.code == "holding.tab-at-screw"]
    assert [f.severity for f in told] == ["warning"]
    assert "take that screw out" in told[0].remedy
    assert member(unit, "tabs").Wrong == ""
    result = apply(unit, out)
    assert [f.message for f in result.findings if f.code == "holding.tab-at-screw"] == [told[0].message]
    assert not result.refused
    api.place_tabs(unit, "Side", given[1:])
    assert "holding.tab-at-screw" not in {f.code for f in tabs.findings_of(unit, "Side")}
