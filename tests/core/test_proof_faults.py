# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Seeded faults: clean work raises no finding, and every fault is caught under its code."""

from __future__ import annotations

import hashlib
import math
from collections.abc import Callable
from dataclasses import replace

import pytest

from flatwright.geometry.outline import Outline, polygon_outline, rectangle
from flatwright.plan import Program
from flatwright.presets import model
from flatwright.proof.check import prove
from support.gcode import before_end, first, in_inches, swap
from support.pieces import board
from support.planned_work import shown, work_of
from support.plate_job import BATCH, HOLE, POCKET, SCREWS, TABS, WHOLE, PlateJob, shop

CLEAN = {
    "as planned": PlateJob(),
    "turned a quarter": PlateJob(angle=90),
    "turned round": PlateJob(angle=180),
    "flipped": PlateJob(flipped=True),
    "by a down-cut bit that ramps": PlateJob(bit=2, hole_bit=2),
    "by a compression bit": PlateJob(bit=4, hole_bit=4),
    "the hole by a thinner bit": PlateJob(hole_bit=3),
    "a floor between two rounded heights": PlateJob(floor=8.0004),
    "in inches": PlateJob(edit=in_inches, edit_spots=in_inches),
}


@pytest.mark.parametrize("job", CLEAN.values(), ids=CLEAN)
def test_clean_work_raises_nothing(job: PlateJob) -> None:
    findings, report = job.prove()
    assert findings == []
    assert report.verdict.startswith("The programs leave the planned parts and hit nothing")


def test_an_offset_under_which_nothing_moves_is_no_other_offset() -> None:
    """Posts begin and end with G54 whatever the shop uses."""

    def edit(text: str) -> str:
        return swap("\nM2", "\nG17 G54 G90\nM2")(swap("G90 G94\n", "G90 G94\nG55\n")(text))

    job = PlateJob(edit=edit, edit_spots=edit)
    assert job.codes(shop(work_offset="G55")) == set()
    assert "proof.unplaced-move" in job.codes()


def test_heights_from_the_boards_top() -> None:
    job = PlateJob(lift=-12.0)
    assert job.codes(shop(zero="board top")) == set()
    assert "proof.overcut" in job.codes()


@pytest.mark.parametrize(("depth", "codes"), [(6.5, set()), (5.0, {"proof.pass-depth"})])
def test_no_pass_is_deeper_than_the_preset_allows(depth: float, codes: set[str]) -> None:
    """A board of 12 mm in passes to 6 mm and 0.5 mm under the bed."""
    data = model.Feed(1, 18000.0, 0.1, depth, 3000.0)
    assert PlateJob().codes(replace(shop(), feeds=(data,))) == codes


def moved(box: tuple[float, float, float, float], **by: float) -> tuple[float, float, float, float]:
    x0, y0, x1, y1 = box
    return (x0 + by.get("x0", 0), y0 + by.get("y0", 0), x1 + by.get("x1", 0), y1 + by.get("y1", 0))


SHALLOW = "G0 X170 Y100\nG0 Z13\nG1 Z11.5 F900"  # 0.5 mm deep, into the part's face
RAPID = "G0 X57 Y60\nG0 Z5"
HALF_TURN = "G0 X0 Y290\nG2 X0 Y299 R4.51"
STEEP = "G0 X84 Y79\nG0 Z12.5\nG1 X86 Z7 F900\nG1 X92 F900"
THIN_PASS = "G0 X84 Y79\nG0 Z12.5\nG1 X94 Z9 F900\nG1 X100 F3000"
ACROSS = "G0 X57 Y60\nG1 Z12 F900\nG1 Y90 Z8"
IN_THE_WAY = (*SCREWS, (120.0, 40.0))


def without(words: str) -> Callable[[str], str]:
    """Leaves out every line that holds these words."""
    return lambda text: "\n".join(line for line in text.splitlines() if words not in line) + "\n"


