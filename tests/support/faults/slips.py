# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Slips of hand in posted text, and modes of the machine changed on the way."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from random import Random

from support.faults.motion import CLEAR, _outer_arc
from support.faults.registry import bottom, choose, cutting, fault, op_of, operations, raw, starts
from support.planned_work import File, Row, Work

SHAPE = ("outline", "hole", "pocket", "missing-part", "unplanned-cut", "depth", "screw-hit")


def _before_cut(rng: Random, f: File) -> int | None:
    """A row before which the bit is clear of the board and after which it cuts on."""
    at, last = starts(f), max(cutting(f), default=0)
    clear = [k for k in range(5, last) if at[k][2] > 25.0 and f.rows[k].g == "G0" and f.rows[k].z > 25.0]
    return choose(rng, clear)


def _inserted(*lines: str) -> Callable[[Random, Work], Work | None]:
    """Lines of text put between two cuts of a file."""

    def make(rng: Random, work: Work) -> Work | None:
        f = rng.choice(list(work.cuts()))
        k = _before_cut(rng, f)
        return None if k is None else work.with_file(f.inserted(k, raw(*lines)))

    return make


fault("another work offset from the middle on", "unplaced-move")(_inserted("G55"))
fault("another plane from the middle on", "reader")(_inserted("G18", "G2 X0 Z30 I5 K0 F900"))
fault("the program's end in the middle", "not-parked")(_inserted("M2"))
fault("spindle stopped on the way", "spindle-off", "not-parked")(_inserted("M5"))
fault("spindle turned round on the way", "spindle-off", "not-parked")(_inserted("M4"))
fault("zero shifted on the way", *SHAPE, "travel", "overcut", "rapid-in-wood", "not-parked")(
    _inserted(f"G0 X100 Y100 Z{CLEAR}", "G92 X0 Y0")
)
fault("the machine's kept shift", "unplaced-move")(_inserted("G92.3"))
fault("a length offset taken up on the way", "unplaced-move")(_inserted("G43"))
fault("a path tolerance of 2 mm", "path-tolerance")(_inserted("G64 P2"))


@fault("a length offset dropped on the way", "unplaced-move")
def no_length(rng: Random, work: Work) -> Work | None:
    f = rng.choice(list(work.cuts()))
    k = _before_cut(rng, f)
    if k is None:
        return None
    rows = f.inserted(k, raw("G49")).rows
    first = next(n for n, r in enumerate(rows) if r.raw.startswith("M3"))
    return work.with_file(f.with_rows([*rows[: first + 1], *raw("G43"), *rows[first + 1 :]]))


@fault("the bit's length of the file before", "unplaced-move")
def length_before(rng: Random, work: Work) -> Work | None:
    """The length offset is taken up before the bit is changed."""
    f = rng.choice(list(work.cuts()))
    k = next(k for k, r in enumerate(f.rows) if r.raw.startswith("T"))
    return work.with_file(f.inserted(k, raw("G43 H9")))


@fault("a pocket cut again, 1 mm deeper", "depth", "unplanned-cut")
def pocket_again(rng: Random, work: Work) -> Work | None:
    found = op_of(work, rng, "pocket")
    if found is None:
        return None
    f, op = found
    mine = [f.rows[k] for k in f.of(op) if f.rows[k].g]
    over = replace(mine[0], z=CLEAR, g="G0")
    low = bottom(f, op)
    again = [replace(r, z=r.z - 1.0 if r.z == low else r.z) for r in mine]
    end = f.of(op)[-1] + 1
    lift = Row("G0", mine[-1].x, mine[-1].y, CLEAR, op=op)
    return work.with_file(f.inserted(end, [lift, over, *again, lift]))


@fault("an arc flattened to its chord", *SHAPE)
def chord(rng: Random, work: Work) -> Work | None:
    found = _outer_arc(rng, work)
    if found is None:
        return None
    f, k = found
    r, at = f.rows[k], starts(f)[k]
    if math.dist(at[:2], (r.x, r.y)) < 3.0:
        return None
    return work.with_file(f.with_rows([*f.rows[:k], replace(r, g="G1"), *f.rows[k + 1 :]]))


@fault(
    "a decimal point lost",
    *SHAPE,
    "travel",
    "overcut",
    "feed",
    "not-parked",
    "rapid-in-wood",
    "reader",
    "tab-size",  # of a tab on whose slope the point stands
)
def decimal(rng: Random, work: Work) -> Work | None:
    f = rng.choice(list(work.cuts()))
    k = rng.choice(cutting(f))
    r = f.rows[k]
    return work.with_file(f.with_rows([*f.rows[:k], replace(r, x=10 * r.x), *f.rows[k + 1 :]]))


