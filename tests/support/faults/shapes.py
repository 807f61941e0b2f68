# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Faults of shape: loops too wide, too narrow, shifted, missing; reliefs missing or too small."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from random import Random

import shapely
from shapely.geometry.base import BaseGeometry

from flatwright.geometry.polygon import polygon, region
from flatwright.plan import Placement, placed
from support.faults.registry import bottom, choose, cutting, fault, op_of, operations, starts
from support.planned_work import File, Row, Work


def stretched(f: File, op: int, by: float, axis: str) -> File:
    """One half of an operation moved outwards along an axis, the other half left."""
    rows = [f.rows[k] for k in cutting(f, op)]
    middle = (min(getattr(r, axis) for r in rows) + max(getattr(r, axis) for r in rows)) / 2
    return f.edited(
        lambda r: (
            replace(r, **{axis: getattr(r, axis) + by}) if r.op == op and getattr(r, axis) > middle else r
        )
    )


def straight(f: File, op: int) -> bool:
    """True when no arc of the operation runs from one half to the other."""
    xs = [(f.rows[k].x, f.rows[k].y) for k in cutting(f, op)]
    mx = (min(p[0] for p in xs) + max(p[0] for p in xs)) / 2
    my = (min(p[1] for p in xs) + max(p[1] for p in xs)) / 2
    at = starts(f)
    arcs = [k for k in cutting(f, op) if f.rows[k].g in ("G2", "G3")]
    return all((at[k][0] > mx) == (f.rows[k].x > mx) and (at[k][1] > my) == (f.rows[k].y > my) for k in arcs)


def _tells(work: Work, f: File, edited: File, op: int) -> bool:
    """Whether an operation takes other wood of its part than before: beyond an open edge it may run as it
    likes (arcs are taken as their chords)."""
    panel, r = f.operations[op].panel, f.bits[0].diameter / 2
    p = next(p for s in work.plan.sheets for p in s.placements if p.panel == panel)
    loop = placed(work.plan.panel(panel).outline, p)
    wood = polygon(loop).buffer(0.0 if f.operations[op].kind == "pocket" else 2 * r)

    def taken(g: File) -> BaseGeometry:
        at = starts(g)
        ways = [[at[k][:2], (g.rows[k].x, g.rows[k].y)] for k in cutting(g, op)]
        return shapely.union_all(shapely.buffer(shapely.linestrings(ways), r))

    return not taken(f).symmetric_difference(taken(edited)).intersection(wood).buffer(-0.035).is_empty


def _wider(kinds: tuple[str, ...], by: float) -> Callable[[Random, Work], Work | None]:
    def make(rng: Random, work: Work) -> Work | None:
        found = choose(rng, [(f, n) for f, n in operations(work, *kinds) if cutting(f, n) and straight(f, n)])
        if found is None:
            return None
        f, op = found
        edited = stretched(f, op, by, rng.choice("xy"))
        return work.with_file(edited) if _tells(work, f, edited, op) else None

    return make


# where a pocket runs out at the outline, its open edge is the outline's
fault("outline 0.1 too narrow", "outline", "pocket")(_wider(("outside",), -0.1))
fault("outline 0.1 too wide", "outline", "pocket")(_wider(("outside",), 0.1))
fault("slot narrower by 0.1", "hole")(_wider(("inside",), -0.1))
fault("slot wider by 0.1", "hole")(_wider(("inside",), 0.1))
fault("pocket narrower by 0.1", "pocket")(_wider(("pocket",), -0.1))
fault("pocket wider by 0.1", "pocket")(_wider(("pocket",), 0.1))


def _rabbets(work: Work) -> list[tuple[File, list[int], tuple[float, float]]]:
    """(file, rows that cut it, way to its wall) of every rabbet."""
    out = []
    for f, op in operations(work, "pocket"):
        panel = work.plan.panel(f.operations[op].panel or "")
        if f.underside or all((j.kind, j.panels[0]) != ("rabbet", panel.name) for j in work.plan.joints):
            continue
        place = next(p for s in work.plan.sheets for p in s.placements if p.panel == panel.name)
        board = polygon(placed(panel.outline, place).ccw())
        for pocket in (polygon(placed(p.outline, place).ccw()) for p in panel.pockets):
            wall = pocket.boundary.difference(board.boundary.buffer(0.01))
            room = pocket.buffer(f.bits[0].diameter / 2 + 1.0)
            rows = [k for k in cutting(f, op) if room.covers(shapely.Point(f.rows[k].x, f.rows[k].y))]
            if rows and 0.0 < wall.length < pocket.length / 2:  # open on three sides
                dx, dy = wall.centroid.x - pocket.centroid.x, wall.centroid.y - pocket.centroid.y
                way = (math.copysign(1.0, dx), 0.0) if abs(dx) > abs(dy) else (0.0, math.copysign(1.0, dy))
                out.append((f, rows, way))
    return out


