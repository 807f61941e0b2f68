# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The corpus through the whole shop: drawn by the host's kernel, applied, posted. Every drawing goes to two
shops that differ in zero, units, post, direction, bit change, ends of tabs, finish pass and holding."""

from __future__ import annotations

import json
import os
from datetime import date
from pathlib import Path
from typing import Any

from flatwright import resources
from flatwright.api import apply_shop_rules
from flatwright.steps import Options
from support.corpus import CASES, Case
from support.corpus.drawing import Model
from support.runs import Run

A_DAY = 4
PLACE = int(os.environ.get("FLATWRIGHT_PLACE", date.today().toordinal()))
SPREAD = 0.02  # mm: the readings are the mean and this much less and more

SHOPS: tuple[dict[str, dict[str, Any]], ...] = (
    {},
    {"machine": {"zero": "board top", "bit_change": "automatic"}, "entries": {"direction": "conventional"}},
    {"post": {"units": "in"}, "entries": {"finish_allowance": "0.4 mm", "lead_radius": "3 mm"}},
    {
        "post": {"processor": "grbl"},
        "holding": {
            "tabs": {"length": "12 mm", "height": "5 mm", "ends": "square", "at_least": 2, "factor": 4}
        },
        "machine": {"park": ["0 mm", "0 mm"], "overcut": "0.3 mm"},
    },
    {"holding": {"method": ["onion skin", "screws"], "onion_skin": {"thickness": "0.8 mm"}}},
)


def share() -> list[Case]:
    """The cases of this run: a few, others every day; all of them with --long."""
    if os.environ.get("FLATWRIGHT_LONG"):
        return list(CASES)
    return [CASES[(A_DAY * PLACE + k) % len(CASES)] for k in range(A_DAY)]


def number(case: Case) -> int:
    """Which of SHOPS a case goes to: both cases of a drawing to different ones."""
    return (case.index // 2 + 2 * case.variant) % len(SHOPS)


def run_case(case: Case, folder: Path) -> Run:
    """Draw a case in a new document, apply its shop to it and read back what was written."""
    import FreeCAD

    from support.kernel import solid

    model = case.model()
    rules = folder.with_suffix(".shop.json")
    rules.write_text(json.dumps(shop(case, model)), encoding="utf-8")
    doc = FreeCAD.newDocument("Corpus")
    try:
        for panel in model.panels:
            obj = doc.addObject("Part::Feature", "Board")
            obj.Label, obj.Shape = panel.name, solid(panel)
        doc.recompute()
        result = apply_shop_rules(
            doc, rules, folder, readings=readings(case, model), options=Options(engine="built-in")
        )
    finally:
        FreeCAD.closeDocument(doc.Name)
    return Run(case.name, folder, result)


def nominals(model: Model) -> list[float]:
    """Thicknesses drawn, thinnest first, mm."""
    return sorted({round(p.nominal, 4) for p in model.panels})


def readings(case: Case, model: Model) -> list[str]:
    """Three readings of each board, as the command line takes them."""
    real = {round(n, 4): t for n, t in case.boards(model).items()}
    return [f"{n:g}:" + ",".join(f"{t + s:.3f}" for s in (0.0, -SPREAD, SPREAD)) for n, t in real.items()]


def shop(case: Case, model: Model) -> dict[str, Any]:
    """The metric starter with the boards of the piece and bits that get through them: narrow enough for
    the slots of the thinnest, and long enough for the thickest and a dowel's hole below it."""
    made: dict[str, Any] = json.loads(resources.path("presets/metric.shop.json").read_text(encoding="utf-8"))
    thick = nominals(model)
    made["boards"] = [
        {
            "name": f"board {n:g}", "nominal": f"{n:g} mm", "plies": 2 * int(n / 2.8) + 1 if n > 5.6 else 3,
            "face_grain": "length", "face_veneer": f"{min(1.1, n / 4):.2f} mm",
        }
        for n in thick
    ]  # fmt: skip
    wide = min(6.0, int(8.0 * thick[0]) / 10.0)
    for bit in made["bits"]:
        bit["diameter"] = f"{wide:g} mm"
        bit["cutting_length"] = f"{max(4.0 * wide, thick[-1] + 8.0):g} mm"
        if bit["kind"] == "compression":
            bit["up_cut_length"] = f"{min(5.0, 0.8 * wide):g} mm"
    for feed in made["feeds"]:
        feed["pass_depth"] = f"{wide:g} mm"
        feed["chip_load"] = f"{wide / 50.0:.3f} mm"
    # a bit for pin holes, which it bores in a helix
    made["bits"].append(made["bits"][0] | {"number": 5, "diameter": f"{wide / 2.0:g} mm"})
    made["feeds"].append(made["feeds"][0] | {"bit": 5, "pass_depth": f"{wide / 2.0:g} mm"})
    for section, values in SHOPS[number(case)].items():
        made[section] |= values
    if "finish_allowance" in made["entries"]:
        made["entries"]["finish_allowance"] = f"{wide / 15.0:.2f} mm"
    return made
