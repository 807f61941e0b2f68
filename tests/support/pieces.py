# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Panels for tests, made without a host: where a board lies, and shapes with notches."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from flatwright.geometry.frame import Frame
from flatwright.geometry.outline import Outline, polygon_outline, rectangle
from flatwright.plan import Panel, Pocket, Side


def board(
    name: str,
    outline: Outline | Sequence[Sequence[float]],
    *,
    origin: Sequence[float] = (0, 0, 0),
    u: Sequence[float] = (1, 0, 0),
    n: Sequence[float] = (0, 0, 1),
    t: float = 18.0,
    holes: Sequence[Outline] = (),
    pockets: Sequence[tuple[Outline, float, Side]] = (),
) -> Panel:
    """A panel; the outline is given in its plane, `origin` is where (0, 0) of its -n face lies."""
    shape = outline if isinstance(outline, Outline) else polygon_outline(outline)
    return Panel(
        name=name,
        source=name,
        frame=Frame.of(np.array(origin, float), u, n),
        nominal=t,
        thickness=t,
        outline=shape.ccw(),
        holes=tuple(h.cw() for h in holes),
        pockets=tuple(Pocket(o.cw(), d, s) for o, d, s in pockets),
    )


def slot(x0: float, y0: float, x1: float, y1: float) -> Outline:
    """A rectangular hole."""
    return rectangle(x0, y0, x1, y1).cw()


def through_tenon(clear: float = 0.0, t: float = 18.0) -> list[Panel]:
    """An upright side (in the yz plane, x from 0 to t) with a mortise, and a shelf whose tenon goes
    through it, tip flush with the far face. `clear` is drawn all round the tenon."""
    c = clear / 2
    # side's plane: u = y, v = z, n = x; the mortise lies about the tenon y 60..140, z 100..100+t
    side = board(
        "side", rectangle(0, 0, 200, 300), u=(0, 1, 0), n=(1, 0, 0), t=t,
        holes=[slot(60 - c, 100 - c, 140 + c, 100 + t + c)],
    )  # fmt: skip
    # shelf in the xy plane at z 100: shoulder at x = t, tenon to x = 0
    shelf = board(
        "shelf",
        [(0, 60), (t, 60), (t, 0), (400, 0), (400, 200), (t, 200), (t, 140), (0, 140)],
        origin=(0, 0, 100), t=t,
    )  # fmt: skip
    return [side, shelf]


def cross_lap(clear: float = 0.0, t: float = 18.0) -> list[Panel]:
    """Two upright boards crossing at the middle, each slotted to half its height."""
    c = clear / 2
    left, right = 150 - t / 2 - c, 150 + t / 2 + c
    a = board(
        "long",
        [(0, 0), (300, 0), (300, 100), (right, 100), (right, 50 - c), (left, 50 - c), (left, 100), (0, 100)],
        origin=(0, t / 2, 0), u=(1, 0, 0), n=(0, -1, 0), t=t,
    )  # fmt: skip
    b = board(
        "short",
        [(0, 0), (left, 0), (left, 50 + c), (right, 50 + c), (right, 0), (300, 0), (300, 100), (0, 100)],
        origin=(150 - t / 2, -150, 0), u=(0, 1, 0), n=(1, 0, 0), t=t,
    )  # fmt: skip
    return [a, b]


def housing(clear: float = 0.0, t: float = 18.0, depth: float = 6.0) -> list[Panel]:
    """A shelf end let into a blind pocket of a side."""
    c = clear / 2
    side = board(
        "side", rectangle(0, 0, 200, 300), u=(0, 1, 0), n=(1, 0, 0), t=t,
        pockets=[(rectangle(20 - c, 100 - c, 180 + c, 100 + t + c), depth, "+n")],
    )  # fmt: skip
    shelf = board("shelf", rectangle(t - depth, 20, 400, 180), origin=(0, 0, 100), t=t)
    return [side, shelf]


def groove(clear: float = 0.0, t: float = 18.0, depth: float = 6.0) -> list[Panel]:
    """A shelf end let into a pocket that runs out of the side on both edges."""
    c = clear / 2
    side = board(
        "side", rectangle(0, 0, 200, 300), u=(0, 1, 0), n=(1, 0, 0), t=t,
        pockets=[(rectangle(0, 100 - c, 200, 100 + t + c), depth, "+n")],
    )  # fmt: skip
    shelf = board("shelf", rectangle(t - depth, 0, 400, 200), origin=(0, 0, 100), t=t)
    return [side, shelf]


def open_slot(clear: float = 0.0, t: float = 18.0) -> list[Panel]:
    """A rail let into a notch in the upper edge of an upright board, crossing it."""
    c = clear / 2
    left, right = 100 - t / 2 - c, 100 + t / 2 + c
    notch = [(right, 300), (right, 220 - c), (left, 220 - c), (left, 300)]
    upright = board(
        "upright",
        [(0, 0), (200, 0), (200, 300), *notch, (0, 300)],
        origin=(0, t / 2, 0), u=(1, 0, 0), n=(0, -1, 0), t=t,
    )  # fmt: skip
    rail = board(
        "rail", rectangle(0, 0, 300, 80), origin=(100 - t / 2, -150, 220), u=(0, 1, 0), n=(1, 0, 0), t=t
    )
    return [upright, rail]


def finger_corner(clear: float = 0.0, t: float = 18.0, fingers: int = 5, width: float = 20.0) -> list[Panel]:
    """Two upright boards meeting at a corner, fingers along z."""
    c = clear / 4
    height = fingers * width
    # a lies in the xz plane at y 0..t, its fingers at even steps reach x = 0
    pts_a: list[tuple[float, float]] = []
    pts_b: list[tuple[float, float]] = []
    for k in range(fingers):
        z0, z1 = k * width + (c if k else 0), (k + 1) * width - (c if k < fingers - 1 else 0)
        w0, w1 = k * width - (c if k else 0), (k + 1) * width + (c if k < fingers - 1 else 0)
        if k % 2 == 0:
            pts_a += [(0, z0), (0, z1)]
            pts_b += [(t, w0), (t, w1)]
        else:
            pts_a += [(t, w0), (t, w1)]
            pts_b += [(0, z0), (0, z1)]
    a = board(
        "front", [*pts_a, (200, height), (200, 0)][::-1], origin=(0, t, 0), u=(1, 0, 0), n=(0, -1, 0), t=t
    )
    # b lies in the yz plane at x 0..t
    b = board(
        "left", [*pts_b, (150, height), (150, 0)][::-1], origin=(0, 0, 0), u=(0, 1, 0), n=(1, 0, 0), t=t
    )
    return [a, b]
