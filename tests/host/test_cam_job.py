# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""A sheet's programs become jobs of the host: complete, undone in one step, and gone when removed."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from flatwright.cutting.moves import Move, Operation
from flatwright.findings import UsageError
from flatwright.host import cam_job, cam_tools, posts
from support.sheet_programs import SHEET, cut, laid_parts, park, program, shop, with_feed

TWO_BITS = program(cut("side: hole", 1, "hole"), cut("side: outside", 3), park(3), stem="sheet-1.cut")


def make(doc: Any, *programs: Any, preset: Any = None, **options: Any) -> list[Any]:
    """Jobs of some programs (one by default) in a document with laid parts."""
    parts = [o for o in doc.Objects if o.Name == "Laid"] or [laid_parts(doc)]
    return cam_job.make_jobs(
        doc, SHEET, programs or (program(),), preset or shop(), model_objects=parts, **options
    )


def names(doc: Any) -> list[str]:
    return [o.Name for o in doc.Objects]


def test_a_job_for_every_program_in_running_order(document: Any) -> None:
    jobs = make(document, program(stem="sheet-1.spots"), program(), program(stem="sheet-1.cut-2"))
    assert [j.Label for j in jobs] == ["sheet-1 spots", "sheet-1 cut-1", "sheet-1 cut-2"]
    assert cam_job.our_jobs(document) == jobs
    assert [j.PostProcessorOutputFile for j in jobs][:2] == [
        "%D/sheets/sheet-1.spots.nc",
        "%D/sheets/sheet-1.cut-1.nc",
    ]


@pytest.mark.parametrize(("zero", "bottom"), [("bed", 0.0), ("board top", -17.8)])
def test_the_stock_is_the_measured_board(document: Any, zero: str, bottom: float) -> None:
    up = Operation("outside", "side", 1, (Move("rapid", 0, 0, 30), Move("rapid", 1, 1, 30)), "side")
    (job,) = make(document, program(up), preset=shop(zero=zero))
    box = job.Stock.Shape.BoundBox
    assert (box.XMin, box.YMin, box.ZMin) == pytest.approx((0, 0, bottom))
    assert (box.XLength, box.YLength, box.ZLength) == pytest.approx((300, 200, 17.8))
    assert document.getObject("Laid") in job.Model.Group[0].OutList


def test_bits_have_the_shops_speeds_and_the_diameter_that_they_cut(document: Any) -> None:
    """MAC-1: v_f = n·z·f_z (ISO 3002-3): 15 000 × 3 × 0.08 = 3600 mm/min; the host keeps mm/s."""
    (job,) = make(document, TWO_BITS)
    one, three = job.Tools.Group
    assert [(t.ToolNumber, t.SpindleSpeed) for t in (one, three)] == [(1, 18000), (3, 15000)]
    assert three.HorizFeed.Value == pytest.approx(3600 / 60)
    assert three.VertFeed.Value == pytest.approx(700 / 60)
    assert three.HorizRapid.Value == three.VertRapid.Value == pytest.approx(100)
    assert three.Label == "bit 3, 6 mm down-cut, sheet-1 cut"
    assert three.Tool.Diameter.Value == pytest.approx(5.94)
    assert one.Tool.Shape.BoundBox.XLength == pytest.approx(6.0, abs=1e-3)
    assert one.Tool.Shape.BoundBox.ZMin == pytest.approx(0.0, abs=1e-6)


def test_operations_say_what_they_cut_and_how_long_it_takes(document: Any) -> None:
    there = (Move("rapid", 0, 0, 30), Move("line", 120, 0, 30, 3600), Move("rapid", 20, 0, 30))
    (job,) = make(document, program(Operation("outside", "side: outside", 1, there, "side"), park()))
    outside, parking = job.Operations.Group
    assert (outside.Kind, outside.PanelName, outside.Label) == ("outside", "side", "side: outside")
    assert (parking.Kind, parking.PanelName) == ("park", "")
    assert outside.CycleTime == "00:00:03"  # 120 mm at 3600 and 100 mm at 6000 mm/min
    assert job.CycleTime == "00:00:04"
    assert [c.Name for c in parking.Path.Commands][-1] == "M5"
    assert outside.State == ["Up-to-date"]


def test_labels_cannot_break_the_comments_that_posts_write(document: Any, tmp_path: Path) -> None:
    """RS274/NGC: a comment ends at its first closing bracket and must not hold an opening one."""
    (job,) = make(document, program(cut("side (left)\n" + "long " * 60), park()))
    text = posts.post_job(job, tmp_path / "a.nc")
    assert "(begin operation: side [left] long" in text
    assert all(line.count("(") == line.count(")") <= 1 and len(line) < 128 for line in text.splitlines())


def test_an_operation_left_out_by_the_user_cuts_nothing(document: Any) -> None:
    (job,) = make(document)
    job.Operations.Group[0].Active = False
    document.recompute()
    assert [c.Name for c in job.Operations.Group[0].Path.Commands] == ["(inactive operation)"]


