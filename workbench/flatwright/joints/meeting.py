# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What two faces that lie on each other have in common, for many pairs at a time.

A shelving wall has tens of thousands of pairs; one at a time, the calls alone would take seconds.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from flatwright.geometry.frame import Frame, Vector
from flatwright.geometry.polygon import Shapes, all_parts
from flatwright.joints.faces import PlaneFace

LEAST_AREA = 1.0  # mm²
LEAST_WIDTH = 0.2  # mm
PARALLEL = 1e-6  # 1 - cosine within which two directions are one
HAIR = 1e-7  # of a face's size: float noise at its rim


@dataclass(frozen=True, slots=True, eq=False)
class Meeting:
    """The corners (k, 3) of the common region in space, its area in mm², and the region in the plane of
    the broad face or floor that takes part (None between two edges)."""

    points: Vector
    area: float
    region: BaseGeometry | None = None


def counts(common: BaseGeometry) -> bool:
    """True for a region large enough to bear on."""
    return bool(large_enough(np.array([common], dtype=object))[0])


def large_enough(common: Shapes) -> NDArray[np.bool_]:
    """The same for many regions."""
    bounds = shapely.bounds(common)
    with np.errstate(invalid="ignore"):  # an empty region has no bounds
        wide = (bounds[:, 2:] - bounds[:, :2]).min(axis=1) > LEAST_WIDTH
    pieces, of = all_parts(common)
    bears = np.zeros(len(common), dtype=bool)
    bears[of[shapely.area(pieces) > LEAST_AREA / 2]] = True
    return np.asarray((shapely.area(common) >= LEAST_AREA) & wide & bears)


def edges_meet(pairs: Sequence[tuple[PlaneFace, PlaneFace]]) -> list[Meeting | None]:
    """What each two edges or walls have in common; None where that is nothing to speak of."""
    if not pairs:
        return []
    along = np.array([a.along for a, _ in pairs])
    axes = np.stack([along, np.cross([a.normal for a, _ in pairs], along)], axis=2)
    start = np.array([a.start for a, _ in pairs])
    one, two = (
        (np.array([pair[k].corners for pair in pairs]) - start[:, None]) @ axes for k in (0, 1)
    )  # (n, 4, 2)
    c = np.abs((np.array([b.along for _, b in pairs]) * along).sum(axis=1))
    parallel = np.minimum(c, 1.0 - c) < PARALLEL
    low = np.maximum(one.min(axis=1), two.min(axis=1))
    high = np.minimum(one.max(axis=1), two.max(axis=1))
    wide = high - low
    area = wide.prod(axis=1)
    found = (wide.min(axis=1) > LEAST_WIDTH) & (area >= LEAST_AREA)
    boxes = np.stack(
        [low, np.stack([high[:, 0], low[:, 1]], 1), high, np.stack([low[:, 0], high[:, 1]], 1)], 1
    )
    points = start[:, None] + boxes @ axes.transpose(0, 2, 1)
    out: list[Meeting | None] = []
    for k, (straight, there) in enumerate(zip(parallel.tolist(), found.tolist(), strict=True)):
        if not there:  # not even the boxes about them meet
            out.append(None)
        elif straight:
            out.append(Meeting(points[k], float(area[k])))
        else:
            common = Polygon(one[k]).intersection(Polygon(two[k]))
            at = start[k] + shapely.get_coordinates(common) @ axes[k].T
            out.append(Meeting(at, float(common.area)) if counts(common) else None)
    return out


def lie_on(
    pairs: Sequence[tuple[PlaneFace, PlaneFace]],
    frame_of: Callable[[PlaneFace], Frame],
    wood_of: Callable[[PlaneFace], BaseGeometry],
) -> list[Meeting | None]:
    """What of each edge or wall (second) lies on a broad face or floor (first). `wood_of` gives the
    prepared region of such a face.

    Most lie on it wholly, often with their rim on its rim: a hair less than the rectangle tells that
    quickly."""
    if not pairs:
        return []
    frames = [frame_of(base) for base, _ in pairs]
    axes = np.array([(f.u, f.v) for f in frames]).transpose(0, 2, 1)
    origin = np.array([f.origin for f in frames])
    corners = (np.array([other.corners for _, other in pairs]) - origin[:, None]) @ axes  # (n, 4, 2)
    middle = corners.mean(axis=1, keepdims=True)
    inner = shapely.polygons(middle + (corners - middle) * (1.0 - HAIR))
    whole = shapely.polygons(corners)
    wood = np.array([wood_of(base) for base, _ in pairs], dtype=object)
    inside = shapely.contains_properly(wood, inner)
    across = ~inside & shapely.intersects(wood, inner)
    up = np.array([f.n for f in frames])
    side = np.array([base.normal for base, _ in pairs])
    height = np.array([base.offset for base, _ in pairs]) - (side * origin).sum(axis=1)
    floor = origin + ((side * up).sum(axis=1) * height)[:, None] * up
    points = floor[:, None] + corners @ axes.transpose(0, 2, 1)
    area, bounds = shapely.area(whole), shapely.bounds(whole)
    large = (area >= LEAST_AREA) & ((bounds[:, 2:] - bounds[:, :2]).min(axis=1) > LEAST_WIDTH)
    out: list[Meeting | None] = [None] * len(pairs)
    for k in np.flatnonzero(inside & large).tolist():
        out[k] = Meeting(points[k], float(area[k]), whole[k])
    partly = np.flatnonzero(across & large)
    common = shapely.intersection(wood[partly], whole[partly])
    bears = large_enough(common)
    for k, shape in zip(partly[bears].tolist(), common[bears], strict=True):
        out[k] = on_plane(pairs[k][0], frames[k], shape)
    return out


def on_plane(base: PlaneFace, frame: Frame, common: BaseGeometry) -> Meeting:
    """A region in the plane of a broad face or floor, put into space."""
    height = float(base.normal @ frame.n) * (base.offset - float(base.normal @ frame.origin))
    return Meeting(frame.to_space(shapely.get_coordinates(common), height), float(common.area), common)