def _rabbet(over: float, down: float) -> Callable[[Random, Work], Work | None]:
    """The wall of a rabbet moved `over` away from the mate, its floor `down`."""

    def make(rng: Random, work: Work) -> Work | None:
        found = choose(rng, _rabbets(work))
        if found is None:
            return None
        f, mine, (dx, dy) = found
        low = min(f.rows[k].z for k in mine)
        across = {k: dx * f.rows[k].x + dy * f.rows[k].y for k in mine}
        middle = (min(across.values()) + max(across.values())) / 2
        rows = list(f.rows)
        for k in mine:
            r, by = rows[k], over if across[k] > middle else 0.0
            rows[k] = replace(r, x=r.x + by * dx, y=r.y + by * dy, z=r.z - (down if r.z == low else 0.0))
        return work.with_file(f.with_rows(rows))

    return make


# the mate bears on the wall, and has half of its play along before the floor
fault("rabbet too deep by 0.2", "gap")(_rabbet(0.0, 0.2))
fault("rabbet too shallow by 0.2", "gap")(_rabbet(0.0, -0.2))
fault("rabbet too wide by 0.2", "gap")(_rabbet(0.2, 0.0))
fault("rabbet too narrow by 0.2", "gap")(_rabbet(-0.2, 0.0))


def _moved(f: File, ops: set[int], dx: float, dy: float) -> File:
    return f.edited(lambda r: replace(r, x=r.x + dx, y=r.y + dy) if r.op in ops else r)


def _aside(rng: Random, by: float) -> tuple[float, float]:
    turn = rng.uniform(0.0, math.tau)
    return by * math.cos(turn), by * math.sin(turn)


@fault("part shifted by 0.2", "outline", "pocket")
def shifted(rng: Random, work: Work) -> Work | None:
    panel = rng.choice([p.panel for s in work.plan.sheets for p in s.placements])
    way = _aside(rng, 0.2)
    for f in list(work.cuts()):
        mine = {n for n, o in enumerate(f.operations) if o.panel == panel}
        work = work.with_file(_moved(f, mine, *way))
    return work


def _one_shifted(*kinds: str) -> Callable[[Random, Work], Work | None]:
    def make(rng: Random, work: Work) -> Work | None:
        found = op_of(work, rng, *kinds)
        if found is None:
            return None
        f, op = found
        edited = _moved(f, {op}, *_aside(rng, 0.2))
        return work.with_file(edited) if _tells(work, f, edited, op) else None

    return make


fault("slot shifted by 0.2", "hole")(_one_shifted("inside"))
fault("drilled hole shifted by 0.2", "hole")(_one_shifted("hole"))
fault("pocket shifted by 0.2", "pocket")(_one_shifted("pocket"))


def _left_out(*kinds: str) -> Callable[[Random, Work], Work | None]:
    def make(rng: Random, work: Work) -> Work | None:
        found = op_of(work, rng, *kinds)
        if found is None:
            return None
        f, op = found
        return work.with_file(f.with_rows([r for r in f.rows if r.op != op or r.raw]))

    return make


fault("outline not cut", "missing-part")(_left_out("outside"))
fault("slot not cut", "hole")(_left_out("inside"))
fault("drilled hole not cut", "hole")(_left_out("hole"))
fault("pocket not cut", "pocket")(_left_out("pocket"))


def reliefs(f: File) -> list[tuple[int, tuple[float, float]]]:
    """(row of the first arc, corner) of every relief cut as two arcs that meet at its far end."""
    at, out = starts(f), []
    for k in cutting(f):
        one, two = f.rows[k], f.rows[k + 1]
        if (
            one.g in ("G2", "G3")
            and two.g == one.g
            and one.z == two.z == at[k][2]
            and k
            and f.rows[k - 1].g == "G1"
        ):
            p, q, before = at[k], (two.x, two.y), at[k - 1]
            corner = (q[0], p[1]) if abs(p[1] - before[1]) < abs(p[0] - before[0]) else (p[0], q[1])
            if 0.5 < math.dist(p[:2], q) < 6.0 and math.dist(corner, (one.x, one.y)) < 6.0:
                out.append((k, corner))
    return out


def _relief(share: float) -> Callable[[Random, Work], Work | None]:
    """Every pass of one relief goes only so far beyond its corner."""

    def make(rng: Random, work: Work) -> Work | None:
        found = choose(rng, [(f, k, c) for f in work.cuts() for k, c in reliefs(f)])
        if found is None:
            return None
        f, _, corner = found
        rows = list(f.rows)
        for k, c in sorted(reliefs(f), reverse=True):
            if math.dist(c, corner) < 1e-3:
                one, two = f.rows[k], f.rows[k + 1]
                tip = (c[0] + share * (one.x - c[0]), c[1] + share * (one.y - c[1]))
                way = [c, tip, c, (two.x, two.y)] if share else [c, (two.x, two.y)]
                rows[k : k + 2] = [Row("G1", x, y, one.z, f=one.f, op=one.op) for x, y in way]
        return work.with_file(f.with_rows(rows))

    return make


