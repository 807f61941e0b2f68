# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The first set-up of a sheet that is turned over: whether there is one, its cuts, how the sheet turns."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import shapely
from shapely.geometry.base import BaseGeometry

from flatwright.bits.choose import PanelBits
from flatwright.cutting.cut import Cut
from flatwright.cutting.swept import swept
from flatwright.cutting.underside import cut_pins, cut_underside
from flatwright.findings import Finding
from flatwright.holding.keep_outs import area, check_clamps, clamps, no_screws
from flatwright.holding.pins import pin_area, place_pins
from flatwright.plan import Flip, Panel, Sheet
from flatwright.presets.model import Preset
from flatwright.turned import is_cut_below, mirrored_region, turned

COLLET = 25.0  # mm, radius of a router's collet nut, which comes low over a pin; common practice, no source


@dataclass(frozen=True, slots=True, eq=False)
class FirstSide:
    """`cuts` in the coordinates of the sheet as it lies then; `taken` is where no screw may go because
    of this side, pins among it, in those of the sheet. `flip` None: the sheet is not turned over."""

    flip: Flip | None
    cuts: tuple[Cut, ...]
    taken: BaseGeometry
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Underside:
    """A laid sheet, and what its first side is cut with; extremes of the board's thickness, mm."""

    sheet: Sheet
    panels: Mapping[str, Panel]
    bits: Mapping[str, PanelBits]
    preset: Preset
    smallest: float
    largest: float

    def work(self, above: BaseGeometry, laid: Mapping[str, BaseGeometry]) -> FirstSide:
        """The first side. `above` is what the bits of the other side sweep, `laid` the parts' wood by name.

        There is none without a pocket in a face that is down, and in a shop that does not turn sheets over.
        """
        below = any(is_cut_below(self.panels[p.panel], p) for p in self.sheet.placements)
        if not below or not self.preset.flipping.enabled:
            return FirstSide(None, (), shapely.Polygon())
        axis, size = self.preset.flipping.axis, self.sheet.size
        lying = turned(self.sheet, axis)
        extremes = {"smallest": self.smallest, "largest": self.largest}
        cuts, findings = cut_underside(lying, self.panels, self.bits, self.preset, **extremes)
        swept_here = swept(cuts)
        woods = {name: mirrored_region(wood, size, axis) for name, wood in laid.items()}
        findings += check_clamps(lying, swept_here, woods, self.preset)
        kept_out = no_screws(self.preset)
        taken = shapely.union_all([mirrored_region(a, size, axis) for a in (swept_here, kept_out)])
        near_clamps = shapely.union_all([area(k).buffer(COLLET) for k in clamps(self.preset)])
        no_pins = [above, taken, kept_out, near_clamps, mirrored_region(near_clamps, size, axis)]
        flip, found = place_pins(self.sheet, shapely.union_all(no_pins), laid, self.preset)
        findings += found
        if flip is None:
            return FirstSide(None, (), taken, tuple(findings))
        pins, found = cut_pins(lying, flip, self.preset, **extremes)
        taken = shapely.union_all([taken, pin_area(flip)])
        return FirstSide(flip, (*pins, *cuts), taken, (*findings, *found))
