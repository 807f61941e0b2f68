# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Outlines as shapely polygons, for predicates and areas only.

The chord tolerance is stated at each call; nothing that is cut comes from a polygon.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

import shapely
from shapely.geometry import LineString, Polygon
from shapely.geometry import Point as PointShape
from shapely.geometry.base import BaseGeometry

from flatwright.geometry.arcs import Point
from flatwright.geometry.outline import Outline

CHORD = 0.002  # mm: default distance between a chord and its arc
_FINE = 1e-5  # mm: the same for a closer look


def ring(outline: Outline, tolerance: float = CHORD) -> list[tuple[float, float]]:
    """Corner points with arcs flattened inside the tolerance."""
    if not outline.bulges.any():
        return [(x, y) for x, y in outline.points.tolist()]
    return [p for s in outline.segments() for p in s.flattened(tolerance)]


def polygon(outer: Outline, holes: Iterable[Outline] = (), tolerance: float = CHORD) -> Polygon:
    """A valid shapely polygon of an outer loop and its holes."""
    shape = Polygon(ring(outer, tolerance), [ring(h, tolerance) for h in holes])
    return shape if shape.is_valid else largest(shapely.make_valid(shape))


def region(outer: Outline, holes: Iterable[Outline] = (), tolerance: float = CHORD) -> BaseGeometry:
    """Outer minus holes where holes may touch or cross the outer loop; maybe in several parts."""
    voids = list(holes)
    plain = Polygon(ring(outer, tolerance), [ring(h, tolerance) for h in voids])
    if plain.is_valid:  # holes within the outline and apart: there is nothing to compute
        return plain
    shape: BaseGeometry = polygon(outer, tolerance=tolerance)
    cut = shapely.union_all([polygon(h.ccw(), tolerance=tolerance) for h in voids])
    return shape.difference(cut) if voids else shape


def crossing(outer: Outline, holes: Iterable[Outline] = ()) -> Point | None:
    """A place where loops cross, run along themselves or each other or lie outside the outer one; None for
    loops that bound one piece (holes may touch it or each other in single points).

    >>> from flatwright.geometry.outline import polygon_outline
    >>> crossing(polygon_outline([(0, 0), (2, 0), (0, 2), (2, 2)]))
    (1.0, 1.0)
    """
    loops = [outer, *holes]
    for chord in (CHORD, _FINE):  # chords may cross where arcs do not
        outer_ring, *inner = (ring(o, chord) for o in loops)
        shape = Polygon(outer_ring, inner)
        if shape.is_valid:
            return None
    place = re.search(r"\[(\S+) (\S+?)\]", shapely.is_valid_reason(shape))
    return (float(place[1]), float(place[2])) if place else outer_ring[0]


def straight(a: Sequence[float], b: Sequence[float]) -> BaseGeometry:
    """The way from a to b; a point where they are one (kernels differ on lines of no length)."""
    return PointShape(a) if tuple(a) == tuple(b) else LineString([a, b])


def parts(shape: BaseGeometry) -> list[Polygon]:
    """The polygons of any geometry, in a stated order (left to right, then bottom to top)."""
    if shape.is_empty:
        return []
    if isinstance(shape, Polygon):
        return [shape]
    found: list[Polygon] = [p for g in getattr(shape, "geoms", []) for p in parts(g)]
    return sorted(found, key=lambda p: tuple(round(v, 6) for v in p.bounds))


def largest(shape: BaseGeometry) -> Polygon:
    """The part of greatest area (an empty polygon if there is none)."""
    found = parts(shape)
    return max(found, key=lambda p: p.area) if found else Polygon()
