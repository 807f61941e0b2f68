# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The numbers that the operator needs at the machine, worked out for one sheet."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from flatwright.plan import PlanBoard, Sheet
from flatwright.presets.model import Fasteners, Machine

SPOILBOARD_LEFT = 3.0  # mm of spoilboard that stay below a screw's point: the table is never touched
DOWEL_SUNK = 1.0  # mm that a dowel stays below the board's top: bits pass over it
AIR = 10.0  # mm between the bit and the board in a dry run
ROUND_UP = 5.0  # mm: the dry run's lift is a round number


@dataclass(frozen=True, slots=True)
class Setup:
    """Lengths in mm. `thickness` is what the programs count with; `nominal` None: a board nobody knows;
    `longest_dowel` 0: the sheet is not turned over."""

    name: str
    nominal: float | None
    thickness: float
    readings: tuple[float, ...]
    screw_length: float
    longest_screw: float
    longest_dowel: float
    dry_run_lift: float

    @property
    def smallest(self) -> float:
        """Smallest reading; the thickness itself where nothing was measured."""
        return min(self.readings, default=self.thickness)

    @property
    def largest(self) -> float:
        """Largest reading; the thickness itself where nothing was measured."""
        return max(self.readings, default=self.thickness)


def setup(sheet: Sheet, boards: Iterable[PlanBoard], fasteners: Fasteners, machine: Machine) -> Setup:
    """The numbers for a sheet; its board is found by name among `boards`.

    Screw length = board + chosen bite, the bite at most the spoilboard's thickness − 3 mm; the longest
    screw counts from the smallest reading. The dry run lifts the lowest cut 10 mm or more above the board.
    """
    board = next((b for b in boards if b.name == sheet.board), None)
    readings = board.readings if board is not None else ()
    thinnest = min(readings, default=sheet.thickness)
    thickest = max(readings, default=sheet.thickness)
    deepest_bite = machine.spoilboard - SPOILBOARD_LEFT
    deepest = max(machine.overcut, sheet.flip.depth if sheet.flip else 0.0)
    lift = thickest + deepest + AIR
    return Setup(
        name=sheet.board or "board without a name",
        nominal=None if board is None else board.nominal,
        thickness=sheet.thickness,
        readings=readings,
        screw_length=sheet.thickness + min(fasteners.bite, deepest_bite),
        longest_screw=thinnest + deepest_bite,
        longest_dowel=thinnest + sheet.flip.depth - DOWEL_SUNK if sheet.flip else 0.0,
        dry_run_lift=math.ceil(round(lift, 4) / ROUND_UP) * ROUND_UP,
    )
