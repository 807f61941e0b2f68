# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Whether a sheet lies still by itself while it is spotted, before anything holds it."""

from __future__ import annotations

from flatwright.bits.figures import full_slot
from flatwright.findings import Finding, declare, finding
from flatwright.holding.force import side_hold
from flatwright.plan import Sheet
from flatwright.presets.model import Bit, Preset

declare("note", holding__press_flat="a sheet is too light or too thin to lie still while it is spotted")

DENSITY = 680e-9  # kg/mm³: birch plywood of 18 mm, about 685 kg/m³ (trade data sheet, THK-7)
GRAVITY = 9.81
FRICTION = 0.2  # a safe lower value for dusty faces (HLD-2)
BENDY = 12.0  # mm, common practice, no source: thinner sheets seldom lie flat by themselves


def check_lies_still(sheet: Sheet, bit: Bit, preset: Preset) -> list[Finding]:
    """A note when friction holds the sheet with less than a cut's force, or when it is thin enough to bow."""
    if not {"screws", "vacuum"} & set(preset.holding.method):
        return []
    mass = sheet.size[0] * sheet.size[1] * sheet.thickness * DENSITY
    hold = side_hold(mass * GRAVITY, FRICTION)
    force = full_slot(bit, preset.feed(bit.number, sheet.board)).force
    why = []
    if hold < force:
        why.append(
            f"weighs about {mass:.1f} kg, which holds {hold:.0f} N by friction against {force:.0f} N of a cut"
        )
    if sheet.thickness < BENDY:
        why.append(f"is {sheet.thickness:.1f} mm thin and may be bowed")
    if not why:
        return []
    return [
        finding(
            "holding.press-flat",
            sheet.name,
            f"the sheet {' and '.join(why)}",
            "Clamp it, or press it flat with weights, while it is spotted; never hold it by hand.",
            sheet=sheet.name,
        )
    ]
