# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""G2 and G3 in the xy plane: where the centre is and how far the arc turns (NIST v3, §3.5.3)."""

from __future__ import annotations

import math
from dataclasses import dataclass

SAME = 1e-6  # mm: ends nearer than this are the same point
RADIUS_SLACK = {1.0: 0.002, 25.4: 0.0002 * 25.4}  # mm by unit, §3.5.3.2

Point2 = tuple[float, float]


class ArcError(ValueError):
    """An arc that the standard calls an error; the message says why."""


@dataclass(frozen=True, slots=True)
class Arc:
    """Centre and signed turn in radians, positive counter-clockwise."""

    centre: Point2
    sweep: float


def from_centre(start: Point2, end: Point2, offset: Point2, ccw: bool, unit: float) -> Arc:
    """Centre format: `offset` points from the start to the centre; all mm, `unit` mm per unit.

    Equal ends are a full circle. Raises ArcError when the radii at both ends differ by more
    than 0.002 mm (0.0002 in in inch programs).
    """
    centre = (start[0] + offset[0], start[1] + offset[1])
    first, last = math.dist(centre, start), math.dist(centre, end)
    if first < SAME:
        raise ArcError("the arc has no radius")
    if abs(first - last) > RADIUS_SLACK[unit] + 1e-9:
        raise ArcError(
            f"the arc starts {first:.4f} mm and ends {last:.4f} mm from its centre; "
            f"more than {RADIUS_SLACK[unit]:.4f} mm apart is an error (NIST RS274/NGC v3, 3.5.3.2)"
        )
    return Arc(centre, turn(start, end, centre, ccw))


def from_radius(start: Point2, end: Point2, radius: float, ccw: bool, unit: float) -> Arc:
    """Radius format: a positive radius turns at most 180°, a negative one at least that.

    Raises ArcError when the ends are the same or the radius cannot span them.
    """
    chord = math.dist(start, end)
    if chord < SAME:
        raise ArcError("an arc given by its radius must end at another point (use I and J for a full circle)")
    half, r = chord / 2.0, abs(radius)
    if half > r + RADIUS_SLACK[unit]:
        raise ArcError(f"the radius {r:.4f} mm is too small to reach the end point {chord:.4f} mm away")
    height = math.sqrt(max(0.0, r * r - half * half))
    left = (-(end[1] - start[1]) / chord, (end[0] - start[0]) / chord)
    side = height if ccw == (radius > 0.0) else -height
    centre = (
        (start[0] + end[0]) / 2.0 + left[0] * side,
        (start[1] + end[1]) / 2.0 + left[1] * side,
    )
    return Arc(centre, turn(start, end, centre, ccw))


def turn(start: Point2, end: Point2, centre: Point2, ccw: bool) -> float:
    """Signed turn from start to end about the centre; a full turn when they are the same."""
    if math.dist(start, end) < SAME:
        return math.tau if ccw else -math.tau
    a = math.atan2(start[1] - centre[1], start[0] - centre[0])
    b = math.atan2(end[1] - centre[1], end[0] - centre[0])
    return (b - a) % math.tau if ccw else -((a - b) % math.tau)


def is_touchy(sweep: float) -> bool:
    """True where §3.5.3.1 warns against the radius format: near half and near full turns."""
    degrees = abs(math.degrees(sweep))
    return 165.0 < degrees < 195.0 or degrees > 345.0
