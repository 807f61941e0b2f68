# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""How likely a joint assembles, when slots and boards both scatter.

Slot width and board thickness are taken as normal and independent, so the gap between
them is normal too. Lengths are mm, spreads standard deviations.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import NormalDist

_STANDARD = NormalDist()


@dataclass(frozen=True, slots=True)
class Gap:
    """The clearance of a joint over all slots and boards: slot less board, mean and spread."""

    mean: float
    spread: float

    def above(self, limit: float) -> float:
        """P(gap > limit); for no spread at all, 0 or 1."""
        if self.spread == 0.0:
            return 1.0 if self.mean > limit else 0.0
        return _STANDARD.cdf((self.mean - limit) / self.spread)

    @property
    def assembles(self) -> float:
        """P(the board goes into the slot): P(gap > 0)."""
        return self.above(0.0)


def gap(slot: float, slot_spread: float, board: float, board_spread: float) -> Gap:
    """The gap between slots and boards of these means and spreads.

    >>> round(gap(18.10, 0.05, 17.90, 0.12).assembles, 5)
    0.93803
    """
    return Gap(slot - board, math.hypot(slot_spread, board_spread))


def clearance_for(probability: float, slot_spread: float, board_spread: float) -> float:
    """The mean clearance at which joints assemble with the wanted probability.

    Raises ValueError for a probability outside 0 to 1, ends excluded.
    """
    if not 0.0 < probability < 1.0:
        raise ValueError("a wanted probability lies between 0 and 1")
    return _STANDARD.inv_cdf(probability) * math.hypot(slot_spread, board_spread)
