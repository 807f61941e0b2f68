# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""How much wood a bit takes in one pass: never more than the preset's pass depth for it in this board.

Looked at is the wood over the middle of the bit, as what was cut before left it. What the same stroke
clears just ahead does not count: the front of the bit has cut that itself. Down a helix a stroke is a turn.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise

import numpy as np
import shapely

from flatwright.findings import Finding
from flatwright.plan import Sheet
from flatwright.presets.model import Preset
from flatwright.proof.motion import Motion
from flatwright.proof.programs import Run
from flatwright.proof.speeds import cutting_data
from flatwright.proof.sweeps import Flags, Floats, Ints, Sweeps

MORE = 0.05  # mm over the limit that rounding may make
BURIED = 0.5  # mm that a compression bit's first pass goes deeper than its up-cut part (CHECKS CP-8)
STEP = 10.0  # mm between the places that are looked at: the middle of each step, the end of one that sinks
TURN = 0.99  # of a turn down a helix: its chords are a little shorter than the arc
BATCH = 20_000  # places looked at together


def check_passes(runs: Sequence[Run], whole: Sweeps, sheet: Sheet, preset: Preset) -> Iterator[Finding]:
    """One finding for each file that cuts deeper than a pass; `whole` are the sweeps of all, joined."""
    limit = _limits(runs, whole, sheet, preset)
    feeds = np.flatnonzero(~whole.rapid)
    s, limit = whole.take(feeds), limit[feeds]
    most = limit + MORE
    deep = np.flatnonzero(s.sideways() & (s.lowest() + most < sheet.thickness))
    deep = deep[_more_than(s, most)[deep]]
    taken = np.zeros(len(s))
    if len(deep):
        taken[deep] = _taken(s, deep, sheet.thickness, _strokes(s, runs))
    wrong = taken > most
    for n, run in enumerate(runs):
        mine = np.flatnonzero(wrong & (s.file == n))
        if len(mine):
            k = int(mine[0])
            worst = float(taken[mine].max())
            line, bit = run.line(int(s.motion[k])), int(s.bit[k])
            yield run.finding(
                "proof.pass-depth",
                line,
                f"{run.program.file} takes up to {worst:.2f} mm of wood in one pass, from line {line} on; "
                f"{limit[k]:.2f} mm is the preset's most for bit {bit}.",
            )


def _limits(runs: Sequence[Run], whole: Sweeps, sheet: Sheet, preset: Preset) -> Floats:
    """(n,) what the bit of each piece may take, infinite where the preset has no cutting data for it."""
    known = {b.number: b for b in preset.bits}
    most: dict[int, float] = {}
    for number in {b.number for run in runs for b in run.bits}:
        data, bit = cutting_data(number, sheet.board, preset), known.get(number)
        if data is not None and bit is not None:
            first = (bit.up_cut_length or 0.0) + BURIED if bit.kind == "compression" else 0.0
            most[number] = max(data.pass_depth, first)
    return np.array([most.get(b, np.inf) for b in whole.bit.tolist()], dtype=np.float64)


def _more_than(s: Sweeps, most: Floats) -> Flags:
    """(n,) False where the same piece was run before, and not more than a pass higher."""
    a, b = np.rint(s.a[:, :2] * 1e3).astype(np.int64), np.rint(s.b[:, :2] * 1e3).astype(np.int64)
    swap = (a[:, 0] > b[:, 0]) | ((a[:, 0] == b[:, 0]) & (a[:, 1] > b[:, 1]))
    key = np.column_stack([np.where(swap[:, None], b, a), np.where(swap[:, None], a, b), s.bit])
    order = np.lexsort(key.T)  # stable: equal pieces stay in running order
    new = np.ones(len(s), dtype=np.bool_)
    new[1:] = (key[order][1:] != key[order][:-1]).any(axis=1)
    out = np.zeros(len(s), dtype=np.bool_)
    for ends in (np.where(swap, s.b[:, 2], s.a[:, 2]), np.where(swap, s.a[:, 2], s.b[:, 2])):
        before = _least_before(ends[order], new)
        out[order] |= before - ends[order] > most[order]
    return out


def _least_before(heights: Floats, new: Flags) -> Floats:
    """(n,) the least of the heights before each in its group; infinite at the first of a group."""
    if not len(heights):
        return heights
    far = float(heights.max() - heights.min()) + 1.0  # lowers each group under all before it
    drop = np.cumsum(new) * far
    least = np.minimum.accumulate(heights - drop) + drop
    out = np.full(len(heights), np.inf)
    out[1:][~new[1:]] = least[:-1][~new[1:]]
    return out


