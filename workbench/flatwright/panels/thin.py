# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Places of a panel that are drawn too fine to be meant: slivers of wood, steps, floors like paper.

They are read as drawn and named; nothing is mended behind the user's back.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely
from shapely.geometry import LinearRing

from flatwright.findings import Finding, declare, finding
from flatwright.geometry.arcs import Point, Segment
from flatwright.geometry.outline import Outline
from flatwright.geometry.polygon import polygon, ring
from flatwright.plan import Panel

declare(
    "warning",
    panel__thin_web="hardly any wood is left between two cuts: it will break away",
    panel__thin_floor="hardly any wood is left under a pocket: it will break through",
)
declare("note", panel__tiny_step="an edge steps by less than a bit's play, or a slit is that thin")

FINE = 0.3  # mm: less is noise of the drawing or will not stand (common practice, no source)
_MEET = 1e-3  # mm: a pocket this near to another loop is open to it

_REMEDY = "Move one of the two in the model, or let them run into each other."


def thin_places(panel: Panel) -> list[Finding]:
    """What is too fine in a panel, loop by loop."""
    out = [
        _finding("panel.thin-web", panel, at, f"only {wide:.3g} mm of wood is left between two cuts", _REMEDY)
        for at, wide in _webs(panel)
    ]
    for loop in panel.loops():
        out += _small_edges(panel, loop)
    return out + _floors(panel)


def _finding(code: str, panel: Panel, at: Point, what: str, remedy: str) -> Finding:
    place = f"({at[0]:.1f}, {at[1]:.1f})"
    return finding(
        code, f"{panel.name} at {place}", f"{panel.name} at {place}: {what}", remedy, panels=[panel.name]
    )


def _webs(panel: Panel) -> Iterator[tuple[Point, float]]:
    """Places where two loops come nearly together, and the width there, mm."""
    loops = panel.loops()
    through = 1 + len(panel.holes)
    if len(loops) == 1:
        return
    boxes = np.array([o.bounds() for o in loops])
    low, high = boxes[:, None, :2] - FINE, boxes[:, None, 2:] + FINE
    near = np.triu(((boxes[None, :, 2:] >= low) & (boxes[None, :, :2] <= high)).all(axis=2), 1)
    near[0] = _by_the_rim(panel.outline, boxes)
    rings = {i: LinearRing(ring(loops[i])) for i in {*np.argwhere(near).ravel().tolist()}}
    for i, j in np.argwhere(near).tolist():
        if i >= through and panel.pockets[i - through].side != panel.pockets[j - through].side:
            continue
        wide = float(shapely.distance(rings[i], rings[j]))
        if wide < FINE and (j < through or wide > _MEET):
            x, y = shapely.get_coordinates(shapely.shortest_line(rings[i], rings[j])).mean(axis=0).tolist()
            yield (x, y), wide


def _by_the_rim(outline: Outline, boxes: np.ndarray) -> np.ndarray:
    """Which boxes lie so near to the outline that a closer look is due."""
    rim = LinearRing(ring(outline))
    shapely.prepare(rim)
    grown = shapely.box(*(boxes + np.array([-FINE, -FINE, FINE, FINE])).T)
    out = shapely.intersects(rim, grown)
    out[0] = False
    return np.asarray(out)


def _small_edges(panel: Panel, loop: Outline) -> list[Finding]:
    """Short edges between two lines that run the same way (a step) or back (a spike or a slit)."""
    segs = loop.segments()
    out = []
    for k, s in enumerate(segs):
        before, after = segs[k - 1], segs[(k + 1) % len(segs)]
        if s.chord >= FINE or not (s.is_line and before.is_line and after.is_line):
            continue
        same, left = _turns(before, s, after)
        if same > 0.99:
            what = f"its edge steps by {s.chord:.3g} mm; it is cut as drawn"
            out.append(_finding("panel.tiny-step", panel, s.p, what, "Draw the edge in one line."))
        elif same < -0.99 and left:
            what = f"a spike of wood is only {s.chord:.3g} mm wide"
            out.append(_finding("panel.thin-web", panel, s.p, what, _REMEDY))
        elif same < -0.99:
            what = f"a slit is only {s.chord:.3g} mm wide; no bit goes into it"
            out.append(_finding("panel.tiny-step", panel, s.p, what, "Close the slit or widen it."))
    return out


def _turns(before: Segment, s: Segment, after: Segment) -> tuple[float, bool]:
    """Cosine between the neighbours of an edge, and whether the first turn goes to the left."""
    (ax, ay), (bx, by), (cx, cy) = before.direction(1.0), s.direction(0.0), after.direction(0.0)
    return ax * cx + ay * cy, ax * by - ay * bx > 0


def _floors(panel: Panel) -> list[Finding]:
    out = []
    for k, p in enumerate(panel.pockets):
        left = panel.thickness - p.depth
        if left < FINE:
            out.append(_floor(panel, p.outline, left))
        for q in panel.pockets[k + 1 :]:
            left = panel.thickness - p.depth - q.depth
            if q.side != p.side and 0 <= left < FINE:
                common = polygon(p.outline.ccw()).intersection(polygon(q.outline.ccw()))
                if common.area > 1.0:
                    out.append(_floor(panel, q.outline, left))
    return out


def _floor(panel: Panel, loop: Outline, left: float) -> Finding:
    x0, y0, x1, y1 = loop.bounds()
    return _finding(
        "panel.thin-floor", panel, ((x0 + x1) / 2, (y0 + y1) / 2),
        f"only {left:.3g} mm of wood is left under a pocket",
        "Make the pocket shallower, or cut it through.",
    )  # fmt: skip
