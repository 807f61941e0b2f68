# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The programs of one sheet: spot marks in a file of their own, then one file per bit, or one for all.

Every operation begins and ends at clear height, over every screw head, so that one that is switched off
in the host's tree leaves the others safe. Inside an operation the bit travels low where no screw stands
in the way. Every program ends parked, at clear height, with the spindle stopped.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Literal

from shapely.geometry import Point as Spot

from flatwright.bits.figures import holder_reach
from flatwright.cutting.cut import Cut
from flatwright.cutting.moves import Move, Operation, OperationKind, SheetProgram
from flatwright.cutting.order import ordered
from flatwright.cutting.pen import DIGITS, Chain
from flatwright.cutting.setup import CLEAR_OF_BOARD
from flatwright.cutting.spots import spot_chains, spot_height
from flatwright.cutting.travel import short_tour
from flatwright.findings import Finding, declare, finding
from flatwright.geometry.arcs import Point
from flatwright.geometry.outline import clean
from flatwright.geometry.polygon import straight
from flatwright.holding.keep_outs import area, clamps, tallest
from flatwright.plan import Screw, Sheet
from flatwright.presets.model import Bit, Post, Preset

declare("error", cutting__beyond_travel="a program leaves the machine's travel")

# Posts of the host that write bit changes on every version that has them (each was asked for two); for all
# others programs are split at every change.
WITH_BIT_CHANGE = frozenset(
    "centroid dynapath estlcam fanuc linuxcnc mach3_mach4 refactored_centroid refactored_linuxcnc "
    "refactored_mach3_mach4 refactored_masso_g3 smoothie uccnc".split()
)
Side = Literal["only", "first", "second"]
STEMS: dict[Side, str] = {"only": "", "first": "side-1.", "second": "side-2."}
HEAD_CLEAR = 1.0  # mm: how far a bit that travels low stays from a screw head
NOISE = 1e-6
NAMES: dict[OperationKind, str] = {
    "pin": "registration pins",
    "hole": "holes",
    "pocket": "pockets",
    "inside": "openings",
    "outside": "outline",
}


def clear_height(preset: Preset, largest: float) -> float:
    """Height over the bed at which the bit passes over every board, screw head and clamp, mm."""
    highest = max(largest + preset.holding.fasteners.head_height, tallest(preset))
    return highest + preset.machine.clear_height


def changes_bits(post: Post) -> bool:
    """False for a post that is not known to write bit changes: such a shop gets one file per bit. That for
    grbl writes them when its arguments ask for it."""
    asked = post.processor == "grbl" and "--tool-change" in post.arguments.split()
    return asked or post.processor in WITH_BIT_CHANGE


def make_programs(
    sheet: Sheet,
    cuts: Sequence[Cut],
    preset: Preset,
    *,
    screws: Sequence[Screw],
    smallest: float,
    largest: float,
    side: Side = "only",
) -> tuple[tuple[SheetProgram, ...], list[Finding]]:
    """The sheet's programs in running order: spot marks, then the cuts.

    Moves count z from the machine's zero. Stems: sheet-1.spots, sheet-1.cut-1, sheet-1.cut-2, … or
    sheet-1.cut where the machine changes bits itself; with two sides sheet-1.side-1.spots and so on. Screws
    of the second side go into the holes that those of the first have left: it has no marks.
    """
    if not cuts:
        return (), []
    maker = _Maker(sheet, preset, screws, smallest, largest, side)
    groups = ordered(cuts, preset.machine.park)
    programs, findings = maker.spotting(groups[0][1][0].bit) if side != "second" else ([], [])
    by_bit = [[maker.operation(c) for c in members] for _, members in groups]
    if preset.machine.bit_change == "automatic" and changes_bits(preset.post):
        programs.append(maker.program("cut", "cut", [o for run in by_bit for o in run]))
    else:
        programs += [maker.program("cut", f"cut-{k}", run) for k, run in enumerate(by_bit, 1)]
    return tuple(programs), findings + _beyond(sheet, programs, preset, maker.zero)


