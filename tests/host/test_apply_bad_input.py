# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Bad input gets a clear error or finding, never a traceback, never a changed model."""

from __future__ import annotations

import errno
import hashlib
import json
from pathlib import Path
from typing import Any

import pytest

from flatwright import resources
from flatwright.__main__ import main

METRIC = resources.path("presets/metric.shop.json")


def model(app: Any, folder: Path, *shapes: tuple[str, Any]) -> Path:
    """A saved document with these labelled shapes."""
    doc = app.newDocument("Bad")
    for label, shape in shapes:
        o = doc.addObject("Part::Feature", "Solid")
        o.Label, o.Shape = label, shape
    file = folder / "model.FCStd"
    doc.saveAs(str(file))
    app.closeDocument(doc.Name)
    return file


@pytest.fixture
def plain(app: Any, tmp_path: Path) -> Path:
    """A model of one board, 400 × 200 × 18."""
    import Part

    return model(app, tmp_path, ("board", Part.makeBox(400, 200, 18)))


def run(file: Path, out: Path, *more: str, preset: Path = METRIC, readings: str = "17.7,17.75,17.8") -> int:
    return main(["apply", str(file), "--preset", str(preset), "--readings", readings, "--out", str(out),
                 "--engine", "built-in", *more])  # fmt: skip


def codes(out: Path) -> set[str]:
    return {f["code"] for f in json.loads((out / "findings.json").read_text(encoding="utf-8"))}


def refused(capsys: pytest.CaptureFixture[str], out: Path, *words: str) -> None:
    """One plain sentence on standard error, and nothing written."""
    err = capsys.readouterr().err.strip()
    assert len(err.splitlines()) == 1
    assert "Traceback" not in err
    for word in words:
        assert word in err
    assert not out.exists() or not list(out.iterdir())


