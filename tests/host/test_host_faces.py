# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Faces and their wires as values: kinds, normals that look outward, closed loops, exact curves."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from flatwright.panels.solid import Curve, Face
from support.documents import turned


def faces_of(shape: Any) -> list[Face]:
    from flatwright.host.faces import read_face

    return [read_face(f) for f in shape.Faces]


def loops_of(face: Any) -> list[list[Curve]]:
    from flatwright.host.curves import read_loops

    return read_loops(face)


def solid(app: Any, kind: str) -> Any:
    """Shapes a panel model brings: a plate with a slot and a hole, rounded, turned in space, mirrored."""
    import Part

    plate = Part.makeBox(200, 100, 18)
    slot = Part.makeBox(60, 18, 30, app.Vector(40, 30, -5))
    plate = plate.cut([slot, Part.makeCylinder(8, 30, app.Vector(150, 50, -5))])
    if kind == "rounded":
        upright = [e for e in plate.Edges if abs(e.BoundBox.ZLength - 18) < 1e-6]
        plate = plate.makeFillet(12, [e for e in upright if e.BoundBox.XMax < 1 or e.BoundBox.XMin > 199])
    if kind == "turned":
        plate.Placement = turned((1, 2, 3), 40, (5, 6, 7))
    if kind == "mirrored":
        plate = plate.mirror(app.Vector(0, 0, 0), app.Vector(1, 1, 0))
    return plate


def area_of(loops: list[list[Curve]], normal: Any) -> float:
    """Area to the left of the loops seen against the normal; arcs count exactly."""
    total = 0.0
    for loop in loops:
        for c in loop:
            total += 0.5 * float(np.cross(c.start, c.end) @ normal)
            if c.mid is not None:
                chord = float(np.linalg.norm(c.end - c.start))
                rise = float(np.linalg.norm(c.mid - (c.start + c.end) / 2))
                r = (chord**2 / 4 + rise**2) / (2 * rise)
                sweep = 4 * math.atan2(2 * rise, chord)
                side = math.copysign(1.0, float(np.cross(c.end - c.start, c.mid - c.start) @ normal))
                total -= side * r * r / 2 * (sweep - math.sin(sweep))
    return total


@pytest.mark.parametrize("kind", ["plain", "rounded", "turned", "mirrored"])
def test_loops_are_closed_and_enclose_the_face_with_the_wood_on_the_left(app: Any, kind: str) -> None:
    shape = solid(app, kind)
    for face, raw in zip(faces_of(shape), shape.Faces, strict=True):
        loops = loops_of(raw)
        for loop in loops:
            for c, following in zip(loop, loop[1:] + loop[:1], strict=True):
                assert np.allclose(c.end, following.start, atol=1e-6)
        if face.kind == "plane":
            assert area_of(loops, face.direction) == pytest.approx(raw.Area, rel=1e-9)


@pytest.mark.parametrize("kind", ["plain", "rounded", "turned", "mirrored"])
def test_normals_of_planes_look_outward(app: Any, kind: str) -> None:
    shape = solid(app, kind)
    for face, raw in zip(faces_of(shape), shape.Faces, strict=True):
        if face.kind == "plane":
            centre = raw.valueAt(*_inner_parameters(raw))
            just_in = centre - app.Vector(*face.direction) * 0.1
            assert shape.isInside(just_in, 1e-6, False), face


def _inner_parameters(raw: Any) -> tuple[float, float]:
    """Surface parameters of a point that is well within a face."""
    u0, u1, v0, v1 = raw.ParameterRange
    for a in (0.5, 0.1, 0.9, 0.3, 0.7):
        for b in (0.5, 0.1, 0.9, 0.3, 0.7):
            u, v = u0 + a * (u1 - u0), v0 + b * (v1 - v0)
            if raw.isPartOfDomain(u, v):
                return u, v
    raise AssertionError("no point found within the face")


def test_a_hole_is_a_cylinder_about_its_axis_and_two_half_circles(app: Any) -> None:
    shape = solid(app, "turned")
    axis = app.Vector(*(turned((1, 2, 3), 40).multVec(app.Vector(0, 0, 1))))
    holes = [f for f in faces_of(shape) if f.kind == "cylinder"]
    assert len(holes) == 1
    assert abs(holes[0].direction @ np.array([*axis])) == pytest.approx(1.0)
    top = max(shape.Faces, key=lambda f: f.Area)
    rings = [loop for loop in loops_of(top) if any(c.kind == "arc" for c in loop)]
    assert [[c.kind for c in ring] for ring in rings] == [["arc", "arc"]]
    centre = (rings[0][0].start + rings[0][0].end) / 2
    for c in rings[0]:
        assert np.linalg.norm(c.mid - centre) == pytest.approx(8.0)