class _Maker:
    """Turns chains into operations and programs, with the rapids between them."""

    def __init__(
        self,
        sheet: Sheet,
        preset: Preset,
        screws: Sequence[Screw],
        smallest: float,
        largest: float,
        side: Side,
    ) -> None:
        self.sheet, self.preset, self.screws, self.side = sheet, preset, screws, side
        self.smallest, self.largest = smallest, largest
        self.low = clean(largest + CLEAR_OF_BOARD, DIGITS)
        self.clear = clean(clear_height(preset, largest), DIGITS)
        self.zero = 0.0 if preset.machine.zero == "bed" else sheet.thickness

    def spotting(self, bit: Bit) -> tuple[list[SheetProgram], list[Finding]]:
        """The spotting program, with the bit that cuts first; none without screws."""
        if not self.screws:
            return [], []
        z, findings = spot_height(self.sheet, self.preset, bit, self.smallest, self.largest)
        feed = self.preset.feed(bit.number, self.sheet.board)
        run = short_tour([((s.x, s.y), (s.x, s.y)) for s in self.screws], self.preset.machine.park)
        chains = spot_chains([self.screws[k] for k in run], z, bit, feed, self.low)
        # nothing is fastened yet and the sheet may be bowed: always travel at clear height
        moves = self._linked(chains, None)
        marks = Operation("spots", f"{self.sheet.name}: spot marks", bit.number, moves)
        return [self.program("spots", "spots", [marks])], findings

    def operation(self, cut: Cut) -> Operation:
        """One cut as an operation, its features in short order."""
        ends = [((f[0].x, f[0].y), f[-1].end) for f in cut.features]
        chains = [c for k in short_tour(ends, ends[0][0]) for c in cut.features[k]]
        moves = self._linked(chains, cut.bit)
        label = f"{cut.panel or self.sheet.name}: {NAMES[cut.kind]}"
        return Operation(cut.kind, label, cut.bit.number, moves, cut.panel or None)

    def program(
        self, kind: Literal["spots", "cut"], suffix: str, operations: Sequence[Operation]
    ) -> SheetProgram:
        """The operations, then parking."""
        x, y = (clean(v, DIGITS) for v in self.preset.machine.park)
        last = operations[-1]
        park = Operation("park", "Park", last.bit, (self._rapid(x, y, self.clear),), stops_spindle=True)
        name = self.sheet.name
        stem = f"{name}.{STEMS[self.side]}{suffix}"
        return SheetProgram(kind, name, stem, (*operations, park), underside=self.side == "first")

    def _linked(self, chains: Sequence[Chain], bit: Bit | None) -> tuple[Move, ...]:
        """All chains with the rapids between them; low where the bit passes no screw, else clear."""
        moves: list[Move] = []
        at: Point | None = None
        for c in chains:
            start = (c.x, c.y)
            low = at is not None and bit is not None and self._free(at, start, bit)
            if not low:
                if at is not None:
                    moves.append(self._rapid(*at, self.clear))
                moves.append(self._rapid(*start, self.clear))
            moves.append(self._rapid(*start, self.low))
            moves += [replace(m, z=clean(m.z - self.zero, DIGITS)) for m in c.moves]
            at = c.end
        if at is not None:
            moves.append(self._rapid(*at, self.clear))
        return tuple(moves)

    def _free(self, a: Point, b: Point, bit: Bit) -> bool:
        """Whether the bit, low on its way from a to b, passes no screw head and no clamp."""
        reach = (self.preset.holding.fasteners.head_diameter + bit.cut) / 2.0 + HEAD_CLEAR
        way = straight(a, b)
        for k in clamps(self.preset):
            if way.distance(area(k)) <= holder_reach(bit, self.low, k.height) + HEAD_CLEAR:
                return False
        return all(way.distance(Spot(s.x, s.y)) > reach for s in self.screws)

    def _rapid(self, x: float, y: float, z: float) -> Move:
        return Move("rapid", x, y, clean(z - self.zero, DIGITS))


def _beyond(sheet: Sheet, programs: Sequence[SheetProgram], preset: Preset, zero: float) -> list[Finding]:
    """An error for each program that the machine cannot reach all of."""
    tx, ty, tz = preset.machine.travel
    out: list[Finding] = []
    for p in programs:
        moves = [m for o in p.operations for m in o.moves]
        x0, x1 = min(m.x for m in moves), max(m.x for m in moves)
        y0, y1 = min(m.y for m in moves), max(m.y for m in moves)
        top = max(m.z for m in moves) + zero
        if x0 < -NOISE or y0 < -NOISE or x1 > tx + NOISE or y1 > ty + NOISE or top > tz + NOISE:
            out.append(
                finding(
                    "cutting.beyond-travel",
                    p.stem,
                    f"the program runs from x {x0:.1f}, y {y0:.1f} to x {x1:.1f}, y {y1:.1f} mm and up to "
                    f"{top:.1f} mm over the bed; the machine travels 0 to {tx:g}, 0 to {ty:g} and {tz:g} mm",
                    "Lower machine.clear_height or the clamps, or correct machine.travel."
                    if top > tz + NOISE
                    else "Lay the parts further from the sheet's edge, take or turn sheets that lie within "
                    "the travel, or correct machine.travel.",
                    sheet=sheet.name,
                )
            )
    return out
