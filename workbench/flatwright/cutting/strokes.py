# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Ramps to and fro on a straight line, in wood that is waste: where the path itself has no place for one."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from flatwright.cutting.entries import Way, ramp_length
from flatwright.cutting.lifts import Lift
from flatwright.cutting.pen import Pen
from flatwright.cutting.setup import Setup
from flatwright.cutting.track import Track
from flatwright.geometry.arcs import Point
from flatwright.geometry.polygon import ring

WALL = 0.1  # mm that a ramp stays off the wall
LEFT = 3.0  # mm of a drop's wood that a ramp into it leaves standing beyond its end


@dataclass(frozen=True, slots=True)
class Stroke:
    """A ramp to and fro through `middle`, from p to q."""

    middle: Point
    p: Point
    q: Point
    way: Way

    @property
    def length(self) -> float:
        return math.dist(self.p, self.q)


def into_drop(track: Track, setup: Setup, bottom: float, over: Sequence[Lift]) -> tuple[float, Stroke] | None:
    """The longest stroke along the grain that starts on an opening's track and goes into its drop, and its
    station.

    None where the drop has no room for one: it must not be cut in two, nor its tabs be touched.
    """
    heights = setup.heights(bottom)
    drop = max(a - b for a, b in zip([setup.largest, *heights], heights, strict=False))
    room = Polygon(ring(track.curve, WALL / 10.0)).buffer(WALL / 10.0)
    wanted = ramp_length(drop, setup.ramp_angle) / 2.0
    far = track.length  # longer than the drop is wide
    found: list[tuple[float, Stroke]] = []
    for k, s in enumerate(track.segments):
        for t in (0.25, 0.5, 0.75):
            station = track.starts[k] + t * s.length
            if _near_tab(station, track.length, bottom, over, setup):
                continue
            whole = through(s.at(t), setup.fibres or 0.0, room, far, "with the grain")
            if whole is not None and (cut := _shortened(whole, wanted, setup)) is not None:
                found.append((station, cut))
    longest = max((round(s.length, 2) for _, s in found), default=0.0)
    if longest < min(setup.diameter, wanted) - 0.01:  # rounded
        return None
    return next((station, s) for station, s in found if s.length >= longest - 0.02)


def _near_tab(station: float, length: float, bottom: float, over: Sequence[Lift], setup: Setup) -> bool:
    """Whether the bit on its stroke would take wood that a tab ends in."""
    keep = 2.0 * setup.diameter
    for lift in over:
        lo, hi = lift.reach(bottom)
        away = abs((station - (lo + hi) / 2.0 + length / 2.0) % length - length / 2.0)
        if away < (hi - lo) / 2.0 + keep:
            return True
    return False


def _shortened(whole: Stroke, wanted: float, setup: Setup) -> Stroke | None:
    """The stroke from the track's point into the drop, so short that the drop stays in one piece."""
    end = max((whole.p, whole.q), key=lambda e: round(math.dist(e, whole.middle), 3))
    chord = math.dist(end, whole.middle)
    length = min(wanted, chord - setup.diameter - LEFT)
    if length <= 0.0:
        return None
    share = length / chord
    x, y = (m + (e - m) * share for m, e in zip(whole.middle, end, strict=True))
    return Stroke(whole.middle, whole.middle, (x, y), whole.way)


def enter(pen: Pen, stroke: Stroke | None, z: float, angle: float) -> None:
    """Down to z at the stroke's middle, at the ramp's angle (radians) or flatter."""
    if stroke is None:
        pen.up(z)
        return
    start, drop = pen.z, pen.z - z
    laps = max(1, math.ceil(ramp_length(drop, angle) / (2.0 * stroke.length) - 1e-6))
    turns = [q for _ in range(laps) for q in (stroke.p, stroke.q)] + [stroke.middle]
    steps = [math.dist(a, b) for a, b in zip([stroke.middle, *turns], turns, strict=False)]
    run = 0.0
    for q, step in zip(turns, steps, strict=True):
        run += step
        pen.to(q, start - drop * run / sum(steps))


def through(middle: Point, angle: float, room: BaseGeometry, wanted: float, way: Way) -> Stroke | None:
    """The part of the line through `middle` that lies in the room, at most `wanted` long."""
    ux, uy = math.cos(angle), math.sin(angle)
    reach = wanted + WALL
    line = LineString(
        [(middle[0] - reach * ux, middle[1] - reach * uy), (middle[0] + reach * ux, middle[1] + reach * uy)]
    )
    spans: list[tuple[float, float]] = []
    for piece in getattr(inside := line.intersection(room), "geoms", [inside]):
        if piece.geom_type == "LineString" and not piece.is_empty:
            along = (shapely.get_coordinates(piece) - np.array(middle)) @ np.array([ux, uy])
            spans.append((float(along.min()), float(along.max())))
    here = [s for s in spans if s[0] - 0.02 <= 0.0 <= s[1] + 0.02]
    if not here:
        return None
    a, b = min(0.0, here[0][0] + WALL), max(0.0, here[0][1] - WALL)
    if b - a > wanted:  # keep the middle inside
        a, b = (
            (-wanted / 2, wanted / 2)
            if min(-a, b) >= wanted / 2
            else (a, a + wanted)
            if -a < b
            else (b - wanted, b)
        )
    return Stroke(
        middle, (middle[0] + a * ux, middle[1] + a * uy), (middle[0] + b * ux, middle[1] + b * uy), way
    )
