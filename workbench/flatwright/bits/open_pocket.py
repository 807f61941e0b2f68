# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Pockets that run out of a part: where an edge of the pocket lies on the part's edge it is no wall.

There the bit runs over the edge, so that no burr and no fillet stays. `opened` moves such edges
outward, along the walls that they end at; all else stays exactly where it was.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from shapely.geometry import LineString
from shapely.geometry.base import BaseGeometry

from flatwright.geometry.arcs import Point, Segment, intersections
from flatwright.geometry.outline import Outline, from_segments, simplified
from flatwright.geometry.parallel import distances, parallel, shifted
from flatwright.geometry.polygon import region
from flatwright.plan import Panel

SAME = 0.01  # mm: a pocket's edge this near to the part's edge lies on it
FLATTEST = 0.3  # sine of the angle between wall and edge; a flatter wall is not run on


def opened_pocket(panel: Panel, k: int, overrun: float) -> Outline:
    """The loop of the panel's pocket k, open where it ends at the outline, a hole or a pocket of its
    face that is as deep or deeper."""
    own = panel.pockets[k]
    deeper = [
        p.outline
        for i, p in enumerate(panel.pockets)
        if i != k and p.side == own.side and p.depth >= own.depth - SAME
    ]
    return opened(own.outline, panel.outline, [*panel.holes, *deeper], overrun)


def opened(pocket: Outline, outline: Outline, voids: Sequence[Outline], overrun: float) -> Outline:
    """The clockwise pocket loop with its open edges moved `overrun` mm outward.

    Edges on the outline are open, those on a void's edge (clockwise loops) that has the room, and those
    in a corner relief of either.
    """
    pieces = _split(pocket.segments(), [outline, *voids])
    wood = region(outline, voids).buffer(-SAME)
    is_open = [
        _on_edge(s, outline)
        or (_has_room(s, wood, overrun) if any(_on_edge(s, v) for v in voids) else _off_wood(s, wood))
        for s in pieces
    ]
    if not any(is_open):
        return pocket
    if all(is_open):
        return next(c for c in parallel(outline, overrun) if c.area() > 0).cw()
    start = next(i for i in range(len(pieces)) if not is_open[i] and is_open[(i + 1) % len(pieces)])
    order = [(start + k) % len(pieces) for k in range(len(pieces))]
    out: list[Segment] = []
    run: list[Segment] = []
    for i in order:
        if is_open[i]:
            run.append(pieces[i])
            continue
        if run:
            out.extend(_run(run, out[-1], pieces[i], overrun))
            run = []
        out.append(pieces[i])
    out.extend(_run(run, out[-1], out[0], overrun) if run else [])
    return simplified(from_segments([s for s in out if s.chord > 1e-9]))


def _split(segments: list[Segment], loops: Sequence[Outline]) -> list[Segment]:
    """Cut the pocket's segments at the part's corners that lie on them."""
    corners = [(float(x), float(y)) for o in loops for x, y in o.points]
    out: list[Segment] = []
    for s in segments:
        margin = SAME / s.length
        on = [s.fraction(c) for c in corners if s.distance(c) < SAME]
        marks = [0.0]
        for t in sorted(on):
            if marks[-1] + margin < t < 1.0 - margin:
                marks.append(t)
        out.extend(s.part(a, b) for a, b in zip(marks, [*marks[1:], 1.0], strict=True))
    return out


def _on_edge(s: Segment, loop: Outline) -> bool:
    samples = np.array([s.at(t) for t in (0.1, 0.5, 0.9)])
    return bool(np.all(distances(samples, loop.segments()) < SAME))


def _off_wood(s: Segment, wood: BaseGeometry) -> bool:
    """Whether an edge lies where there is no wood any more: in a corner's relief."""
    inner = s.part(0.02, 0.98)
    return not wood.intersects(LineString([*inner.flattened(0.01), inner.q]))


def _has_room(s: Segment, wood: BaseGeometry, overrun: float) -> bool:
    """Whether the line that the edge is moved to meets no wood."""
    over = shifted(s, -overrun)
    if over is None:
        return False
    inner = over.part(0.02, 0.98)
    return not wood.intersects(LineString([*inner.flattened(0.01), inner.q]))


def _run(run: list[Segment], before: Segment, after: Segment, e: float) -> list[Segment]:
    """The boundary beyond a run of open edges, from the end of one wall to the start of the next."""
    moved = [(s, m) for s in run if (m := shifted(s, -e)) is not None]
    if not moved:
        return list(run)
    chain = [moved[0][1]]
    for s, m in moved[1:]:
        _join(chain, m, s.p)
    first = _run_out(before.q, before.direction(1.0), run[0].direction(0.0), e)
    ux, uy = after.direction(0.0)
    last = _run_out(after.p, (-ux, -uy), run[-1].direction(1.0), e)
    if chain[0].is_line:
        chain[0] = Segment(first, chain[0].q)
    if chain[-1].is_line:
        chain[-1] = Segment(chain[-1].p, last)
    return [
        Segment(before.q, first),
        Segment(first, chain[0].p),
        *chain,
        Segment(chain[-1].q, last),
        Segment(last, after.p),
    ]


def _run_out(p: Point, along: Point, edge: Point, e: float) -> Point:
    """Where a wall that ends at p meets the line e beyond the edge; square to the edge if it never does."""
    sine = along[1] * edge[0] - along[0] * edge[1]
    if sine < FLATTEST:
        return (p[0] - edge[1] * e, p[1] + edge[0] * e)
    return (p[0] + along[0] * e / sine, p[1] + along[1] * e / sine)


def _join(chain: list[Segment], nxt: Segment, corner: Point) -> None:
    """Append the next moved edge: cut both where they cross, or go round an outer corner."""
    last = chain[-1]
    met = intersections(last, nxt)
    if met:
        chain[-1] = last.part(0.0, met[0][0])
        chain.append(nxt.part(met[0][1], 1.0))
        return
    ax, ay = last.q[0] - corner[0], last.q[1] - corner[1]
    bx, by = nxt.p[0] - corner[0], nxt.p[1] - corner[1]
    turn = math.atan2(ax * by - ay * bx, ax * bx + ay * by)
    chain.append(Segment(last.q, nxt.p, math.tan(turn / 4.0)))
    chain.append(nxt)
