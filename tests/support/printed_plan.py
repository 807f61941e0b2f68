# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""A small plan to print: three parts on a ready sheet, one on a refused sheet."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from flatwright.boards.batch import measured
from flatwright.findings import Finding
from flatwright.geometry.frame import Frame
from flatwright.geometry.outline import circle, rectangle
from flatwright.plan import Joint, Panel, Placement, Plan, Pocket, Program, ProgramBit, Screw, Sheet, Tab
from flatwright.presets.model import Preset
from flatwright.presets.reading import load

PRESET = Path(__file__).parents[2] / "resources" / "presets" / "metric.shop.json"
FRAME = Frame(*np.vstack([np.zeros(3), np.eye(3)]))
SPOTS = Program("spots", "sheets/sheet-1.spots.nc", "a1" * 32, (ProgramBit(2, "up-cut", 6.0),))
CUTS = (
    Program("cut", "sheets/sheet-1.cut-1.nc", "b2" * 32, (ProgramBit(2, "up-cut", 6.0),)),
    Program("cut", "sheets/sheet-1.cut-2.nc", "c3" * 32, (ProgramBit(4, "compression", 6.0),)),
)
BIRCH = measured("birch 18", 18.0, [17.72, 17.70, 17.75, 17.68]).as_planned()
TOO_NARROW = Finding(
    "x.slot", "error", "Lid, slot 1", "the slot is 5.00 mm wide", "use a bit of 4 mm", panels=("Lid <x>",)
)


def preset() -> Preset:
    """The metric starter preset."""
    return load(PRESET)


def plan() -> Plan:
    """Side (with hole and pocket) and two equal rails on Sheet 1; Lid, which has an error, on Sheet 2."""
    side = _panel("Side", 600.0, 300.0, "s1")
    side = _with(side, holes=(circle((100.0, 150.0), 20.0).reversed(),), show="+n", grain=0.0)
    side = _with(side, pockets=(Pocket(rectangle(300.0, 50.0, 317.95, 250.0).reversed(), 6.0, "+n"),))
    rails = [_panel(f"Rail {k}", 400.0, 80.0, "s2") for k in (1, 2)]
    lid = _panel("Lid <x>", 200.0, 200.0, "s3")
    first = Sheet(
        name="Sheet 1",
        board="birch 18",
        thickness=17.71,
        size=(1220.0, 610.0),
        placements=(
            Placement("Side", 20.0, 20.0, 0.0, False),
            Placement("Rail 1", 640.0, 20.0, 0.0, False),
            Placement("Rail 2", 1040.0, 120.0, 0.0, True),
        ),
        tabs=(Tab("Side", 320.0, 20.0, 0.0, 10.0, 5.0), Tab("Side", 320.0, 320.0, 180.0, 10.0, 5.0)),
        screws=(Screw(12.0, 598.5), Screw(1207.25, 12.0)),
        programs=(SPOTS, *CUTS),
    )
    second = Sheet(
        "Sheet 2", "birch 18", 17.71, (610.0, 610.0), placements=(Placement("Lid <x>", 20, 20, 0, False),)
    )
    fit = {"class": "glue", "across_mm": 0.25, "along_mm": 0.5, "floor_mm": 0.5}
    fit |= {"p_assembles": 0.98732, "p_too_loose": 0.01268, "clearance_wanted_mm": 0.1839}
    joints = tuple(Joint("housing", ("Side", rail), fit) for rail in ("Rail 1", "Rail 2"))
    joints = (*joints, Joint("butt", ("Side", "Lid <x>")))
    return Plan(panels=(side, *rails, lid), joints=joints, sheets=(first, second), boards=(BIRCH,))


def _panel(name: str, length: float, width: float, shape: str) -> Panel:
    outline = rectangle(0.0, 0.0, length, width)
    return Panel(name, name, FRAME, 18.0, 17.71, outline, board="birch 18", shape=shape)


def _with(panel: Panel, **changes: object) -> Panel:
    from dataclasses import replace

    return replace(panel, **changes)  # type: ignore[arg-type]
