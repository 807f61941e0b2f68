# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Outlines, arrows and marks as SVG elements.

Points come in sheet coordinates, mm, y upwards; SVG's y runs downwards, so every y is negated here
and nowhere else.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from shapely.geometry.base import BaseGeometry

from flatwright.geometry.arcs import Point, Segment
from flatwright.geometry.outline import Outline
from flatwright.geometry.polygon import parts
from flatwright.reports.markup import Attribute, Markup, join, tag


def path(loops: Iterable[Outline], **attributes: Attribute) -> Markup:
    """Closed loops as one path: lines and true arcs."""
    return tag("path", d=" ".join(_loop(loop) for loop in loops), **attributes)


def region(shape: BaseGeometry, **attributes: Attribute) -> Markup:
    """Polygons with their holes as one path, to be filled by the even-odd rule."""
    rings = [r for p in parts(shape) for r in (p.exterior, *p.interiors)]
    loops = ("M" + " L".join(_xy((x, y)) for x, y in r.coords[:-1]) + " Z" for r in rings)
    return tag("path", d=" ".join(loops), **attributes)


def _loop(loop: Outline) -> str:
    segments = loop.segments()
    steps = [f"M{_xy(segments[0].p)}"]
    steps += [_step(s) for s in segments]
    return " ".join([*steps, "Z"])


def _step(s: Segment) -> str:
    if s.is_line:
        return f"L{_xy(s.q)}"
    large = int(abs(s.sweep) > math.pi + 1e-9)
    # counter-clockwise with y upwards is SVG's sweep 0, "decreasing angle"
    return f"A{_n(s.radius)} {_n(s.radius)} 0 {large} {int(s.b < 0)} {_xy(s.q)}"


def line(p: Point, q: Point, **attributes: Attribute) -> Markup:
    """A straight line."""
    return tag("line", x1=p[0], y1=0.0 - p[1], x2=q[0], y2=0.0 - q[1], **attributes)


def circle(c: Point, r: float, **attributes: Attribute) -> Markup:
    """A circle."""
    return tag("circle", cx=c[0], cy=0.0 - c[1], r=r, **attributes)


def polygon(points: Iterable[Point], **attributes: Attribute) -> Markup:
    """A closed polygon."""
    return tag("polygon", points=" ".join(_xy(p) for p in points), **attributes)


def words(content: str, at: Point, size: float, angle: float = 0.0, **attributes: Attribute) -> Markup:
    """Text whose middle stands at a point, turned counter-clockwise by `angle` degrees, with a white rim."""
    x, y = _n(at[0]), _n(-at[1])
    turn = f"rotate({_n(-angle)} {x} {y})" if angle else None
    rim: dict[str, Attribute] = {
        "stroke": "#fff",
        "stroke_width": round(0.2 * size, 2),
        "paint_order": "stroke",
    }
    set_ = {**rim, "text_anchor": "middle", "dominant_baseline": "central"} | attributes
    return tag("text", content, x=x, y=y, font_size=size, transform=turn, **set_)


def double_arrow(middle: Point, angle: float, length: float, head: float) -> Markup:
    """A thin line with a head at both ends, at `angle` degrees: how face grain is drawn."""
    ends = [along(middle, angle + turn, length / 2) for turn in (0.0, 180.0)]
    heads = [_head(end, angle + turn, head) for end, turn in zip(ends, (0.0, 180.0), strict=True)]
    return join([line(ends[0], ends[1], class_="thin"), *heads])


def arrow(start: Point, angle: float, length: float, head: float) -> Markup:
    """A line with a filled head at its end."""
    end = along(start, angle, length)
    return join([line(start, end, class_="edge"), _head(end, angle, head)])


def _head(tip: Point, angle: float, size: float) -> Markup:
    wings = [along(tip, angle + 180.0 + side * 18.0, size) for side in (-1, 1)]
    return polygon([tip, *wings], class_="solid")


def bar(middle: Point, angle: float, length: float, width: float, **attributes: Attribute) -> Markup:
    """A rectangle about a point, its length at `angle` degrees."""
    ends = [along(middle, angle + turn, length / 2) for turn in (0.0, 180.0)]
    corners = [
        along(end, angle + 90.0 * side, width / 2)
        for end, sides in zip(ends, ((-1, 1), (1, -1)), strict=True)
        for side in sides
    ]
    return polygon(corners, **attributes)


def along(p: Point, angle: float, distance: float) -> Point:
    """The point at a distance in a direction given in degrees."""
    a = math.radians(angle)
    return (p[0] + distance * math.cos(a), p[1] + distance * math.sin(a))


def _xy(p: Point) -> str:
    return f"{_n(p[0])} {_n(-p[1])}"


def _n(x: float) -> str:
    return f"{round(x, 3) + 0.0:.3f}".rstrip("0").rstrip(".")
