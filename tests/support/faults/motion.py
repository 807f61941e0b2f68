# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Faults of motion: rapids, arcs, entries, order, stray cuts, screws."""

from __future__ import annotations

import math
from dataclasses import replace
from random import Random

from support.faults.registry import choose, cutting, fault, on_sheet, op_of, operations, raw, spots, starts
from support.planned_work import File, Row, Work

CLEAR = 30.35
TOP = 17.7


def _any_cut(rng: Random, work: Work, *, arcs: bool = False, long: float = 0.0) -> tuple[File, int] | None:
    kinds = ("G2", "G3") if arcs else ("G1",)
    places = []
    for f in work.cuts():
        at = starts(f)
        places += [
            (f, k)
            for k in cutting(f)
            if f.rows[k].g in kinds and math.dist(at[k][:2], (f.rows[k].x, f.rows[k].y)) > long
        ]
    return choose(rng, places)


def _replaced(work: Work, f: File, k: int, row: Row) -> Work:
    return work.with_file(f.with_rows([*f.rows[:k], row, *f.rows[k + 1 :]]))


@fault("rapid through stock", "rapid-in-wood")
def rapid(rng: Random, work: Work) -> Work | None:
    found = _any_cut(rng, work, long=1.0)
    return None if found is None else _replaced(work, *found, replace(found[0].rows[found[1]], g="G0"))


@fault("rapid down into wood", "rapid-in-wood")
def rapid_down(rng: Random, work: Work) -> Work | None:
    """An operation begins with a rapid to its first depth."""
    found = op_of(work, rng, "outside", "inside", "pocket")
    if found is None:
        return None
    f, op = found
    first = cutting(f, op, 18.3)[0]
    x, y, _ = starts(f)[first]
    return work.with_file(f.inserted(first, [Row("G0", x, y, 9.0, op=op)]))


@fault("rapid just above the board", "rapid-in-wood")
def rapid_low(rng: Random, work: Work) -> Work | None:
    """Travel between two cuts 0.2 mm above the board."""
    places = [
        (f, k)
        for f in work.cuts()
        for k, r in enumerate(f.rows)
        if r.g == "G0" and k > 6 and r.x > 0 and math.dist(starts(f)[k][:2], (r.x, r.y)) > 1.0 and r.z > 20
    ]
    found = choose(rng, places)
    return None if found is None else _replaced(work, *found, replace(found[0].rows[found[1]], z=TOP + 0.2))


@fault("arc with a bad centre", "reader")
def bad_centre(rng: Random, work: Work) -> Work | None:
    found = _any_cut(rng, work, arcs=True)
    if found is None:
        return None
    r = found[0].rows[found[1]]
    return _replaced(work, *found, replace(r, i=r.i + 0.4, j=r.j + 0.3))


def _outer_arc(rng: Random, work: Work) -> tuple[File, int] | None:
    """An arc of an outline's last pass: in the middle of a bore or a pocket, or above the floor of one that
    reaches the edge, it would only spin in air."""
    places = [
        (f, k)
        for f, n in operations(work, "outside")
        for last in [min((f.rows[k].z for k in cutting(f, n)), default=0.0)]
        for k in cutting(f, n)
        if f.rows[k].g in ("G2", "G3")
        and f.rows[k].z < last + 0.01
        and math.dist(starts(f)[k][:2], (f.rows[k].x, f.rows[k].y)) > 0.5
    ]
    return choose(rng, places)


@fault(
    "arc the wrong way round",
    "outline",
    "hole",
    "pocket",
    "unplanned-cut",
    "missing-part",
    "drilled-with",
    "overcut",
    "screw-hit",
    "depth",  # the floor of a pocket that it runs into
)
def wrong_way(rng: Random, work: Work) -> Work | None:
    found = _outer_arc(rng, work)
    if found is None:
        return None
    r = found[0].rows[found[1]]
    return _replaced(work, *found, replace(r, g="G3" if r.g == "G2" else "G2"))


@fault("an arc line run twice", "reader", "outline", "hole", "pocket", "unplanned-cut", "depth")
def twice(rng: Random, work: Work) -> Work | None:
    """A straight line run twice changes nothing; an arc becomes a full circle beside its place."""
    found = _outer_arc(rng, work)
    return None if found is None else work.with_file(found[0].inserted(found[1], [found[0].rows[found[1]]]))