def _strokes(s: Sweeps, runs: Sequence[Run]) -> Floats:
    """(n,) how far the bit must have gone since it was at a place for what it cleared there to be an earlier
    stroke, mm: its own width, and down a helix, where the front follows the bit's back, a turn."""
    out = 2.0 * s.radius
    sinking = np.flatnonzero(s.arc & (s.a[:, 2] > s.b[:, 2]))
    at = np.stack([s.file[sinking], s.motion[sinking]], axis=1)
    of_motion, of = np.unique(at, axis=0, return_inverse=True)
    arcs = [runs[file].reading.motions[motion] for file, motion in of_motion.tolist()]
    turns = np.where(_goes_round(of_motion, arcs), [TURN * math.tau * _radius(m) for m in arcs], 0.0)
    if len(sinking):
        out[sinking] = np.maximum(out[sinking], turns[of.reshape(-1)])  # numpy 2.0 gives a column
    return out


def _goes_round(of_motion: Ints, arcs: Sequence[Motion]) -> Flags:
    """(m,) True for arcs that sink, with those right before and after, for a whole turn about one centre. The
    arcs of a curve that a ramp follows do not: along them a stroke is as long as on a line."""
    rows = [
        (*at, *np.round(m.centre or m.end[:2], 2)) for at, m in zip(of_motion.tolist(), arcs, strict=True)
    ]
    goes_on = [a[0] == b[0] and a[1] + 1 == b[1] and a[2:] == b[2:] for a, b in pairwise(rows)]
    group = np.cumsum([0, *(not g for g in goes_on)])[: len(rows)]
    sweeps = np.bincount(group, [abs(m.sweep) for m in arcs]) if rows else np.zeros(0)
    return np.asarray(sweeps[group] >= TURN * math.tau, dtype=np.bool_)


def _radius(arc: Motion) -> float:
    return math.dist(arc.centre or arc.end[:2], arc.end[:2])


def _taken(s: Sweeps, chosen: Ints, top: float, stroke: Floats) -> Floats:
    """(k,) the most wood over the bit's middle along each of the chosen pieces, mm; `stroke` (n,) as of
    `_strokes`."""
    tree = shapely.STRtree(s.lines())
    length = np.hypot(*(s.b - s.a)[:, :2].T)
    run = np.cumsum(length) - length  # how far the bit has gone at the start of each piece
    number = np.maximum(1, np.ceil(length[chosen] / STEP)).astype(np.int64)
    of = np.repeat(np.arange(len(chosen)), number)
    within = np.where(s.b[chosen, 2] < s.a[chosen, 2], 1.0, 0.5)[of]
    share = (np.arange(len(of)) - np.repeat(np.cumsum(number) - number, number) + within) / number[of]
    out = np.zeros(len(chosen))
    for start in range(0, len(of), BATCH):
        mine, t = of[start : start + BATCH], share[start : start + BATCH]
        k = chosen[mine]
        p = s.a[k] + t[:, None] * (s.b - s.a)[k]
        left = np.minimum(top, _standing(s, tree, k, p, run, run[k] + t * length[k], stroke[k]))
        np.maximum.at(out, mine, left - p[:, 2])
    return out


def _standing(
    s: Sweeps, tree: shapely.STRtree, piece: Ints, p: Floats, run: Floats, at: Floats, stroke: Floats
) -> Floats:
    """(n,) how high the wood stands at points of pieces, by the pieces before; infinite where none was.

    `at` is how far the bit has gone at each point, `stroke` how far it must have gone since.
    """
    i, j = tree.query(shapely.points(p[:, :2]), predicate="dwithin", distance=float(s.radius.max()))
    keep = j < piece[i]
    i, j = i[keep], j[keep]
    way, to = (s.b - s.a)[j], p[i] - s.a[j]
    length = np.hypot(way[:, 0], way[:, 1])
    t = np.clip((way[:, :2] * to[:, :2]).sum(axis=1) / np.maximum(length**2, 1e-12), 0.0, 1.0)
    off = np.hypot(*(to - t[:, None] * way)[:, :2].T)
    gone_since = at[i] - (run[j] + t * length)
    keep = (off <= s.radius[j] + 1e-6) & (gone_since >= stroke[i])
    out = np.full(len(p), np.inf)
    np.minimum.at(out, i[keep], (s.a[j, 2] + t * way[:, 2])[keep])
    return out
