# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Joints of boards that lie parallel: halvings, boards glued broad to broad, edge to edge."""

from __future__ import annotations

from support.corpus.drawing import AXES, Board, Drawing, Probe, Span
from support.corpus.joints import along, place


def halving(d: Drawing, a: Board, b: Board, kind: str) -> None:
    """Two boards in one plane that pass or end in each other, each recessed to half its thickness where
    they share their place: a from above, b from below."""
    assert a.axis is not None
    assert a.axis == b.axis
    k, p, q = AXES[a.axis], AXES[(a.axis + 1) % 3], AXES[(a.axis + 2) % 3]
    lo, hi = a.span(k)
    mid, c = (lo + hi) / 2, d.c / 2
    common = {n: (max(a.span(n)[0], b.span(n)[0]), min(a.span(n)[1], b.span(n)[1])) for n in (p, q)}
    probes: list[Probe] = []
    reach = {id(x): {n: x.span(n) for n in (p, q)} for x in (a, b)}
    for own, other, level, layer in ((a, b, (mid, hi), (mid + hi) / 2), (b, a, (lo, mid), (lo + mid) / 2)):
        box: dict[str, Span] = {k: level}
        walls: list[tuple[str, float]] = []
        for n in (p, q):
            low_wall = reach[id(own)][n][0] < common[n][0] - 1e-6
            high_wall = reach[id(own)][n][1] > common[n][1] + 1e-6
            box[n] = (common[n][0] - c * low_wall, common[n][1] + c * high_wall)
            walls += [(n, -1.0)] * low_wall + [(n, 1.0)] * high_wall
        own.pocket(**box)
        centre = place(**{k: layer}, **{n: sum(common[n]) / 2 for n in (p, q)})
        role = "lap side" if len(walls) == 2 else "lap shoulder"
        probes += [Probe(role, other.name, own.name, centre, along(n, s)) for n, s in walls]
    centre = place(**{k: (lo + mid) / 2}, **{n: sum(common[n]) / 2 for n in (p, q)})
    probes.append(Probe("lap floor", a.name, b.name, centre, along(k)))
    d.joint(kind, a, b, probes, along(k, -1.0))


def glued(d: Drawing, a: Board, b: Board) -> None:
    """b lies on a, broad face to broad face; as one thickness for their mates."""
    assert a.axis is not None
    assert a.axis == b.axis
    k, p, q = AXES[a.axis], AXES[(a.axis + 1) % 3], AXES[(a.axis + 2) % 3]
    common = {n: (max(a.span(n)[0], b.span(n)[0]), min(a.span(n)[1], b.span(n)[1])) for n in (p, q)}
    # off the middle, where holes are
    start = place(**{k: a.middle(k)}, **{n: 0.9 * common[n][0] + 0.1 * common[n][1] for n in (p, q)})
    way = along(k, 1.0 if b.middle(k) > a.middle(k) else -1.0)
    d.joint("face to face", a, b, [Probe("glued", a.name, b.name, start, way)])
    own = next((s for s in d.stacks if a.name in s or b.name in s), ())
    d.stacks = [s for s in d.stacks if s is not own]
    d.stacks.append(tuple(dict.fromkeys((*own, a.name, b.name))))


def edge_to_edge(d: Drawing, a: Board, b: Board) -> None:
    """Two boards of one plane whose edges merely touch."""
    assert a.axis is not None
    assert a.axis == b.axis
    k, p, q = AXES[a.axis], AXES[(a.axis + 1) % 3], AXES[(a.axis + 2) % 3]
    n, across = (p, q) if abs(a.span(p)[1] - b.span(p)[0]) < 1e-6 else (q, p)
    assert abs(a.span(n)[1] - b.span(n)[0]) < 1e-6
    start = place(**{k: a.middle(k), n: a.span(n)[1] - 5, across: (a.middle(across) + b.middle(across)) / 2})
    d.joint("edge to edge", a, b, [Probe("shoulder", a.name, b.name, start, along(n))])
