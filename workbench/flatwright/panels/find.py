# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""From solids to panels: what is a flat board, in which frame, with which loops; what is not, and why."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from flatwright.findings import Finding, declare, finding
from flatwright.geometry.frame import Frame, canonical_sign
from flatwright.geometry.outline import Outline, is_circle
from flatwright.geometry.polygon import polygon, region
from flatwright.panels.loops import LoopError, plane_segments, united
from flatwright.panels.solid import Face, Solid, Vector
from flatwright.plan import Panel, Pocket, Side

declare(
    "warning",
    panel__left_out="a solid is not a flat panel that a router can cut; it is left out",
    panel__invalid="the kernel finds the solid unusable; it is left out",
)

SQUARE = 1e-4  # sine of the angle at which a face counts as square or parallel
LEVEL = 1e-3  # mm: faces within this height are one level


class NotAPanel(ValueError):
    """Why a solid is not a panel, in the user's words."""


def find_panels(solids: Iterable[Solid]) -> tuple[list[Panel], list[Finding]]:
    """Panels in the solids' order, and a finding with the reason for every other solid."""
    panels: list[Panel] = []
    findings: list[Finding] = []
    for solid in solids:
        if solid.problem:
            findings.append(
                finding(
                    "panel.invalid",
                    solid.source,
                    f"{solid.label} is left out: {solid.problem}.",
                    "Repair the solid (the host's Check Geometry shows where) or hide it.",
                )
            )
            continue
        try:
            panels.append(panel_of(solid))
        except NotAPanel as reason:
            findings.append(
                finding(
                    "panel.left-out",
                    solid.source,
                    f"{solid.label} is left out: {reason}.",
                    "Draw it as a flat board with square edges, or hide it if it is not cut from board.",
                )
            )
    return panels, findings


def panel_of(solid: Solid) -> Panel:
    """The panel that a solid is; raises NotAPanel with the reason."""
    normal = canonical_sign(_broad_direction(solid.faces))
    up, down = _levels(solid.faces, normal)
    top, bottom = max(up), min(down)
    thickness = top - bottom
    if thickness < 0.1:
        raise NotAPanel("it has no thickness")
    _check_walls(solid.faces, normal)
    x = _some_axis(normal)
    y = np.cross(normal, x)
    origin = normal * bottom
    upper = _regions(solid, up, origin, x, y)
    lower = _regions(solid, down, origin, x, y)
    silhouette = _silhouette(upper, lower)
    outer, holes = _outer_and_holes(silhouette)
    frame, outer, holes, turn = _own_frame(outer, holes, origin, normal, x, y)
    x0, y0, x1, y1 = outer.bounds()
    if thickness > min(x1 - x0, y1 - y0) + LEVEL:
        raise NotAPanel("it is thicker than it is wide, so it is no flat board")
    pockets = [
        *_pockets(upper, top, "+n", holes, turn),
        *_pockets(lower, bottom, "-n", holes, turn),
    ]
    return Panel(
        name=solid.label,
        source=solid.source,
        frame=frame,
        nominal=round(thickness, 6),
        thickness=round(thickness, 6),
        outline=outer,
        holes=tuple(sorted(holes, key=_place)),
        pockets=tuple(sorted(pockets, key=lambda p: (p.side, _place(p.outline)))),
    )


def _broad_direction(faces: Sequence[Face]) -> Vector:
    """The direction with the largest area of plane faces."""
    axes: list[tuple[Vector, float]] = []
    for f in faces:
        if f.kind != "plane":
            continue
        for k, (axis, area) in enumerate(axes):
            if abs(float(axis @ f.direction)) > 1.0 - SQUARE * SQUARE / 2:
                axes[k] = (axis, area + f.area)
                break
        else:
            axes.append((canonical_sign(f.direction), f.area))
    if not axes:
        raise NotAPanel("it has no flat faces")
    # equal areas (a cube): the direction nearest to the assembly's z, then y, then x
    return max(axes, key=lambda a: (round(a[1], 3), *(round(abs(float(a[0][k])), 6) for k in (2, 1, 0))))[0]