@fault("half turn by its radius", "radius-arc")
def by_radius(rng: Random, work: Work) -> Work | None:
    f = rng.choice(list(work.cuts()))
    chord = round(rng.uniform(3, 30), 3)
    arc = f"G3 X{100 + chord:.3f} Y100 R-{chord / 2 + 0.004:.4f}"
    lines = raw(f"G0 Z{CLEAR}", "G0 X100 Y100", f"G1 Z{CLEAR - 1} F900", arc, f"G0 Z{CLEAR}")
    return work.with_file(f.inserted(_between(rng, f), lines))


def _between(rng: Random, f: File) -> int:
    """A row before which the bit is clear of the board and goes on by a move to a full place."""
    at = starts(f)
    places = [k for k in range(5, len(f.rows)) if at[k][2] > 25 and f.rows[k].g == "G0" and f.rows[k].z > 25]
    return rng.choice(places)


@fault("inside after outside", "inside-after-outside", "loose-part")
def wrong_order(rng: Random, work: Work) -> Work | None:
    """A part's hole, slot or pocket is cut last in its file, or its outline first."""
    places = []
    for f in work.cuts():
        for n, o in enumerate(f.operations):
            if o.kind == "outside":
                places += [
                    (f, n, m)
                    for m, q in enumerate(f.operations)
                    if q.panel == o.panel and q.kind != "outside"
                ]
    found = choose(rng, places)
    if found is None:
        return None
    f, out, inner = found
    mine = [r for r in f.rows if r.op == inner]
    rest = [r for r in f.rows if r.op != inner]
    after = max(k for k, r in enumerate(rest) if r.op == out) + 1
    lift = Row("G0", rest[after - 1].x, rest[after - 1].y, CLEAR, op=inner)
    over = Row("G0", mine[0].x, mine[0].y, CLEAR, op=inner)
    first = next(r for r in mine if r.g and r.g != "")
    over = replace(over, x=first.x, y=first.y)
    body = [r for r in mine if r.g]
    back = Row("G0", body[-1].x, body[-1].y, CLEAR, op=inner)
    return work.with_file(f.with_rows([*rest[:after], lift, over, *body, back, *rest[after:]]))


@fault("ramp across the grain of a show face", "ramp-across-grain")
def across(rng: Random, work: Work) -> Work | None:
    """Before an outline is cut, a ramp goes down along a stretch of it that runs across the grain."""
    places = []
    for f in work.cuts():
        at = starts(f)
        for n, o in enumerate(f.operations):
            if o.kind == "outside":
                places += [
                    (f, n, at[k], f.rows[k])
                    for k in cutting(f, n)
                    if f.rows[k].g == "G1"
                    and abs(f.rows[k].x - at[k][0]) < 1e-3
                    and abs(f.rows[k].y - at[k][1]) > 20
                ]
    found = choose(rng, places)
    if found is None:
        return None
    f, op, (x, y, _), r = found
    end = y + 18.0 * (1 if r.y > y else -1)
    lines = [
        Row("G0", x, y, CLEAR, op=op),
        Row("G1", x, y, 18.2, f=900.0, op=op),
        Row("G1", x, end, 14.0, f=900.0, op=op),
        Row("G0", x, end, CLEAR, op=op),
    ]
    return work.with_file(f.inserted(f.of(op)[0], lines))


@fault("drilling with a down-cut bit", "drilled-with")
def drilled(rng: Random, work: Work) -> Work | None:
    """An outline or slot is entered by a plunge."""
    found = choose(
        rng,
        [
            (f, n)
            for f, n in operations(work, "outside", "inside")
            if f.bits[0].kind in ("down-cut", "compression")
        ],
    )
    if found is None:
        return None
    f, op = found
    first = cutting(f, op)[0]
    x, y, _ = starts(f)[first]
    return work.with_file(f.inserted(first, [Row("G1", x, y, 12.0, f=900.0, op=op)]))


