# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Where a part's name stands on the map: inside the part, clear of its holes, as large as fits."""

from __future__ import annotations

import math
from dataclasses import dataclass

from shapely.geometry import LineString, Polygon, box
from shapely.geometry.base import BaseGeometry
from shapely.ops import polylabel

from flatwright.geometry import arcs
from flatwright.reports.svg import along

WIDTH_OF_LETTER = 0.6  # average, as a share of its height
LEVELS = (0.5, 0.3, 0.7, 0.15, 0.85)  # heights in the part at which a line of text is tried


@dataclass(frozen=True, slots=True)
class Place:
    """Middle of the text, its angle in degrees and its height, mm of the sheet."""

    at: arcs.Point
    angle: float
    size: float


def place_for(text: str, shape: BaseGeometry, sizes: tuple[float, ...]) -> Place | None:
    """The place for a line of text: the first size that fits, level rather than upright, near the middle.

    `sizes` are heights in mm, the wanted one first; None where not even the last one fits.
    """
    for size in sizes:
        for angle in (0.0, 90.0):
            for at in _middles(shape, angle):
                place = Place(at, angle, size)
                if shape.contains(text_box(text, place)):
                    return place
    return None


def widest(shape: Polygon, most: float) -> Place:
    """A place for a number in a part that is too small for its name: where it is widest, at most so high."""
    point = polylabel(shape, tolerance=1.0)
    room = shape.boundary.distance(point)
    return Place((round(point.x, 1), round(point.y, 1)), 0.0, min(most, 1.2 * room))


def arrow_place(
    text: str, place: Place, turn: float, length: float, shape: BaseGeometry
) -> arcs.Point | None:
    """Middle of an arrow at `turn` degrees beside the text, inside the part; None where there is no room."""
    level = abs(math.sin(math.radians(turn - place.angle))) < 0.5
    away = 1.0 * place.size if level else width(text, place.size) / 2.0 + 0.8 * place.size
    direction = place.angle - 90.0 if level else place.angle
    for side in (0.0, 180.0):
        middle = along(place.at, direction + side, away)
        ends = [along(middle, turn + back, length / 2.0) for back in (0.0, 180.0)]
        if shape.contains(LineString(ends).buffer(0.2 * place.size)):
            return middle
    return None


def width(text: str, size: float) -> float:
    """Estimated width of a line of text, mm."""
    return len(text) * WIDTH_OF_LETTER * size


def text_box(text: str, place: Place) -> BaseGeometry:
    """The rectangle that a line of text takes."""
    half = width(text, place.size) / 2.0, 0.6 * place.size
    upright = half if place.angle == 0.0 else half[::-1]
    (x, y), (dx, dy) = place.at, upright
    return box(x - dx, y - dy, x + dx, y + dy)


def _middles(shape: BaseGeometry, angle: float) -> list[arcs.Point]:
    """Middles of chords in the direction of the text, those nearest the middle of the part first."""
    x0, y0, x1, y1 = shape.bounds
    found: list[arcs.Point] = []
    for level in LEVELS:
        if angle == 0.0:
            y = y0 + level * (y1 - y0)
            line = LineString([(x0 - 1.0, y), (x1 + 1.0, y)])
        else:
            x = x0 + level * (x1 - x0)
            line = LineString([(x, y0 - 1.0), (x, y1 + 1.0)])
        for piece in _lines(shape.intersection(line)):
            middle = piece.interpolate(0.5, normalized=True)
            found.append((round(middle.x, 1), round(middle.y, 1)))
    centre = ((x0 + x1) / 2.0, (y0 + y1) / 2.0)
    return sorted(set(found), key=lambda p: (round(math.dist(p, centre)), p))


def _lines(shape: BaseGeometry) -> list[BaseGeometry]:
    return [g for g in getattr(shape, "geoms", [shape]) if g.geom_type == "LineString" and not g.is_empty]
