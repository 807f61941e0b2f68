# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Cutting along a loop, pass by pass, over its tabs.

Each pass goes down on the same stretch: the bit comes round to the ramp's start at the last pass's
height and ramps on from there, so that no cut is deeper than one pass; the last lap levels the ramp.
"""

from __future__ import annotations

from collections.abc import Sequence

from flatwright.cutting.entries import Entry, descend, find_entry
from flatwright.cutting.lifts import Lift, follow
from flatwright.cutting.pen import Chain
from flatwright.cutting.setup import Setup
from flatwright.cutting.track import Track


def profile(track: Track, setup: Setup, bottom: float, over: Sequence[Lift]) -> tuple[Chain, Entry] | None:
    """The chain that cuts along the track down to the bottom; None if the bit finds no way in.

    Where tabs leave no stretch to ramp on, a bit that may drill plunges.
    """
    heights = setup.heights(bottom)
    drop = max(a - b for a, b in zip([setup.air, *heights], heights, strict=False))
    entry = find_entry(track, setup, bottom, drop, over)
    if entry is None:
        if not setup.bit.may_drill or any(t.height(0.0, track.length) > bottom for t in over):
            return None
        entry = Entry(0.0, 0.0, "along the path")
    pen = setup.pen(track.at(entry.a))
    pen.up(setup.air)
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
