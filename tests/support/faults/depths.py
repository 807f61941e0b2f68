# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Faults of depth and of tabs."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from random import Random

from support.faults.registry import bottom, choose, cutting, fault, op_of, operations, starts
from support.planned_work import File, Row, Work

THROUGH = ("outside", "inside")


def _bottom_at(by: float, *kinds: str) -> Callable[[Random, Work], Work | None]:
    """The deepest level of one operation raised (or lowered)."""

    def make(rng: Random, work: Work) -> Work | None:
        found = op_of(work, rng, *kinds)
        if found is None:
            return None
        f, op = found
        low = bottom(f, op)
        return work.with_file(f.edited(lambda r: replace(r, z=r.z + by) if r.op == op and r.z == low else r))

    return make


fault("through cuts short by 0.1", "depth")(_bottom_at(0.1, *THROUGH))
fault("drilled hole short by 0.3", "depth", "hole")(_bottom_at(0.3, "hole"))
fault("1 mm not cut through", "depth", "missing-part", "hole")(_bottom_at(1.5, *THROUGH))
fault("1 mm too deep into the bed", "overcut")(_bottom_at(-1.0, *THROUGH, "hole"))
fault("into the table", "table-hit")(_bottom_at(-18.5, *THROUGH, "hole"))
fault("pocket 0.1 too shallow", "depth")(_bottom_at(0.1, "pocket"))
fault("pocket 0.1 too deep", "depth")(_bottom_at(-0.1, "pocket"))


@fault("the last pass dropped", "depth", "missing-part", "hole", "pocket", "outline")
def no_last_pass(rng: Random, work: Work) -> Work | None:
    found = op_of(work, rng, *THROUGH, "pocket")
    if found is None:
        return None
    f, op = found
    low = bottom(f, op)
    return work.with_file(f.with_rows([r for r in f.rows if r.op != op or r.raw or r.z != low]))


@fault("a pass left out", "pass-depth")
def no_middle_pass(rng: Random, work: Work) -> Work | None:
    """One pass above the tabs is not run: the next one takes its wood too."""
    places = []
    for f, op in operations(work, *THROUGH):
        at = starts(f)
        rows = [f.rows[k].z for k in cutting(f, op) if at[k][2] == f.rows[k].z]  # no turns of ramps
        levels = sorted({z for z in rows if rows.count(z) > 3})
        places += [
            (f, op, z) for below, z in zip(levels, levels[1:], strict=False) if below > 3.0 and z > 6.5
        ]
    found = choose(rng, places)
    if found is None:
        return None
    f, op, z = found
    return work.with_file(f.with_rows([r for r in f.rows if r.op != op or not r.g or r.z != z]))


@fault("passes deeper than the preset says", "pass-depth")
def deep_passes(rng: Random, work: Work) -> Work | None:
    number = rng.choice([f.bits[0].number for f, _ in operations(work, "outside")])
    share = rng.uniform(0.4, 0.7)
    feeds = tuple(
        replace(d, pass_depth=share * d.pass_depth) if d.bit == number else d for d in work.preset.feeds
    )
    return replace(work, preset=replace(work.preset, feeds=feeds))


def tops(work: Work) -> list[tuple[File, list[int]]]:
    """Rows of every tab: level pieces at a planned tab's height, one list a tab."""
    out = []
    for f in work.cuts():
        heights = {round(t.height, 3) for s in work.plan.sheets for t in s.tabs}
        at, tab = starts(f), []
        for k in cutting(f):
            r = f.rows[k]
            if (
                round(r.z, 3) in heights
                and round(at[k][2], 3) == round(r.z, 3)
                and math.dist(at[k][:2], (r.x, r.y)) > 3
            ):
                tab.append(k)
        out += [(f, [k]) for k in tab]
    return out


def _tab(change: Callable[[Row, float], float]) -> Callable[[Random, Work], Work | None]:
    """The level of one tab changed, in all passes that cross it."""

    def make(rng: Random, work: Work) -> Work | None:
        found = choose(rng, tops(work))
        if found is None:
            return None
        f, (k,) = found
        top, low = f.rows[k], bottom(f, f.rows[k].op)
        ends = [starts(f)[k][:2], (top.x, top.y)]

        def moved(r: Row) -> Row:
            at_end = any(math.dist((r.x, r.y), e) < 0.01 for e in ends)
            return replace(r, z=change(r, low)) if r.g != "G0" and at_end and abs(r.z - top.z) < 1e-3 else r

        return work.with_file(f.edited(moved))

    return make


fault("tab missing", "tab-missing")(_tab(lambda r, low: low))
fault("tab half as high", "tab-size", "tab-missing")(_tab(lambda r, low: r.z / 2))
fault("tab 0.5 too high", "tab-size")(_tab(lambda r, low: r.z + 0.5))


@fault("tab 3 mm too short", "tab-size")
def short_tab(rng: Random, work: Work) -> Work | None:
    return _longer(rng, work, -3.0)


@fault("tab 3 mm too long", "tab-size")
def long_tab(rng: Random, work: Work) -> Work | None:
    return _longer(rng, work, 3.0)


