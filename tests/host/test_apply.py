# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The main job end to end: the demo's pieces in at one end, programs proven right out at the other."""

from __future__ import annotations

import hashlib
import itertools
import json
import math
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from flatwright import resources
from flatwright.boards.batch import measured
from flatwright.presets.reading import load
from flatwright.proof.check import prove
from flatwright.proof.reader import read_program
from support.runs import Run, run_piece

pytestmark = pytest.mark.slow


def test_nothing_stands_in_the_way(run: Run) -> None:
    assert not run.result.refused
    assert all(s.programs for s in run.plan.sheets)


def test_everything_promised_is_written(run: Run) -> None:
    files = {p.relative_to(run.folder).as_posix() for p in run.folder.rglob("*") if p.is_file()}
    papers = {"fitted.FCStd", "fitted.step", "plan.json", "findings.json", "operator-sheet.html"}
    papers |= {"dry-fit.html", "preset.shop.json"}
    assert files == papers | set(run.programs())


@pytest.mark.parametrize(
    ("name", "schema"), [("plan.json", "plan.schema.json"), ("findings.json", "findings.schema.json")]
)
def test_papers_follow_their_schemas(run: Run, name: str, schema: str) -> None:
    rules = json.loads(resources.path(f"schemas/{schema}").read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator(rules).validate(run.read(name))


def test_every_panel_lies_on_one_sheet_of_its_board(run: Run) -> None:
    boards = {p.name: p.board for p in run.plan.panels}
    laid = [(p.panel, s.board) for s in run.plan.sheets for p in s.placements]
    assert Counter(n for n, _ in laid) == Counter(boards.keys())
    assert all(boards[n] == b for n, b in laid)


def test_spot_marks_come_first_and_bits_in_running_order(run: Run) -> None:
    for sheet in run.plan.sheets:
        names = [p.file.removeprefix(f"sheets/{sheet.name}.") for p in sheet.programs]
        assert names == ["spots.nc", *(f"cut-{k}.nc" for k in range(1, len(names)))]
        assert all(len(p.bits) == 1 for p in sheet.programs), "one file for each bit"
        assert sheet.programs[0].bits == sheet.programs[1].bits, "spotted with the bit that cuts first"


def test_bits_zeroed_by_hand_get_no_length_from_the_control(run: Run) -> None:
    assert not any("G43" in text for text in run.programs().values())


def test_the_plan_names_the_files_by_their_hashes(run: Run) -> None:
    for program in (p for s in run.plan.sheets for p in s.programs):
        assert hashlib.sha256((run.folder / program.file).read_bytes()).hexdigest() == program.sha256


def test_the_referee_agrees_with_our_reader(run: Run, referee: Callable[..., Any]) -> None:
    """GCD-14: Debian's RS274 interpreter accepts every program, and all end points agree with ours
    within one unit of its last printed decimal."""
    for name in run.programs():
        verdict = referee(run.folder / name, run.bits())
        assert verdict.exit_code == 0, verdict.messages
        ours = read_program(run.programs()[name]).motions
        ends = [m.end for m in ours]
        theirs = [(m.x, m.y, m.z) for m in verdict.moves]
        assert len(ends) == len(theirs)
        for a, b in zip(ends, theirs, strict=True):
            # where the program has not said yet, our reader knows nothing (nan), the referee takes 0
            known = [(p, q) for p, q in zip(a, b, strict=True) if not math.isnan(p)]
            assert all(p == pytest.approx(q, abs=1.0001e-4) for p, q in known)
        assert not math.isnan(sum(ends[-1]))


def test_arcs_hold_the_strict_radius_rule(run: Run, referee: Callable[..., Any]) -> None:
    """GCD-2: NIST RS274/NGC v3 §3.5.3 allows the two radii of an arc to differ by 0.002 mm."""
    for name in run.programs():
        at = None
        for m in referee(run.folder / name, run.bits()).moves:
            if m.kind == "arc" and at is not None:
                assert abs(math.dist(at, (m.cx, m.cy)) - math.dist((m.x, m.y), (m.cx, m.cy))) <= 0.002
            at = (m.x, m.y)


def test_step_holds_every_fitted_panel_at_its_place(run: Run, app: Any) -> None:
    import Part

    from flatwright.host.shapes import panel_solid

    shape = Part.read(str(run.folder / "fitted.step"))
    read = sorted((round(s.Volume, 1), *(round(c, 2) for c in s.CenterOfMass)) for s in shape.Solids)
    planned = sorted(
        (round(s.Volume, 1), *(round(c, 2) for c in s.CenterOfMass))
        for s in (panel_solid(p) for p in run.plan.panels)
    )
    assert len(read) == len(run.plan.panels)
    for a, b in zip(read, planned, strict=True):
        assert a == pytest.approx(b, abs=0.2)


def test_fitted_solids_do_not_overlap(run: Run, app: Any) -> None:
    """The kernel, which knows nothing of our checks, finds no common wood."""
    from flatwright.host.shapes import panel_solid

    solids = [(p.name, panel_solid(p)) for p in run.plan.panels]
    for (a, s), (b, t) in itertools.combinations(solids, 2):
        if s.BoundBox.intersect(t.BoundBox):
            assert s.common(t).Volume == pytest.approx(0.0, abs=0.01), f"{a} and {b}"


def test_the_document_opens_with_source_panels_sheets_and_jobs(run: Run, app: Any) -> None:
    source = app.openDocument(str(resources.path(f"demo/{run.piece}.FCStd")))
    drawn = {o.Name: o.Shape.Volume for o in source.Objects if hasattr(o, "Shape") and not o.Shape.isNull()}
    app.closeDocument(source.Name)
    doc = app.openDocument(str(run.folder / "fitted.FCStd"))
    try:
        kinds = Counter(getattr(o, "FlatwrightKind", "") for o in doc.Objects)
        assert kinds["panel"] == len(run.plan.panels)
        assert kinds["sheet"] == len(run.plan.sheets)
        jobs = [o for o in doc.Objects if hasattr(o, "PostProcessor")]
        assert len(jobs) == sum(len(s.programs) for s in run.plan.sheets)
        for name, volume in drawn.items():
            assert doc.getObject(name).Shape.Volume == pytest.approx(volume), "the source is untouched"
    finally:
        app.closeDocument(doc.Name)


def test_running_again_gives_the_same_plan_and_leaves_no_old_program(run: Run, tmp_path: Path) -> None:
    if run.piece != "book-trolley":
        pytest.skip("one piece serves")
    again = run_piece(run.piece, tmp_path / "again")
    old = again.folder / "sheets" / "sheet-7.cut-3.nc"
    old.write_text("an earlier run's", encoding="utf-8")
    kept = again.folder / "sheets" / "jig.nc"
    kept.write_text("somebody else's", encoding="utf-8")
    third = run_piece(run.piece, again.folder)
    assert third.read("plan.json") == run.read("plan.json")
    assert not old.exists()
    assert kept.exists()


def test_measured_joints_have_their_class(run: Run) -> None:
    for joint in run.plan.joints:
        if joint.fit:
            assert joint.fit["class"] == "glue"
            assert joint.fit.get("across_mm", 0.25) == 0.25
            assert joint.fit.get("along_mm", 0.5) == 0.5


def test_grbl_gets_one_file_for_each_bit_and_no_canned_cycle(
    app: Any, tmp_path: Path, referee: Callable[..., Any]
) -> None:
    run = run_piece("book-trolley", tmp_path / "grbl", post={"processor": "grbl"})
    assert not run.result.refused
    for name, text in run.programs().items():
        assert "G81" not in text
        assert "G83" not in text
        assert referee(run.folder / name, run.bits()).exit_code == 0


def test_a_machine_that_changes_bits_itself_gets_one_file(app: Any, tmp_path: Path) -> None:
    run = run_piece("book-trolley", tmp_path / "automatic", machine={"bit_change": "automatic"})
    assert not run.result.refused
    assert [p.file for p in run.plan.sheets[0].programs] == [
        "sheets/sheet-1.spots.nc",
        "sheets/sheet-1.cut.nc",
    ]
    assert len(run.plan.sheets[0].programs[1].bits) == 2
    assert "G43" in run.programs()["sheets/sheet-1.cut.nc"], "the control knows the lengths of its bits"


def test_zero_on_the_board_top_and_inch_programs_are_proven_too(app: Any, tmp_path: Path) -> None:
    run = run_piece(
        "book-trolley", tmp_path / "top", machine={"zero": "board top"}, post={"units": "in"}
    )  # fmt: skip
    assert not run.result.refused
    assert all("G20" in text for text in run.programs().values())


def test_with_a_finish_allowance_and_leads_everything_is_proven_too(app: Any, tmp_path: Path) -> None:
    run = run_piece(
        "book-trolley",
        tmp_path / "finish",
        entries={"finish_allowance": "0.3 mm", "lead_radius": "4 mm"},
    )
    assert not run.result.refused
    told = {f.code for f in run.result.findings if f.code.startswith("proof.")}
    assert told <= {"proof.verdict", "proof.ramp-across-grain"}, "the handles have no edge along the grain"


@pytest.mark.parametrize(
    ("method", "skin"), [(["onion skin", "screws"], 0.6), (["vacuum"], 0.0), (["vacuum", "onion skin"], 0.0)]
)
def test_what_holds_in_place_of_tabs_is_proven_too(
    app: Any, tmp_path: Path, method: list[str], skin: float
) -> None:
    """Read from the posted text: parts are held by a skin or freed over a vacuum, and none has a tab."""
    run = run_piece("book-trolley", tmp_path / "held", holding={"method": method})
    assert not run.result.refused
    assert not any(s.tabs for s in run.plan.sheets)
    assert [s.skin for s in run.plan.sheets] == [skin] * len(run.plan.sheets)
    told = {f.code for f in run.result.findings if f.code.startswith("proof.")}
    assert told <= {"proof.verdict", "proof.ramp-across-grain"}
    if skin:  # a plan that wants more of it to stand finds it cut through
        thicker = replace(run.plan, sheets=tuple(replace(s, skin=skin + 0.3) for s in run.plan.sheets))
        preset = load(run.folder.with_suffix(".shop.json"))
        batch = measured("birch 18", 18.0, [17.7, 17.75])
        found, _ = prove(thicker, preset, run.programs(), batches=[batch])
        assert "proof.skin-missing" in {f.code for f in found}
