# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""A small plan with everything that the document has to show."""

from __future__ import annotations

import math

from flatwright.geometry.frame import Frame
from flatwright.geometry.outline import Outline, circle, rectangle
from flatwright.plan import Panel, Placement, Plan, Pocket, Screw, Sheet

THICKNESS = 17.7


def bay(x0: float, y0: float, x1: float, y1: float, r: float) -> Outline:
    """A counter-clockwise rectangle with its corners at x1 rounded."""
    b = math.tan(math.pi / 8)
    points = [(x0, y0), (x1 - r, y0), (x1, y0 + r), (x1, y1 - r), (x1 - r, y1), (x0, y1)]
    return Outline(points, [0, b, 0, b, 0, 0])


def shelf() -> Panel:
    """Rounded at one end, with a slot, a hole and a pocket in each face; turned in space."""
    return Panel(
        name="Shelf",
        source="Trolley/Shelf",
        frame=Frame.of((100, 200, 300), (0.6, 0.8, 0.0), (0.48, -0.36, 0.8)),
        nominal=18.0,
        thickness=THICKNESS,
        outline=bay(0, 0, 400, 200, 30),
        holes=(rectangle(50, 50, 68, 150).cw(), circle((300, 100), 12).cw()),
        pockets=(
            Pocket(rectangle(100, 20, 118, 180).cw(), 6.0, "+n"),
            Pocket(circle((200, 100), 17.5).cw(), 12.0, "-n"),
        ),
        board="birch 18",
        show="+n",
        grain=90.0,
        shape="s1",
    )


def side() -> Panel:
    """Upright, lower left corner at (0, 500, 0), looking along -x."""
    return Panel(
        name="Side (2)",
        source="Trolley/Side (2)",
        frame=Frame.of((0, 500, 0), (0, 1, 0), (-1, 0, 0)),
        nominal=18.0,
        thickness=THICKNESS,
        outline=rectangle(0, 0, 300, 150),
        board="birch 18",
    )


def plan() -> Plan:
    """Two panels on two sheets; the shelf is turned over, the side stands on its end."""
    first = Sheet(
        "sheet-1",
        "birch 18",
        THICKNESS,
        (1220.0, 610.0),
        placements=(Placement("Shelf", 450.0, 30.0, 0.0, True),),
        screws=(Screw(15.0, 15.0), Screw(1200.0, 595.0)),
    )
    stood = Placement("Side (2)", 200.0, 40.0, 90.0, False)
    second = Sheet("sheet-2", "birch 18", THICKNESS, (1220.0, 610.0), placements=(stood,))
    return Plan(panels=(shelf(), side()), sheets=(first, second))
