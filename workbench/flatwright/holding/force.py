# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Cutting force against what holds: tabs by the shear of their plies, vacuum by friction.

Forces N, lengths mm, stresses N/mm², feeds mm/min, pressures kPa, areas m² where said.
"""

from __future__ import annotations

import math
from typing import Literal

from flatwright.presets.model import Bit, Board, Feed

SPECIFIC_FORCE = 40.0  # N/mm², assumed for plywood; 32 to 37.6 measured on particleboard (Pałubicki 2021)
NO_STRENGTH = 1.0  # N: less is the noise of a ply's rounded thickness
SHEAR_STRENGTH = 9.5  # N/mm², assumed for plies whose fibres cross the sheared plane (from memory, weak)


def cutting_force(bit: Bit, feed: Feed) -> float:
    """F_t = k_c · a_e · a_p · v_f / v_c in a full slot at the full pass depth, N (MAC-5)."""
    v_c = math.pi * bit.cut * feed.spindle
    return SPECIFIC_FORCE * bit.cut * feed.pass_depth * feed.cutting_feed(bit.flutes) / v_c


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
