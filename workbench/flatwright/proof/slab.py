# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""A part as layers of wood in its own frame: what the dry fit assembles."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.affinity import affine_transform
from shapely.geometry.base import BaseGeometry

from flatwright.geometry.frame import Frame, Vector
from flatwright.geometry.polygon import polygon, region
from flatwright.plan import Panel, Placement
from flatwright.proof.recover import Recovered

SAME = 1e-3  # mm of height


@dataclass(frozen=True, slots=True, eq=False)
class Layer:
    """Wood between two heights above the -n face, in the panel's u, v."""

    low: float
    high: float
    wood: BaseGeometry


@dataclass(frozen=True, slots=True, eq=False)
class Slab:
    """A part in space."""

    name: str
    frame: Frame
    thickness: float
    layers: tuple[Layer, ...]

    def layer_at(self, height: float) -> Layer:
        """The layer that holds a height (the nearest one outside the board)."""
        for layer in self.layers:
            if height <= layer.high:
                return layer
        return self.layers[-1]

    def box(self) -> tuple[Vector, Vector]:
        """Lowest and highest corner of its bounding box in space."""
        xs, ys, xe, ye = shapely.union_all([layer.wood.envelope for layer in self.layers]).bounds
        corners = np.array([(xs, ys), (xe, ys), (xe, ye), (xs, ye)])
        points = np.vstack([self.frame.to_space(corners, z) for z in (0.0, self.thickness)])
        return points.min(axis=0), points.max(axis=0)


def planned(panel: Panel) -> Slab:
    """The panel as planned, every corner as drawn."""
    t = panel.thickness
    steps = {0.0, t}
    pockets = []
    for p in panel.pockets:
        low, high = (t - p.depth, t) if p.side == "+n" else (0.0, p.depth)
        pockets.append((low, high, polygon(p.outline.ccw())))
        steps |= {low, high}
    levels = sorted({round(z, 6) for z in steps if -SAME < z < t + SAME})
    whole = region(panel.outline, panel.holes)
    layers = []
    for low, high in zip(levels, levels[1:], strict=False):
        middle = (low + high) / 2
        gone = [shape for a, b, shape in pockets if a < middle < b]
        layers.append(Layer(low, high, whole.difference(shapely.union_all(gone)) if gone else whole))
    return Slab(panel.name, panel.frame, t, tuple(layers))


def recovered(r: Recovered, thickness: float | None = None, *, from_bed: bool = True) -> Slab:
    """The part that the programs leave, back in its panel's frame.

    With a `thickness` the part that they leave of such a board: floors keep their height above the
    bed (`from_bed`), else their depth from the top; those that were cut with the other face up do the
    opposite. The frame's plane stays where it is.
    """
    panel, t = r.target.panel, r.target.top if thickness is None else thickness
    matrix = to_panel(r.target.placement)
    layers = []
    for low, high, wood in stretched(r.layers, t - r.target.top, from_bed=from_bed, hung=r.hung):
        a, b = (t - high, t - low) if r.target.placement.flipped else (low, high)
        layers.append(Layer(a, b, affine_transform(wood, matrix)))
    return Slab(panel.name, panel.frame, t, tuple(sorted(layers, key=lambda x: x.low)))


def stretched(
    layers: Sequence[tuple[float, float, BaseGeometry]],
    by: float,
    *,
    from_bed: bool,
    hung: Sequence[float] = (),
) -> list[tuple[float, float, BaseGeometry]]:
    """Layers (from, to, wood) of a board that is thicker by so much: the top one grows when floors keep
    their height from the bed, else the lowest; `hung` are heights of floors cut from the other side.

    >>> [x[:2] for x in stretched([(0, 8, None), (8, 12, None)], 0.5, from_bed=True)]
    [(0, 8), (8, 12.5)]
    >>> [x[:2] for x in stretched([(0, 4, None), (4, 12, None)], 0.5, from_bed=True, hung=[4])]
    [(0, 4.5), (4.5, 12.5)]
    """
    top = layers[-1][1]
    moved = {z: z + by if z == top or (z > 0.0 and (z in hung) == from_bed) else z for _, z, _ in layers}
    return [(moved.get(low, low), moved[high], wood) for low, high, wood in layers]


def to_panel(p: Placement) -> list[float]:
    """Sheet to panel coordinates: the placement undone, as shapely's [a, b, d, e, x, y]."""
    c, s = math.cos(math.radians(p.angle)), math.sin(math.radians(p.angle))
    m = -1.0 if p.flipped else 1.0
    return [m * c, m * s, -s, c, -m * (c * p.x + s * p.y), s * p.x - c * p.y]
