# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Boring round holes with plain moves: a helix where the bit has room, else pecks. No canned cycles."""

from __future__ import annotations

import math

from flatwright.cutting.pen import Chain, Pen
from flatwright.cutting.setup import Setup
from flatwright.geometry.arcs import Point, Segment

CORE = 0.9  # of the bit's radius: the widest ring that leaves no core inside
LEAST_HELIX = 0.5  # of the bit's radius: a narrower helix would be drilling
EXACT = 1e-3  # mm: a bit this near to the hole's size just drills


def bore(centre: Point, hole_radius: float, setup: Setup, bottom: float) -> Chain:
    """One round hole, down to the bottom, everything in it milled to chips."""
    wide = hole_radius - setup.radius
    if not has_helix(hole_radius, setup):
        return _drill(centre, wide, setup, bottom)
    rough = wide - setup.allowance
    if rough < LEAST_HELIX * setup.radius:
        rough = wide
    n = math.ceil(rough / (CORE * setup.radius) - 1e-9)
    rings = [rough * k / n for k in range(1, n + 1)] + ([wide] if rough < wide else [])
    pen = setup.pen(_start(centre, rings[0]))
    for r in rings:
        pen.to(_start(centre, r), pen.z)
        pen.up(setup.air)
        _helix(pen, centre, r, bottom, setup)
        setup.leave(pen)
    return pen.chain()


def has_helix(hole_radius: float, setup: Setup) -> bool:
    """Whether the bit has room to go down in a helix, so that it need not drill."""
    return hole_radius - setup.radius >= LEAST_HELIX * setup.radius


def helix_length(radius: float, pitch: float, turns: float) -> float:
    """turns · √((2πr)² + p²) (MAC-11).

    >>> round(helix_length(2.0, 1.0, 3.0), 4)
    37.8183
    """
    return turns * math.hypot(math.tau * radius, pitch)


def _helix(pen: Pen, centre: Point, r: float, bottom: float, setup: Setup) -> None:
    """Half turns down at the ramp's angle or flatter, then one full turn at the bottom."""
    pitch = min(setup.feed.pass_depth, math.tau * r * math.tan(setup.ramp_angle))
    drop = pen.z - bottom
    halves = max(2, math.ceil(2.0 * drop / pitch - 1e-9))
    halves += halves % 2
    top = pen.z
    for k in range(1, halves + 1):
        pen.along(_half(pen, centre, setup), top - drop * k / halves)
    for _ in range(2):
        pen.along(_half(pen, centre, setup), bottom)


def _drill(centre: Point, wide: float, setup: Setup, bottom: float) -> Chain:
    """Pecks of at most one pass; where the hole is a little wider, one round at each depth."""
    pen = setup.pen(centre)
    for z in setup.heights(bottom):
        if pen.z > setup.air:
            pen.up(setup.air)
        pen.up(z)
        if wide > EXACT:
            pen.to(_start(centre, wide), z)
            for _ in range(2):
                pen.along(_half(pen, centre, setup), z)
            pen.to(centre, z)
        pen.up(setup.air)
    setup.leave(pen)
    return pen.chain()


def _half(pen: Pen, centre: Point, setup: Setup) -> Segment:
    """Half a turn about the centre from where the pen stands; climbing is counter-clockwise inside."""
    p = (pen.x, pen.y)
    q = (2.0 * centre[0] - p[0], 2.0 * centre[1] - p[1])
    return Segment(p, q, 1.0 if setup.climb else -1.0)


def _start(centre: Point, r: float) -> Point:
    return (centre[0] + r, centre[1])