def _levels(faces: Sequence[Face], normal: Vector) -> tuple[dict[float, list[int]], dict[float, list[int]]]:
    """Heights of the faces that look along the normal and against it, with their indices."""
    up: dict[float, list[int]] = {}
    down: dict[float, list[int]] = {}
    for i, f in enumerate(faces):
        if f.kind != "plane":
            continue
        c = float(f.direction @ normal)
        if abs(c) < 0.5 or float(np.linalg.norm(f.direction - math.copysign(1.0, c) * normal)) > SQUARE:
            continue
        height = float(f.point @ normal)
        side = up if c > 0 else down
        level = next((h for h in side if abs(h - height) < LEVEL), height)
        side.setdefault(level, []).append(i)
    if not up or not down:
        raise NotAPanel("it has no two parallel broad faces")
    return up, down


def _check_walls(faces: Sequence[Face], normal: Vector) -> None:
    for f in faces:
        c = abs(float(f.direction @ normal))
        if f.kind == "plane":
            if c > SQUARE and c < 1.0 - SQUARE * SQUARE:
                angle = math.degrees(math.acos(min(1.0, c)))
                raise NotAPanel(
                    f"a face stands at {angle:.1f}° to its broad faces (a bevel, mitre or taper), "
                    "which an upright bit cannot cut"
                )
        elif f.kind in ("cylinder", "extrusion"):
            if c < 1.0 - SQUARE:
                if c < SQUARE:
                    raise NotAPanel(
                        "it has a hole in its edge or a rounded edge, which cannot be cut from the face"
                    )
                raise NotAPanel("it has a slanted round face, which an upright bit cannot cut")
        else:
            raise NotAPanel("it has a face that is neither flat nor upright")


def _some_axis(normal: Vector) -> Vector:
    """Any direction square to the normal, by a fixed rule."""
    k = int(np.argmin([round(abs(float(c)), 6) for c in normal]))
    e = np.zeros(3)
    e[k] = 1.0
    e -= normal * float(e @ normal)
    return np.asarray(e / np.linalg.norm(e), dtype=np.float64)


@dataclass(frozen=True, slots=True, eq=False)
class Regions:
    """What one side shows: per height the loops of its faces' union, and the loops of all of them."""

    levels: dict[float, list[Outline]]
    whole: list[Outline]


def _regions(solid: Solid, levels: dict[float, list[int]], origin: Vector, x: Vector, y: Vector) -> Regions:
    faces = {
        level: [plane_segments(solid.loops(i), origin, x, y) for i in indices]
        for level, indices in levels.items()
    }
    several = len(levels) > 1
    try:
        loops = {level: united(found, split=several) for level, found in faces.items()}
        if not several:
            return Regions(loops, next(iter(loops.values())))
        return Regions(loops, united([f for found in faces.values() for f in found], split=True))
    except LoopError as e:
        raise NotAPanel(f"its faces do not close ({e})") from e


def _silhouette(upper: Regions, lower: Regions) -> list[Outline]:
    """The loops of the whole part seen along the normal, from the simpler side."""
    seen = [sum(o.area() for o in side.whole) for side in (upper, lower)]
    if abs(seen[0] - seen[1]) > 0.5:
        raise NotAPanel("its two faces do not lie over each other (a groove in its edge or an undercut)")
    for side in (upper, lower):
        _check_no_overlap(side)
    return min((upper, lower), key=lambda side: len(side.levels)).whole


def _check_no_overlap(side: Regions) -> None:
    """Faces that look the same way must not lie over each other."""
    floors = [
        region(o, [h for h in loops if h.area() < 0])
        for loops in side.levels.values()
        for o in loops
        if o.area() > 0
    ]
    for i, a in enumerate(floors):
        for b in floors[i + 1 :]:
            if a.intersection(b).area > 0.5:
                raise NotAPanel(
                    "it has a groove in its edge or an undercut, which cannot be cut from the face"
                )


def _outer_and_holes(loops: list[Outline]) -> tuple[Outline, list[Outline]]:
    outers = [o for o in loops if o.area() > 0]
    if len(outers) != 1:
        raise NotAPanel(f"it falls into {len(outers)} pieces seen from its face")
    return outers[0], [o for o in loops if o.area() < 0]


