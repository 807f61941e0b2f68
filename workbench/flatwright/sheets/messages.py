# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""A layout job as a library's child process reads it, and its answers as layouts."""

from __future__ import annotations

import math
from typing import Any

from flatwright.sheets.job import Layout, LayoutJob, Part, Spot, Stock, costs
from flatwright.sheets.shapes import Identity, Ring, identity, shapes_of

COARSE = 0.2  # mm: polygons lie outside the arcs by at most this; libraries want few points
ROUNDING = 0.003  # mm: more spacing than asked, so that rounding places to 1e-3 cannot use it up
SNAP = 0.005  # mm: a part this little beyond the usable area is moved back onto its border


def message_of(name: str, job: LayoutJob) -> tuple[dict[str, Any], list[list[int]]]:
    """The job for the child, and the numbers of the parts behind each of its part types.

    Equal parts are one type with several copies.
    """
    groups: dict[tuple[Identity, tuple[float, ...]], list[int]] = {}
    rings: dict[tuple[Identity, tuple[float, ...]], Ring] = {}
    for k, part in enumerate(job.parts):
        first = shapes_of(Part(part.name, part.outer, part.turns[:1], part.flipped), COARSE)[0]
        turns = tuple(round(t - part.turns[0], 6) % 360.0 for t in part.turns)
        key = (identity(first), turns)
        groups.setdefault(key, []).append(k)
        rings.setdefault(key, first.ring)
    message = {
        "library": name,
        "sheets": [
            {"length": s.length, "width": s.width, "count": s.count, "cost": c}
            for s, c in zip(job.stock, costs(job.stock), strict=True)
        ],
        "edge": job.edge,
        "spacing": job.spacing + ROUNDING,
        "seed": job.seed,
        "time": job.time,
        "keep_outs": [list(k) for k in job.keep_outs],
        "parts": [
            {"ring": rings[key], "turns": key[1], "copies": len(group)} for key, group in groups.items()
        ],
    }
    return message, list(groups.values())


def layout_of(line: dict[str, Any], job: LayoutJob, groups: list[list[int]]) -> Layout:
    """An answer of the child as a layout; copies of a type are dealt out in the parts' order."""
    waiting = [list(group) for group in groups]
    sheets = tuple(job.stock[k] for k in line["sheets"])
    spots = []
    for kind, sheet, x, y, angle in line["spots"]:
        if waiting[kind]:
            part = job.parts[waiting[kind].pop(0)]
            spots.append(_spot(part, int(sheet), x, y, angle, sheets[int(sheet)], job.edge))
    left = tuple(job.parts[k].name for group in waiting for k in group)
    return Layout(sheets, tuple(spots), left)


def _spot(part: Part, sheet: int, x: float, y: float, angle: float, stock: Stock, edge: float) -> Spot:
    """The child turned the ring, whose corner was at (0, 0), by `angle` and shifted it by x, y."""
    asked = (part.turns[0] + angle) % 360.0
    turn = min(part.turns, key=lambda t: abs((t - asked + 180.0) % 360.0 - 180.0))
    first = part.outer.moved(angle=math.radians(part.turns[0]), mirror=part.flipped).bounds()
    c, s = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    x, y = x - (first[0] * c - first[1] * s), y - (first[0] * s + first[1] * c)
    x0, y0, x1, y1 = part.outer.moved((x, y), math.radians(turn), part.flipped).bounds()
    x = _rounded(x, x0, x1, edge, stock.length - edge)
    y = _rounded(y, y0, y1, edge, stock.width - edge)
    return Spot(part.name, sheet, x, y, turn)


def _rounded(shift: float, low: float, high: float, least: float, most: float) -> float:
    """The shift to 1e-3 mm; extents that come to lie just beyond the border are put onto it."""
    if 0.0 < least - low < SNAP:
        return math.ceil((shift + least - low) * 1000.0 - 0.01) / 1000.0
    if 0.0 < high - most < SNAP:
        return math.floor((shift + most - high) * 1000.0 + 0.01) / 1000.0
    return round(shift, 3)
