# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Turning a sheet over between its two sides, step by step."""

from __future__ import annotations

from collections.abc import Iterator

from flatwright.plan import Flip, Sheet
from flatwright.presets.model import Preset
from flatwright.reports.lengths import Lengths
from flatwright.reports.setup import Setup
from flatwright.reports.step import Step, count, fastener

HEAVY = 10.0  # kg: above, two people turn a sheet (common practice, no source)
DENSITY = 680e-9  # kg/mm³: birch plywood of 18 mm (trade data sheet, THK-7)


def turning(sheet: Sheet, flip: Flip, numbers: Setup, preset: Preset, lengths: Lengths) -> Iterator[Step]:
    """From the last program of side 1 to the first of side 2."""
    says, pins = lengths.says, len(flip.pins)
    across = "Y" if flip.axis == "x" else "X"
    yield Step(
        "Stop the spindle, hold the motion, let the sheet go",
        f"{_loosen(sheet, preset)}The sheet is still in one piece. Mark its edge at {across} 0 with a pencil "
        "cross. Keep X, Y and Z zero as they are until this sheet is finished.",
    )
    yield Step(
        f"Lift the sheet off and set {count(pins, 'dowel')}",
        f"Suck the chips off the bed and out of the holes. Put a dowel of {says(flip.diameter)} into each "
        f"of the {pins} holes in the spoilboard, down to the ground of its {says(flip.depth)}; none longer "
        f"than {says(numbers.longest_dowel, 1)}: one that stands out of the board is hit by the bit. They "
        "must sit without play; if one is loose, stop. Take stops and fences away that the sheet lay "
        "against: only the dowels place it now.",
    )
    yield Step(f"Turn the sheet over about {flip.axis.upper()}", _turn(sheet, flip, lengths))
    if sheet.screws:
        screws = preset.holding.fasteners.kind == "screw"
        where = "Through the same holes of the sheet" if screws else "Close beside the old ones"
        yield Step(
            f"Drive the {count(len(sheet.screws), fastener(preset))} again",
            f"{where}, from the face that is up now, as the map of side 2 shows "
            f"them: length {says(numbers.screw_length, 1)}, never longer than "
            f"{says(numbers.longest_screw, 1)}. Drive until the sheet lies tight on "
            "the bed. No file marks these places a second time.",
        )
    elif "vacuum" in preset.holding.method:
        yield Step("Switch the vacuum on", "Read its gauge. The sheet must touch the bed everywhere.")
    else:
        yield Step(
            "Clamp the sheet again",
            "In the grey areas of the map of side 2, near its edges, away from every line: these clamps are "
            "all that holds it.",
        )


def _loosen(sheet: Sheet, preset: Preset) -> str:
    if sheet.screws:
        return f"Take all {count(len(sheet.screws), fastener(preset))} out. "
    return "Switch the vacuum off. " if "vacuum" in preset.holding.method else "Take the clamps away. "


def _turn(sheet: Sheet, flip: Flip, lengths: Lengths) -> str:
    length, width = sheet.size
    across, along, reach, run = ("Y", "X", width, length) if flip.axis == "x" else ("X", "Y", length, width)
    people = "Two people turn it. " if length * width * sheet.thickness * DENSITY > HEAVY else ""
    off = abs(2.0 * sum(p.x if along == "X" else p.y for p in flip.pins) / len(flip.pins) - run)
    wrong = (
        f"Turned end for end as well, it would lie {lengths.says(off, 0)} off its place. "
        if off >= 1.0
        else "Turned end for end as well, it would go on too: look for the cross. "
    )
    return (
        f"{people}The edge with the cross comes to lie at {across} {lengths.says(reach, 0)}; along {along} "
        "nothing changes its place. Press the sheet onto the dowels until it lies flat on the bed. The "
        f"pockets that were just cut are down, and its edges lie where they lay. {wrong}Compare with "
        "the map of side 2."
    )
