# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The exact check that every layout must pass before it is used, whatever engine made it.

It shares nothing with the engines but the job's values: true outlines, true distances.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Iterator

import numpy as np
import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from flatwright.geometry.outline import Outline
from flatwright.geometry.polygon import polygon
from flatwright.sheets.job import Layout, LayoutJob, Part, Spot

CHORD = 5e-4  # mm: arcs are flattened inside this for distances
RELATIVE = 1e-6  # of the longest sheet: what counts as equal


def verify(job: LayoutJob, layout: Layout) -> list[str]:
    """What is wrong with the layout, one plain sentence each; empty if nothing is."""
    parts = {p.name: p for p in job.parts}
    problems = [*_counts(job, layout), *_turns(parts, layout)]
    known = [s for s in layout.spots if s.part in parts and 0 <= s.sheet < len(layout.sheets)]
    for k, sheet in enumerate(layout.sheets):
        tolerance = RELATIVE * max(100.0, sheet.length, sheet.width)
        on_sheet = [s for s in known if s.sheet == k]
        placed = [_placed(parts[s.part], s) for s in on_sheet]
        names = [s.part for s in on_sheet]
        area = (job.edge, job.edge, sheet.length - job.edge, sheet.width - job.edge)
        problems += _outside(names, placed, area, tolerance)
        problems += _too_close(names, placed, job.spacing, tolerance)
        problems += _kept_out(names, placed, job, tolerance)
    return problems


def _placed(part: Part, spot: Spot) -> Outline:
    return part.outer.moved((spot.x, spot.y), math.radians(spot.angle), part.flipped)


def _counts(job: LayoutJob, layout: Layout) -> Iterator[str]:
    found = Counter([*(s.part for s in layout.spots), *layout.left])
    for part in job.parts:
        if found[part.name] != 1:
            yield f"{part.name} is there {found[part.name]} times"
    for name in sorted(set(found) - {p.name for p in job.parts}):
        yield f"{name} is no part of the job"
    for spot in layout.spots:
        if not 0 <= spot.sheet < len(layout.sheets):
            yield f"{spot.part} lies on a sheet that does not exist"
    used = Counter(layout.sheets)
    for stock in used:
        if stock not in job.stock:
            yield f"a sheet of {stock.length:g} x {stock.width:g} mm is not in stock"
        elif stock.count is not None and used[stock] > stock.count * job.stock.count(stock):
            yield f"{used[stock]} sheets of {stock.length:g} x {stock.width:g} mm, {stock.count} in stock"


def _turns(parts: dict[str, Part], layout: Layout) -> Iterator[str]:
    for spot in layout.spots:
        turns = parts[spot.part].turns if spot.part in parts else ()
        if not any(abs((spot.angle - t + 180.0) % 360.0 - 180.0) < 1e-6 for t in turns):
            yield f"{spot.part} is turned by {spot.angle:g}°, which is not allowed"


def _outside(
    names: Iterable[str],
    placed: Iterable[Outline],
    area: tuple[float, float, float, float],
    tolerance: float,
) -> Iterator[str]:
    """Parts that leave the usable area (x0, y0, x1, y1); arcs count in full."""
    for name, outline in zip(names, placed, strict=True):
        x0, y0, x1, y1 = outline.bounds()
        over = max(area[0] - x0, area[1] - y0, x1 - area[2], y1 - area[3])
        if over > tolerance:
            yield f"{name} leaves the usable area by {over:.4f} mm"


def _kept_out(
    names: Iterable[str], placed: Iterable[Outline], job: LayoutJob, tolerance: float
) -> Iterator[str]:
    """Parts nearer to a keep-out than the spacing."""
    areas = [shapely.box(*k) for k in job.keep_outs]
    for name, outline in zip(names, placed, strict=True):
        shape = polygon(outline, tolerance=CHORD)
        if any(shape.distance(a) < job.spacing - tolerance for a in areas):
            yield f"{name} lies too near to a keep-out"


def _too_close(
    names: list[str], placed: Iterable[Outline], spacing: float, tolerance: float
) -> Iterator[str]:
    """Pairs of parts nearer than the spacing. One of each pair is shrunk by the tolerance, so that
    parts that just touch pass even where the spacing is 0."""
    shapes = [polygon(o, tolerance=CHORD) for o in placed]
    if len(shapes) < 2:
        return
    cores = [_shrunk(s, tolerance) for s in shapes]
    shapely.prepare(shapes)
    reach = spacing + tolerance
    grown = np.array([s.bounds for s in shapes]) + np.array([-reach, -reach, reach, reach])
    boxes = shapely.box(*grown.T)
    pairs = shapely.STRtree(shapes).query(boxes)
    for i, j in sorted(zip(*pairs.tolist(), strict=True)):
        if i < j and shapely.dwithin(shapes[i], cores[j], spacing):
            gap = shapely.distance(shapes[i], shapes[j])
            how = f"only {gap:.4f} mm apart" if gap > 0.0 else "overlapping"
            yield f"{names[i]} and {names[j]} are {how}"


def _shrunk(shape: Polygon, by: float) -> BaseGeometry:
    smaller = shape.buffer(-by, join_style="mitre")
    # a part thinner than the tolerance keeps a point, which must not be overlapped either
    return shape.representative_point() if smaller.is_empty else smaller
