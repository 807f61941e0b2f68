# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What is decided of one laid sheet: tabs, cuts, how it is turned over, screws and programs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import shapely
from shapely.geometry.base import BaseGeometry

from flatwright.bits.choose import PanelBits
from flatwright.boards.batch import Batch
from flatwright.cutting.both_sides import Underside
from flatwright.cutting.cut import Cut
from flatwright.cutting.moves import SheetProgram
from flatwright.cutting.parts import cut_parts
from flatwright.cutting.program import Side, make_programs
from flatwright.cutting.swept import swept
from flatwright.cutting.uneven import check_uneven
from flatwright.edits.tabs import HandTabs
from flatwright.findings import Finding
from flatwright.geometry.polygon import region
from flatwright.holding.beside_screws import check_beside, place_off_tabs
from flatwright.holding.keep_outs import check_clamps
from flatwright.holding.moved import given_up, kept_screws, same_layout
from flatwright.holding.still import check_lies_still
from flatwright.holding.tab_rules import TabRules, placed_tabs
from flatwright.holding.without_tabs import skin_left
from flatwright.holding.zones import screw_zones
from flatwright.plan import Plan, Sheet, placed
from flatwright.presets.model import Preset
from flatwright.turned import turned


@dataclass(frozen=True, slots=True, eq=False)
class SheetWork:
    """One sheet with all that was decided before; `rules` and `bits` by panel, `tabs` those put by hand,
    `moved` the sheet as it lay when the user moved its screws."""

    sheet: Sheet
    plan: Plan
    bits: Mapping[str, PanelBits]
    rules: Mapping[str, TabRules]
    preset: Preset
    batch: Batch
    tabs: Mapping[str, HandTabs]
    moved: Sheet | None = None

    def done(self) -> tuple[Sheet, tuple[SheetProgram, ...], BaseGeometry, list[Finding]]:
        """The sheet with tabs, screws and pins, its programs in running order, its screw zones, findings."""
        panels = {p.panel: self.plan.panel(p.panel) for p in self.sheet.placements}
        low, high = self.batch.smallest, self.batch.largest
        tabs, findings = placed_tabs(self.sheet, panels, self.rules, self.preset, self.tabs)
        cuts, found = cut_parts(
            self.sheet, panels, self.bits, self.preset, tabs=tabs, smallest=low, largest=high
        )
        findings = [*findings, *found]
        laid = {
            p.panel: region(placed(panels[p.panel].outline, p), [placed(h, p) for h in panels[p.panel].holes])
            for p in self.sheet.placements
        }
        taken = swept(cuts)
        findings += check_clamps(self.sheet, taken, laid, self.preset)
        below = Underside(self.sheet, panels, self.bits, self.preset, low, high)
        first = below.work(taken, laid)
        findings += first.findings
        zones = screw_zones(self.sheet, shapely.union_all([taken, first.taken]), laid, self.preset)
        widest = max((c.bit.cut for c in (*first.cuts, *cuts)), default=0.0)
        findings += check_uneven(self.sheet, (*first.cuts, *cuts), self.preset, smallest=low, largest=high)
        if cuts:
            findings += check_lies_still(self.sheet, (*first.cuts, *cuts)[0].bit, self.preset)
        keep = self.moved if self.moved and same_layout(self.moved, self.sheet) else None
        if keep is not None:
            screws, found = kept_screws(self.sheet, zones, laid, self.preset, widest, keep)
        else:
            tabbed = replace(self.sheet, tabs=tabs)
            screws, found = place_off_tabs(tabbed, zones, laid, self.preset, widest, self.bits)
            findings += [given_up(self.sheet)] if self.moved else []
        findings += found
        sheet = replace(
            self.sheet,
            tabs=tabs,
            screws=screws,
            skin=skin_left(self.preset),
            screws_by_hand=keep is not None,
            flip=first.flip,
        )
        findings += check_beside(sheet, self.bits, self.preset)
        programs, found = self._programs(sheet, first.cuts, cuts)
        return sheet, programs, zones, [*findings, *found]

    def _programs(
        self, sheet: Sheet, first: Sequence[Cut], cuts: Sequence[Cut]
    ) -> tuple[tuple[SheetProgram, ...], list[Finding]]:
        """Those of the underside, if it is cut at all, then those of the side that the plan shows."""
        low, high, preset = self.batch.smallest, self.batch.largest, self.preset
        made: tuple[SheetProgram, ...] = ()
        findings: list[Finding] = []
        if sheet.flip is not None:
            lying = turned(sheet, sheet.flip.axis)
            made, findings = make_programs(
                lying, first, preset, screws=lying.screws, smallest=low, largest=high, side="first"
            )
        side: Side = "only" if sheet.flip is None else "second"
        more, found = make_programs(
            sheet, cuts, preset, screws=sheet.screws, smallest=low, largest=high, side=side
        )
        return (*made, *more), [*findings, *found]
