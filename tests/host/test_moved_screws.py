# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Screw points dragged by hand: checked at once, kept by the next Apply, refused where a bit comes."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from flatwright import api
from flatwright.proof.reader import read_program
from flatwright.steps import Options
from support.sources import ROOT
from support.unit import draw_unit

pytestmark = pytest.mark.filterwarnings("ignore::DeprecationWarning")
PRESET = ROOT / "resources/presets/metric.shop.json"


def apply(doc: Any, out: Path, readings: str = "18:17.7") -> api.Result:
    return api.apply_shop_rules(
        doc, PRESET, out, readings=[readings], options=Options((900, 700), "built-in")
    )


def member(doc: Any, kind: str) -> Any:
    return next(o for o in doc.Objects if getattr(o, "FlatwrightKind", "") == kind)


def drag(doc: Any, number: int, x: float, y: float) -> None:
    """What the user does with the mouse."""
    import FreeCAD
    import Part

    sketch = member(doc, "screws")
    points = [g for g in sketch.Geometry if isinstance(g, Part.Point)]
    for k in range(len(sketch.Geometry) - 1, -1, -1):
        sketch.delGeometry(k)
    for k, p in enumerate(points):
        at = FreeCAD.Vector(x, y, 0) if k == number else FreeCAD.Vector(p.X, p.Y, 0)
        sketch.addGeometry(Part.Point(at), False)
    doc.recompute()


@pytest.fixture
def doc(app: Any) -> Any:
    document = app.newDocument("moved")
    draw_unit(document)
    yield document
    app.closeDocument(document.Name)


def inside(doc: Any, out: Path) -> tuple[float, float]:
    """A place in the zones that no rule would choose: a little beside the first screw."""
    screw = member(doc, "layout")
    from flatwright.host.objects import read_sheet

    first = read_sheet(screw).screws[0]
    for dx, dy in ((2.3, 0.0), (-2.3, 0.0), (0.0, 2.3), (0.0, -2.3)):
        drag(doc, 0, first.x + dx, first.y + dy)
        if not member(doc, "heads").Outside:
            return first.x + dx, first.y + dy
    raise AssertionError("the zone is tiny")


def test_a_screw_moved_inside_its_zone_stays_through_apply_after_apply(doc: Any, tmp_path: Path) -> None:
    apply(doc, tmp_path / "a")
    x, y = inside(doc, tmp_path)
    for folder in ("b", "c"):
        result = apply(doc, tmp_path / folder, "18:17.75")
        (sheet,) = result.plan.sheets
        assert sheet.screws_by_hand
        assert any(abs(s.x - x) < 1e-6 and abs(s.y - y) < 1e-6 for s in sheet.screws)
        assert not result.refused
    text = (tmp_path / "c" / "sheets" / "sheet-1.spots.nc").read_text(encoding="utf-8")
    marks = [m.end for m in read_program(text).motions if m.kind != "rapid"]
    assert any(abs(m[0] - x) < 1e-3 and abs(m[1] - y) < 1e-3 for m in marks), "spotted where it was moved to"


def test_a_screw_dragged_into_a_path_is_told_at_once_and_refuses_the_programs(
    doc: Any, tmp_path: Path
) -> None:
    first = apply(doc, tmp_path / "a")
    placement = first.plan.sheets[0].placements[0]
    panel = first.plan.panel(placement.panel)
    from flatwright.host import moved, outdated, remembered
    from flatwright.host.cam_job import our_jobs
    from flatwright.plan import placed

    x, y = placed(panel.outline, placement).points[0]
    drag(doc, 0, float(x), float(y))
    assert member(doc, "heads").Outside.startswith("Screw 1:")
    assert outdated.wrong_by_hand(doc) == {"sheet-1": [member(doc, "heads").Outside]}
    assert remembered.stale(doc) == moved.SCREWS_MOVED
    operations = [o for j in our_jobs(doc) for o in j.Operations.Group]
    assert all(o.Refused.startswith("out of date: Screw 1") and not o.Path.Commands for o in operations)
    result = apply(doc, tmp_path / "b")
    assert "holding.screw-in-path" in {f.code for f in result.findings}
    assert result.refused
    assert result.plan.sheets[0].programs == ()


def test_a_deleted_sketch_leaves_the_screws_to_the_rules_again(doc: Any, tmp_path: Path) -> None:
    first = apply(doc, tmp_path / "a")
    inside(doc, tmp_path)
    doc.removeObject(member(doc, "heads").Name)
    doc.removeObject(member(doc, "screws").Name)
    again = apply(doc, tmp_path / "b")
    assert again.plan.sheets[0].screws == first.plan.sheets[0].screws
    assert not again.plan.sheets[0].screws_by_hand


def test_a_screw_dragged_out_again_gives_the_jobs_back_but_the_result_is_stale(
    doc: Any, tmp_path: Path
) -> None:
    """The spot marks that were posted are elsewhere."""
    from flatwright.host import moved, outdated, remembered
    from flatwright.host.cam_job import our_jobs

    first = apply(doc, tmp_path / "a")
    assert remembered.stale(doc) == ""
    paths = [len(o.Path.Commands) for j in our_jobs(doc) for o in j.Operations.Group]
    placement = first.plan.sheets[0].placements[0]
    drag(doc, 0, placement.x, placement.y)
    drag(doc, 0, placement.x + 30.0, placement.y + 30.0)
    assert outdated.wrong_by_hand(doc) != {}
    inside(doc, tmp_path)
    assert outdated.wrong_by_hand(doc) == {}
    assert [len(o.Path.Commands) for j in our_jobs(doc) for o in j.Operations.Group] == paths
    assert remembered.stale(doc) == moved.SCREWS_MOVED
    apply(doc, tmp_path / "b")
    assert remembered.stale(doc) == ""


def test_a_refusal_of_the_run_itself_stays(doc: Any, tmp_path: Path) -> None:
    from flatwright.host import outdated
    from flatwright.host.cam_job import our_jobs, refuse_jobs

    apply(doc, tmp_path / "a")
    refuse_jobs(our_jobs(doc), "a slot is too narrow")
    outdated.refuse_sheet(doc, "sheet-1")
    assert {o.Refused for j in our_jobs(doc) for o in j.Operations.Group} == {"a slot is too narrow"}