def test_the_user_slows_an_operation_down_and_its_path_follows(document: Any) -> None:
    """At 50 % every feed is half of the planned one and the time follows; 100 % brings all back."""
    (job,) = make(document, program(cut("side: outside", 3)))
    operation = job.Operations.Group[0]

    def feeds() -> list[float]:
        return [c.Parameters["F"] for c in operation.Path.Commands if "F" in c.Parameters]

    planned, before = feeds(), operation.Path.toGCode()
    operation.FeedOverride = 50
    document.recompute()
    assert feeds() == pytest.approx([f / 2 for f in planned], abs=1e-4)
    slow = operation.CycleTime
    operation.FeedOverride = 0  # no feed of nothing: 10 % is the least
    document.recompute()
    assert feeds() == pytest.approx([f / 10 for f in planned], abs=1e-4)
    assert operation.CycleTime > slow
    operation.FeedOverride = 100
    document.recompute()
    assert operation.Path.toGCode() == before


def test_one_undo_step_takes_everything_back(document: Any) -> None:
    laid_parts(document)
    document.UndoMode = 1
    before = names(document)
    document.openTransaction("Send to CAM")
    make(document, program(), TWO_BITS)
    document.commitTransaction()
    assert document.UndoNames == ["Send to CAM"]
    after = names(document)
    document.undo()
    assert names(document) == before
    document.redo()
    assert sorted(names(document)) == sorted(after)


def test_jobs_own_few_objects_and_removing_them_leaves_none(document: Any) -> None:
    laid_parts(document)
    before = names(document)
    jobs = make(document, program(), TWO_BITS)
    # each: job, operations, setup sheet, model, clone, tools, stock; two per bit; the cuts
    assert len(names(document)) - len(before) == (7 + 2 + 2) + (7 + 4 + 3)
    cam_job.remove_jobs(jobs)
    assert names(document) == before


def test_a_saved_job_comes_back_whole(app: Any, tmp_path: Path) -> None:
    doc = app.newDocument("Saved")
    (job,) = make(doc, TWO_BITS)
    first = posts.post_job(job, tmp_path / "first.nc")
    doc.saveAs(str(tmp_path / "saved.FCStd"))
    app.closeDocument(doc.Name)
    doc = app.openDocument(str(tmp_path / "saved.FCStd"))
    try:
        (job,) = cam_job.our_jobs(doc)
        assert [o.Name for o in doc.Objects if "Touched" in o.State] == []
        assert posts.post_job(job, tmp_path / "again.nc") == first
        for obj in job.Operations.Group:
            obj.touch()
        doc.recompute()
        assert posts.post_job(job, tmp_path / "anew.nc") == first
        cam_job.remove_jobs([job])
        assert names(doc) == ["Laid"]
    finally:
        app.closeDocument(doc.Name)


@pytest.mark.parametrize("values", [{"chip_load": 0.0}, {"plunge": 0.0}, {"spindle": 0.0}, {"plunge": -5.0}])
def test_a_bit_without_speed_is_refused_before_anything_is_made(
    document: Any, values: dict[str, Any]
) -> None:
    with pytest.raises(UsageError, match=r"bit 1 is .*above zero in the preset"):
        make(document, preset=with_feed(shop(), 1, **values))
    assert names(document) == ["Laid"]


@pytest.mark.parametrize(
    ("preset", "why"),
    [
        (shop("no-such-post"), "no post 'no-such-post'; it offers .*grbl.*linuxcnc"),
        (shop(work_offset="G53"), "work offset 'G53'"),
        (shop(arguments="--inches"), "--inches but the preset's post units are mm"),
        (shop(arguments="--precision=2"), "--precision 2 is too coarse"),
        (shop(arguments="--preamble='G17"), "cannot be read"),
    ],
)
def test_a_shop_that_the_host_cannot_post_for_is_named(document: Any, preset: Any, why: str) -> None:
    with pytest.raises(UsageError, match=why):
        make(document, preset=preset)
    assert names(document) == ["Laid"]


def test_a_cut_that_ends_in_the_board_is_refused(document: Any) -> None:
    low = Operation("outside", "side", 1, (Move("rapid", 0, 0, 30), Move("rapid", 0, 0, 17)), "side")
    with pytest.raises(UsageError, match="'side' starts or ends at z 17, not above the board"):
        make(document, program(low))


def test_a_failure_half_way_leaves_the_document_as_it_was(
    document: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    laid_parts(document)
    before = names(document)

    def fails(*_: Any) -> None:
        raise RuntimeError("the host gave up")

    monkeypatch.setattr(cam_tools, "make_controller", fails)
    with pytest.raises(RuntimeError, match="gave up"):
        make(document)
    assert names(document) == before


def test_the_users_active_document_stays_active(app: Any, document: Any) -> None:
    other = app.newDocument("Other")
    try:
        make(document)
        assert app.ActiveDocument.Name == other.Name
    finally:
        app.closeDocument(other.Name)
