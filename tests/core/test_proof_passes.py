# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Pass depth down helices and ramps: told from the first twentieth of a millimetre on."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from flatwright.presets import model
from support.gcode import first
from support.plate_job import PlateJob, shop

LIMIT = 6.5  # mm that the bit of 6 mm may take at once
MIDDLE = (95.0, 79.0)  # of the hole, where all of it is milled away


def bore(radius: float, pitch: float) -> str:
    """A helix down from the board's top, 12 mm, in half turns."""
    x, y = MIDDLE
    lines, z, side = [f"G0 X{x + radius:.4f} Y{y}", "G1 Z12 F900"], 12.0, 1.0
    while z > 0.0:
        z, side = max(0.0, z - pitch / 2), -side
        lines.append(f"G3 X{x + side * radius:.4f} Y{y} Z{z:.4f} I{side * radius:.4f} J0")
    return "\n".join(lines)


def codes(moves: str) -> set[str]:
    data = model.Feed(1, 18000.0, 0.1, LIMIT, 3000.0)
    return PlateJob(edit=first(moves)).codes(replace(shop(), feeds=(data,)))


@pytest.mark.parametrize("radius", [1.0, 1.5, 2.0, 3.0, 5.0])
@pytest.mark.parametrize(("pitch", "told"), [(LIMIT, False), (LIMIT + 0.2, True)])
def test_a_turn_down_a_helix_takes_its_pitch(radius: float, pitch: float, told: bool) -> None:
    """The bit's front follows its own back, which is no earlier pass."""
    assert ("proof.pass-depth" in codes(bore(radius, pitch))) == told


@pytest.mark.parametrize(("depth", "told"), [(LIMIT, False), (LIMIT + 0.1, True)])
def test_a_ramp_takes_what_it_ends_in(depth: float, told: bool) -> None:
    x, y = MIDDLE
    ramp = f"G0 X{x - 9} Y{y}\nG0 Z12.5\nG1 X{x + 9} Z{12.0 - depth:.2f} F900"
    assert ("proof.pass-depth" in codes(ramp)) == told


def test_the_arcs_of_a_curve_are_no_helix() -> None:
    """Round and round a slim lens of two bows, shorter than a turn of their circles, 6 mm down each time: the
    round before is an earlier pass. A bow is posted as two arcs, parted elsewhere in each round."""
    (x, y), half, r = MIDDLE, 9.0, 30.0
    bow = math.asin(half / r)
    lines, z = [f"G0 X{x - half} Y{y}", "G1 Z12 F900"], 12.0
    for parted in (-0.4, 0.3):
        for side in (1.0, -1.0):
            at = -bow
            for to in (parted * bow, bow):
                z -= 1.5
                i, j = -r * math.sin(at), r * math.cos(at)
                end = (r * math.sin(to), r * (math.cos(bow) - math.cos(to)))
                lines.append(
                    f"G3 X{x + side * end[0]:.4f} Y{y + side * end[1]:.4f} Z{z:.4f} "
                    f"I{side * i:.4f} J{side * j:.4f}"
                )
                at = to
    assert "proof.pass-depth" not in codes("\n".join(lines))
