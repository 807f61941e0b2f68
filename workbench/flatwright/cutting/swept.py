# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What a bit sweeps, seen from above and at whatever depth: for the screw zones.

Each place is taken once, however many passes run over it, and each move is grown by itself: growing
a whole path of passes that nearly coincide takes the kernel minutes.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from flatwright.cutting.cut import Cut
from flatwright.cutting.pen import Chain
from flatwright.geometry.arcs import Point, Segment, bulge_about

CHORD = 0.005  # mm: flattening of arcs
QUARTER = 16  # chords in a quarter of a disc


def swept(cuts: Iterable[Cut]) -> BaseGeometry:
    """Union of the discs of all feed moves of all cuts, a little too large rather than too small."""
    widths: dict[float, set[tuple[Point, ...]]] = {}
    for cut in cuts:
        ways = widths.setdefault(cut.bit.cut, set())
        for feature in cut.features:
            for chain in feature:
                ways.update(_ways(chain))
    return shapely.union_all([area for d, ways in widths.items() for area in _grown(ways, d)])


def _ways(chain: Chain) -> Iterable[tuple[Point, ...]]:
    """The chain's moves as polylines, the same whichever way they are run."""
    at = (chain.x, chain.y)
    yield (at,)
    for m in chain.moves:
        to = (m.x, m.y)
        if to != at:
            bulge = 0.0
            if m.kind != "line":
                bulge = bulge_about((at[0] + m.i, at[1] + m.j), at, to, m.kind == "ccw")
            way = Segment(at, to, bulge) if at < to else Segment(to, at, -bulge)
            yield tuple((round(x, 3), round(y, 3)) for x, y in (*way.flattened(CHORD), way.q))
        at = to


def _grown(ways: set[tuple[Point, ...]], diameter: float) -> Iterable[BaseGeometry]:
    radius = (diameter / 2.0 + CHORD) / math.cos(math.pi / (4 * QUARTER))
    for way in sorted(ways):
        shape = shapely.LineString(np.array(way)) if len(way) > 1 else shapely.Point(way[0])
        yield shape.buffer(radius, quad_segs=QUARTER)
