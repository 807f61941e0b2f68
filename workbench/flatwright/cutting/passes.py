# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The heights of the passes, counted up from the bed."""

from __future__ import annotations

import math

from flatwright.bits.duty import BURIED
from flatwright.presets.model import Bit, Feed


def passes(top: float, bottom: float, deepest: float, first: float | None = None) -> list[float]:
    """Heights of even passes from the top down, the last at the bottom.

    k = ceil(T / deepest) passes of T / k each (MAC-12); a given first pass is taken as it is and the
    rest is even.

    >>> [round(z, 3) for z in passes(18.0, -0.3, 6.0)]
    [13.425, 8.85, 4.275, -0.3]
    """
    start, heights = top, []
    if first is not None:
        start = max(bottom, top - first)
        heights.append(start)
    depth = start - bottom
    if depth > 1e-9:
        k = math.ceil(depth / deepest - 1e-9)
        heights += [start - depth * n / k for n in range(1, k)] + [bottom]
    return heights


def first_pass(bit: Bit, feed: Feed, largest: float, smallest: float) -> float | None:
    """A compression bit's first pass, counted from the thickest board; None for other bits.

    It buries the up-cutting part in the thinnest board too (CP-8), as far as the pass depth allows.
    """
    if bit.kind != "compression" or bit.up_cut_length is None:
        return None
    wanted = largest - smallest + bit.up_cut_length + BURIED
    return min(wanted, max(feed.pass_depth, bit.up_cut_length + BURIED))
