# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Tabs put by hand: kept where they were put, each checked by the rules for tabs.

What makes a tab impossible or useless is an error, so that no program is posted; what a careful operator
may want all the same is a warning. Screws and entries look for their places around all tabs and say so
where they find none.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from flatwright.bits.choose import PanelBits
from flatwright.bits.reach import leaves_drop
from flatwright.edits.tabs import HandTab, HandTabs
from flatwright.findings import Finding, declare, finding
from flatwright.geometry.arcs import Segment
from flatwright.holding.edges import CORNER, GENTLE, Edge, edge_at, point_on_sheet
from flatwright.holding.force import TabSize
from flatwright.holding.ground import FIRM, Ground
from flatwright.holding.places import Part, Place, footprint, rule, tab_at
from flatwright.plan import Placement, Sheet, Tab
from flatwright.presets.model import Bit, Preset

declare("error", holding__hand_tab="a tab put by hand cannot be cut, or holds nothing, where it stands")
declare(
    "warning",
    holding__hand_tab_rule="a tab put by hand breaks a rule for tabs",
    holding__hand_tabs_idle="tabs were put by hand on parts that the preset holds otherwise",
)

LEFT = 0.5  # mm of the board that must be cut away above a tab


@dataclass(frozen=True, slots=True, eq=False)
class Put:
    """The tabs that were put on one part: on its outline and in its openings, and what there is to say."""

    outline: tuple[Place, ...]
    holes: tuple[Tab, ...]
    findings: tuple[Finding, ...]


def put_tabs(
    part: Part,
    hand: HandTabs,
    placement: Placement,
    bits: PanelBits,
    ground: Ground,
    facing: Mapping[str, Sequence[Edge]],
    sheet: Sheet,
    preset: Preset,
) -> Put:
    """The hand tabs of one part, in sheet coordinates, each checked."""
    made = [_Tab(part, t, placement, bits, ground, facing, preset) for t in hand.tabs]
    for k, a in enumerate(made):
        for b in made[:k]:
            if a.overlaps(b):
                a.faults.append(f"it runs into the one at {b.where}: put them further apart")
    findings = [f for t in made for f in t.told(sheet)]
    outline = tuple(t.place for t in made if t.edge.loop == 0)
    return Put(outline, tuple(t.place.tab for t in made if t.edge.loop > 0), tuple(findings))


