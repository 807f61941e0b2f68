# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Contacts: plane faces of two panels that face each other within the largest drawn clearance."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from flatwright.geometry.frame import Vector, cross
from flatwright.geometry.polygon import parts
from flatwright.joints.faces import PlaneFace, face_region, plane_faces
from flatwright.joints.oblique import leaning, rims
from flatwright.plan import Panel

REACH = 1.0  # mm: largest drawn clearance that still counts as contact
BITE = 0.6  # mm: how far a drawing may let faces overlap (slots drawn to the measured board)
FACING = 1e-6  # 1 - cosine within which two normals are opposite
DUST = 1e-6  # mm of float noise
LEAST_AREA = 1.0  # mm²
LEAST_WIDTH = 0.2  # mm
HAIR = 1e-7  # of a face's size: float noise at its rim


@dataclass(frozen=True, slots=True, eq=False)
class Contact:
    """Faces a and b face each other. `gap` is from a to b along a's normal (negative: drawn into
    each other); `points` (k, 3) are the corners of the common region, `area` its size in mm²;
    `region` is that region in the plane of the panel whose broad face or floor takes part.

    `lean` is the cosine of the angle between the faces: less than 1 where an upright edge meets a
    leaning broad face or floor at its rim; the gap is then measured square to that face."""

    a: PlaneFace
    b: PlaneFace
    gap: float
    points: Vector
    area: float
    region: BaseGeometry | None = None
    lean: float = 1.0

    def turned(self) -> Contact:
        """The same contact seen from b."""
        return Contact(self.b, self.a, self.gap, self.points, self.area, self.region, self.lean)

    @property
    def axis(self) -> Vector:
        """The direction in which the gap is measured, from a to b, unit (3,)."""
        return -self.b.normal if self.a.is_line and not self.b.is_line else self.a.normal

    def extent(self, direction: Vector) -> tuple[float, float]:
        """Least and greatest coordinate of the common region along a direction."""
        d = self.points @ direction
        return float(d.min()), float(d.max())

    @property
    def centre(self) -> Vector:
        return np.asarray((self.points.min(axis=0) + self.points.max(axis=0)) / 2, dtype=np.float64)


@dataclass(frozen=True, slots=True, eq=False)
class Scene:
    """The panels with their faces and contacts; contact pairs run from the lower index."""

    panels: tuple[Panel, ...]
    faces: tuple[tuple[PlaneFace, ...], ...]
    contacts: dict[tuple[int, int], tuple[Contact, ...]]


def find_contacts(panels: Sequence[Panel]) -> Scene:
    """All contacts of an assembly; candidates come from a spatial index."""
    faces = tuple(tuple(plane_faces(i, p)) for i, p in enumerate(panels))
    tables = [_Table(f) for f in faces]
    regions = _Regions(panels)
    contacts: dict[tuple[int, int], tuple[Contact, ...]] = {}
    for i, j in near_pairs(panels):
        found = []
        for a, b in tables[i].facing(tables[j]):
            contact = _meet(faces[i][a], faces[j][b], panels, regions)
            if contact is not None:
                found.append(contact)
        if leaning(panels[i], panels[j]):
            found += _leaning(faces[i], faces[j], panels, regions)
        if found:
            contacts[i, j] = tuple(found)
    return Scene(tuple(panels), faces, contacts)


def near_pairs(panels: Sequence[Panel], margin: float = REACH) -> list[tuple[int, int]]:
    """Index pairs (i < j) of panels whose boxes come within the margin of each other, in order."""
    if not panels:
        return []
    boxes = np.array([_box(p) for p in panels])
    grown = boxes + np.array([[-margin] * 3 + [margin] * 3])
    flat = shapely.box(grown[:, 0], grown[:, 1], grown[:, 3], grown[:, 4])
    first, second = shapely.STRtree(flat).query(flat)
    keep = (first < second) & (grown[first, 2] <= boxes[second, 5]) & (boxes[second, 2] <= grown[first, 5])
    return sorted(zip(first[keep].tolist(), second[keep].tolist(), strict=True))


def _box(panel: Panel) -> list[float]:
    x0, y0, x1, y1 = panel.outline.bounds()
    p = np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]] * 2)
    q = panel.frame.to_space(p, np.repeat([0.0, panel.thickness], 4))
    return [*q.min(axis=0), *q.max(axis=0)]


