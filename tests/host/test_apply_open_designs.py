# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Open designs that nobody here drew go through the main job, or say why not."""

from __future__ import annotations

import json
from collections import Counter
from pathlib import Path
from typing import Any

import pytest

from flatwright import resources
from flatwright.api import apply
from flatwright.host.version import version
from flatwright.run import Result
from flatwright.steps import Options

pytestmark = pytest.mark.slow
METRIC = resources.path("presets/metric.shop.json")


def go(model: Path, out: Path, *readings: str, preset: Path = METRIC) -> Result:
    return apply(model, preset, out, readings=readings, options=Options(engine="built-in"))


@pytest.fixture
def fine_preset(tmp_path: Path) -> Path:
    """The starter preset with a 2 mm bit."""
    document = json.loads(METRIC.read_text(encoding="utf-8"))
    document["bits"].append(
        {"number": 9, "kind": "straight", "diameter": "2 mm", "flutes": 2, "cutting_length": "8 mm"}
    )
    document["feeds"].append(
        {"bit": 9, "board": None, "spindle": "20000 1/min", "chip_load": "0.03 mm", "pass_depth": "1.5 mm",
         "plunge": "300 mm/min"}
    )  # fmt: skip
    file = tmp_path / "fine.shop.json"
    file.write_text(json.dumps(document), encoding="utf-8")
    return file


def box(shared_models: Path) -> Path:
    """The assembled box of 3 mm boards: the folder with one assembly file and reference drawings."""
    (folder,) = {p.parent for p in shared_models.glob("*/ref-*.svg")}
    (file,) = [p for p in folder.iterdir() if p.name.lower() == "assembly.fcstd"]
    return file


def named(result: Result) -> set[str]:
    """Everything that findings talk of, in one text."""
    return {f"{f.where} {f.message}" for f in result.findings}


def test_box_with_a_bit_that_fits(app: Any, shared_models: Path, fine_preset: Path, tmp_path: Path) -> None:
    result = go(box(shared_models), tmp_path / "out", "3:3.02,3.05,3.0", preset=fine_preset)
    assert not result.refused, [f.message for f in result.findings if f.severity == "error"]
    assert len(result.plan.panels) == 6
    assert Counter(j.kind for j in result.plan.joints) == {"mortise and tenon": 14}
    assert len({frozenset(j.panels) for j in result.plan.joints}) == 8
    assert result.plan.reliefs
    assert all(s.programs for s in result.plan.sheets)
    # slots drawn exactly as wide as the board come out at the measured board and 0.25 mm
    assert all(j.fit["across_mm"] == 0.25 for j in result.plan.joints)


def test_box_with_bits_that_do_not(app: Any, shared_models: Path, tmp_path: Path) -> None:
    result = go(box(shared_models), tmp_path / "out", "3:3.02,3.05,3.0")
    assert result.refused
    errors = [f for f in result.findings if f.code == "bits.too-wide"]
    assert any("a bit of at most 3.0 mm" in f.remedy for f in errors)
    assert not list((tmp_path / "out").glob("sheets/*.nc"))


@pytest.mark.parametrize("pattern", ["*/*_base.FCStd", "*/*_base_assembly.FCStd"])
def test_every_board_is_fitted_or_named(app: Any, shared_models: Path, tmp_path: Path, pattern: str) -> None:
    from flatwright.host.open import open_model
    from flatwright.host.solids import read_solids

    (file,) = shared_models.glob(pattern)
    before = set(app.listDocuments())
    labels = {s.label for s in read_solids(open_model(file))[0]}
    for name in set(app.listDocuments()) - before:
        app.closeDocument(name)
    result = go(file, tmp_path / "out", "18:17.72,17.70,17.75", "12:11.9,11.95")
    said = "\n".join(named(result))
    fitted = {p.name for p in result.plan.panels if p.board is not None}
    for label in labels - fitted:
        assert label in said, f"{label} is neither fitted nor named"
    errors = [f for f in result.findings if f.severity == "error"]
    assert {f.code for f in errors} == {"bits.too-wide"}, "only the pilot holes, which need a smaller bit"
    assert all("4.5 mm" in f.remedy for f in errors)


def test_mitres_and_metal_are_named_and_both_formats_agree(
    app: Any, shared_models: Path, tmp_path: Path
) -> None:
    (drawn,) = [p for p in shared_models.glob("*/*.FCStd") if p.with_suffix(".step").exists()]
    readings = "18:17.72,17.70,17.75"
    first = go(drawn, tmp_path / "a", readings)
    left_out = [f for f in first.findings if f.code == "panel.left-out"]
    assert len(left_out) == 4
    assert all("45.0°" in f.message for f in left_out)
    unknown = [f for f in first.findings if f.code == "board.unknown"]
    assert len(unknown) == 1
    assert sum(p.board is None for p in first.plan.panels) == 8
    assert not [f for f in first.findings if f.severity == "error"]
    turned = [s for s in first.plan.sheets if s.flip is not None]
    assert turned, "panels with pockets on both faces"
    assert all(s.programs for s in first.plan.sheets)
    if version() < (1, 0, 0):
        return  # 0.20's STEP import is another matter; it is tested with our own models
    second = go(drawn.with_suffix(".step"), tmp_path / "b", readings)
    assert Counter(f.code for f in first.findings) == Counter(f.code for f in second.findings)
    for p, q in zip(first.plan.panels, second.plan.panels, strict=True):
        assert (p.thickness, p.board, len(p.holes), len(p.pockets)) == (
            q.thickness, q.board, len(q.holes), len(q.pockets)
        )  # fmt: skip
        assert p.outline.area() == pytest.approx(q.outline.area(), abs=1e-3)
