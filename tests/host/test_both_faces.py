# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""A piece with pockets in both faces of a board, all the way: two set-ups, pins, proof, papers."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from flatwright import resources
from flatwright.api import apply
from flatwright.checking import check
from flatwright.proof.reader import read_program
from flatwright.steps import Options
from support.corpus.both_faces import divided_cabinet
from support.documents import feature
from support.runs import Run

pytestmark = pytest.mark.slow
READINGS = ["18:17.72,17.70,17.75,17.68"]


def drawn(app: Any, folder: Path) -> Path:
    """The cabinet as a document of plain solids."""
    from flatwright.host.shapes import panel_solid

    doc = app.newDocument("Cabinet")
    for panel in divided_cabinet(18.0, 0.0).panels:
        feature(doc, panel.name, panel_solid(panel))
    doc.recompute()
    file = folder / "cabinet.FCStd"
    doc.saveAs(str(file))
    app.closeDocument(doc.Name)
    return file


def go(app: Any, folder: Path, post: str = "linuxcnc", units: str = "mm", **flipping: Any) -> Run:
    document = json.loads(resources.path("presets/metric.shop.json").read_text(encoding="utf-8"))
    document["flipping"] |= flipping
    document["post"] |= {"processor": post, "units": units}
    preset = folder / "shop.shop.json"
    preset.write_text(json.dumps(document), encoding="utf-8")
    out = folder / "out"
    result = apply(
        drawn(app, folder),
        preset,
        out,
        readings=READINGS,
        options=Options((1220.0, 610.0), engine="built-in"),
    )
    return Run("cabinet", out, result)


@pytest.mark.parametrize("axis", ["x", "y"])
def test_both_sides_are_posted_and_proven(app: Any, tmp_path: Path, axis: str) -> None:
    run = go(app, tmp_path, axis=axis)
    wrong = [f for f in run.result.findings if f.severity != "note"]
    assert not wrong, wrong
    (sheet,) = run.plan.sheets
    assert sheet.flip is not None
    assert sheet.flip.axis == axis
    names = [(p.file.removeprefix("sheets/sheet-1."), p.underside) for p in sheet.programs]
    assert names[:2] == [("side-1.spots.nc", True), ("side-1.cut-1.nc", True)]
    assert names[2:] and all(n.startswith("side-2.cut-") and not under for n, under in names[2:])
    said = next(f.remedy for f in run.result.findings if f.code == "proof.verdict")
    assert "how exactly sheet-1 lies on its pins again" in said


def test_papers_follow_their_schemas_and_the_files_are_proven_again_from_the_plan(
    app: Any, tmp_path: Path
) -> None:
    run = go(app, tmp_path)
    rules = json.loads(resources.path("schemas/plan.schema.json").read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator(rules).validate(run.read("plan.json"))
    again = check([run.folder / f for f in run.programs()], plan=run.folder / "plan.json")
    assert not again.findings
    assert [s.name for s in again.report.scenes] == ["sheet-1, first side", "sheet-1, second side"]


@pytest.mark.parametrize(("post", "units"), [("grbl", "mm"), ("linuxcnc", "in")])
def test_other_posts_are_proven_too(app: Any, tmp_path: Path, post: str, units: str) -> None:
    run = go(app, tmp_path, post, units)
    assert not [f for f in run.result.findings if f.severity != "note"]
    assert len(run.programs()) >= 3


def test_nothing_but_pins_goes_through_before_the_sheet_is_turned(app: Any, tmp_path: Path) -> None:
    run = go(app, tmp_path)
    (sheet,) = run.plan.sheets
    assert sheet.flip is not None
    texts = run.programs()
    for program in sheet.programs:
        low = [m for m in read_program(texts[program.file]).motions if m.kind != "rapid" and m.end[2] < 11.5]
        if not program.underside or program.kind == "spots":
            continue
        pins = {(round(p.x, 1), round(p.y, 1)) for p in sheet.flip.pins}
        for m in low:
            assert any(abs(m.end[0] - x) < 1.1 and abs(m.end[1] - y) < 1.1 for x, y in pins)
        assert min(m.end[2] for m in low) == pytest.approx(-6.0, abs=1e-3)


def test_the_jobs_of_the_first_side_show_the_parts_as_they_lie_then(app: Any, tmp_path: Path) -> None:
    run = go(app, tmp_path)
    doc = app.openDocument(str(run.folder / "fitted.FCStd"))
    try:
        from flatwright.host.cam_job import our_jobs
        from flatwright.host.result import laid_parts

        jobs = our_jobs(doc)
        assert len(jobs) == len(run.plan.sheets[0].programs)
        first, second = laid_parts(doc, "sheet-1", True), laid_parts(doc, "sheet-1")
        width = run.plan.sheets[0].size[1]
        one, other = first.Shape.BoundBox, second.Shape.BoundBox
        assert (one.YMin, one.YMax) == pytest.approx((width - other.YMax, width - other.YMin), abs=1e-6)
        assert one.XMin == pytest.approx(other.XMin, abs=1e-6)
        assert first.Shape.Volume == pytest.approx(second.Shape.Volume)
        assert not first.Visibility
        sources = [job.Model.Group[0].Objects[0] for job in jobs]
        assert [s.Name for s in sources] == [first.Name] * 2 + [second.Name] * (len(jobs) - 2)
    finally:
        app.closeDocument(doc.Name)


def test_the_operator_sheet_tells_how_to_turn_it(app: Any, tmp_path: Path) -> None:
    page = (go(app, tmp_path).folder / "operator-sheet.html").read_text(encoding="utf-8")
    assert page.count("<svg") == 2
    for words in ("Side 1: cut first", "Side 2: after", "Turn the sheet over about X", "set 2 dowels"):
        assert words in page, words
    assert page.index("side-1.cut-1.nc") < page.index("Turn the sheet over about X")
    assert page.rindex("Turn the sheet over about X") < page.rindex("side-2.cut-1.nc")


def test_a_shop_that_does_not_turn_sheets_over_is_told_what_to_do(app: Any, tmp_path: Path) -> None:
    run = go(app, tmp_path, enabled=False)
    (found,) = [f for f in run.result.findings if f.code == "panel.two-faces"]
    assert found.panels == ("divider",)
    assert "flipping.enabled" in found.remedy
    assert not run.plan.sheets[0].programs