class _Table:
    """Normals, plane offsets and boxes of one panel's faces as arrays."""

    def __init__(self, faces: Sequence[PlaneFace]) -> None:
        self.normals = np.array([f.normal for f in faces])
        self.offsets = np.array([f.offset for f in faces])
        self.low = np.array([f.corners.min(axis=0) for f in faces])
        self.high = np.array([f.corners.max(axis=0) for f in faces])

    def facing(self, other: _Table) -> list[tuple[int, int]]:
        opposite = self.normals @ other.normals.T < -1.0 + FACING
        gap = -(self.offsets[:, None] + other.offsets[None, :])
        near = opposite & (gap <= REACH + DUST) & (gap >= -BITE - DUST)
        for k in range(3):
            near &= self.low[:, None, k] <= other.high[None, :, k] + REACH
            near &= other.low[None, :, k] <= self.high[:, None, k] + REACH
        return [(int(a), int(b)) for a, b in np.argwhere(near)]


class _Regions:
    """Broad faces and floors as prepared polygons, made when first asked for."""

    def __init__(self, panels: Sequence[Panel]) -> None:
        self.panels = panels
        self.known: dict[tuple[int, str, int, str], BaseGeometry] = {}

    def of(self, face: PlaneFace) -> BaseGeometry:
        plain = face.kind == "broad" and not self.panels[face.panel].pockets
        key = (face.panel, face.kind, face.loop, "" if plain else face.side)
        if key not in self.known:
            shape = face_region(self.panels[face.panel], face)
            shapely.prepare(shape)
            self.known[key] = shape
        return self.known[key]


def _meet(a: PlaneFace, b: PlaneFace, panels: Sequence[Panel], regions: _Regions) -> Contact | None:
    gap = -(a.offset + b.offset)
    if a.is_line and b.is_line:
        return _edges(a, b, gap)
    base, other = (b, a) if a.is_line else (a, b)
    frame = panels[base.panel].frame
    if other.is_line:
        common = _common(regions.of(base), frame.to_plane(other.corners)[:, :2])
    else:
        shape = shapely.transform(
            regions.of(other),
            lambda p: frame.to_plane(panels[other.panel].frame.to_space(p))[:, :2],
        )
        common = regions.of(base).intersection(shape)
    if not _counts(common):
        return None
    height = float(base.normal @ frame.n) * (base.offset - float(base.normal @ frame.origin))
    points = frame.to_space(shapely.get_coordinates(common), height)
    return Contact(a, b, gap, points, float(common.area), common)


def _leaning(
    one: Sequence[PlaneFace], other: Sequence[PlaneFace], panels: Sequence[Panel], regions: _Regions
) -> list[Contact]:
    """Contacts at the rims of two panels that meet at an angle."""
    out = []
    for edges, faces, flip in ((one, other, False), (other, one, True)):
        for e, f, gap, lean, points, common in rims(edges, faces, panels, regions.of):
            if -BITE - DUST <= gap <= REACH + DUST and _counts(common):
                contact = Contact(e, f, gap, points, float(common.area), common, lean)
                out.append(contact.turned() if flip else contact)
    return out


def _counts(common: BaseGeometry) -> bool:
    if common.area < LEAST_AREA:
        return False
    x0, y0, x1, y1 = common.bounds
    return bool(min(x1 - x0, y1 - y0) > LEAST_WIDTH and any(p.area > LEAST_AREA / 2 for p in parts(common)))


def _common(wood: BaseGeometry, rectangle: Vector) -> BaseGeometry:
    """What of a rectangle, (4, 2), lies on the (prepared) wood. Most lie on it wholly, often with their rim
    on its rim: a hair less than the rectangle tells that quickly."""
    middle = rectangle.mean(axis=0)
    inner = Polygon(middle + (rectangle - middle) * (1.0 - HAIR))
    if shapely.contains_properly(wood, inner):
        return Polygon(rectangle)
    return wood.intersection(Polygon(rectangle)) if shapely.intersects(wood, inner) else Polygon()


def _edges(a: PlaneFace, b: PlaneFace, gap: float) -> Contact | None:
    e1 = a.along
    e2 = cross(a.normal, e1)
    axes = np.array((e1, e2)).T
    pa, pb = (a.corners - a.start) @ axes, (b.corners - a.start) @ axes
    c = abs(float(b.along @ e1))
    if min(c, 1.0 - c) < FACING:  # two rectangles with parallel sides
        low, high = np.maximum(pa.min(axis=0), pb.min(axis=0)), np.minimum(pa.max(axis=0), pb.max(axis=0))
        wide = high - low
        if wide.min() <= LEAST_WIDTH or wide.prod() < LEAST_AREA:
            return None
        corners = np.array((low, (high[0], low[1]), high, (low[0], high[1])))
        return Contact(a, b, gap, a.start + corners @ axes.T, float(wide.prod()))
    common = Polygon(pa).intersection(Polygon(pb))
    if not _counts(common):
        return None
    points = a.start + shapely.get_coordinates(common) @ axes.T
    return Contact(a, b, gap, points, float(common.area))
