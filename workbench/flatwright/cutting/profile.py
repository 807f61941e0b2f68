# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Cutting along a loop, pass by pass, over its tabs.

Each pass goes down on the same stretch: the bit comes round to the ramp's start at the last pass's
height and ramps on from there, so that no cut is deeper than one pass; the last lap levels the ramp.

With a finish allowance a pass is roughed that far off the wall, the ramp levelled at once, and the wall
then cut at the same height: lightly, so that the bit bends little, and never deeper than a pass, since
reliefs and narrow places are cut by that lap alone.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from flatwright.cutting.entries import Entry, descend, find_entry
from flatwright.cutting.lifts import Lift, follow
from flatwright.cutting.pen import Chain, Pen
from flatwright.cutting.setup import Setup
from flatwright.cutting.strokes import enter, into_drop
from flatwright.cutting.track import Track
from flatwright.geometry.arcs import Point, Segment


@dataclass(frozen=True, slots=True, eq=False)
class Rough:
    """The roughing track of one wall, with its own lifts over the tabs."""

    track: Track
    over: Sequence[Lift]


def profile(track: Track, setup: Setup, bottom: float, over: Sequence[Lift]) -> tuple[Chain, Entry] | None:
    """The chain that cuts along the track down to the bottom; None if the bit finds no way in.

    Where tabs leave no stretch to ramp on, a bit that may drill plunges.
    """
    heights = setup.heights(bottom)
    drop = max(a - b for a, b in zip([setup.largest, *heights], heights, strict=False))
    entry = find_entry(track, setup, bottom, drop, over)
    if entry is None:
        if not setup.bit.may_drill or any(t.height(0.0, track.length) > bottom for t in over):
            return None
        entry = Entry(0.0, 0.0, "along the path")
    pen = setup.pen(track.at(entry.a))
    pen.up(setup.largest)
    for z in heights:
        if entry.b > entry.a:
            descend(pen, track, entry, z, setup.ramp_angle)
        else:
            pen.up(z)
        follow(pen, track, entry.b, entry.a + track.length, z, over)
    if entry.b > entry.a:
        follow(pen, track, entry.a, entry.b, heights[-1], over)
    setup.leave(pen)
    return pen.chain(), entry


def finished(
    wall: Track, over: Sequence[Lift], rough: Rough, setup: Setup, bottom: float
) -> tuple[Chain, Entry] | None:
    """Like `profile`, each pass roughed on the rough track and then cut along the wall."""
    heights = setup.heights(bottom)
    drop = max(a - b for a, b in zip([setup.largest, *heights], heights, strict=False))
    track = rough.track
    entry = find_entry(track, setup, bottom, drop, rough.over)
    if entry is None:
        return None
    pen = setup.pen(track.at(entry.a))
    pen.up(setup.largest)
    back = [s.reversed() for s in reversed(track.pieces(entry.a, entry.b))]
    for z in heights:
        descend(pen, track, entry, z, setup.ramp_angle)
        follow(pen, track, entry.b, entry.b + track.length, z, rough.over)
        for s in back:
            pen.along(s, z)
        _wall_lap(pen, wall, over, setup.lead, z)
        pen.to(track.at(entry.a), z)
    setup.leave(pen)
    return pen.chain(), entry


def through_drop(
    wall: Track, over: Sequence[Lift], rough: Rough | None, setup: Setup, bottom: float
) -> Chain | None:
    """The chain that cuts along an opening's wall, each pass roughed first where `rough` says so, going down
    by a stroke along the grain into the opening's drop; None where the drop has no room for one."""
    track, lifted = (wall, over) if rough is None else (rough.track, rough.over)
    found = into_drop(track, setup, bottom, lifted)
    if found is None:
        return None
    station, stroke = found
    pen = setup.pen(stroke.middle)
    pen.up(setup.largest)
    for z in setup.heights(bottom):
        enter(pen, stroke, z, setup.ramp_angle)
        follow(pen, track, station, station + track.length, z, lifted)
        if rough is not None:
            _wall_lap(pen, wall, over, setup.lead, z)
            pen.to(track.at(station), z)
    setup.leave(pen)
    return pen.chain()


def _wall_lap(pen: Pen, wall: Track, over: Sequence[Lift], lead: float, z: float) -> None:
    """From the roughed kerf to the wall, once round at height z, and back off the wall."""
    start: Point = (pen.x, pen.y)
    station, off = wall.nearest(start)
    run = math.sqrt(max(0.0, 2.0 * off * lead - off * off)) if lead > off else 0.0
    foot = wall.at(station)
    joins = wall.at(station + run)
    ux, uy = joins[0] - foot[0], joins[1] - foot[1]
    straight = len(wall.pieces(station, station + 2.0 * run)) == 1 and run > 0.0
    if not straight or any(t.stands_on(station, station + 2.0 * run, z, wall.length) for t in over):
        pen.to(foot, z)
        follow(pen, wall, station, station + wall.length, z, over)
        return
    left = ux * (foot[1] - start[1]) - uy * (foot[0] - start[0]) > 0.0
    bulge = math.tan(math.asin(run / lead) / 4.0) * (-1.0 if left else 1.0)
    pen.along(Segment(start, joins, bulge), z)
    follow(pen, wall, station + run, station + run + wall.length, z, over)
    ends = (start[0] + 2.0 * ux, start[1] + 2.0 * uy)
    pen.along(Segment((pen.x, pen.y), ends, bulge), z)
