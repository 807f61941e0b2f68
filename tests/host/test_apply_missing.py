# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""`--cut-slots` from boards drawn through each other to programs: the dry fit of what was posted is the
referee."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from flatwright.__main__ import main
from support.corpus.missing import Missing, bench, puzzle_sorter
from support.kernel import solid
from support.sources import ROOT

pytestmark = pytest.mark.filterwarnings("ignore::DeprecationWarning")
PRESET = ROOT / "resources/presets/metric.shop.json"


@pytest.mark.parametrize(("draw", "t", "real"), [(puzzle_sorter, 12.0, 11.8), (bench, 18.0, 17.7)])
def test_cut_slots_gives_a_piece_that_goes_together(
    app: Any, tmp_path: Path, draw: Callable[[float], Missing], t: float, real: float
) -> None:
    drawn = draw(t)
    document = app.newDocument("Piece")
    for panel in drawn.bare:
        obj = document.addObject("Part::Feature", "Board")
        obj.Label, obj.Shape = panel.name, solid(panel)
    document.recompute()
    document.saveAs(str(tmp_path / "piece.FCStd"))
    app.closeDocument(document.Name)
    where = [str(tmp_path / "piece.FCStd"), "--preset", str(PRESET), "--engine", "built-in"]
    where += ["--readings", f"{t:g}:{real},{real + 0.02},{real - 0.02}"]
    assert main(["apply", *where, "--out", str(tmp_path / "as drawn")]) == 1
    assert main(["apply", *where, "--out", str(tmp_path / "cut"), "--cut-slots"]) == 0
    findings = json.loads((tmp_path / "cut/findings.json").read_text("utf-8"))
    codes = [f["code"] for f in findings]
    assert "joint.slot-cut" in codes and "error" not in {f["severity"] for f in findings}
    [verdict] = [f for f in findings if f["code"] == "proof.verdict"]
    assert verdict["message"].startswith("The programs leave the planned parts and hit nothing")
    assert (
        "layout.show-face-down" not in codes
    )  # a recess that was cut turns its face up, as a drawn one does
    plan = json.loads((tmp_path / "cut/plan.json").read_text("utf-8"))
    assert len(plan["joints"]) >= len(drawn.meant.joints)
    assert all(s["programs"] for s in plan["sheets"])