class _Tab:
    """One tab and what is wrong with it: `faults` forbid it, `broken` rules are told."""

    def __init__(
        self,
        part: Part,
        asked: HandTab,
        placement: Placement,
        bits: PanelBits,
        ground: Ground,
        facing: Mapping[str, Sequence[Edge]],
        preset: Preset,
    ) -> None:
        self.part = part
        self.faults: list[str] = []
        self.broken: list[str] = []
        loops = (part.laid.outline, *part.laid.holes)
        at = point_on_sheet(asked.at, placement)
        self.edge, self.station = edge_at(loops[asked.loop], asked.loop, at, part.fibres)
        length, height = asked.length or part.length, asked.height or part.height
        bit = bits.outline if asked.loop == 0 else bits.holes[asked.loop - 1]
        tab = tab_at(part.panel.name, self.edge, self.station, length, height)
        self.half = 0.0 if bit is None else footprint(preset, bit, TabSize(length, height, 1, 0.0))
        self.place = Place(tab, rule(self.edge))
        self.where = f"({tab.x:.0f}, {tab.y:.0f})"
        if bit is None:
            return  # the loop has its error already
        self._look_at_size(length, height)
        self._look_at_edge()
        self._look_at_ground(ground, facing, bit, preset)

    def overlaps(self, other: _Tab) -> bool:
        """On one edge or what it goes on into; those on two edges are parted by the corner."""
        if self.edge.loop != other.edge.loop:
            return False
        starts = [at for at, s in self.edge.chain if s == other.edge.segment]
        return any(abs(self.station - a - other.station) < self.half + other.half - 1e-6 for a in starts)

    def told(self, sheet: Sheet) -> list[Finding]:
        """One finding for each severity."""
        name = self.part.panel.name
        out = []
        for code, said, remedy in (
            ("holding.hand-tab", self.faults, "Move it, change its size, or remove it."),
            ("holding.hand-tab-rule", self.broken, "Leave it if it is meant so; else move it."),
        ):
            if said:
                message = f"the tab put by hand at {self.where}: {'; '.join(said)}"
                where = f"{sheet.name}, {name}"
                out.append(finding(code, where, message, remedy, panels=[name], sheet=sheet.name))
        return out

    def _look_at_size(self, length: float, height: float) -> None:
        thick = self.part.panel.thickness
        if height > thick - LEFT:
            self.faults.append(f"it is {height:.2f} mm high in a board of {thick:.2f} mm")
        elif height > thick / 3.0 + 0.01:
            self.broken.append(f"it is {height:.2f} mm high, more than a third of the board")

    def _look_at_edge(self) -> None:
        s = self.edge.segment
        if not s.is_line:
            bend = f"it stands on a curve of {s.radius:.0f} mm radius"
            (self.faults if round(s.radius, 3) < GENTLE else self.broken).append(bend)
        elif not self.edge.straight:
            self.broken.append("it stands on a curve of short lines")
        elif not self.edge.with_grain:
            self.broken.append("it stands across the grain")
        low, high = self.edge.ends()
        room = min(self.station - low, high - self.station) - self.half
        if room < -1e-3:
            self.faults.append(
                f"it does not fit between the ends of its edge: it takes {2.0 * self.half:.1f} mm and stands "
                f"{-room:.1f} mm too near to a corner or relief"
            )
        elif room < CORNER - 1e-3:
            self.broken.append(f"it stands {room:.1f} mm from a corner or relief")
        if self._touches(self.part.keep_clear):
            self.faults.append("a pocket runs out of the edge there, so that it has no wood to stand on")
        if self._touches(self.part.mating):
            self.place = replace(self.place, tab=replace(self.place.tab, dress=True))

    def _touches(self, others: Sequence[Segment]) -> bool:
        a, b = self.station - self.half, self.station + self.half
        return any(low < b - 1e-6 and high > a + 1e-6 for o in others for low, high in self.edge.covered(o))

    def _look_at_ground(
        self, ground: Ground, facing: Mapping[str, Sequence[Edge]], bit: Bit, preset: Preset
    ) -> None:
        tab, name = self.place.tab, self.part.panel.name
        loop = self.edge.loop
        if loop > 0 and not leaves_drop(self.part.laid.holes[loop - 1], bit.cut):
            self.faults.append("nothing is left in that opening for it to hold")
            return
        diameter = self.part.laid.diameter if loop == 0 else bit.cut + preset.entries.finish_allowance
        if ground.firm(name, self.edge, self.station, tab.length, diameter):
            return
        bridge = ground.bridge(name, self.edge, self.station, facing) if self.edge.straight else None
        if loop > 0 or bridge is None:
            self.faults.append(
                f"it ends in no firm wood: {diameter + FIRM:.1f} mm beside the edge are cut or off the sheet"
            )
            return
        x, y = (round(v, 6) for v in bridge.point)
        twin = Tab(bridge.name, x, y, bridge.angle, tab.length, tab.height)
        self.place = replace(self.place, twin=twin)
        self.broken.append(f"it is a bridge to {bridge.name}, which gets a tab at the same place")


def idle(sheet: Sheet, names: Sequence[str]) -> list[Finding]:
    """Said of tabs by hand on a sheet that is held without tabs."""
    return [
        finding(
            "holding.hand-tabs-idle",
            f"{sheet.name}, {n}",
            "its tabs were put by hand, and the preset's holding method has no tabs: there are none",
            'Add "tabs" to holding.method in the preset, or leave its tabs to the rules.',
            panels=[n],
            sheet=sheet.name,
        )
        for n in names
    ]
