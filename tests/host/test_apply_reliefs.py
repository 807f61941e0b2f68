# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Reliefs of unusual shape through the whole job: the dry fit of the posted programs finds no fault."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path

from flatwright import resources
from flatwright.api import apply
from flatwright.geometry.outline import polygon_outline, rectangle
from flatwright.plan import Panel
from flatwright.run import Result
from flatwright.steps import Options
from support.pieces import board, through_tenon


def applied(panels: Sequence[Panel], readings: str, folder: Path, kind: str = "least visible") -> Result:
    """A piece drawn in a document, and the metric starter preset applied to it."""
    import FreeCAD

    from flatwright.host.shapes import panel_solid

    doc = FreeCAD.newDocument("Reliefs")
    for panel in panels:
        o = doc.addObject("Part::Feature", "Board")
        o.Label, o.Shape = panel.name, panel_solid(panel)
    doc.recompute()
    doc.saveAs(str(folder / "model.FCStd"))
    FreeCAD.closeDocument(doc.Name)
    preset = json.loads(resources.path("presets/metric.shop.json").read_text(encoding="utf-8"))
    preset["reliefs"]["kind"] = kind
    (folder / "own.shop.json").write_text(json.dumps(preset), encoding="utf-8")
    return apply(
        folder / "model.FCStd", folder / "own.shop.json", folder / "out", readings=[readings],
        options=Options(engine="built-in"),
    )  # fmt: skip


def errors(result: Result) -> list[str]:
    return [f"{f.code} {f.where}" for f in result.findings if f.severity == "error"]


def dovetail_halving(t: float = 18.0) -> list[Panel]:
    """The end of a post as a dovetail in the middle of a rail, half from each: its corners are sharper than
    square, 90° less the flare of 8.5°."""
    tail = [(114.0, 110.0), (186.0, 110.0), (180.0, 150.0), (120.0, 150.0)]
    rail = board("rail", rectangle(0, 100, 300, 150), t=t, pockets=[(polygon_outline(tail), t / 2, "+n")])
    post = [*tail[:3], (190.0, 150.0), (190.0, 300.0), (110.0, 300.0), (110.0, 150.0), tail[3]]
    return [rail, board("post", post, t=t, pockets=[(rectangle(90, 105, 210, 150), t / 2, "-n")])]


def test_corners_sharper_than_square(tmp_path: Path) -> None:
    done = applied(dovetail_halving(), "18:17.7,17.72,17.68,17.7", tmp_path)
    assert errors(done) == []
    assert {x.panel for x in done.plan.reliefs} == {"rail", "post"}
    assert any(f.code == "proof.verdict" for f in done.findings)


def test_slots_little_wider_than_the_bit(tmp_path: Path) -> None:
    """Boards of 6 mm and a bit of 6 mm: the slot's ends still hold the mate, which the dry fit measures."""
    done = applied(through_tenon(0.2, t=6.0), "6:5.9,5.92,5.88,5.9", tmp_path)
    assert errors(done) == []
    assert {x.kind for x in done.plan.reliefs if x.panel == "side"} == {"T-bone"}
    assert any(f.code == "proof.verdict" for f in done.findings)