fault("relief missing", "hole", "outline", "pocket", "interference")(_relief(0.0))
fault("relief too small", "hole", "outline", "pocket", "interference")(_relief(0.4))


def _area(work: Work, p: Placement) -> BaseGeometry:
    """A part's wood in plan, its pockets aside."""
    panel = work.plan.panel(p.panel)
    return region(placed(panel.outline, p), [placed(h, p) for h in panel.holes])


@fault("parts of two placements swapped", "outline", "missing-part", "unplanned-cut")
def swapped(rng: Random, work: Work) -> Work | None:
    pairs = [(s, i) for s in work.plan.sheets for i in range(1, len(s.placements))]
    found = choose(rng, pairs)
    if found is None:
        return None
    sheet, i = found
    p = list(sheet.placements)
    mine, other = (_area(work, replace(p[0], panel=q.panel)) for q in (p[0], p[i]))
    if mine.symmetric_difference(other).area < 1.0:
        return None  # equal parts: it does not matter which lies where
    p[0], p[i] = replace(p[0], panel=p[i].panel), replace(p[i], panel=p[0].panel)
    return replace(work, plan=work.plan.with_sheet(replace(sheet, placements=tuple(p))))


@fault("a part mirrored", "outline", "hole", "pocket", "missing-part", "unplanned-cut")
def mirrored(rng: Random, work: Work) -> Work | None:
    """In the plan the part lies the other way up, about its own middle."""
    sheet = rng.choice(work.plan.sheets)
    k = rng.randrange(len(sheet.placements))
    p = sheet.placements[k]
    outline = work.plan.panel(p.panel).outline
    x0, y0, _, _ = placed(outline, p).bounds()
    other = replace(p, flipped=not p.flipped)
    x1, y1, _, _ = placed(outline, other).bounds()
    moved = replace(other, x=other.x + x0 - x1, y=other.y + y0 - y1)
    laid = tuple(moved if n == k else q for n, q in enumerate(sheet.placements))
    changed = replace(work, plan=work.plan.with_sheet(replace(sheet, placements=laid)))
    panel = work.plan.panel(p.panel)
    seen = [region(placed(outline, way), [placed(o, way) for o in panel.loops()[1:]]) for way in (p, moved)]
    return changed if seen[0].symmetric_difference(seen[1]).area > 1.0 else None


@fault(
    "a line dropped",
    "outline",
    "hole",
    "pocket",
    "depth",
    "unplanned-cut",
    "missing-part",
    "reader",
    "tab-missing",
    "tab-size",
    "screw-hit",
)
def dropped(rng: Random, work: Work) -> Work | None:
    """A line of the last pass, without which a bit of 6 mm leaves another shape (by 0.2 mm and more)."""
    places = []
    for f in work.cuts():
        at = starts(f)
        for n in [n for n, o in enumerate(f.operations) if o.kind == "outside"]:
            rows = cutting(f, n)
            for k in rows:
                last = f.rows[k].z == bottom(f, n) == f.rows[k + 1].z == at[k][2]
                lines = f.rows[k + 1].g == "G1"
                if last and lines and _aside_of(at[k], f.rows[k], f.rows[k + 1]) > 0.5:
                    places += [(f, k)] if _changes(f, n, k) else []
    found = choose(rng, places)
    if found is None:
        return None
    f, k = found
    return work.with_file(f.with_rows([*f.rows[:k], *f.rows[k + 1 :]]))


def _changes(f: File, op: int, k: int) -> bool:
    """Whether the last pass clears another region without row k (arcs taken as their chords)."""
    import shapely

    low = bottom(f, op)

    def region(rows: list[Row]) -> shapely.Geometry:
        ways = [[(a.x, a.y), (b.x, b.y)] for a, b in zip(rows, rows[1:], strict=False) if a.z == b.z == low]
        return shapely.union_all(shapely.buffer(shapely.linestrings(ways), 3.0))

    mine = [f.rows[n] for n in f.of(op) if f.rows[n].g]
    less = [r for r in mine if r is not f.rows[k]]
    return not region(mine).symmetric_difference(region(less)).buffer(-0.1).is_empty


def _aside_of(a: tuple[float, float, float], p: Row, b: Row) -> float:
    """How far p lies off the way from a to b."""
    dx, dy = b.x - a[0], b.y - a[1]
    length = math.hypot(dx, dy)
    px, py = p.x - a[0], p.y - a[1]
    if length < 1e-6:
        return math.hypot(px, py)
    along = max(0.0, min(1.0, (px * dx + py * dy) / length**2))
    return math.hypot(px - along * dx, py - along * dy)
