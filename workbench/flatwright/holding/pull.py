# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What a hold-down screw bears when it is pulled straight out: for orientation only.

The formulas over-predict plywood and take no account of worn or soft boards, of old holes or of a screw
that was driven too far. Forces N, lengths mm; G is the oven-dry specific gravity.
"""

from __future__ import annotations

import math

WOOD = 108.25  # N/mm²: p = 15 700 G² D L in lb and in (Wood Handbook FPL-GTR-190 chapter 8; from memory)
FIBREBOARD = 41.1  # face of particleboard or MDF (the same chapter, after Eckelman; from memory)
MDF = 0.72  # specific gravity of a common spoilboard (from memory)


def wood_pull(diameter: float, length: float, gravity: float) -> float:
    """Ultimate withdrawal from the side grain of solid wood, 108.25 G² D L (SCR-3).

    >>> round(wood_pull(4.1656, 25.4, 0.5))
    2863
    """
    return WOOD * gravity**2 * diameter * length


def board_pull(diameter: float, length: float, gravity: float = MDF) -> float:
    """Withdrawal from the face of a fibreboard, 41.1 √D (L − D/3)^(5/4) G² (SCR-7)."""
    bite = max(0.0, length - diameter / 3.0)
    return float(FIBREBOARD * math.sqrt(diameter) * bite**1.25 * gravity**2)
