# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Canned drilling cycles G81, G82 and G83 as plain steps (NIST RS274/NGC v3, §3.5.16)."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

BACK_OFF = 0.254  # mm (0.010 in) above the last bottom that G83 comes back to by rapid; GCD-7

NOTHING = 1e-6  # mm: a last peck shorter than this is none

Step = tuple[Literal["rapid", "feed", "dwell"], float, float, float]


@dataclass(frozen=True, slots=True)
class Cycle:
    """One line's cycle: first hole (x, y), step to the next hole (dx, dy), bottom z, retract
    plane r, repeats, dwell seconds (G82), peck (G83, else 0), `to_old` for G98; all mm."""

    x: float
    y: float
    dx: float
    dy: float
    z: float
    r: float
    repeats: int = 1
    dwell: float | None = None
    peck: float = 0.0
    to_old: bool = True


def steps(cycle: Cycle, at: tuple[float, float, float]) -> Iterator[Step]:
    """The steps (kind, x, y, z) of a cycle begun at `at`; a dwell carries its seconds as x."""
    x, y, z = at
    old = z
    if z < cycle.r:
        z = cycle.r
        yield ("rapid", x, y, z)
    clear = max(old, cycle.r) if cycle.to_old else cycle.r
    for k in range(cycle.repeats):
        hole = (cycle.x + k * cycle.dx, cycle.y + k * cycle.dy)
        if (x, y) != hole:
            x, y = hole
            yield ("rapid", x, y, z)
        if z != cycle.r:
            z = cycle.r
            yield ("rapid", x, y, z)
        yield from _hole(cycle, x, y, clear)
        z = clear
        yield ("rapid", x, y, z)


def _hole(cycle: Cycle, x: float, y: float, clear: float) -> Iterator[Step]:
    depth = cycle.r
    while cycle.peck and depth - cycle.peck > cycle.z + NOTHING:
        depth -= cycle.peck
        yield ("feed", x, y, depth)
        yield ("rapid", x, y, clear)
        yield ("rapid", x, y, depth + BACK_OFF)
    yield ("feed", x, y, cycle.z)
    if cycle.dwell is not None:
        yield ("dwell", cycle.dwell, 0.0, 0.0)
