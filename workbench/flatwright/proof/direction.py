# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Which way round walls are cut: climb or conventional, as the preset says.

Seen from above the bit turns clockwise. Where the wall lies on the right of its way, its edges meet the
wood against the feed, which is climb milling (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from flatwright.findings import Finding
from flatwright.presets.model import Preset
from flatwright.proof.programs import Run
from flatwright.proof.sweeps import Flags, Floats, Ints, Sweeps
from flatwright.proof.target import Expected, Target

TOUCH = 0.05  # mm: a path this near to its bit's radius from a wall cuts that wall
LEVEL = 1e-3  # mm of height
LEAST = 10.0  # mm of wall that must have been cut the wrong way
TIGHT = 0.2  # mm that an opening must be wider than its bit: else both of its walls are cut at once
REMEDY = "Post the sheet anew, or set the preset's direction to the one that is wanted."


def check_direction(
    runs: Sequence[Run], t: Target, e: Expected, s: Sweeps, preset: Preset
) -> Iterator[Finding]:
    """One finding for a part whose outline or one of whose holes is for the most part cut the other way round
    at some height; `s` are all sweeps near it."""
    level = ~s.rapid & s.sideways() & (np.abs(s.b[:, 2] - s.a[:, 2]) < LEVEL) & (s.a[:, 2] < t.top - TOUCH)
    pieces = np.flatnonzero(level)
    if not len(pieces):
        return
    rings = [e.outer.boundary, *(h.boundary for h in e.holes)]
    wall, length, side = _cut_walls(s.take(pieces), rings)
    wrong = side == (1.0 if preset.entries.direction == "climb" else -1.0)
    for n, first in _wrong_way(wall, s.a[pieces, 2], length, wrong):
        if n and e.holes[n - 1].buffer(-e.hole_radius[n - 1] - TIGHT / 2).is_empty:
            continue
        k = int(pieces[first])
        run = runs[int(s.file[k])]
        line = run.line(int(s.motion[k]))
        name = f"hole {n}" if n else "outline"
        message = (
            f"The {name} of {t.name} is cut the other way round than {preset.entries.direction}, from "
            f"line {line} of {run.program.file} on."
        )
        yield replace(run.finding("proof.direction", line, message, REMEDY), panels=(t.name,))
        return


def _cut_walls(s: Sweeps, rings: Sequence[BaseGeometry]) -> tuple[Ints, Floats, Floats]:
    """Of every piece: which of the rings is its wall, what length of it it cuts (0: none), and on which side
    of its way it lies, 1 left, -1 right. Passes over each other are looked at once."""
    flat = np.round(np.column_stack([s.a[:, :2], s.b[:, :2], s.radius]), 4)
    once, of = np.unique(flat, axis=0, return_inverse=True)
    a, b, radius = once[:, :2], once[:, 2:4], once[:, 4]
    points, way = np.asarray(shapely.points((a + b) / 2), dtype=np.object_), b - a
    wall = np.zeros(len(once), dtype=np.int64)
    length, side = np.zeros(len(once)), np.zeros(len(once))
    far = float(radius.max()) + TOUCH
    near, ring = shapely.STRtree(rings).query_nearest(points, max_distance=far, all_matches=False)
    lines = shapely.shortest_line(points[near], np.array(rings, dtype=np.object_)[ring])
    ends = shapely.get_coordinates(lines).reshape(-1, 2, 2)
    to, way = ends[:, 1] - ends[:, 0], way[near]
    cuts = np.abs(np.hypot(to[:, 0], to[:, 1]) - radius[near]) < TOUCH
    wall[near] = ring
    length[near] = np.hypot(way[:, 0], way[:, 1]) * cuts
    side[near] = np.sign(way[:, 0] * to[:, 1] - way[:, 1] * to[:, 0])
    of = of.reshape(-1)  # numpy 2.0 gives a column
    return wall[of], length[of], side[of]


def _wrong_way(wall: Ints, heights: Floats, length: Floats, wrong: Flags) -> Iterator[tuple[int, int]]:
    """(wall, first piece) of every height at which most of a wall is cut the wrong way round."""
    groups, of = np.unique(np.column_stack([wall, np.round(heights, 2)]), axis=0, return_inverse=True)
    of = of.reshape(-1)
    whole = np.bincount(of, length, len(groups))
    against = np.bincount(of, length * wrong, len(groups))
    for k in np.flatnonzero((against > LEAST) & (against > whole / 2)).tolist():
        yield int(groups[k, 0]), int(np.flatnonzero((of == k) & wrong & (length > 0.0))[0])
