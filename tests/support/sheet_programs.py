# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""A sheet with its programs and a shop for tests of what the host makes of them."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

from flatwright.cutting.moves import Move, Operation, OperationKind, SheetProgram
from flatwright.plan import Sheet
from flatwright.presets import model

SHEET = Sheet("sheet-1", None, 17.8, (300.0, 200.0))
CLEAR = 30.0
UP_CUT = model.Bit(1, "up-cut", 6.0, 2, 25.0)
DOWN_CUT = model.Bit(3, "down-cut", 6.0, 3, 22.0, measured_diameter=5.94)


def shop(processor: str = "linuxcnc", units: Any = "mm", arguments: str = "", **machine: Any) -> model.Preset:
    """Two bits of different speed: 18 000/min × 2 × 0.10 mm = 3600 mm/min, 15 000 × 3 × 0.08 = 3600."""
    return model.Preset(
        name="test shop",
        boards=(),
        fits=model.Fits("glue", {}),
        reliefs=model.ReliefRules(),
        bits=(UP_CUT, DOWN_CUT),
        feeds=(model.Feed(1, 18000, 0.10, 6.0, 900), model.Feed(3, 15000, 0.08, 6.0, 700)),
        holding=model.Holding(),
        layout=model.Layout(()),
        machine=model.Machine(**machine),
        entries=model.Entries(math.radians(5)),
        post=model.Post(processor, arguments, units),
    )


def with_feed(preset: model.Preset, bit: int, **values: float) -> model.Preset:
    """The same shop with other cutting data for one bit."""
    feeds = tuple(replace(f, **values) if f.bit == bit else f for f in preset.feeds)
    return replace(preset, feeds=feeds)


def cut(label: str, bit: int = 1, kind: OperationKind = "outside", at: float = 0.0) -> Operation:
    """A plunge, a ramp, lines, arcs both ways, a helix and a full circle in two halves."""
    x, third = 20.0 + at, 100.0 / 3.0
    return Operation(
        kind,
        label,
        bit,
        (
            Move("rapid", x, 20, CLEAR),
            Move("rapid", x, 20, 19),
            Move("line", x, 20, 17.8, 900),
            Move("line", x + third, 20, 12.25, 1234.567),
            Move("ccw", x + third + 20, 40, 12.25, 3600, 0, 20),
            Move("cw", x + third + 20, 60, 6.1, 3600, 0, 10),
            Move("line", x, 60, -0.5, 3600),
            Move("ccw", x + 2 * 7.77, 60, -0.5, 1800, 7.77, 0),
            Move("ccw", x, 60, -0.5, 1800, -7.77, 0),
            Move("rapid", x, 60, CLEAR),
        ),
        panel="side",
    )


def park(bit: int = 1) -> Operation:
    """To the parking point, the spindle stopped."""
    moves = (Move("rapid", 20, 60, CLEAR), Move("rapid", 0, 0, CLEAR))
    return Operation("park", "park", bit, moves, stops_spindle=True)


def program(*operations: Operation, stem: str = "sheet-1.cut-1") -> SheetProgram:
    """A cutting program of sheet-1; without operations, one cut and the parking."""
    return SheetProgram("cut", "sheet-1", stem, operations or (cut("side: outside"), park()))


def laid_parts(doc: Any) -> Any:
    """What stands for the sheet's parts in the host."""
    import FreeCAD
    import Part

    obj = doc.addObject("Part::Feature", "Laid")
    obj.Shape = Part.makeBox(200, 100, 17.8, FreeCAD.Vector(20, 20, 0))
    doc.recompute()
    return obj
