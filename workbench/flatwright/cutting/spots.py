# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Spot marks: shallow plunges that show where the hold-down screws go.

The mark is at least the preset's depth in the thinnest board, so it counts from the smallest reading.
A plunge of at most 1 mm into the thickest board is a mark, not drilling (DESIGN §9).
"""

from __future__ import annotations

from collections.abc import Sequence

from flatwright.cutting.pen import Chain, Pen
from flatwright.findings import Finding, declare, finding
from flatwright.plan import Screw, Sheet
from flatwright.presets.model import Bit, Feed, Preset

declare("warning", cutting__deep_mark="spot marks are deeper than a mark where the board is thick")

MARK = 1.0  # mm: deeper is drilling


def spot_height(
    sheet: Sheet, preset: Preset, bit: Bit, smallest: float, largest: float
) -> tuple[float, list[Finding]]:
    """Height of the marks' bottoms over the bed, mm, and a warning if a bit that may not drill has to."""
    height = smallest - preset.holding.fasteners.mark_depth
    if bit.may_drill or largest - height <= MARK + 1e-9:
        return height, []
    return height, [
        finding(
            "cutting.deep-mark",
            sheet.name,
            f"the board's thickness varies by {largest - smallest:.2f} mm, so bit {bit.number} ({bit.kind}), "
            f"which may not drill, plunges {largest - height:.2f} mm to mark the screws where it is thickest",
            "Ask for shallower marks, or cut something with a straight or up-cut bit first.",
            sheet=sheet.name,
        )
    ]


def spot_chains(screws: Sequence[Screw], z: float, bit: Bit, feed: Feed, over: float) -> list[Chain]:
    """One plunge for each screw, from `over` down to z and back, at the plunge feed."""
    chains: list[Chain] = []
    for s in screws:
        pen = Pen((s.x, s.y), over, feed.cutting_feed(bit.flutes), feed.plunge)
        pen.up(z)
        pen.up(over)
        chains.append(pen.chain())
    return chains
