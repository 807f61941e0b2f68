# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The result in the document: what stands in it, that it replaces the last one, and that it lasts."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
import shapely

from flatwright.geometry.outline import polygon_outline
from flatwright.plan import Plan
from flatwright.plan_json import to_json
from flatwright.presets.model import Preset
from flatwright.presets.reading import load
from support.documents import box, labels
from support.plans import THICKNESS, plan, shelf, side
from support.sheet_programs import program, shop

ZONES = shapely.box(10, 10, 1210, 600) - shapely.box(40, 20, 500, 300)

# FreeCAD 1.0's own window library warns while it is imported, and ends the process if that is an error.
pytestmark = pytest.mark.filterwarnings("ignore::DeprecationWarning")


@pytest.fixture(scope="session")
def preset() -> Preset:
    return load(Path(__file__).parents[2] / "resources" / "presets" / "metric.shop.json")


def write(doc: Any, preset: Preset, what: Plan | None = None) -> Any:
    from flatwright.host.model import Record, write_model

    record = Record('{"name":\n "ours"}', "18: 17.7, 17.75", "/tmp/out")
    doc.openTransaction("Apply Shop Rules")
    group, findings = write_model(doc, what or plan(), preset, record, {"sheet-1": ZONES})
    doc.commitTransaction()
    assert findings == []
    return group


def tree(obj: Any) -> Any:
    """Labels of a group and its members."""
    return (obj.Label, [tree(m) for m in obj.Group]) if hasattr(obj, "Group") else obj.Label


def extent(shape: Any) -> list[float]:
    b = shape.BoundBox
    return [round(v, 6) for v in (shape.Volume, b.XMin, b.YMin, b.ZMin, b.XMax, b.YMax, b.ZMax)]


def state(doc: Any) -> list[tuple[Any, ...]]:
    """All that makes the document: names, labels, what is shown, and the shapes' size and place."""
    rows = []
    for o in doc.Objects:
        shape = getattr(o, "Shape", None)
        whole = shape is not None and not shape.isNull()
        rows.append((o.Name, o.TypeId, o.Label, o.Visibility, extent(shape) if whole else []))
    return rows


def test_one_group_holds_the_panels_and_each_sheet(document: Any, preset: Preset) -> None:
    group = write(document, preset)
    assert tree(group) == (
        "Flatwright",
        [
            ("Fitted panels", ["Shelf fitted", "Side (2) fitted"]),
            (
                "sheet-1",
                [
                    "Board sheet-1",
                    "Parts sheet-1",
                    "Screw zones sheet-1",
                    "Screw points sheet-1",
                    "Screw heads sheet-1",
                ],
            ),
            ("sheet-2", ["Board sheet-2", "Parts sheet-2", "Screw points sheet-2"]),
        ],
    )
    assert [r.Label for r in document.RootObjects] == ["Flatwright"]


def test_fitted_panels_stand_where_they_are_assembled(document: Any, preset: Preset) -> None:
    from flatwright.host.shapes import panel_solid

    write(document, preset)
    for panel in plan().panels:
        obj = document.getObjectsByLabel(f"{panel.name} fitted")[0]
        assert obj.Shape.common(panel_solid(panel)).Volume == pytest.approx(obj.Shape.Volume)
        assert obj.Thickness.Value == THICKNESS
        assert obj.Source == panel.source
        assert obj.ShowFace == panel.show


def test_parts_lie_on_the_sheet_in_the_coordinates_of_its_jobs(document: Any, preset: Preset) -> None:
    from flatwright.host.result import laid_parts

    write(document, preset)
    b = laid_parts(document, "sheet-2").Shape.BoundBox  # 300 x 150, stood on end at (200, 40)
    got = (b.XMin, b.YMin, b.ZMin, b.XMax, b.YMax, b.ZMax)
    assert got == pytest.approx((50, 40, 0, 200, 340, THICKNESS), abs=1e-6)
    board = document.getObjectsByLabel("Board sheet-1")[0].Shape
    assert board.Area == pytest.approx(1220 * 610)


def test_with_the_zero_on_the_board_top_a_sheet_lies_below_it(document: Any, preset: Preset) -> None:
    from flatwright.host.result import laid_parts

    write(document, replace(preset, machine=replace(preset.machine, zero="board top")))
    b = laid_parts(document, "sheet-2").Shape.BoundBox
    assert (b.ZMin, b.ZMax) == pytest.approx((-THICKNESS, 0), abs=1e-6)
    assert document.getObjectsByLabel("Screw zones sheet-1")[0].Shape.BoundBox.ZMax == pytest.approx(0)


def test_screw_zones_are_faces_and_screws_are_points_that_can_be_moved(document: Any, preset: Preset) -> None:
    import Part

    from flatwright.host.result import screw_points

    write(document, preset)
    zones = document.getObjectsByLabel("Screw zones sheet-1")[0].Shape
    assert zones.Area == pytest.approx(ZONES.area)
    sketch = document.getObjectsByLabel("Screw points sheet-1")[0]
    assert sketch.Placement.Base.z == pytest.approx(THICKNESS)
    assert [type(g) for g in sketch.Geometry] == [Part.Point] * 2
    assert screw_points(document, "sheet-1") == plan().sheets[0].screws
    sketch.delGeometry(1)
    sketch.addGeometry(Part.Point(sketch.Geometry[0].toShape().Point), False)
    moved = screw_points(document, "sheet-1")
    assert (moved[1].x, moved[1].y) == (15.0, 15.0)
    document.recompute()  # the heads follow the sketch
    heads = document.getObjectsByLabel("Screw heads sheet-1")[0].Shape
    assert heads.BoundBox.XMax == pytest.approx(15 + preset.holding.fasteners.head_diameter / 2)