def _own_frame(
    outer: Outline, holes: list[Outline], origin: Vector, normal: Vector, x: Vector, y: Vector
) -> tuple[Frame, Outline, list[Outline], tuple[float, tuple[float, float]]]:
    """The panel's frame by rule, and the loops in it.

    u runs along the longer side of the box about the outline whose sides follow the direction
    with the greatest length of straight edges; its z, else y, else x is positive. The origin
    is that box's corner with the least u and v, on the -n face.
    """
    angle = _edge_direction(outer, x, y)
    x0, y0, x1, y1 = outer.moved(angle=-angle).bounds()
    if round(y1 - y0, 3) > round(x1 - x0, 3):
        angle += math.pi / 2
    u = canonical_sign(math.cos(angle) * x + math.sin(angle) * y)
    angle = math.atan2(float(u @ y), float(u @ x))
    x0, y0, _, _ = outer.moved(angle=-angle).bounds()
    shift = (-x0, -y0)
    v = np.cross(normal, u)
    frame = Frame(origin + x0 * u + y0 * v, u, v, normal)
    return frame, _settled(outer, angle, shift), [_settled(h, angle, shift) for h in holes], (angle, shift)


def _edge_direction(outer: Outline, x: Vector, y: Vector) -> float:
    """Angle of the direction with most straight edge, radians; ties go to the greater z, y, x."""
    totals: list[list[float]] = []  # angle in [0, π), length
    for s in outer.segments():
        if not s.is_line:
            continue
        dx, dy = s.direction(0.0)
        a = math.atan2(dy, dx) % math.pi
        for t in totals:
            gap = abs(a - t[0])
            if min(gap, math.pi - gap) < 1e-4:
                t[1] += s.length
                break
        else:
            totals.append([a, s.length])
    if not totals:
        return 0.0

    def rank(t: list[float]) -> tuple[float, ...]:
        d = canonical_sign(math.cos(t[0]) * x + math.sin(t[0]) * y)
        return (round(t[1], 3), *(round(abs(float(d[k])), 6) for k in (2, 1, 0)))

    return max(totals, key=rank)[0]


def _settled(outline: Outline, angle: float, shift: tuple[float, float]) -> Outline:
    """The loop in the panel's frame, free of float dust, starting at its lowest left point."""
    moved = outline.moved(shift, -angle)
    points = np.round(moved.points, 7) + 0.0
    bulges = np.where(np.abs(moved.bulges) < 1e-9, 0.0, np.round(moved.bulges, 9))
    out = Outline(points, bulges)
    round_one = is_circle(out)
    if round_one is not None:
        c, r = round_one
        sign = 1.0 if outline.area() > 0 else -1.0
        return Outline(np.array([[c[0] - r, c[1]], [c[0] + r, c[1]]]), np.array([sign, sign]))
    first = min(range(len(out)), key=lambda i: (round(points[i, 1], 3), round(points[i, 0], 3)))
    return out.started_at(first)


def _pockets(
    regions: Regions, face: float, side: Side, holes: list[Outline], turn: tuple[float, tuple[float, float]]
) -> list[Pocket]:
    angle, shift = turn
    out: list[Pocket] = []
    for level, loops in regions.levels.items():
        depth = abs(level - face)
        if depth < LEVEL:
            continue
        inner = [_settled(o, angle, shift) for o in loops if o.area() < 0]
        outer = [_settled(o, angle, shift) for o in loops if o.area() > 0]
        for o in inner:
            if not any(_alike(o, h) for h in holes) and not _is_deeper(o, regions, level, turn, face):
                raise NotAPanel("a pocket leaves an island standing, which is not cut yet")
        out.extend(Pocket(o.reversed(), round(depth, 6), side) for o in outer)
    return out


def _is_deeper(
    loop: Outline, regions: Regions, level: float, turn: tuple[float, tuple[float, float]], face: float
) -> bool:
    """True when a floor's inner loop bounds deeper floors or holes, not standing wood."""
    inside = polygon(loop.ccw())
    for other, loops in regions.levels.items():
        if abs(other - face) >= abs(level - face) - LEVEL:
            continue
        for o in loops:
            if o.area() > 0 and inside.buffer(-0.01).intersects(polygon(_settled(o, *turn))):
                return False
    return True


def _alike(a: Outline, b: Outline) -> bool:
    return abs(abs(a.area()) - abs(b.area())) < 0.01 and np.allclose(a.bounds(), b.bounds(), atol=0.001)


def _place(outline: Outline) -> tuple[float, ...]:
    x0, y0, x1, y1 = outline.bounds()
    return (round(y0, 3), round(x0, 3), round(y1, 3), round(x1, 3))
