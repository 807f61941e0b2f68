# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""`flatwright check`: programs in files, with the plan that they were made from or without any."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from flatwright.__main__ import main
from flatwright.checking import PRESET_BESIDE, check
from flatwright.findings import UsageError
from flatwright.plan_json import to_json
from flatwright.presets.writing import dumps
from flatwright.resources import path as own
from support.plate_job import PlateJob

# STORIES 6: a jig from another shop; its last round goes 3 mm into the spoilboard
ROUND = "X200 F3000\nG1 Y150\nG1 X20\nG1 Y20\n"
JIG = f"""G21 G90 G17 G54
T1 M6
M3 S18000
G0 Z30
G0 X20 Y20
G1 Z12 F900
G1 {ROUND}G1 Z-3 F900
G1 {ROUND}G0 Z30
M5
M2
"""


@pytest.fixture
def jig(tmp_path: Path) -> Path:
    file = tmp_path / "jig.nc"
    file.write_text(JIG)
    return file


def codes(done: object) -> list[str]:
    return [f.code for f in done.findings]  # type: ignore[attr-defined]


def test_a_friends_jig_goes_into_the_spoilboard_and_shows_where_screws_are_safe(jig: Path) -> None:
    done = check([jig], out=jig.parent / "out", size=(260.0, 200.0))
    assert codes(done) == ["proof.overcut"]
    assert "3.00 mm into the spoilboard, from line 11 on" in done.findings[0].message
    assert JIG.splitlines()[10] == "G1 Z-3 F900"
    assert done.refused
    (scene,) = done.report.scenes
    zones = scene.zones(scene.swept())
    # inside the round and between it and the board's edge; head 8.5, margin 3, bit 6: 10.25 mm off the path
    assert zones.bounds == pytest.approx((7.25, 7.25, 252.75, 192.75), abs=0.02)
    assert zones.distance(scene.swept()) == pytest.approx(7.25 + 0.1, abs=0.11)
    picture = (jig.parent / "out" / "the-board.svg").read_text()
    assert "safe for screws" in picture
    assert 'class="fault"' in picture


def test_a_screw_in_the_middle_is_safe_and_one_on_the_path_is_not(jig: Path) -> None:
    import shapely

    (scene,) = check([jig]).report.scenes
    zones = scene.zones(scene.swept())
    assert zones.contains(shapely.Point(110, 85))
    assert not zones.contains(shapely.Point(110, 12))


CLEAN = JIG.replace("Z-3", "Z-0.4")
FOREIGN = {
    "proof.rapid-in-wood": CLEAN.replace("G0 Z30\nM5", "G0 X150 Y90\nG0 Z30\nM5"),
    "proof.spindle-off": CLEAN.replace("M3 S18000\n", ""),
    "proof.spindle-speed": CLEAN.replace("S18000", "S30000"),
    "proof.feed-unlike-preset": CLEAN.replace("F3000", "F9000"),
    "proof.table-hit": CLEAN.replace("Z-0.4", "Z-18.5"),
    "proof.travel": CLEAN.replace("X200", "X3200"),
    "proof.not-parked": CLEAN.replace("G0 Z30\nM5", "M5"),
    "proof.bit-unknown": CLEAN.replace("T1 M6", "T9 M6"),
    "proof.reader": CLEAN.replace("G1 Z12 F900", "G2 X40 Y20 I3 F900"),
    "proof.unplaced-move": CLEAN.replace("M5", "G53 G0 Z0\nM5"),
    "proof.assumed-state": CLEAN.replace("G21 ", ""),
    "proof.block-delete": CLEAN.replace("M5", "/M5"),
    "proof.radius-arc": CLEAN.replace("G0 Z30\nM5", "G2 X20 Y40 R10.001\nG0 Z30\nM5"),
    "proof.cutting-length": CLEAN,
}


@pytest.mark.parametrize("code", FOREIGN)
def test_machine_checks_without_a_plan(code: str, tmp_path: Path) -> None:
    file = tmp_path / "foreign.nc"
    file.write_text(FOREIGN[code])
    thickness = 30.0 if code == "proof.cutting-length" else 12.0
    assert code in codes(check([file], thickness=thickness))


def test_clean_foreign_work_raises_nothing(tmp_path: Path) -> None:
    file = tmp_path / "clean.nc"
    file.write_text(CLEAN)
    done = check([file], thickness=12.0, size=(260.0, 200.0))
    assert codes(done) == []
    assert done.report.verdict.startswith("Nothing speaks against running it")
    assert codes(check([file])) == []


def test_rapids_through_what_was_cut_before_are_no_fault(tmp_path: Path) -> None:
    file = tmp_path / "back.nc"
    file.write_text(CLEAN.replace("G0 Z30\nM5", "G0 X180\nG0 Z30\nG0 X100 Y20\nG0 Z3\nG0 Z30\nM5"))
    assert codes(check([file], thickness=12.0)) == []


def with_plan(tmp_path: Path, job: PlateJob) -> tuple[list[Path], Path]:
    """The job's files in a folder, as a run leaves them; the preset is the plate's own."""
    texts = job.texts()
    for name, text in texts.items():
        (tmp_path / name).write_text(text)
    plan = tmp_path / "plan.json"
    plan.write_text(json.dumps(to_json(job.plan(texts))))
    return [tmp_path / name for name in texts], plan