def splined(app: Any, points: list[tuple[float, float]], closed: bool = False) -> Any:
    """A plate whose one side is a spline through points."""
    import Part

    spline = Part.BSplineCurve()
    at = [app.Vector(*p, 0) for p in points]
    spline.interpolate(at, PeriodicFlag=closed)
    edges = [spline.toShape()]
    if not closed:
        edges += [
            Part.LineSegment(at[-1], app.Vector(points[-1][0], 90, 0)).toShape(),
            Part.LineSegment(app.Vector(points[-1][0], 90, 0), app.Vector(points[0][0], 90, 0)).toShape(),
            Part.LineSegment(app.Vector(points[0][0], 90, 0), at[0]).toShape(),
        ]
    return Part.Face(Part.Wire(edges)).extrude(app.Vector(0, 0, 18))


def test_a_curved_front_is_an_extrusion_and_its_edge_is_sampled_densely(app: Any) -> None:
    shape = splined(app, [(0, 0), (60, 15), (120, -10), (200, 0)])
    kinds = sorted(f.kind for f in faces_of(shape))
    assert kinds == ["extrusion"] + ["plane"] * 5
    front = next(f for f in faces_of(shape) if f.kind == "extrusion")
    assert np.allclose(front.direction, [0, 0, 1], atol=1e-9)
    flat = next(f for f in shape.Faces if len(f.Wires[0].Edges) == 4 and abs(f.normalAt(0, 0).z) > 0.9)
    free = [c for loop in loops_of(flat) for c in loop if c.kind == "other"]
    assert len(free) == 1
    c = free[0]
    middles = (c.samples[:-1] + c.samples[1:]) / 2
    edge = next(e for e in flat.Edges if e.Length > 200.5 and e.BoundBox.YMin < -5)
    gaps = [edge.distToShape(_vertex(app, m))[0] for m in middles]
    assert max(gaps) <= 0.0051
    assert np.allclose(np.linalg.norm(c.tangents, axis=1), 1.0)
    steps = np.diff(c.samples, axis=0)
    assert all(float(t @ s) > 0 for t, s in zip(c.tangents[:-1], steps, strict=True))


def _vertex(app: Any, p: Any) -> Any:
    import Part

    return Part.Vertex(app.Vector(*p))


def test_a_closed_spline_is_cut_in_two(app: Any) -> None:
    shape = splined(app, [(0, 0), (60, -20), (100, 30), (40, 60)], closed=True)
    flat = next(f for f in shape.Faces if abs(f.normalAt(0, 0).z) > 0.99)
    (loop,) = loops_of(flat)
    assert [c.kind for c in loop] == ["other", "other"]
    assert np.allclose(loop[1].end, loop[0].start)


def test_splines_that_are_lines_and_arcs_are_read_as_such(app: Any) -> None:
    """Many programs write every edge as a spline."""
    drawn = solid(app, "rounded")
    shape = drawn.toNurbs()
    faces = faces_of(shape)
    assert {f.kind for f in faces} == {"plane", "extrusion"}
    kinds = {c.kind for raw in shape.Faces for loop in loops_of(raw) for c in loop}
    assert kinds == {"line", "arc"}
    # compared with the drawn faces: the kernel's own area of a trimmed spline face is 0.05 % off
    for face, raw, exact in zip(faces, shape.Faces, drawn.Faces, strict=True):
        if face.kind == "plane":
            assert area_of(loops_of(raw), face.direction) == pytest.approx(exact.Area, rel=1e-9)


def test_a_kinked_spline_is_cut_at_its_kinks(app: Any) -> None:
    import Part

    zigzag = Part.BSplineCurve()
    zigzag.buildFromPoles([app.Vector(*p, 0) for p in ((0, 0), (50, 0), (50, 30), (90, 30))], False, 1)
    from flatwright.host.curves import read_edge

    curves = read_edge(zigzag.toShape())
    assert [c.kind for c in curves] == ["line"] * 3
    assert [tuple(c.end[:2]) for c in curves] == [(50, 0), (50, 30), (90, 30)]


def test_surfaces_that_are_upright_nowhere_are_other(app: Any) -> None:
    import Part

    assert [f.kind for f in faces_of(Part.makeSphere(20))] == ["other"]
    assert sorted(f.kind for f in faces_of(Part.makeCone(20, 10, 30))) == ["other", "plane", "plane"]
