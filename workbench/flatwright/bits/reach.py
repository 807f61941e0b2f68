# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What a round bit can reach of a loop, and the largest bit that reaches all of it.

A bit reaches a loop when all that it leaves standing are the usual corner fillets. With a bit of
radius r a corner that turns by φ keeps at most r²(tan(φ/2) − φ/2) of wood (the sharp corner's fillet,
CHECKS GEO-5 with φ = π − θ; rounded and chamfered corners keep less). A place that turns further than
any corner (the end of a narrow slot), or not at all (a neck), is not reached.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from flatwright.geometry.outline import Floats, Outline, is_circle
from flatwright.geometry.parallel import parallel
from flatwright.geometry.polygon import parts, ring

CHORD = 0.005  # mm: flattening of arcs in here
SLIVER = 0.02  # mm: what is thinner is float and chord noise, not wood
SHARPEST = math.radians(150.0)  # a corner made of several segments may turn as far as this
DROP_WIDTH = 3.0  # bit diameters: a narrower drop cannot be held and is milled to chips


@dataclass(frozen=True, slots=True)
class Unreached:
    """A place that the bit leaves standing: (x, y) in the loop's coordinates and its area, mm²."""

    x: float
    y: float
    area: float


def reaches(loop: Outline, diameter: float) -> bool:
    """Whether a bit of this diameter cuts the loop but for the usual corner fillets."""
    return not unreached(loop, diameter)


def unreached(loop: Outline, diameter: float) -> tuple[Unreached, ...]:
    """What the bit leaves standing beyond corner fillets, largest first."""
    x, y = loop.points[0].tolist()
    found = _unreached(_shape(loop), loop.bulges.tobytes(), diameter)
    return tuple(Unreached(u.x + x, u.y + y, u.area) for u in found)


def form(loop: Outline) -> tuple[bytes, bytes]:
    """Equal for loops that are alike but for where they lie."""
    return _shape(loop), loop.bulges.tobytes()


@lru_cache(maxsize=256)
def _shape(loop: Outline) -> bytes:
    """The loop's points from its first one on: loops of one shape are looked at once."""
    local: Floats = np.round(loop.points - loop.points[0], 9) + 0.0
    return local.tobytes()


def largest_bit(loop: Outline, limit: float = 60.0) -> float:
    """Diameter of the largest bit that reaches the loop, rounded down to 0.1 mm; 0 if none does."""
    round_hole = is_circle(loop) if loop.area() < 0 else None
    if round_hole is not None:
        return math.floor(round_hole[1] * 20.0 + 1e-3) / 10.0
    low, high = 0, round(limit * 10.0)
    while high - low > 1:
        middle = (low + high) // 2
        if reaches(loop, middle / 10.0):
            low = middle
        else:
            high = middle
    return low / 10.0


def leaves_drop(hole: Outline, diameter: float) -> bool:
    """Whether a profile along the hole leaves a drop wide enough to be held by tabs.

    The kerf takes one diameter all round; the drop then holds a circle of DROP_WIDTH diameters.
    """
    return bool(_centres(hole, diameter * (1.0 + DROP_WIDTH / 2.0)))


def leaves_room(hole: Outline, diameter: float) -> bool:
    """Whether the bit has room to ramp inside the hole: its centre can move by half a diameter."""
    boxes = [c.bounds() for c in _centres(hole, diameter / 2.0)]
    return any(max(b[2] - b[0], b[3] - b[1]) >= diameter / 2.0 for b in boxes)


def _centres(loop: Outline, distance: float) -> tuple[Outline, ...]:
    """Where the bit's centre runs, measured from the loop's first point."""
    return _parallel(_shape(loop), loop.bulges.tobytes(), distance)


@lru_cache(maxsize=4096)
def _parallel(points: bytes, bulges: bytes, distance: float) -> tuple[Outline, ...]:
    return tuple(parallel(Outline(np.frombuffer(points), np.frombuffer(bulges)), distance))


@lru_cache(maxsize=4096)
def _unreached(points: bytes, bulges: bytes, diameter: float) -> tuple[Unreached, ...]:
    loop = Outline(np.frombuffer(points), np.frombuffer(bulges))
    found: list[Unreached] = []
    corners = _turns(loop)
    for piece in _left_standing(loop, diameter / 2.0):
        if piece.buffer(-SLIVER / 2.0).is_empty or _is_fillet(piece, corners, diameter / 2.0):
            continue
        at = piece.representative_point()
        found.append(Unreached(at.x, at.y, piece.area))
    return tuple(sorted(found, key=lambda u: (-round(u.area, 3), round(u.x, 3), round(u.y, 3))))


def _left_standing(loop: Outline, r: float) -> list[Polygon]:
    """Void less everything that the bit sweeps when its centre keeps r from the wood."""
    curves = _centres(loop, r)
    wood = _area(loop)
    if loop.area() < 0:
        void: BaseGeometry = wood
    else:
        around = [_area(c) for c in curves if c.area() > 0]
        void = shapely.union_all(around).difference(wood)
    swept: list[BaseGeometry] = [
        half.buffer(r + 2.0 * CHORD, quad_segs=32) for c in curves for half in _halves(c)
    ]
    swept += [_area(c) for c in curves if c.area() < -1e-6]
    return parts(void.difference(shapely.union_all(swept)))


def _area(curve: Outline) -> BaseGeometry:
    """What a curve goes round, ways out and back left out; both ends where such a way joins two places."""
    shape = Polygon(ring(curve, CHORD))
    return shape if shape.is_valid else shapely.union_all(parts(shapely.make_valid(shape)))


def _halves(curve: Outline) -> list[LineString]:
    """A closed curve as two open lines: GEOS up to 3.11 loses ground when it buffers a small ring."""
    points = ring(curve, CHORD)
    points = np.concatenate([points, points[:1]])
    middle = len(points) // 2
    return [LineString(points[: middle + 1]), LineString(points[middle:])]


def _turns(loop: Outline) -> tuple[Floats, Floats]:
    """Points (n, 2) of the flattened loop and their turns (n,), positive at a corner of the void."""
    points = ring(loop, CHORD)
    before = points - np.roll(points, 1, axis=0)
    after = np.roll(before, -1, axis=0)
    cross = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    dot = np.sum(before * after, axis=1)
    return points, -np.arctan2(cross, dot)  # wood is on the left: a right turn is a corner of the void


def _is_fillet(piece: Polygon, corners: tuple[Floats, Floats], r: float) -> bool:
    points, turns = corners
    inside = np.flatnonzero(shapely.contains_xy(piece.buffer(2.0 * SLIVER), points[:, 0], points[:, 1]))
    if not len(inside) or _runs(inside.tolist(), len(points)) != 1:
        return False
    here = turns[inside]
    turn = float(here.sum())
    if float(here.min()) < -0.01:  # a step lower than the bit's fillet: it takes the other edge's end too
        turn = float(here[here > 0].sum())
        if float(here.max()) < 0.99 * turn:
            return False
    one_corner = float(here.max()) > 0.99 * turn
    if turn <= 0 or turn >= math.pi - 1e-6 or (turn > SHARPEST and not one_corner):
        return False
    usual = r * r * (math.tan(turn / 2.0) - turn / 2.0)
    return bool(piece.area <= usual * 1.02 + 0.01)


def _runs(indices: list[int], n: int) -> int:
    """How many unbroken cyclic runs the sorted indices form."""
    chosen = set(indices)
    return sum(1 for i in indices if (i - 1) % n not in chosen) or 1
