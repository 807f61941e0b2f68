# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Outlines as shapely polygons, for predicates and areas only.

The chord tolerance is stated at each call; nothing that is cut comes from a polygon.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import LineString, Polygon
from shapely.geometry import Point as PointShape
from shapely.geometry.base import BaseGeometry

from flatwright.geometry.arcs import FLAT, Point
from flatwright.geometry.outline import Floats, Outline

Shapes = NDArray[np.object_]
POLYGON = 3  # shapely's number of the type

CHORD = 0.002  # mm: default distance between a chord and its arc
_FINE = 1e-5  # mm: the same for a closer look


def ring(outline: Outline, tolerance: float = CHORD) -> Floats:
    """Corner points with arcs flattened inside the tolerance, (n, 2) float; as `Segment.flattened`, for a
    whole loop at a time."""
    arcs = np.flatnonzero(np.abs(outline.bulges) >= FLAT)
    if not len(arcs):
        return outline.points
    p, b = outline.points[arcs], outline.bulges[arcs]
    chord = outline.points[(arcs + 1) % len(outline)] - p
    k = (1.0 - b * b) / (4.0 * b)
    to_centre = np.stack([chord[:, 0] / 2.0 - chord[:, 1] * k, chord[:, 1] / 2.0 + chord[:, 0] * k], axis=1)
    r = np.hypot(*chord.T) * (1.0 + b * b) / (4.0 * np.abs(b))
    sweep = 4.0 * np.arctan(b)
    step = np.where(r > tolerance, 2.0 * np.arccos(np.maximum(-1.0, 1.0 - tolerance / r)), np.pi)
    count = np.ones(len(outline), dtype=np.int64)
    count[arcs] = np.maximum(1, np.ceil(np.abs(sweep) / step - 1e-9).astype(np.int64))
    out = np.repeat(outline.points, count, axis=0)
    first = np.cumsum(count) - count  # where each segment begins
    arc = np.repeat(np.arange(len(arcs)), count[arcs])
    nth = np.arange(len(arc)) - np.repeat(np.cumsum(count[arcs]) - count[arcs], count[arcs])
    inner = nth > 0
    arc, nth = arc[inner], nth[inner]
    angle = np.arctan2(-to_centre[:, 1], -to_centre[:, 0])[arc] + sweep[arc] * nth / count[arcs][arc]
    round_about = r[arc, None] * np.stack([np.cos(angle), np.sin(angle)], axis=1)
    out[first[arcs][arc] + nth] = (p + to_centre)[arc] + round_about
    return out


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
    if not voids:
        return shape
    shape = shape.difference(shapely.union_all([polygon(h.ccw(), tolerance=tolerance) for h in voids]))
    return opened(shape, tolerance) if any(o.bulges.any() for o in (outer, *voids)) else shape


def opened(shape: BaseGeometry, thin: float) -> BaseGeometry:
    """A shape without what is thinner than twice `thin` mm: two loops that share an arc have other chords
    along it, and feign slivers between them."""
    inner = shape.buffer(-thin, join_style="mitre")
    return inner.buffer(thin, join_style="mitre")


def closed(shape: BaseGeometry, thin: float) -> BaseGeometry:
    """A shape with the gaps filled that are thinner than twice `thin` mm."""
    outer = shape.buffer(thin, join_style="mitre")
    return outer.buffer(-thin, join_style="mitre")


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
    x, y = (place[1], place[2]) if place else outer_ring[0]
    return float(x), float(y)


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


def all_parts(shapes: Shapes) -> tuple[Shapes, NDArray[np.int64]]:
    """The polygons of many geometries, in no stated order, and which of them each is of."""
    found, of = shapely.get_parts(shapes, return_index=True)
    found, inner = shapely.get_parts(found, return_index=True)  # of a collection within a collection
    flat = shapely.get_type_id(found) == POLYGON
    return found[flat], of[inner][flat]


def largest(shape: BaseGeometry) -> Polygon:
    """The part of greatest area (an empty polygon if there is none)."""
    found = parts(shape)
    return max(found, key=lambda p: p.area) if found else Polygon()