def test_a_model_without_solids(app: Any, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    import Part

    file = model(app, tmp_path, ("wire", Part.makePolygon([(0, 0, 0), (1, 0, 0), (0, 1, 0)])))
    assert run(file, tmp_path / "out") == 2
    refused(capsys, tmp_path / "out", "solid")


def test_only_a_dowel(app: Any, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    import Part

    assert run(model(app, tmp_path, ("dowel", Part.makeCylinder(4, 40))), tmp_path / "out") == 2
    refused(capsys, tmp_path / "out", "dowel", "thicker than it is wide")


def test_dowels_bevels_and_tapers_are_listed_and_left_out(app: Any, tmp_path: Path) -> None:
    import FreeCAD
    import Part

    box = Part.makeBox(300, 100, 18)
    upper = [e for e in box.Edges if all(v.Z == 18 for v in e.Vertexes)]
    bevelled = box.makeChamfer(5, upper[:1])
    tapered = Part.makeWedge(0, 0, 0, 0, 0, 300, 100, 18, 20, 300)
    dowel = Part.makeCylinder(4, 40, FreeCAD.Vector(0, 500, 0))
    file = model(app, tmp_path, ("board", Part.makeBox(400, 200, 18, FreeCAD.Vector(0, 700, 0))),
                 ("bevelled", bevelled), ("tapered", tapered), ("dowel", dowel))  # fmt: skip
    before = hashlib.sha256(file.read_bytes()).hexdigest()
    assert run(file, tmp_path / "out") == 0
    found = json.loads((tmp_path / "out" / "findings.json").read_text(encoding="utf-8"))
    assert {"bevelled", "tapered", "dowel"} <= {f["where"] for f in found if f["code"] == "panel.left-out"}
    plan = json.loads((tmp_path / "out" / "plan.json").read_text(encoding="utf-8"))
    assert [p["name"] for p in plan["panels"]] == ["board"]
    assert hashlib.sha256(file.read_bytes()).hexdigest() == before, "the model file is untouched"


@pytest.mark.parametrize(
    ("readings", "words"),
    [
        ("thin", ["thin"]),
        ("-17.7", ["-17.7"]),
        ("12.5,12.6", ["12.5"]),
        ("", ["reading"]),
        ("18:25,25.1", ["25"]),
    ],
)
def test_readings_that_cannot_be(
    plain: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], readings: str, words: list[str]
) -> None:
    assert run(plain, tmp_path / "out", readings=readings) == 2
    refused(capsys, tmp_path / "out", *words)


def test_a_board_without_readings_is_cut_as_drawn_with_a_warning(app: Any, tmp_path: Path) -> None:
    import FreeCAD
    import Part

    file = model(app, tmp_path, ("thick", Part.makeBox(400, 200, 18)),
                 ("thin", Part.makeBox(300, 200, 12, FreeCAD.Vector(0, 300, 0))))  # fmt: skip
    assert run(file, tmp_path / "out") == 0
    assert "board.unmeasured" in codes(tmp_path / "out")
    plan = json.loads((tmp_path / "out" / "plan.json").read_text(encoding="utf-8"))
    assert {p["name"]: p["thickness_mm"] for p in plan["panels"]} == {"thick": 17.75, "thin": 12.0}


def test_two_thicknesses_that_could_be_meant(
    app: Any, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    import FreeCAD
    import Part

    file = model(app, tmp_path, ("a", Part.makeBox(400, 200, 18)),
                 ("b", Part.makeBox(300, 200, 17, FreeCAD.Vector(0, 300, 0))))  # fmt: skip
    assert run(file, tmp_path / "out", readings="17.5,17.6") == 2
    refused(capsys, tmp_path / "out", "NOMINAL:")


def test_a_slot_narrower_than_every_bit_names_the_bit_that_would_do(app: Any, tmp_path: Path) -> None:
    import FreeCAD
    import Part

    slotted = Part.makeBox(400, 200, 18).cut(Part.makeBox(100, 5, 18, FreeCAD.Vector(100, 100, 0)))
    file = model(app, tmp_path, ("slotted", slotted),
                 ("other", Part.makeBox(300, 200, 18, FreeCAD.Vector(0, 300, 0))))  # fmt: skip
    assert run(file, tmp_path / "out") == 1
    found = json.loads((tmp_path / "out" / "findings.json").read_text(encoding="utf-8"))
    (error,) = [f for f in found if f["severity"] == "error"]
    assert error["where"].startswith("slotted")
    assert "5.0 mm" in error["remedy"]
    assert not list((tmp_path / "out").glob("sheets/*.nc")), "no program for the sheet that it touches"


def test_a_refused_run_takes_old_programs_away(app: Any, plain: Path, tmp_path: Path) -> None:
    assert run(plain, tmp_path / "out") == 0
    assert list((tmp_path / "out").glob("sheets/*.nc"))
    assert run(plain, tmp_path / "out", "--sheet", "300x150") == 1
    assert not list((tmp_path / "out").glob("sheets/*.nc"))


def test_a_part_larger_than_the_sheet(plain: Path, tmp_path: Path) -> None:
    assert run(plain, tmp_path / "out", "--sheet", "300x150") == 1
    assert "layout.part-too-large" in codes(tmp_path / "out")


def test_an_unknown_preset_key_with_a_suggestion(
    plain: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    document = json.loads(METRIC.read_text(encoding="utf-8"))
    document["machine"]["overcutt"] = document["machine"].pop("overcut")
    preset = tmp_path / "typo.shop.json"
    preset.write_text(json.dumps(document), encoding="utf-8")
    assert run(plain, tmp_path / "out", preset=preset) == 2
    refused(capsys, tmp_path / "out", "overcutt", "overcut")


@pytest.mark.parametrize("name", ["missing.FCStd", "notes.txt", "broken.FCStd", "broken.step"])
def test_files_that_are_no_model(
    app: Any, tmp_path: Path, capsys: pytest.CaptureFixture[str], name: str
) -> None:
    if not name.startswith("missing"):
        (tmp_path / name).write_text("not a model", encoding="utf-8")
    assert run(tmp_path / name, tmp_path / "out") == 2
    refused(capsys, tmp_path / "out", name)


def test_an_output_folder_that_is_a_file(
    plain: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "taken").write_text("", encoding="utf-8")
    assert run(plain, tmp_path / "taken") == 2
    assert "not a folder" in capsys.readouterr().err


@pytest.mark.parametrize(("number", "word"), [(errno.ENOSPC, "full"), (errno.EROFS, "cannot be written")])
def test_a_full_or_read_only_drive_leaves_everything_as_it_was(
    app: Any, plain: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch, number: int, word: str,
) -> None:  # fmt: skip
    """The drive fails when the papers are written, after the programs were posted."""
    assert run(plain, tmp_path / "out") == 0
    before = {p: p.read_bytes() for p in sorted((tmp_path / "out").rglob("*")) if p.is_file()}

    def fail(*_: Any, **__: Any) -> None:
        raise OSError(number, "the drive says no")

    monkeypatch.setattr("flatwright.run.operator_sheet", fail)
    capsys.readouterr()
    assert run(plain, tmp_path / "out", readings="17.9,17.95") == 2
    assert word in capsys.readouterr().err
    after = {p: p.read_bytes() for p in sorted((tmp_path / "out").rglob("*")) if p.is_file()}
    assert after == before


def test_usage_errors_end_with_2_and_one_sentence(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["apply"]) == 2
    assert main([]) == 2
    assert main(["apply", "m.FCStd", "--preset", "p", "--out", "o", "--sheet", "big"]) == 2
    err = capsys.readouterr().err
    assert len(err.strip().splitlines()) == 3


@pytest.mark.parametrize(
    ("choice", "said"),
    [
        ("board=birch 13", "no board birch 13, which was chosen for board"),
        ("birch 12", "write PANEL=BOARD"),
        ("=birch 12", "write PANEL=BOARD"),
    ],
)
def test_a_board_chosen_for_a_panel_that_makes_no_sense(
    plain: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], choice: str, said: str
) -> None:
    assert run(plain, tmp_path / "out", "--board", choice) == 2
    refused(capsys, tmp_path / "out", said)


def test_a_panel_takes_the_thickness_of_a_chosen_board_that_nobody_measured(
    plain: Path, tmp_path: Path
) -> None:
    out = tmp_path / "out"
    assert main(["apply", str(plain), "--preset", str(METRIC), "--out", str(out), "--engine", "built-in",
                 "--board", "board=birch 12"]) == 0  # fmt: skip
    plan = json.loads((out / "plan.json").read_text(encoding="utf-8"))
    assert (plan["panels"][0]["thickness_mm"], plan["sheets"][0]["thickness_mm"]) == (12.0, 12.0)


def test_a_board_chosen_for_a_panel(plain: Path, tmp_path: Path) -> None:
    more = ("--board", "board=birch 12", "--board", "shelf=birch 12")
    assert run(plain, tmp_path / "out", *more, readings="11.9,11.95") == 0
    [panel] = json.loads((tmp_path / "out" / "plan.json").read_text(encoding="utf-8"))["panels"]
    assert (panel["board"], panel["nominal_mm"], panel["thickness_mm"]) == ("birch 12", 18.0, 11.925)
    assert {"board.chosen", "board.chosen-for-nothing"} <= codes(tmp_path / "out")
