# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What a cut asks of bit and spindle: feed, speed, chip, power, force, bending (CHECKS MAC-1 to MAC-9).

Lengths mm, feeds mm/min, powers W, forces N. The specific cutting force is an assumption, so power,
force and bending are for orientation: within a factor of two either way.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from flatwright.presets.model import Bit, Feed

SPECIFIC_FORCE = 40.0  # N/mm², assumed for plywood; 32 to 37.6 measured on particleboard (Pałubicki 2021)
YOUNG = {"carbide": 600_000.0, "steel": 210_000.0}  # N/mm², from memory
FLUTED = 0.80  # a fluted bit bends like a plain one of 0.80 of its diameter (Kops and Vo 1990)
COLLET = 25.0  # mm, radius of a router's collet nut; common practice, no source
COLLET_GAP = 10.0  # mm between the collet and the cutting edges where the preset says nothing


@dataclass(frozen=True, slots=True)
class Figures:
    """`speed` at the edge, m/min; `chip` the thickest, mm; `removal` mm³/s; `bend` of the tip, mm."""

    feed: float
    speed: float
    chip: float
    removal: float
    power: float
    force: float
    bend: float


def figures(bit: Bit, feed: Feed, width: float, depth: float) -> Figures:
    """For a cut `width` wide (at most the bit's diameter) and `depth` deep."""
    v_f = feed.cutting_feed(bit.flutes)
    v_c = surface_speed(bit.cut, feed.spindle)
    removal = width * depth * v_f / 60.0
    power = SPECIFIC_FORCE * removal / 1000.0
    force = power / (v_c / 60.0)
    bend = deflection(force, stick_out(bit), FLUTED * bit.cut, YOUNG[bit.material])
    return Figures(v_f, v_c, feed.chip_load * chip_thinning(width / bit.cut), removal, power, force, bend)


def full_slot(bit: Bit, feed: Feed) -> Figures:
    """The hardest cut that a program makes: a slot as wide as the bit, one whole pass deep."""
    return figures(bit, feed, bit.cut, feed.pass_depth)


def surface_speed(diameter: float, spindle: float) -> float:
    """v_c = π D n in m/min (MAC-2).

    >>> round(surface_speed(6.0, 18000.0), 2)
    339.29
    """
    return math.pi * diameter * spindle / 1000.0


def chip_thinning(engaged: float) -> float:
    """Thickest chip over feed per tooth, for a cut that is `engaged` diameters wide: 2√(x − x²) (MAC-3).

    >>> round(chip_thinning(0.1), 9), chip_thinning(1.0)
    (0.6, 1.0)
    """
    return 1.0 if engaged >= 0.5 else 2.0 * math.sqrt(engaged - engaged * engaged)


def mean_chip(chip_load: float) -> float:
    """Mean chip thickness in a full slot, 2 f_z / π (MAC-4)."""
    return 2.0 * chip_load / math.pi


def deflection(force: float, length: float, diameter: float, young: float) -> float:
    """F L³ / (3 E I) of a round bar with the force at its tip, I = π d⁴ / 64 (MAC-7)."""
    return force * length**3 / (3.0 * young * math.pi * diameter**4 / 64.0)


def stick_out(bit: Bit) -> float:
    """How far the bit stands out of the collet."""
    return bit.cutting_length + COLLET_GAP if bit.stick_out is None else bit.stick_out


def holder_reach(bit: Bit, low: float, height: float) -> float:
    """How far from the bit's middle something of that height must keep, when the tip is `low` over the bed:
    the collet's radius where the collet is lower, else the bit's own.

    >>> bit = Bit(1, "straight", 6.0, 2, 25.0)
    >>> holder_reach(bit, -0.5, 30.0), holder_reach(bit, -0.5, 45.0)
    (3.0, 25.0)
    """
    return COLLET if low + stick_out(bit) < height else bit.cut / 2.0
