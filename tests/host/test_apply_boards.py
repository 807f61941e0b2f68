# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What is known of the boards, from a preset and readings to plan, findings and operator sheet."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator
from scipy import stats

from flatwright import resources
from flatwright.__main__ import main
from support.preset_documents import changed

READINGS = "17.72,17.70,17.75,17.68"


@pytest.fixture
def rack(app: Any, tmp_path: Path) -> Path:
    """A side with a mortise, and a shelf whose tenon goes through it."""
    import Part
    from FreeCAD import Vector

    side = Part.makeBox(18, 200, 300).cut(Part.makeBox(18, 80, 18, Vector(0, 60, 100)))
    shelf = Part.makeBox(400, 200, 18, Vector(18, 0, 100)).fuse(Part.makeBox(18, 80, 18, Vector(0, 60, 100)))
    doc = app.newDocument("Rack")
    for label, shape in (("Side", side), ("Shelf", shelf.removeSplitter())):
        o = doc.addObject("Part::Feature", "Solid")
        o.Label, o.Shape = label, shape
    file = tmp_path / "rack.FCStd"
    doc.saveAs(str(file))
    app.closeDocument(doc.Name)
    return file


def applied(file: Path, document: dict[str, Any], *more: str) -> tuple[dict[str, Any], dict[str, str], str]:
    """(plan, findings as message by code, operator sheet)."""
    preset, out = file.with_name("shop.shop.json"), file.with_name("out")
    preset.write_text(json.dumps(document), encoding="utf-8")
    where = ["--preset", str(preset), "--out", str(out), "--engine", "built-in"]
    assert main(["apply", str(file), *where, *more]) == 0
    plan = json.loads((out / "plan.json").read_text(encoding="utf-8"))
    schema = json.loads(resources.path("schemas/plan.schema.json").read_text(encoding="utf-8"))
    assert [e.message for e in Draft202012Validator(schema).iter_errors(plan)] == []
    findings = json.loads((out / "findings.json").read_text(encoding="utf-8"))
    return plan, {f["code"]: f["message"] for f in findings}, (out / "operator-sheet.html").read_text("utf-8")


def test_readings_in_plan_and_papers_and_slots_for_a_wanted_probability(rack: Path) -> None:
    document = changed("fits.slot_for", "probability")
    plan, _, page = applied(rack, document, "--readings", READINGS)
    [board], [joint] = plan["boards"], plan["joints"]
    assert (board["name"], board["measured"]) == ("birch 18", True)
    assert board["readings_mm"] == [17.72, 17.7, 17.75, 17.68]
    assert (board["mean_mm"], board["range_mm"]) == pytest.approx((17.7125, 0.07))
    assert (board["s_mm"], board["u95_mm"]) == pytest.approx((0.02986, 0.04840), abs=5e-5)
    clearance = stats.norm.ppf(0.95) * (0.1**2 + 0.05**2) ** 0.5  # the floor of the spread, the machine's
    assert joint["fit"]["across_mm"] == pytest.approx(clearance, abs=1e-5)
    assert joint["fit"]["p_assembles"] == pytest.approx(0.95, abs=1e-5)
    hole = next(p for p in plan["panels"] if p["name"] == "Side")["holes"][0]["points"]
    widths = sorted({round(abs(a[k] - b[k]), 3) for a in hole for b in hole for k in (0, 1)})
    assert any(w == pytest.approx(17.7125 + clearance, abs=2e-3) for w in widths)
    assert "17.72, 17.70, 17.75, 17.68" in page and "95 %" in page


def test_a_damp_place_of_use(rack: Path) -> None:
    document = changed("fits.used_at", {"temperature": "15 degC", "humidity": "75 %"})
    document["boards"][6]["measured_at"] = {"temperature": "20 degC", "humidity": "50 %"}
    document["fits"]["default"] = "press"
    plan, findings, page = applied(rack, document, "--readings", READINGS)
    growth = plan["boards"][0]["growth_mm"]
    assert 0.2 < growth < 0.3
    assert plan["joints"][0]["fit"]["across_mm"] == pytest.approx(0.05 + growth, abs=1e-5)
    assert f"{growth:.2f} mm in thickness" in findings["board.moisture"]
    assert f"{growth:.2f} mm thicker" in findings["joint.moves-in-slot"]
    assert "fit.unlikely" in findings and "thicker" in page


def test_a_board_that_nobody_measured(rack: Path) -> None:
    plan, findings, page = applied(rack, changed("name", "Unmeasured"))
    [board] = plan["boards"]
    assert (board["measured"], board["readings_mm"]) == (False, [])
    assert board["s_mm"] is board["u95_mm"] is board["range_mm"] is None
    assert board["spread_mm"] == pytest.approx(0.42)
    assert not {"fit.unlikely", "proof.unmeasured"} & findings.keys()  # one matter, one warning
    assert "has no readings" in findings["board.unmeasured"]
    assert (
        f"{100 * plan['joints'][0]['fit']['p_assembles']:.1f} % go together" in findings["board.unmeasured"]
    )
    assert "Nobody measured" in rack.with_name("out").joinpath("dry-fit.html").read_text(
        "utf-8"
    )  # the dry fit's own account
    assert "not measured" in page