FAULTS: list[tuple[str, str, PlateJob]] = [
    ("outline 0.1 too small", "proof.outline", PlateJob(outline=moved(WHOLE, x1=-0.1))),
    ("outline 0.06 too large", "proof.outline", PlateJob(outline=moved(WHOLE, y0=-0.06))),
    ("shifted by 0.2", "proof.outline", PlateJob(shift=(0.2, 0))),
    ("outline not cut", "proof.missing-part", PlateJob(outline=None)),
    ("slot narrower by 0.1", "proof.hole", PlateJob(hole=moved(HOLE, y1=-0.1))),
    ("hole not cut", "proof.hole", PlateJob(hole=None)),
    ("the core of a hole left", "proof.loose-waste", PlateJob(core=())),
    ("a hole milled from its edge inwards", "proof.loose-waste", PlateJob(core=(), core_later=(5.0, 8.0))),
    ("hole in the wrong place", "proof.hole", PlateJob(hole=moved(HOLE, x0=1, x1=1))),
    ("pocket narrower by 0.1", "proof.pocket", PlateJob(pocket=moved(POCKET, y1=-0.1))),
    ("pocket not cut", "proof.pocket", PlateJob(pocket=None)),
    ("pocket 0.1 too shallow", "proof.depth", PlateJob(floor=8.1)),
    ("pocket 0.1 too deep", "proof.depth", PlateJob(floor=7.9)),
    ("through cuts short by 0.1", "proof.depth", PlateJob(bottom=-0.4)),
    ("not cut through by 0.5", "proof.depth", PlateJob(bottom=0.5)),
    ("1 mm too deep", "proof.overcut", PlateJob(bottom=-1.5)),
    ("through the spoilboard", "proof.table-hit", PlateJob(bottom=-18.0)),
    ("missing tab", "proof.tab-missing", PlateJob(tabs=TABS[:1])),
    ("tab 2 mm too short", "proof.tab-size", PlateJob(tabs=(TABS[0], (60, 80, 8, 4)))),
    ("tab 2 mm too long", "proof.tab-size", PlateJob(tabs=(TABS[0], (60, 80, 12, 4)))),
    ("tab 0.3 mm too high", "proof.tab-size", PlateJob(tabs=(TABS[0], (60, 80, 10, 4.3)))),
    ("a tab that nobody planned", "proof.depth", PlateJob(tabs=(*TABS, (100, 80, 5, 4)))),
    ("a cut through the part", "proof.unplanned-cut", PlateJob(edit=before_end(SHALLOW + "\nG1 Z-0.5"))),
    ("a scratch on the part", "proof.unplanned-cut", PlateJob(edit=before_end(SHALLOW))),
    ("a cut in the waste", "proof.unplanned-cut", PlateJob(edit=before_end("G0 X250 Y200\nG1 Z5 F900"))),
    ("rapid down into wood", "proof.rapid-in-wood", PlateJob(edit=first(RAPID))),
    ("rapid through stock", "proof.rapid-in-wood", PlateJob(edit=before_end("G0 X200\nG0 Z5\nG0 X220"))),
    ("rapid just above stock", "proof.rapid-in-wood", PlateJob(edit=before_end("G0 X200 Y9 Z12.2\nX210"))),
    ("spindle never started", "proof.spindle-off", PlateJob(edit=swap("M3 S18000\n", ""))),
    ("spindle without speed", "proof.spindle-off", PlateJob(edit=swap("M3 S18000", "M3"))),
    ("spindle backwards", "proof.spindle-off", PlateJob(edit=swap("M3", "M4"))),
    ("plunged with a down-cut bit", "proof.drilled-with", PlateJob(bit=2, hole_bit=2, ramp=0)),
    ("a ramp of a down-cut bit at 70°", "proof.steep-ramp", PlateJob(bit=2, hole_bit=2, edit=first(STEEP))),
    ("a compression bit 3 mm deep", "proof.shallow-pass", PlateJob(bit=4, hole_bit=4, edit=first(THIN_PASS))),
    ("ramp across the grain", "proof.ramp-across-grain", PlateJob(
        edit=first(ACROSS))),
    ("screw in the path", "proof.screw-hit", PlateJob(screws=IN_THE_WAY, spots=IN_THE_WAY)),
    ("rapid over a screw head", "proof.screw-hit", PlateJob(edit=before_end("G0 X330 Y20\nG0 Z14"))),
    ("spot mark missing", "proof.spot-missing", PlateJob(spots=SCREWS[1:])),
    ("spot mark 0.1 too deep", "proof.spot-depth", PlateJob(spot=11.2)),
    ("spot mark elsewhere", "proof.unplanned-cut", PlateJob(spots=(*SCREWS, (200, 250)))),
    ("spot mark 0.1 beside its screw", "proof.unplanned-cut", PlateJob(spots=(*SCREWS[1:], (20.1, 20)))),
    ("parked elsewhere", "proof.not-parked", PlateJob(edit=swap("G0 X0 Y300", "G0 X0 Y0"))),
    ("parked too low", "proof.not-parked", PlateJob(edit=swap("G0 X0 Y300", "G0 X0 Y300\nG0 Z20"))),
    ("spindle left on", "proof.not-parked", PlateJob(edit=swap("M5\n", ""))),
    ("spotting left unparked", "proof.not-parked", PlateJob(edit_spots=swap("G0 X0 Y300\n", ""))),
    ("beyond the travel", "proof.travel", PlateJob(edit=before_end("G0 X-50\nG0 X0"))),
    ("truncated file", "proof.reader", PlateJob(edit=lambda t: t[: len(t) // 2])),
    ("arc with a bad centre", "proof.reader", PlateJob(edit=before_end("G2 X10 Y300 I3"))),
    ("inches for millimetres", "proof.missing-part", PlateJob(edit=swap("G21", "G20"))),
    ("units not said", "proof.assumed-state", PlateJob(edit=swap("G21 ", ""))),
    ("another work offset", "proof.unplaced-move", PlateJob(edit=swap("G54", "G55"))),
    ("machine coordinates", "proof.unplaced-move", PlateJob(edit=before_end("G53 G0 Z0\nG0 Z30"))),
    ("its height unknown", "proof.unplaced-move", PlateJob(edit=swap("G0 Z30.0000\n", "G0 X1 Y1\n"))),
    ("another tool's length", "proof.unplaced-move", PlateJob(edit=swap("M3 S18000", "G43 H2\nM3 S18000"))),
    ("half turn by its radius", "proof.radius-arc", PlateJob(edit=before_end(HALF_TURN))),
    ("a line dropped", "proof.pocket", PlateJob(edit=swap("G1 X183.0000 Y133.0000 Z-0.5000 F3000\n", ""))),
    ("a pass dropped", "proof.depth", PlateJob(tabs=(), edit=without("Z-0.5"))),
    ("block delete", "proof.block-delete", PlateJob(edit=swap("M5", "/M5"))),
    ("a bit that is not planned", "proof.bit", PlateJob(edit=swap("T1 M6", "T3 M6"))),
    ("a bit change by hand inside", "proof.bit", PlateJob(edit=before_end("T2 M6"))),
]  # fmt: skip


@pytest.mark.parametrize(("code", "job"), [f[1:] for f in FAULTS], ids=[f[0] for f in FAULTS])
def test_every_fault_is_caught(code: str, job: PlateJob) -> None:
    assert code in job.codes()


def test_a_hole_narrower_than_the_bit_is_told_even_when_nothing_was_tried() -> None:
    job = PlateJob()
    slit = rectangle(20, 60, 50, 65)
    plan = job.plan()
    plan = replace(plan, panels=(replace(plan.panels[0], holes=(*plan.panels[0].holes, slit.cw())),))
    findings, _ = prove(plan, shop(), job.texts(), batches=[BATCH])
    assert [f.code for f in findings] == ["proof.hole"]
    assert "hole 2 has a place that no bit of 6 mm gets into" in findings[0].message


def test_a_ramp_across_the_grain_of_a_hidden_face_is_nobodys_business() -> None:
    assert PlateJob(show="-n", edit=first(ACROSS)).codes() == set()


def test_lines_run_twice_change_nothing() -> None:
    twice = swap("G1 X183.0000 Y133.0000 Z-0.5000 F3000\n", "G1 X183.0000 Y133.0000 Z-0.5000 F3000\n" * 2)
    assert PlateJob(edit=twice).codes() == set()


def test_nails_of_composite_only_warn() -> None:
    nails = model.Holding(fasteners=model.Fasteners(kind="composite nail"))
    job = PlateJob(screws=IN_THE_WAY, spots=IN_THE_WAY)
    assert job.codes(replace(shop(), holding=nails)) == {"proof.nail-hit"}


def test_files_that_are_missing_or_changed() -> None:
    job = PlateJob()
    texts = job.texts()
    findings, report = prove(job.plan(), shop(), {"spots.nc": texts["spots.nc"]}, batches=())
    assert {f.code for f in findings} >= {"proof.file-missing"}
    assert "the parts of sheet-1: not every program could be read" in report.not_checked
    changed = {**texts, "cut.nc": texts["cut.nc"].replace("F3000", "F2999", 1)}
    findings, _ = prove(job.plan(), shop(), changed, batches=[BATCH])
    assert [f.code for f in findings] == ["proof.file-changed"]


def test_the_hash_is_taken_of_the_bytes() -> None:
    job = PlateJob(edit=lambda t: t.replace("\n", "\r\n"))
    raw = {name: text.encode() for name, text in job.texts().items()}
    assert prove(job.plan(), shop(), raw, batches=[BATCH])[0] == []


def test_bits_that_the_preset_knows_otherwise() -> None:
    thin = replace(shop(), bits=(model.Bit(1, "straight", 6.0, 2, 25.0, measured_diameter=5.9),))
    assert "proof.bit" in PlateJob().codes(thin)


def test_a_sheet_without_programs_is_named_and_left_out() -> None:
    plan = PlateJob().plan({})
    findings, report = prove(plan, shop(), {}, batches=())
    assert findings == []
    assert report.verdict == "No program was there to prove."
    assert "sheet-1: no program was posted for it" in report.not_checked


def test_a_finding_says_what_it_touches_and_where() -> None:
    findings, _ = PlateJob(hole=moved(HOLE, y1=-0.1)).prove()
    (f,) = findings
    assert (f.panels, f.sheet, f.severity) == (("plate",), "sheet-1", "error")
    assert "hole 1 is off by 0.100 mm: too much wood is left" in f.message


def test_the_report_accounts_for_what_was_read() -> None:
    job = PlateJob()
    _, report = job.prove()
    names = [f.name for f in report.files]
    assert names == ["spots.nc", "cut.nc"]
    assert report.files[1].sha256 == hashlib.sha256(job.texts()["cut.nc"].encode()).hexdigest()
    assert report.counts["parts"] == 1
    assert report.counts["tabs"] == 2


def test_the_same_work_gives_the_same_words_twice() -> None:
    job = PlateJob(outline=moved(WHOLE, x1=-0.1), tabs=TABS[:1])
    assert job.prove() == job.prove()


def test_a_program_without_moves_or_bits() -> None:
    job = PlateJob()
    plan = job.plan()
    text = "G21 G90\nM2\n"
    empty = Program("cut", "cut.nc", hashlib.sha256(text.encode()).hexdigest(), ())
    sheet = replace(plan.sheets[0], programs=(plan.sheets[0].programs[0], empty))
    findings, _ = prove(plan.with_sheet(sheet), shop(), {**job.texts(), "cut.nc": text}, batches=[BATCH])
    assert {f.code for f in findings} == {"proof.bit", "proof.not-parked", "proof.missing-part"}


def pointed(angle: float) -> Outline:
    """A hole of 60 mm with one corner of that angle, in degrees."""
    half = 60.0 * math.tan(math.radians(angle / 2.0))
    return polygon_outline([(60, 40), (60 + 2 * half, 40), (60 + half, 100)])


@pytest.mark.parametrize("angle", [50.0, 28.0, 25.0, 20.0])
def test_a_sharp_corner_keeps_its_fillet_without_a_word(angle: float) -> None:
    """As letters and stars have them: the bit gets as far as it can."""
    window = board("window", rectangle(0, 0, 200, 160), holes=[pointed(angle)])
    assert work_of(shown([window])).codes() == set()


def test_a_slot_with_a_sharp_end_that_no_bit_gets_into_is_told() -> None:
    """5.6 mm wide and 30 long: no fillet, though it has one sharp corner."""
    job = PlateJob()
    slit = polygon_outline([(20, 60), (50, 60), (50, 65.6), (20, 65.6), (5, 62.8)])
    plan = job.plan()
    plan = replace(plan, panels=(replace(plan.panels[0], holes=(*plan.panels[0].holes, slit.cw())),))
    findings, _ = prove(plan, shop(), job.texts(), batches=[BATCH])
    assert "hole 2 has a place that no bit of 6 mm gets into" in findings[0].message
