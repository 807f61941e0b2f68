# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What each bit does in a sheet, in figures, and what holds against it: for orientation at the machine."""

from __future__ import annotations

from collections.abc import Sequence

from flatwright.bits.figures import full_slot, stick_out
from flatwright.cutting.moves import SheetProgram
from flatwright.cutting.times import seconds
from flatwright.holding.pull import board_pull
from flatwright.plan import Program, Sheet
from flatwright.presets.model import Preset
from flatwright.reports.lengths import MM_PER_INCH, SPACE, Lengths
from flatwright.reports.markup import Markup, join, table, tag

ASSUMED = (
    "Power, force and bending rest on an assumed cutting force of 40 N/mm²: they may be half or twice "
    "as much. "
    "They are for a slot as wide as the bit, one pass deep."
)


def figures_table(sheet: Sheet, preset: Preset, lengths: Lengths) -> Markup:
    """One row for each bit that cuts the sheet; nothing where no program is."""
    numbers = sorted({b.number for p in sheet.programs for b in p.bits})
    rows = []
    for number in numbers:
        bit = preset.bit(number)
        try:
            feed = preset.feed(number, sheet.board)
        except KeyError:
            continue
        f = full_slot(bit, feed)
        rows.append(
            [
                str(number),
                _per_minute(f.feed, lengths),
                _per_minute(feed.plunge, lengths),
                f"{f.speed:.0f}{SPACE}m/min",
                lengths.says(feed.pass_depth),
                lengths.says(stick_out(bit), 0),
                f"{f.power:.0f}{SPACE}W",
                f"{f.force:.0f}{SPACE}N",
                lengths.says(f.bend, 3),
            ]
        )
    if not rows:
        return Markup("")
    heads = ["Bit", "Feed", "Plunge", "Edge speed", "Pass", "Stands out", "Power", "Force", "Bends"]
    figures = table(heads, rows, class_="figures")
    return join([tag("h3", "Cutting figures"), figures, tag("p", ASSUMED, class_="legend")])


def running_time(program: Program, programs: Sequence[SheetProgram], preset: Preset) -> str:
    """For example "12 min": the file's estimated time; a dash where its moves are not at hand."""
    stem = program.file.rsplit("/", 1)[-1].rsplit(".", 1)[0]
    planned = next((p for p in programs if p.stem == stem), None)
    if planned is None:
        return "–"
    moves = [m for o in planned.operations for m in o.moves]
    total = seconds(moves, preset.machine.rapid, preset.machine.acceleration)
    return f"{max(1, round(total / 60.0))}\u00a0min"


def screw_pull(preset: Preset, lengths: Lengths) -> str:
    """What one fastener bears, with its cautions."""
    f = preset.holding.fasteners
    if f.kind != "screw":
        return "What a composite nail bears depends on its maker: try some in the spoilboard."
    pull = board_pull(f.shank_diameter, f.bite)
    return (
        "Pulled straight out of a fibreboard spoilboard, one screw of "
        f"{lengths.says(f.shank_diameter, 1)} that "
        f"bites {lengths.says(f.bite, 0)} lets go at about {pull:.0f} N (a formula from memory, for "
        "fresh board; "
        "an old hole, a soft or worn board holds far less; plan on a fifth)."
    )


def _per_minute(feed: float, lengths: Lengths) -> str:
    first, *others = (
        f"{feed / MM_PER_INCH:.1f}{SPACE}in/min" if u == "in" else f"{feed:.0f}{SPACE}mm/min"
        for u in lengths.units
    )
    return f"{first} ({', '.join(others)})" if others else first
