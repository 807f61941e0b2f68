# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What holds against the cutting force: tabs and skins by the shear of their plies, vacuum by friction.

Forces N, lengths mm, stresses N/mm², feeds mm/min, pressures kPa, areas m² where said.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from flatwright.bits.figures import full_slot
from flatwright.boards.stiffness import BIRCH_ALONG_FIBRES, second_moment
from flatwright.presets.model import Bit, Board, Preset

MOST = 6  # tabs on a part before they get longer
LONGEST = 3.0  # times the preset's length
NO_STRENGTH = 1.0  # N: less is the noise of a ply's rounded thickness
GIVES = 0.2  # mm that a slender part may give way between two tabs: less than a joint's clearance
SHEAR_STRENGTH = 9.5  # N/mm², assumed for plies whose fibres cross the sheared plane (from memory, weak)


def share_along(height: float, thickness: float, plies: int, face: float) -> float:
    """Share of the lowest `height` mm whose plies run along the face grain (PLY-1 lamination, HLD-4).

    >>> round(share_along(4.0, 17.6, 13, 1.1), 3)
    0.625
    """
    core = (thickness - 2.0 * face) / (plies - 2) if plies > 2 else 0.0
    along = min(height, face)
    top = face
    for k in range(plies - 2):
        part = max(0.0, min(height, top + core) - top)
        along += part if k % 2 else 0.0
        top += core
    return (along + max(0.0, height - top)) / height


def tab_strength(
    length: float, height: float, edge: Literal["along", "across"], thickness: float, board: Board | None
) -> float:
    """Force that shears a tab, N: only plies whose fibres cross the sheared plane are counted.

    A tab on an edge along the face grain is held by the plies that run across it, and the other
    way round. An unknown build-up counts as half and half.
    """
    share = 0.5
    if board is not None and board.plies:
        face = board.face_veneer or thickness / board.plies
        along = share_along(height, thickness, board.plies, face)
        share = 1.0 - along if edge == "along" else along
    return SHEAR_STRENGTH * length * height * share


@dataclass(frozen=True, slots=True)
class TabSize:
    """Tabs for a part: how long and high, how many are wanted, the force that they must bear, N."""

    length: float
    height: float
    wanted: int
    bear: float


def tab_size(bit: Bit, board_name: str | None, thickness: float, preset: Preset) -> TabSize:
    """Number and size by the sum of the plies' shear: as the preset says, longer where more than MOST tabs
    would be needed. The height is at most a third of the board."""
    rules = preset.holding.tabs
    height = round(min(rules.height, thickness / 3.0), 4)
    bear = rules.factor * full_slot(bit, preset.feed(bit.number, board_name)).force
    one = tab_strength(rules.length, height, "along", thickness, board_of(preset, board_name))
    if one < NO_STRENGTH:
        return TabSize(rules.length, height, rules.at_least, bear)
    stretch = min(LONGEST, max(1.0, bear / (max(MOST, rules.at_least) * one)))
    length = math.ceil(round(rules.length * stretch * 10.0, 3)) / 10.0
    return TabSize(length, height, tabs_needed(bear, one * length / rules.length, 1.0, rules.at_least), bear)


def board_of(preset: Preset, name: str | None) -> Board | None:
    """The preset's board of that name, if it has one."""
    return next((b for b in preset.boards if b.name == name), None)


def longest_span(force: float, width: float, thickness: float) -> float:
    """How far apart tabs may stand on a strip that is cut along: F L³ / 48 E I = GIVES (textbook, a beam on
    two supports), of birch, half of its plies along it.

    >>> round(longest_span(15.3, 25.0, 17.7))
    502
    """
    moment = second_moment(thickness, width)
    return math.cbrt(48.0 * BIRCH_ALONG_FIBRES / 2.0 * moment * GIVES / force)


def tabs_needed(force: float, strength: float, factor: float, at_least: int) -> int:
    """How many tabs hold the force `factor` times over; `at_least` if the tab has no strength to speak of
    (a tab thinner than the face ply: no number of them would do)."""
    if strength < NO_STRENGTH:
        return at_least
    return max(at_least, math.ceil(factor * force / strength - 1e-9))


def vacuum_force(pressure: float, area: float) -> float:
    """ΔP · A in N for kPa and m² (HLD-1).

    >>> vacuum_force(80, 0.09)
    7200.0
    """
    return pressure * 1000.0 * area


def side_hold(normal: float, friction: float) -> float:
    """μ · N."""
    return normal * friction