def _inside_part(rng: Random, work: Work) -> tuple[File, float, float] | None:
    """A place in the wood of a part, off its edges."""
    from flatwright.geometry.polygon import polygon
    from flatwright.plan import placed

    sheet = rng.choice(work.plan.sheets)
    p = rng.choice(sheet.placements)
    panel = work.plan.panel(p.panel)
    loops = [placed(loop, p) for loop in (*panel.holes, *(q.outline for q in panel.pockets))]
    wood = polygon(placed(panel.outline, p)).buffer(-8)
    for loop in loops:
        wood = wood.difference(polygon(loop.ccw()).buffer(8))
    at = wood.representative_point()
    files = [f for f in work.cuts() if f.name.startswith(f"{sheet.name}.")]
    return (files[-1], at.x, at.y) if files else None


@fault("a scratch on a part's face", "unplanned-cut")
def scratch(rng: Random, work: Work) -> Work | None:
    return _stray(rng, work, TOP - 0.4)


@fault("a hole through a part", "unplanned-cut")
def hole(rng: Random, work: Work) -> Work | None:
    return _stray(rng, work, -0.4)


def _stray(rng: Random, work: Work, z: float) -> Work | None:
    found = _inside_part(rng, work)
    if found is None:
        return None
    f, x, y = found
    rows = [Row("G0", x, y, CLEAR), Row("G1", x, y, z, f=900.0), Row("G0", x, y, CLEAR)]
    return work.with_file(f.inserted(_between(rng, f), rows))


@fault("a cut in the waste", "unplanned-cut", "screw-hit")
def waste(rng: Random, work: Work) -> Work | None:
    f = rng.choice(list(work.cuts()))
    sheet = next(s for s in work.plan.sheets if f.name.startswith(f"{s.name}."))
    import shapely

    from flatwright.geometry.polygon import polygon
    from flatwright.plan import placed

    parts = shapely.union_all(
        [polygon(placed(work.plan.panel(p.panel).outline, p)) for p in sheet.placements]
    )
    free = shapely.box(5, 5, sheet.size[0] - 5, sheet.size[1] - 5).difference(parts.buffer(25))
    while not free.is_empty:
        x, y = rng.uniform(5, sheet.size[0] - 5), rng.uniform(5, sheet.size[1] - 5)
        if free.contains(shapely.Point(x, y)):
            x, y = on_sheet(work, f, x, y)
            rows = [Row("G0", x, y, CLEAR), Row("G1", x, y, 5.0, f=900.0), Row("G0", x, y, CLEAR)]
            return work.with_file(f.inserted(_between(rng, f), rows))
    return None


@fault("moved screw", "screw-hit")
def moved_screw(rng: Random, work: Work) -> Work | None:
    """A screw and its mark stand in a bit's path."""
    marks = spots(work)
    sheets = [s for s in work.plan.sheets if s.screws]
    if marks is None or not sheets:
        return None
    sheet = rng.choice(sheets)
    mine = [f for f in work.cuts() if f.name.startswith(f"{sheet.name}.")]
    f = rng.choice(mine)
    row = f.rows[rng.choice(cutting(f))]
    k = rng.randrange(len(sheet.screws))
    x, y = on_sheet(work, f, row.x, row.y)
    new = replace(sheet.screws[k], x=x, y=y)
    marks = next(m for m in work.files.values() if m.kind == "spots" and m.name.startswith(f"{sheet.name}."))
    old, x, y = on_sheet(work, marks, sheet.screws[k].x, sheet.screws[k].y), *on_sheet(work, marks, x, y)
    edited = marks.edited(lambda r: replace(r, x=x, y=y) if math.dist((r.x, r.y), old) < 1e-3 else r)
    screws = tuple(new if n == k else w for n, w in enumerate(sheet.screws))
    return replace(work.with_file(edited), plan=work.plan.with_sheet(replace(sheet, screws=screws)))


@fault("rapid over a screw head", "screw-hit")
def over_head(rng: Random, work: Work) -> Work | None:
    sheet = choose(rng, [s for s in work.plan.sheets if s.screws])
    if sheet is None:
        return None
    w = rng.choice(sheet.screws)
    f = rng.choice([f for f in work.cuts() if f.name.startswith(f"{sheet.name}.")])
    z = TOP + rng.uniform(0.6, 2.4)
    x, y = on_sheet(work, f, w.x, w.y)
    rows = [Row("G0", x + 12, y, CLEAR), Row("G0", x + 12, y, z), Row("G0", x - 12, y, z)]
    rows.append(Row("G0", x - 12, y, CLEAR))
    return work.with_file(f.inserted(_between(rng, f), rows))