def plate_preset(tmp_path: Path) -> Path:
    """The metric starter with the plate's boards, bits and parking point."""
    document = json.loads(own("presets/metric.shop.json").read_text(encoding="utf-8"))
    document["boards"] = [
        {"name": "ply 12", "nominal": "12 mm", "readings": ["11.9 mm", "12 mm", "12.1 mm"]},
    ]
    document["bits"] = [
        {"number": 1, "kind": "straight", "diameter": "6 mm", "flutes": 2, "cutting_length": "25 mm"},
    ]
    # tabs of the plate are climbed at full feed, and its second pass takes 6.5 mm
    own_data = {"plunge": "3000 mm/min", "pass_depth": "6.5 mm"}
    document["feeds"] = [{**f, **own_data} for f in document["feeds"] if f["bit"] == 1]
    document["machine"]["park"] = ["0 mm", "300 mm"]
    file = tmp_path / PRESET_BESIDE
    file.write_text(dumps(document))
    return file


def test_with_its_plan_and_the_preset_beside_it(tmp_path: Path) -> None:
    files, plan = with_plan(tmp_path, PlateJob())
    with pytest.raises(UsageError, match="name it with --preset"):
        check(files, plan)
    plate_preset(tmp_path)
    done = check(files, plan, out=tmp_path / "account")
    assert codes(done) == []
    page = (tmp_path / "account" / "dry-fit.html").read_text()
    assert done.report.verdict in page
    assert all(f.sha256 in page for f in done.report.files)
    assert (tmp_path / "account" / "sheet-1.svg").is_file()
    assert all(f.is_file() for f in files)


def test_a_file_that_the_plan_does_not_name_is_checked_by_itself(tmp_path: Path) -> None:
    files, plan = with_plan(tmp_path, PlateJob())
    preset = plate_preset(tmp_path)
    jig = tmp_path / "jig.nc"
    jig.write_text(JIG)
    done = check([*files, jig], plan, preset)
    assert codes(done) == ["proof.overcut", "proof.unplanned-file"]


def test_the_command_line_says_what_a_foreman_signs(jig: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", str(jig)]) == 1
    out = capsys.readouterr().out
    for word in ("Read:", "sha256", "Checked:", "1 error, 0 warnings, 0 notes", "Not checked:", "Verdict:"):
        assert word in out
    jig.write_text(CLEAN)
    assert main(["check", str(jig), "--thickness", "12", "--sheet", "260x200"]) == 0


BAD: dict[str, tuple[bytes, str]] = {
    "empty": (b"", "the file is empty"),
    "blank": (b"\n\n  \n", "the file is empty"),
    "binary": (bytes(range(256)) * 40, "control characters"),
    "non-ASCII": ("G21 G90\nG0 X1 Ы2\nM2\n".encode(), "is not allowed outside a comment"),
    "another dialect": (b"0 BEGIN PGM JIG MM\n1 L X+10 Y+20 FMAX\n", "line 1"),
    "without M2": (b"G21 G90\nG0 X1\n", "M2 or M30 is missing"),
    "parameters": (b"G21 G90\n#1=5\nG0 X#1\nM2\n", "parameters"),
    "cutter compensation": (b"G21 G90\nG41 D1\nM2\n", "post the tool's own path"),
}


@pytest.mark.parametrize("kind", BAD)
def test_bad_programs_are_refused_in_words(kind: str, tmp_path: Path) -> None:
    text, says = BAD[kind]
    file = tmp_path / "bad.nc"
    file.write_bytes(text)
    done = check([file], out=tmp_path / "out")
    assert codes(done) == ["proof.reader"]
    assert says in done.findings[0].message
    assert done.refused


def test_letters_of_any_script_may_stand_in_comments(tmp_path: Path) -> None:
    file = tmp_path / "clean.nc"
    file.write_text(CLEAN.replace("T1 M6", "(полка ×2)\nT1 M6"), encoding="utf-8")
    assert codes(check([file])) == []
    file.write_bytes(file.read_bytes().replace("полка".encode(), b"\xe9tag\xe8re"))
    assert codes(check([file])) == []


def test_a_file_of_100_megabytes_is_refused_without_reading_it_all(tmp_path: Path) -> None:
    file = tmp_path / "huge.nc"
    with file.open("wb") as f:
        f.truncate(100_000_000)
    done = check([file])
    assert codes(done) == ["proof.reader"]
    assert "larger than 64 million characters" in done.findings[0].message


PLANS: dict[str, tuple[str, str]] = {
    "of another version": ('{"format": "flatwright-plan", "version": 99}', "version 99"),
    "no plan": ('{"format": "something"}', "this is not a plan"),
    "no object": ("[]", "holds no object"),
    "no JSON": ("G21 G90", "not JSON text"),
    "damaged": ('{"format": "flatwright-plan", "version": 1, "panels": [{}]}', "damaged"),
}


@pytest.mark.parametrize("kind", PLANS)
def test_bad_plans_are_refused_in_words(kind: str, jig: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text, says = PLANS[kind]
    plan = jig.with_name("plan.json")
    plan.write_text(text)
    assert main(["check", str(jig), "--plan", str(plan)]) == 2
    assert says in capsys.readouterr().err


def test_missing_files_are_bad_usage(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", str(tmp_path / "none.nc")]) == 2
    assert "none.nc cannot be read" in capsys.readouterr().err
    assert main(["check", str(tmp_path)]) == 2


def test_every_problem_of_a_preset_is_told_with_its_place(
    jig: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """One sentence, and the places that it has no room for on lines of their own."""
    document = json.loads(own("presets/metric.shop.json").read_text(encoding="utf-8"))
    for k, bit in enumerate(document["bits"]):
        bit["diameter"] = f"{k + 6}"
    file = tmp_path / "mine.shop.json"
    file.write_text(json.dumps(document), encoding="utf-8")
    assert main(["check", str(jig), "--preset", str(file)]) == 2
    first, *rest = capsys.readouterr().err.splitlines()
    assert "4 problems" in first
    assert "bits[2].diameter" in first
    assert [line.split(":")[0] for line in rest] == ["  bits[3].diameter"]
