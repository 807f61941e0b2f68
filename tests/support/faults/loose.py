# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Faults of holding: parts and drops that come loose."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import shapely

from flatwright.geometry.polygon import polygon
from flatwright.plan import Sheet, placed
from support.faults.motion import _inside_part
from support.faults.registry import choose, cutting, fault, operations
from support.planned_work import File, Row, Work


def _cut_off(f: File, op: int) -> File:
    """The passes of an operation that climb over tabs go right through."""
    low = min(f.rows[k].z for k in cutting(f, op))
    return f.edited(lambda r: replace(r, z=low) if r.op == op and r.g != "G0" and low < r.z < 6.5 else r)


@fault("a drop that nothing holds", "loose-waste")
def loose_drop(rng: Random, work: Work) -> Work | None:
    """Plan and program leave out the tabs of a part's openings."""
    places = []
    for f, op in operations(work, "inside"):
        panel = f.operations[op].panel
        sheet = next(s for s in work.plan.sheets if any(p.panel == panel for p in s.placements))
        gone = _on_openings(work, sheet, panel)
        places += [(f, op, sheet, gone)] if gone else []
    found = choose(rng, places)
    if found is None:
        return None
    f, op, sheet, gone = found
    bare = replace(sheet, tabs=tuple(t for k, t in enumerate(sheet.tabs) if k not in gone))
    return replace(work.with_file(_cut_off(f, op)), plan=work.plan.with_sheet(bare))


def _on_openings(work: Work, sheet: Sheet, panel: str) -> set[int]:
    """Which tabs of a sheet stand on openings of a part that have no screw in their drop."""
    p = next(p for p in sheet.placements if p.panel == panel)
    drops = [polygon(placed(h, p).ccw()) for h in work.plan.panel(panel).holes]
    screws = shapely.MultiPoint([(s.x, s.y) for s in sheet.screws])
    return {
        k
        for k, t in enumerate(sheet.tabs)
        for d in drops
        if t.panel == panel
        and d.boundary.distance(shapely.Point(t.x, t.y)) < 0.1
        and not d.intersects(screws)
    }


def _hung_on_drop(work: Work, panel: str) -> bool:
    """Whether a part has tabs to a drop of its own, which a screw may hold."""
    sheet = next(s for s in work.plan.sheets if any(p.panel == panel for p in s.placements))
    p = next(p for p in sheet.placements if p.panel == panel)
    rims = [polygon(placed(h, p).ccw()).boundary for h in work.plan.panel(panel).holes]
    tabs = [shapely.Point(t.x, t.y) for t in sheet.tabs if t.panel == panel]
    return any(rim.distance(tab) < 0.1 for rim in rims for tab in tabs)


@fault("a part that nothing holds", "loose-part")
def loose(rng: Random, work: Work) -> Work | None:
    """Plan and program leave out a part's tabs, and its outline is run before something is cut on it."""
    places = [
        (f, n) for f, n in operations(work, "outside") if not _hung_on_drop(work, f.operations[n].panel)
    ]
    found = choose(rng, places)
    if found is None:
        return None
    f, op = found
    panel = f.operations[op].panel
    edited = _cut_off(f, op)
    sheet = next(s for s in work.plan.sheets if any(p.panel == panel for p in s.placements))
    bare = replace(sheet, tabs=tuple(t for t in sheet.tabs if t.panel != panel))
    inside = _inside_part(
        Random(1),
        replace(
            work,
            plan=work.plan.with_sheet(
                replace(bare, placements=tuple(p for p in bare.placements if p.panel == panel))
            ),
        ),
    )
    if inside is None:
        return None
    _, x, y = inside
    after = max(k for k, r in enumerate(edited.rows) if r.op == op) + 1
    rows = [
        Row("G0", x, y, 30.35, op=op),
        Row("G1", x, y, 15.0, f=900.0, op=op),
        Row("G0", x, y, 30.35, op=op),
    ]
    last = edited.rows[after - 1]
    rows.insert(0, Row("G0", last.x, last.y, 30.35, op=op))
    return replace(work.with_file(edited.inserted(after, rows)), plan=work.plan.with_sheet(bare))
