# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""A sheet turned over about one of its middle lines: how it lies while its underside is cut.

The proof has its own way of saying the same, so that a slip here is found there.
"""

from __future__ import annotations

from dataclasses import replace

from shapely.affinity import affine_transform
from shapely.geometry.base import BaseGeometry

from flatwright.geometry.arcs import Point
from flatwright.geometry.outline import clean
from flatwright.plan import Axis, Panel, Pin, Placement, Screw, Sheet

DIGITS = 6


def mirrored(p: Point, size: tuple[float, float], axis: Axis) -> Point:
    """Where a point of the sheet comes to lie, mm.

    >>> mirrored((10.0, 20.0), (2440.0, 1220.0), "x")
    (10.0, 1200.0)
    """
    if axis == "x":
        return (p[0], clean(size[1] - p[1], DIGITS))
    return (clean(size[0] - p[0], DIGITS), p[1])


def mirrored_region(shape: BaseGeometry, size: tuple[float, float], axis: Axis) -> BaseGeometry:
    """A region of the sheet where it comes to lie."""
    matrix = [1.0, 0.0, 0.0, -1.0, 0.0, size[1]] if axis == "x" else [-1.0, 0.0, 0.0, 1.0, size[0], 0.0]
    return affine_transform(shape, matrix)


def turned(sheet: Sheet, axis: Axis) -> Sheet:
    """The sheet with the other face up, on the same place of the bed: parts, screws and pins.

    No tab stands yet while it lies so: tabs are left out.
    """
    return replace(
        sheet,
        placements=tuple(_turned(p, sheet, axis) for p in sheet.placements),
        screws=tuple(Screw(*mirrored((w.x, w.y), sheet.size, axis)) for w in sheet.screws),
        flip=None
        if sheet.flip is None
        else replace(
            sheet.flip, pins=tuple(Pin(*mirrored((p.x, p.y), sheet.size, axis)) for p in sheet.flip.pins)
        ),
        tabs=(),
    )


def _turned(p: Placement, sheet: Sheet, axis: Axis) -> Placement:
    """Mirroring x after a turn is turning back after mirroring u; mirroring y is that and half a turn."""
    angle = (180.0 if axis == "x" else 0.0) - p.angle
    x, y = mirrored((p.x, p.y), sheet.size, axis)
    return Placement(p.panel, x, y, clean(angle % 360.0, DIGITS) % 360.0, not p.flipped)


def is_cut_below(panel: Panel, placement: Placement) -> bool:
    """Whether a part has a pocket in the face that is down."""
    down = "+n" if placement.flipped else "-n"
    return any(p.side == down for p in panel.pockets)
