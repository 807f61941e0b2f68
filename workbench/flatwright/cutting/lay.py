# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""One part as it lies, with what its cuts share and what can go wrong with them."""

from __future__ import annotations

from dataclasses import dataclass

from flatwright.bits.choose import PanelBits
from flatwright.cutting.setup import Setup
from flatwright.findings import Finding, declare, finding
from flatwright.geometry.outline import Outline
from flatwright.holding.places import fibres
from flatwright.plan import Panel, Placement, Sheet, Tab, placed
from flatwright.presets.model import Bit, Preset

declare(
    "error",
    cutting__no_entry="a bit finds no way into the wood",
    cutting__unreached="the bit does not fit into a loop",
    cutting__tab_off_edge="a tab stands on no edge of its part",
)
declare("warning", cutting__ramp_across_grain="a ramp does not run with the grain of a face that shows")


@dataclass(frozen=True, slots=True, eq=False)
class Lay:
    """One part as it lies, with what its cuts share."""

    panel: Panel
    placement: Placement
    bits: PanelBits
    sheet: Sheet
    preset: Preset
    extremes: tuple[float, float]
    tabs: tuple[Tab, ...]

    def setup(self, bit: Bit) -> Setup:
        return setup_on(self.sheet, bit, self.preset, self.extremes)

    def loop(self, outline: Outline) -> Outline:
        return placed(outline, self.placement)

    @property
    def up(self) -> str:
        return "-n" if self.placement.flipped else "+n"

    @property
    def bottom(self) -> float:
        return -self.preset.machine.overcut

    def trouble(self, code: str, place: str, message: str, remedy: str) -> Finding:
        where = f"{self.sheet.name}, {self.panel.name}, {place}"
        return finding(code, where, message, remedy, panels=[self.panel.name], sheet=self.sheet.name)


def setup_on(sheet: Sheet, bit: Bit, preset: Preset, extremes: tuple[float, float]) -> Setup:
    """What the cuts of a bit on a sheet share; `extremes` of its board's thickness, mm."""
    rules = preset.entries
    return Setup(
        bit,
        preset.feed(bit.number, sheet.board),
        extremes[1],
        extremes[0],
        rules.direction == "climb",
        rules.ramp_angle,
        fibres(sheet) if rules.along_grain else None,
        rules.finish_allowance,
        rules.lead_radius,
    )


def across_grain(lay: Lay, place: str) -> list[Finding]:
    if not lay.preset.entries.along_grain or lay.panel.show not in ("both", lay.up):
        return []
    return [
        lay.trouble(
            "cutting.ramp-across-grain",
            place,
            "no straight stretch runs with the grain: the ramp may lift the veneer of a face that shows",
            "Turn the part's show face down or its grain round, or move its tabs to leave room for the ramp.",
        )
    ]


def no_entry(lay: Lay, place: str, bit: Bit) -> Finding:
    return lay.trouble(
        "cutting.no-entry",
        place,
        f"bit {bit.number} ({bit.kind}) has no room to ramp in, and may not plunge",
        "Leave a free stretch between the tabs, or add a straight or up-cut bit that may drill.",
    )


def unreached(lay: Lay, place: str, bit: Bit) -> Finding:
    return lay.trouble(
        "cutting.unreached",
        place,
        f"bit {bit.number} of {bit.cut:g} mm does not fit into this loop",
        "Take a narrower bit, or draw the place wider.",
    )