@fault("X and Y exchanged", *SHAPE, "travel", "not-parked", "reader", "rapid-in-wood")
def exchanged(rng: Random, work: Work) -> Work | None:
    f = rng.choice(list(work.cuts()))
    return work.with_file(f.edited(lambda r: replace(r, x=r.y, y=r.x, i=r.j, j=r.i)))


@fault("shrunk by a thousandth", *SHAPE)
def shrunk(rng: Random, work: Work) -> Work | None:
    f = rng.choice([f for f, n in operations(work, "outside")])
    s = 0.999
    return work.with_file(f.edited(lambda r: replace(r, x=r.x * s, y=r.y * s, i=r.i * s, j=r.j * s)))


@fault("heights from the board's top", *SHAPE, "overcut", "table-hit", "tab-missing", "not-parked")
def from_top(rng: Random, work: Work) -> Work | None:
    f = rng.choice(list(work.cuts()))
    return work.with_file(f.edited(lambda r: replace(r, z=r.z - 17.7)))


@fault("a part laid across its grain", "grain")
def across_grain(rng: Random, work: Work) -> Work | None:
    """Laid and cut as if its grain ran the other way."""
    grained = [p for p in work.plan.panels if p.grain is not None]
    panel = choose(
        rng, [p for p in grained if any(q.panel == p.name for s in work.plan.sheets for q in s.placements)]
    )
    if panel is None or panel.grain is None:
        return None
    turned = replace(panel, grain=(panel.grain + 90.0) % 180.0)
    panels = tuple(turned if p is panel else p for p in work.plan.panels)
    return replace(work, plan=replace(work.plan, panels=panels))


@fault("an outline run the other way round", "direction")
def reversed_way(rng: Random, work: Work) -> Work | None:
    """Its last round, from its end back to its beginning, which is the same place."""
    found = choose(rng, [(f, n) for f, n in operations(work, "outside") if cutting(f, n)])
    if found is None:
        return None
    f, op = found
    at, low = starts(f), bottom(f, op)
    mine = [k for k in cutting(f, op) if abs(at[k][2] - low) < 1e-3]
    for k in mine:
        closing = [n for n in mine if n > k + 2 and math.dist(_end(f.rows[n]), at[k]) < 1e-3]
        if closing:
            turn = [_back(f.rows[n], at[n]) for n in reversed(range(k, closing[0] + 1))]
            return work.with_file(f.with_rows([*f.rows[:k], *turn, *f.rows[closing[0] + 1 :]]))
    return None


def _end(r: Row) -> tuple[float, float, float]:
    return r.x, r.y, r.z


def _back(r: Row, at: tuple[float, float, float]) -> Row:
    """The same piece of way from its end to its start."""
    x, y, z = at
    g = {"G2": "G3", "G3": "G2"}.get(r.g, r.g)
    return replace(r, g=g, x=x, y=y, z=z, i=x + r.i - r.x, j=y + r.j - r.y)


@fault("cut on at the feed of the plunge", "feed-slow")
def slow(rng: Random, work: Work) -> Work | None:
    """The feed of a plunge is never left again in one operation."""
    found = op_of(work, rng, "outside", "inside")
    if found is None:
        return None
    f, op = found
    low = min(f.rows[k].f for k in f.of(op) if f.rows[k].g == "G1")
    return work.with_file(f.edited(lambda r: replace(r, f=min(r.f, low)) if r.op == op and r.f else r))


@fault("a ramp five times as steep", "steep-ramp")
def steep(rng: Random, work: Work) -> Work | None:
    """The first ramp of an outline ends after a fifth of its way, the bit goes on level."""
    places = []
    for f, op in operations(work, "outside"):
        at = starts(f)
        for k in cutting(f, op, 18.3):
            r, (x, y, z) = f.rows[k], at[k]
            if r.g == "G1" and z - r.z > 2.0 and math.dist((x, y), (r.x, r.y)) > 20.0 and z > 12.0:
                places.append((f, k))
    found = choose(rng, places)
    if found is None:
        return None
    f, k = found
    (x, y, _), r = starts(f)[k], f.rows[k]
    early = replace(r, x=x + (r.x - x) / 5, y=y + (r.y - y) / 5, f=min(r.f, 900.0))
    return work.with_file(f.inserted(k, [early]))
