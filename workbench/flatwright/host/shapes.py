# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Panels as solids of the kernel: one face with all its holes, extruded once; only pockets are cut.

That is tens of times faster than cutting slot after slot (tests/benchmarks/bench_solids.py).
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import Any

import FreeCAD as App
import Part

from flatwright.geometry.frame import Frame
from flatwright.geometry.outline import Outline
from flatwright.geometry.polygon import crossing
from flatwright.plan import Panel, Placement, Pocket, Tab

_SHORTEST = 1e-6  # mm: the kernel makes no edge below its tolerance of 1e-7
_MARK = 0.6  # mm: thickness of what marks a tab on the upper side
_CLEAR = 1.0  # mm that a pocket's tool stands out of the face, so that no two faces coincide


def outline_wire(outline: Outline, z: float = 0.0) -> Any:
    """The closed wire of an outline at height z, arcs exact."""
    edges = []
    for s in outline.segments():
        if s.chord < _SHORTEST:
            continue
        p, q = App.Vector(*s.p, z), App.Vector(*s.q, z)
        if s.is_line:
            edges.append(Part.LineSegment(p, q).toShape())
        else:
            edges.append(Part.Arc(p, App.Vector(*s.at(0.5), z), q).toShape())
    return Part.Wire(edges)


def outline_face(outer: Outline, holes: Sequence[Outline] = (), z: float = 0.0) -> Any:
    """The flat face inside `outer` and outside the holes.

    Raises ValueError if they make no face: a loop that crosses itself or another one.
    """
    place = crossing(outer, holes)  # the kernel's own check takes many times as long
    if place is not None:
        raise ValueError(
            f"the outline or one of its holes crosses itself or another at ({place[0]:.1f}, {place[1]:.1f})"
        )
    loops = [outer.ccw(), *(h.cw() for h in holes)]  # the kernel takes holes only if they wind the other way
    try:
        face = Part.Face([outline_wire(o, z) for o in loops])
    except Part.OCCError as reason:
        raise ValueError(f"the kernel makes no face of the outline ({reason})") from reason
    if face.isNull():
        raise ValueError("the kernel makes no face of the outline")
    return face


def flat_solid(panel: Panel) -> Any:
    """The panel's solid in its own coordinates: the -n face at z 0, +n up. Raises ValueError as above."""
    solid = _extruded(outline_face(panel.outline, panel.holes), 0.0, panel.thickness)
    tools = [_pocket_tool(p, panel.thickness) for p in panel.pockets]
    if not tools:
        return solid
    cut = solid.cut(tools)
    return cut.Solids[0] if len(cut.Solids) == 1 else cut


def panel_solid(panel: Panel) -> Any:
    """The panel's solid at its assembled place. Equal panels share one geometry, each in its own place."""
    solid = _made(_Form(panel))
    if solid.ShapeType != "Solid":  # a pocket has cut it in pieces
        return _placed(solid.copy(), panel)
    return _placed(solid.Solids[0], panel)


def _placed(solid: Any, panel: Panel) -> Any:
    solid.Placement = frame_placement(panel.frame)
    return solid


class _Form:
    """A panel's form: equal to that of another panel if every number is the same."""

    def __init__(self, panel: Panel) -> None:
        self.panel = panel
        numbers = [x for o in panel.loops() for x in (o.points, o.bulges)]
        self.key = (
            panel.thickness,
            tuple(len(o) for o in panel.loops()),
            tuple((p.depth, p.side) for p in panel.pockets),
            b"".join(x.tobytes() for x in numbers),
        )

    def __hash__(self) -> int:
        return hash(self.key)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Form) and self.key == other.key


@lru_cache(maxsize=64)
def _made(form: _Form) -> Any:
    return flat_solid(form.panel)


def laid_placement(placement: Placement, thickness: float, underside: float = 0.0) -> Any:
    """Takes a panel's own coordinates to those of its sheet, where its underside lies at that z."""
    up = App.Placement(App.Vector(0, 0, 0), App.Rotation())
    if placement.flipped:  # turned over about v: u runs back and -n is up
        up = App.Placement(App.Vector(0, 0, thickness), App.Rotation(App.Vector(0, 1, 0), 180))
    spin = App.Rotation(App.Vector(0, 0, 1), placement.angle)
    lie = App.Placement(App.Vector(placement.x, placement.y, underside), spin)
    return lie.multiply(up)


def frame_placement(frame: Frame) -> Any:
    """The host's placement that takes the frame's coordinates to the assembly's."""
    u, v, n, o = frame.u, frame.v, frame.n, frame.origin
    rows = [(float(u[k]), float(v[k]), float(n[k]), float(o[k])) for k in range(3)]
    return App.Placement(App.Matrix(*rows[0], *rows[1], *rows[2], 0.0, 0.0, 0.0, 1.0))


def _extruded(face: Any, bottom: float, height: float) -> Any:
    if bottom:
        face.translate(App.Vector(0, 0, bottom))
    return face.extrude(App.Vector(0, 0, height))


def _pocket_tool(pocket: Pocket, thickness: float) -> Any:
    face = outline_face(pocket.outline)
    bottom = thickness - pocket.depth if pocket.side == "+n" else -_CLEAR
    return _extruded(face, bottom, pocket.depth + _CLEAR)


def tab_solids(tab: Tab, kerf: float, underside: float, top: float) -> Any:
    """A tab as a box on both sides of its part's edge, as wide as the kerf on each; and a mark over it on the
    board's upper side, since the job's stock hides what is inside the board."""
    corner = App.Vector(-tab.length / 2, -kerf, underside)
    box = Part.makeBox(tab.length, 2 * kerf, tab.height, corner)
    mark = Part.makeBox(tab.length, 2 * kerf, _MARK, App.Vector(corner.x, corner.y, top))
    both = Part.makeCompound([box, mark])
    both.Placement = App.Placement(App.Vector(tab.x, tab.y, 0), App.Rotation(App.Vector(0, 0, 1), tab.angle))
    return both
