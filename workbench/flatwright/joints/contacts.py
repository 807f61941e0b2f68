# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Contacts: plane faces of two panels that face each other within the largest drawn clearance."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from flatwright.geometry.frame import Frame, Vector
from flatwright.joints.faces import PlaneFace, face_region, plane_faces
from flatwright.joints.meeting import Meeting, counts, edges_meet, lie_on, on_plane
from flatwright.joints.oblique import leaning, rims
from flatwright.plan import Panel

REACH = 1.0  # mm: largest drawn clearance that still counts as contact
BITE = 0.6  # mm: how far a drawing may let faces overlap (slots drawn to the measured board)
FACING = 1e-6  # 1 - cosine within which two normals are opposite
DUST = 1e-6  # mm of float noise


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
        d: list[float] = (self.points @ direction).tolist()
        return min(d), max(d)

    @property
    def centre(self) -> Vector:
        """The middle of the box about the common region, (3,)."""
        return np.array([(min(x) + max(x)) / 2 for x in self.points.T.tolist()])


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
    near = near_pairs(panels)
    facing = [
        (faces[i][a], faces[j][b]) for i, j in near for a, b in tables[i].facing(tables[j])
    ]  # fmt: skip
    found: dict[tuple[int, int], list[Contact]] = {pair: [] for pair in near}
    for (a, b), m in zip(facing, _meetings(facing, regions), strict=True):
        if m is not None:
            contact = Contact(a, b, -(a.offset + b.offset), m.points, m.area, m.region)
            found[a.panel, b.panel].append(contact)
    for i, j in near:
        if leaning(panels[i], panels[j]):
            found[i, j] += _leaning(faces[i], faces[j], panels, regions)
    return Scene(tuple(panels), faces, {pair: tuple(some) for pair, some in found.items() if some})


def near_pairs(panels: Sequence[Panel], margin: float = REACH + DUST) -> list[tuple[int, int]]:
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
            near &= self.low[:, None, k] <= other.high[None, :, k] + REACH + DUST
            near &= other.low[None, :, k] <= self.high[:, None, k] + REACH + DUST
        return [(int(a), int(b)) for a, b in np.argwhere(near)]


class _Regions:
    """Broad faces and floors as prepared polygons, made when first asked for."""

    def __init__(self, panels: Sequence[Panel]) -> None:
        self.panels = panels
        self.known: dict[tuple[int, str, int, str], BaseGeometry] = {}

    def frame(self, face: PlaneFace) -> Frame:
        """The frame of the face's panel."""
        return self.panels[face.panel].frame

    def of(self, face: PlaneFace) -> BaseGeometry:
        plain = face.kind == "broad" and not self.panels[face.panel].pockets
        key = (face.panel, face.kind, face.loop, "" if plain else face.side)
        if key not in self.known:
            shape = face_region(self.panels[face.panel], face)
            shapely.prepare(shape)
            self.known[key] = shape
        return self.known[key]


def _meetings(facing: Sequence[tuple[PlaneFace, PlaneFace]], regions: _Regions) -> list[Meeting | None]:
    """What the two faces of each pair have in common."""
    edges = [k for k, (a, b) in enumerate(facing) if a.is_line and b.is_line]
    flats = [k for k, (a, b) in enumerate(facing) if not a.is_line and not b.is_line]
    mixed = [k for k, (a, b) in enumerate(facing) if a.is_line != b.is_line]
    out: list[Meeting | None] = [None] * len(facing)
    for k, m in zip(edges, edges_meet([facing[k] for k in edges]), strict=True):
        out[k] = m
    standing = [(b, a) if a.is_line else (a, b) for a, b in (facing[k] for k in mixed)]
    for k, m in zip(mixed, lie_on(standing, regions.frame, regions.of), strict=True):
        out[k] = m
    for k in flats:
        out[k] = _flats_meet(*facing[k], regions)
    return out


def _flats_meet(a: PlaneFace, b: PlaneFace, regions: _Regions) -> Meeting | None:
    frame, other = regions.frame(a), regions.frame(b)
    shape = shapely.transform(regions.of(b), lambda p: frame.to_plane(other.to_space(p))[:, :2])
    common = regions.of(a).intersection(shape)
    return on_plane(a, frame, common) if counts(common) else None


def _leaning(
    one: Sequence[PlaneFace], other: Sequence[PlaneFace], panels: Sequence[Panel], regions: _Regions
) -> list[Contact]:
    """Contacts at the rims of two panels that meet at an angle."""
    out = []
    for edges, faces, flip in ((one, other, False), (other, one, True)):
        for e, f, gap, lean, points, common in rims(edges, faces, panels, regions.of):
            if -BITE - DUST <= gap <= REACH + DUST and counts(common):
                contact = Contact(e, f, gap, points, float(common.area), common, lean)
                out.append(contact.turned() if flip else contact)
    return out