def test_only_the_first_sheet_is_shown(document: Any, preset: Preset) -> None:
    write(document, preset)
    shown = {o.Label for o in document.Objects if o.Visibility}
    assert {"sheet-1", "Parts sheet-1", "Shelf fitted"} <= shown
    assert not {label for label in shown if "sheet-2" in label}


def test_the_rules_it_was_made_with_are_kept(document: Any, preset: Preset) -> None:
    group = write(document, preset)
    assert json.loads(group.PresetJson) == {"name": "ours"}
    assert (group.Readings, group.OutputFolder) == ("18: 17.7, 17.75", "/tmp/out")
    assert json.loads(group.PlanJson) == to_json(plan())


def test_the_model_is_not_touched(document: Any, preset: Preset) -> None:
    box(document, "Side")
    stale = box(document, "Stale", at=(0, 0, 50))
    document.recompute()
    stale.Height = 20  # not recomputed: that is the user's business
    before = state(document)
    write(document, preset)
    assert state(document)[: len(before)] == before
    assert "Touched" in stale.State


def test_a_second_result_replaces_the_first(document: Any, preset: Preset) -> None:
    box(document, "Side")
    document.recompute()
    write(document, preset)
    once = state(document)
    write(document, preset)
    assert state(document) == once


def test_jobs_stand_in_their_sheets_group_and_go_with_it(document: Any) -> None:
    from flatwright.host.cam_job import make_jobs, our_jobs
    from flatwright.host.result import add_jobs, laid_parts
    from flatwright.host.solids import read_solids

    box(document, "Side")
    document.recompute()
    write(document, shop())
    once = state(document)
    sheet = replace(plan().sheets[0], board=None)
    jobs = make_jobs(document, sheet, [program()], shop(), model_objects=[laid_parts(document, "sheet-1")])
    add_jobs(document, "sheet-1", jobs)
    assert [r.Label for r in document.RootObjects if r.Label not in ("Side", "Flatwright")] == []
    assert labels(read_solids(document)[0]) == ["Side"]
    write(document, shop())
    assert our_jobs(document) == []
    assert state(document) == once


def test_undo_gives_the_old_document_and_redo_the_new_one(document: Any, preset: Preset) -> None:
    document.UndoMode = 1
    box(document, "Side")
    document.recompute()
    before = state(document)
    write(document, preset)
    after = state(document)
    document.undo()
    assert state(document) == before
    document.redo()
    assert sorted(state(document)) == sorted(after)
    document.undo()
    write(document, preset, replace(plan(), sheets=plan().sheets[:1]))
    write(document, preset)
    document.undo()
    assert not document.getObjectsByLabel("Parts sheet-2")


def test_a_result_is_not_read_as_part_of_the_model(document: Any, preset: Preset) -> None:
    from flatwright.host.solids import read_solids

    box(document, "Side")
    document.recompute()
    write(document, preset)
    solids, findings = read_solids(document)
    assert labels(solids) == ["Side"]
    assert findings == []


def test_it_is_the_same_after_saving_and_opening(app: Any, preset: Preset, tmp_path: Path) -> None:
    doc = app.newDocument("Kept")
    write(doc, preset)
    before = state(doc)
    doc.saveAs(str(tmp_path / "fitted.FCStd"))
    app.closeDocument(doc.Name)
    doc = app.openDocument(str(tmp_path / "fitted.FCStd"))
    try:
        assert state(doc) == before
        assert not [o.Name for o in doc.Objects if "Touched" in o.State]
        for o in doc.Objects:
            o.touch()
        doc.recompute()
        assert state(doc) == before
        assert all(o.isValid() for o in doc.Objects)
    finally:
        app.closeDocument(doc.Name)


def test_the_layout_follows_a_panel_that_changes(document: Any, preset: Preset) -> None:
    from flatwright.host import objects, result

    write(document, preset)
    panel = document.getObjectsByLabel("Side (2) fitted")[0]
    objects.store_panel(panel, replace(side(), thickness=12.0))
    document.recompute()
    assert panel.Shape.Volume == pytest.approx(300 * 150 * 12)
    assert result.laid_parts(document, "sheet-2").Shape.Volume == pytest.approx(300 * 150 * 12)


def test_a_panel_that_makes_no_solid_is_an_error_and_the_rest_is_made(document: Any, preset: Preset) -> None:
    from flatwright.host.model import Record, write_model
    from flatwright.host.result import laid_parts

    bow_tie = polygon_outline([(0, 0), (100, 100), (100, 0), (0, 90)])
    crossed = replace(shelf(), outline=bow_tie, holes=(), pockets=())
    what = replace(plan(), panels=(crossed, side()))
    _, findings = write_model(document, what, preset, Record("{}", "", ""))
    assert [(f.code, f.panels) for f in findings] == [("model.no-fitted-solid", ("Shelf",))]
    assert findings[0].severity == "error"
    assert laid_parts(document, "sheet-2").Shape.Volume == pytest.approx(300 * 150 * THICKNESS)
    assert laid_parts(document, "sheet-1").Shape.Solids == []


def test_old_objects_get_the_properties_that_came_later(document: Any, preset: Preset) -> None:
    write(document, preset)
    panel = document.getObjectsByLabel("Shelf fitted")[0]
    panel.removeProperty("GrainFree")
    panel.Proxy.onDocumentRestored(panel)
    assert "GrainFree" in panel.PropertiesList
    assert panel.SchemaVersion == 2


def test_classes_stored_in_files_keep_their_names() -> None:
    """Files of users hold `module.Class`; these must be importable for ever."""
    from flatwright.host import objects

    for name in ("PanelProxy", "BoardProxy", "LayoutProxy", "FirstSideProxy", "ZonesProxy", "HeadsProxy"):
        assert getattr(objects, name).__module__ == "flatwright.host.objects"
