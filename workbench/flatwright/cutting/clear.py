# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Milling everything inside a loop to chips: pockets, and openings whose drop nothing would hold.

Curves parallel to the wall, at most 45 % of the bit apart so that no island stays, are cut from the
inside out on every pass: nothing comes loose, and the wall is cut last and lightly (with a finish
allowance, by no more than that). Each innermost
curve is entered by a ramp to and fro along the grain through one of its points, in wood that is milled
away anyway.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import shapely
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from flatwright.cutting.entries import Way, ramp_length
from flatwright.cutting.lifts import follow
from flatwright.cutting.pen import Chain, Pen
from flatwright.cutting.setup import Setup
from flatwright.cutting.strokes import Stroke, enter, through
from flatwright.cutting.track import Track
from flatwright.geometry.arcs import Segment
from flatwright.geometry.outline import Outline
from flatwright.geometry.parallel import parallel
from flatwright.geometry.polygon import ring, straight
from flatwright.holding.edges import along

STEPOVER = 0.45  # of the bit's diameter
ROOM = 0.5  # of the bit's diameter: least length of a ramp to and fro
CHORD = 0.01


@dataclass(frozen=True, slots=True, eq=False)
class Ring:
    """One parallel curve and those that lie directly inside it."""

    track: Track
    inside: tuple[Ring, ...]


def clear(loop: Outline, setup: Setup, bottom: float) -> tuple[list[Chain], list[Way]] | None:
    """Chains that mill out a clockwise loop down to the bottom, and how each innermost curve was entered.

    No chains when the bit does not fit; None when it has no room to ramp and may not drill.
    """
    rings = _rings(loop, setup, setup.radius)
    room = shapely.union_all([_region(r.track.curve) for r in rings])
    heights = setup.heights(bottom)
    steepest = max(a - b for a, b in zip([setup.largest, *heights], heights, strict=False))
    chains: list[Chain] = []
    ways: list[Way] = []
    for outer in rings:
        walks = _walks(outer)
        strokes = [_stroke(walk[0].track, room, setup, steepest) for walk in walks]
        if any(s is None for s in strokes) and not setup.bit.may_drill:
            return None
        ways += [s.way for s in strokes if s is not None]
        chains += _cut(list(zip(walks, strokes, strict=True)), setup, heights, room)
    return chains, ways


def _cut(
    walks: Sequence[tuple[list[Ring], Stroke | None]],
    setup: Setup,
    heights: Sequence[float],
    room: BaseGeometry,
) -> list[Chain]:
    """Pass by pass, walk by walk; between them straight over the cleared floor where that is free."""
    chains: list[Chain] = []
    pen: Pen | None = None
    before = setup.largest
    for z in heights:
        for walk, stroke in walks:
            start = stroke.middle if stroke else walk[0].track.at(0.0)
            if pen is None or len(walks) > 1 or not room.covers(straight((pen.x, pen.y), start)):
                if pen is not None:
                    setup.leave(pen)
                    chains.append(pen.chain())
                pen = setup.pen(start)
                pen.up(before)
            else:
                pen.to(start, pen.z)
            enter(pen, stroke, z, setup.ramp_angle)
            for one in walk:
                station, _ = one.track.nearest((pen.x, pen.y))
                pen.to(one.track.at(station), z)
                follow(pen, one.track, station, station + one.track.length, z, ())
        before = z
    if pen is not None:
        setup.leave(pen)
        chains.append(pen.chain())
    return chains


def _rings(loop: Outline, setup: Setup, depth: float) -> list[Ring]:
    """The curves at `depth` from the loop, each with those inside it."""
    curves = [parallel(loop, depth)]
    if setup.allowance > 0.0 and curves[0]:
        depth += setup.allowance
        curves.append(parallel(loop, depth))
    while curves[-1]:
        depth += STEPOVER * setup.diameter
        curves.append(parallel(loop, depth))
    inner: list[Ring] = []
    for level in reversed(curves[:-1]):
        left = list(inner)
        inner = []
        for curve in level:
            region = _region(curve).buffer(0.001)
            mine = [r for r in left if region.covers(shapely.Point(r.track.at(0.0)))]
            left = [r for r in left if r not in mine]
            inner.append(Ring(setup.track(curve), tuple(mine)))
    return inner


def _walks(outer: Ring) -> list[list[Ring]]:
    """Unbroken ways from an innermost curve outward; the last of several goes on to the wall."""
    if not outer.inside:
        return [[outer]]
    walks = [w for r in outer.inside for w in _walks(r)]
    walks[-1].append(outer)
    return walks


def _stroke(track: Track, room: BaseGeometry, setup: Setup, drop: float) -> Stroke | None:
    """The longest ramp through a point of the curve, with the grain if that leaves room enough."""
    wanted = ramp_length(drop, setup.ramp_angle) / 2.0
    points = [s.at(t) for s in track.segments for t in (0.0, 0.5)]
    grain = setup.fibres if setup.fibres is not None else 0.0
    lines = [s for s in track.segments if s.is_line]
    # a slot that is hardly wider than the bit has no room but along itself
    ways: list[tuple[Way, list[float]]] = [
        ("with the grain", [grain]),
        ("with the grain", _headings(s for s in lines if along(s, grain))),
        ("along the path", [grain + math.pi * k / 8 for k in range(1, 8)]),
        ("along the path", _headings(lines)),
    ]
    for way, angles in ways:
        strokes = [through(p, a, room, wanted, way) for p in points for a in angles]
        best = max((round(s.length, 2) for s in strokes if s is not None), default=0.0)
        if best >= min(ROOM * setup.diameter, wanted) - 0.01:  # rounded
            return next(s for s in strokes if s is not None and s.length >= best - 0.02)
    return None


def _headings(lines: Iterable[Segment]) -> list[float]:
    """The directions in which straight segments run, radians in [0, π], each once."""
    ways = (s.direction(0.0) for s in lines)
    return sorted({round(math.atan2(uy, ux) % math.pi, 6) for ux, uy in ways})


def _region(curve: Outline) -> BaseGeometry:
    """The area inside a centre curve; its line alone where the bit just fits."""
    points = ring(curve, CHORD)
    if abs(curve.area()) < 1e-3:
        return LineString([*points, points[0]]).buffer(0.002)
    return Polygon(points).buffer(0.002)