def _longer(rng: Random, work: Work, by: float) -> Work | None:
    """The plan's tab is longer or shorter than the one that is cut."""
    sheet = rng.choice(work.plan.sheets)
    k = rng.randrange(len(sheet.tabs)) if sheet.tabs else -1
    if k < 0:
        return None
    tabs = tuple(replace(t, length=t.length - by) if n == k else t for n, t in enumerate(sheet.tabs))
    return replace(work, plan=work.plan.with_sheet(replace(sheet, tabs=tabs)))


@fault("tab 8 mm beside its place", "tab-size", "tab-missing", "depth")
def moved_tab(rng: Random, work: Work) -> Work | None:
    sheet = rng.choice(work.plan.sheets)
    k = rng.randrange(len(sheet.tabs))
    t = sheet.tabs[k]
    turn = math.radians(t.angle)
    there = replace(t, x=t.x + 8 * math.cos(turn), y=t.y + 8 * math.sin(turn))
    tabs = tuple(there if n == k else x for n, x in enumerate(sheet.tabs))
    return replace(work, plan=work.plan.with_sheet(replace(sheet, tabs=tabs)))


@fault("a tab that nobody planned", "depth")
def extra_tab(rng: Random, work: Work) -> Work | None:
    """A bridge on the last pass where the plan has none."""
    places = []
    for f in work.cuts():
        at = starts(f)
        for n, o in enumerate(f.operations):
            if o.kind == "outside":
                low = bottom(f, n)
                places += [
                    (f, k)
                    for k in cutting(f, n)
                    if f.rows[k].g == "G1"
                    and f.rows[k].z == low == at[k][2]
                    and math.dist(at[k][:2], (f.rows[k].x, f.rows[k].y)) > 30
                ]
    found = choose(rng, places)
    if found is None:
        return None
    f, k = found
    (x, y, _), r = starts(f)[k], f.rows[k]
    way = math.dist((x, y), (r.x, r.y))
    ux, uy = (r.x - x) / way, (r.y - y) / way
    s = rng.uniform(8, way - 22)
    rises = [(s, r.z), (s + 4, 4.0), (s + 10, 4.0), (s + 14, r.z)]
    bump = [replace(r, x=round(x + d * ux, 4), y=round(y + d * uy, 4), z=z) for d, z in rises]
    # all rows on that way at that level, so that the way back does not cut it
    return work.with_file(f.inserted(k, bump))


@fault("a tab where its part meets another", "tab-on-joint")
def tab_on_joint(rng: Random, work: Work) -> Work | None:
    """The plan and the programs agree on a tab on a mating edge: moved there on paper only."""
    import numpy as np

    from flatwright.plan import placed

    edges = []
    for sheet in work.plan.sheets:
        for p in sheet.placements:
            for s in placed(work.plan.panel(p.panel).outline, p).segments():
                edges.append((sheet, p.panel, s))
    joints = {n for j in work.plan.joints for n in j.panels}
    rng.shuffle(edges)
    for sheet, panel, s in edges:
        length = math.dist(s.p, s.q)
        if panel in joints and s.is_line and 5.0 < length < 100.0 and sheet.tabs:
            x, y = (np.array(s.p) + np.array(s.q)) / 2
            tab = replace(
                sheet.tabs[0],
                panel=panel,
                dress=False,
                x=float(x),
                y=float(y),
                length=4.0,
                angle=math.degrees(math.atan2(s.q[1] - s.p[1], s.q[0] - s.p[0])),
            )
            spoilt = replace(work, plan=work.plan.with_sheet(replace(sheet, tabs=(*sheet.tabs, tab))))
            if touches(spoilt, panel, tab):
                return spoilt
    return None


def touches(work: Work, panel: str, tab: object) -> bool:
    """Whether a mate of the planned piece lies at the tab, found without the proof: within 0.3 mm of the
    edge, in space, lies wood of another planned panel."""
    import shapely

    from flatwright.geometry.polygon import polygon

    sheet = next(s for s in work.plan.sheets if any(p.panel == panel for p in s.placements))
    p = next(q for q in sheet.placements if q.panel == panel)
    own = work.plan.panel(panel)
    c, s = math.cos(math.radians(p.angle)), math.sin(math.radians(p.angle))
    x, y = tab.x - p.x, tab.y - p.y  # type: ignore[attr-defined]
    u, v = (c * x + s * y) * (-1 if p.flipped else 1), -s * x + c * y
    h = 1.0 if not p.flipped else own.thickness - 1.0
    at = own.frame.to_space([[u, v]], h)
    for other in work.plan.panels:
        if other.name != panel:
            a, b, w = other.frame.to_plane(at)[0]
            inside = polygon(other.outline, other.holes)
            for q in other.pockets:
                if w > other.thickness - q.depth if q.side == "+n" else w < q.depth:
                    inside = inside.difference(polygon(q.outline.ccw()))
            if -0.3 < w < other.thickness + 0.3 and inside.distance(shapely.Point(a, b)) < 0.3:
                return True
    return False
