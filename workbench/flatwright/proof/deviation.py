# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""How far a recovered region is from the expected one."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from flatwright.geometry.polygon import parts

TOLERANCE = 0.05  # mm
THIN = 0.02  # mm: slivers thinner than this are drawing noise


@dataclass(frozen=True, slots=True, eq=False)
class Deviation:
    """A place where wood stands that should not (`excess`) or is gone that should be there.

    `depth` is how far it reaches from the expected edge, `at` where that is, mm.
    """

    excess: bool
    depth: float
    at: tuple[float, float]
    piece: Polygon


def deviations(actual: BaseGeometry, expected: BaseGeometry, planned: BaseGeometry) -> list[Deviation]:
    """All places thicker than THIN, the deepest first.

    More wood than `expected` (what the bits can leave at best) is too much; less than `planned`
    (sharp corners) is too little. Between them lies what a finer bit may clean out.
    """
    found = [_measured(p, expected.boundary, True) for p in _thick(actual.difference(expected))]
    found += [_measured(p, planned.boundary, False) for p in _thick(planned.difference(actual))]
    return sorted(found, key=lambda d: (-round(d.depth, 4), d.at))


def _thick(region: BaseGeometry) -> list[Polygon]:
    """The polygons of a region that a disc of diameter THIN fits into."""
    pieces = np.array(parts(region), dtype=np.object_)
    pieces = pieces[shapely.area(pieces) > THIN * THIN / 2]
    return list(pieces[~shapely.is_empty(shapely.buffer(pieces, -THIN / 2))])


def _measured(piece: Polygon, edge: BaseGeometry, excess: bool) -> Deviation:
    # corners alone would not do: those of a strip between two edges lie on the edges, and a piece
    # that fills a whole hole has none off the edge
    inside = piece.representative_point()
    rim = shapely.get_coordinates(shapely.segmentize(piece, max(0.5, piece.length / 400)))
    coordinates = np.vstack([rim, [[inside.x, inside.y]]])
    if edge.is_empty:
        distance = np.full(len(coordinates), np.sqrt(piece.area))
    else:
        distance = np.asarray(shapely.distance(shapely.points(coordinates), edge), dtype=np.float64)
    # the deepest corner; among equals the lowest, leftmost
    order = np.lexsort((coordinates[:, 0], coordinates[:, 1], -np.round(distance, 3)))
    x, y = coordinates[order[0]]
    return Deviation(excess, float(distance[order[0]]), (round(float(x), 3), round(float(y), 3)), piece)
