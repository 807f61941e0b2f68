# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""A model somewhere else, mirrored, or with its panels in another order."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from flatwright.geometry.frame import Frame
from flatwright.geometry.outline import Outline
from flatwright.plan import Panel

if TYPE_CHECKING:  # the corpus imports this module
    from support.corpus.drawing import Model, Truth, Vector

Angles = tuple[float, float, float]
SHIFT = np.array([310.0, -45.0, 17.0])


def rotation(angles: Angles) -> Vector:
    """About z, then y, then x, radians."""
    a, b, c = angles
    rz = np.array([[math.cos(a), -math.sin(a), 0], [math.sin(a), math.cos(a), 0], [0, 0, 1]])
    ry = np.array([[math.cos(b), 0, math.sin(b)], [0, 1, 0], [-math.sin(b), 0, math.cos(b)]])
    rx = np.array([[1, 0, 0], [0, math.cos(c), -math.sin(c)], [0, math.sin(c), math.cos(c)]])
    return rz @ ry @ rx


def turned(model: Model, angles: Angles) -> Model:
    """The piece turned and moved as a whole."""
    m = rotation(angles)
    return replace(model, panels=turned_panels(model.panels, angles), joints=_placed(model.joints, m, SHIFT))


def turned_panels(panels: Sequence[Panel], angles: Angles) -> tuple[Panel, ...]:
    m = rotation(angles)
    return tuple(replace(p, frame=_frame(p.frame, m, SHIFT)) for p in panels)


def mirrored(model: Model) -> Model:
    """The piece as a mirror shows it, x to the other side."""
    return replace(
        model,
        panels=mirrored_panels(model.panels),
        joints=_placed(model.joints, np.diag([-1.0, 1.0, 1.0]), np.zeros(3)),
    )


def mirrored_panels(panels: Sequence[Panel]) -> tuple[Panel, ...]:
    """A board's u and n are mirrored with it, so its v runs backwards."""
    m = np.diag([-1.0, 1.0, 1.0])
    out = []
    for p in panels:
        f = p.frame
        frame = Frame(m @ f.origin, m @ f.u, -(m @ f.v), m @ f.n)
        out.append(
            replace(
                p,
                frame=frame,
                outline=_flipped(p.outline),
                holes=tuple(_flipped(h) for h in p.holes),
                pockets=tuple(replace(q, outline=_flipped(q.outline)) for q in p.pockets),
            )
        )
    return tuple(out)


def turned_over(model: Model) -> Model:
    """The same boards in the same places, every second one seen from its other face."""
    return replace(model, panels=tuple(other_face(p) if k % 2 else p for k, p in enumerate(model.panels)))


def other_way_round(p: Panel) -> Panel:
    """The same board in the same place, with its longer side read the other way."""
    x0, y0, x1, y1 = p.outline.bounds()
    f = p.frame
    frame = Frame(f.origin + (x0 + x1) * f.u + (y0 + y1) * f.v, -f.u, -f.v, f.n)

    def half_turn(o: Outline) -> Outline:
        return o.moved((x0 + x1, y0 + y1), math.pi)

    return replace(
        p,
        frame=frame,
        outline=half_turn(p.outline),
        holes=tuple(half_turn(h) for h in p.holes),
        pockets=tuple(replace(q, outline=half_turn(q.outline)) for q in p.pockets),
    )


def other_face(p: Panel) -> Panel:
    """The same board in the same place, seen from its other face."""
    f = p.frame
    frame = Frame(f.origin + p.thickness * f.n, f.u, -f.v, -f.n)
    return replace(
        p,
        frame=frame,
        outline=_flipped(p.outline),
        holes=tuple(_flipped(h) for h in p.holes),
        pockets=tuple(
            replace(q, outline=_flipped(q.outline), side="-n" if q.side == "+n" else "+n") for q in p.pockets
        ),
    )


def reordered(model: Model, order: Sequence[int]) -> Model:
    """The panels in another order."""
    return replace(model, panels=tuple(model.panels[k] for k in order))


def _flipped(o: Outline) -> Outline:
    return Outline(o.points * [1, -1], -o.bulges).reversed()


def _frame(f: Frame, m: Vector, shift: Vector) -> Frame:
    return Frame(m @ f.origin + shift, m @ f.u, m @ f.v, m @ f.n)


def _placed(joints: Sequence[Truth], m: Vector, shift: Vector) -> tuple[Truth, ...]:
    return tuple(
        replace(
            j,
            probes=tuple(replace(p, start=m @ p.start + shift, way=m @ p.way) for p in j.probes),
            insert=None if j.insert is None else m @ j.insert,
        )
        for j in joints
    )
