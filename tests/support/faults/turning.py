# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Faults of sheets that are turned over: the wrong way round, pins out of place, cut through too early."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from random import Random

from flatwright.plan import Sheet
from support.faults.registry import choose, cutting, fault, operations
from support.planned_work import File, Row, Work

CLEAR = 30.35
REVERSED = {"G2": "G3", "G3": "G2"}
Change = Callable[[Row, Sheet], Row]


def _sheet(work: Work) -> Sheet | None:
    return next((s for s in work.plan.sheets if s.flip is not None), None)


def _first_side(work: Work, change: Change) -> Work | None:
    """All files of the first side changed, parking left as it is."""
    sheet = _sheet(work)
    if sheet is None:
        return None
    out = work
    for f in work.files.values():
        if f.underside:
            park = len(f.operations) - 1
            out = out.with_file(f.edited(lambda r, p=park: r if r.op == p else change(r, sheet)))  # type: ignore[misc]
    return out


def _in_y(r: Row, sheet: Sheet) -> Row:
    return replace(r, g=REVERSED.get(r.g, r.g), y=sheet.size[1] - r.y, j=-r.j)


def _in_x(r: Row, sheet: Sheet) -> Row:
    return replace(r, g=REVERSED.get(r.g, r.g), x=sheet.size[0] - r.x, i=-r.i)


@fault("first side not mirrored", "pocket", "unplanned-cut", "spot-missing")
def not_mirrored(rng: Random, work: Work) -> Work | None:
    sheet = _sheet(work)
    if sheet is None or sheet.flip is None:
        return None
    return _first_side(work, _in_y if sheet.flip.axis == "x" else _in_x)


@fault("turned about the wrong axis", "pocket", "unplanned-cut", "spot-missing", "pin")
def wrong_axis(rng: Random, work: Work) -> Work | None:
    return _first_side(work, lambda r, s: _in_x(_in_y(r, s), s))


@fault("the plan turns about the other axis", "pocket", "unplanned-cut", "spot-missing", "pin")
def other_axis(rng: Random, work: Work) -> Work | None:
    sheet = _sheet(work)
    if sheet is None or sheet.flip is None:
        return None
    flip = replace(sheet.flip, axis="y" if sheet.flip.axis == "x" else "x")
    return replace(work, plan=work.plan.with_sheet(replace(sheet, flip=flip)))


def _pin(rng: Random, work: Work, change: Callable[[Row], Row]) -> Work | None:
    """The rows of one pin's hole changed."""
    found = choose(rng, operations(work, "pin"))
    sheet = _sheet(work)
    if found is None or sheet is None or sheet.flip is None:
        return None
    f, op = found
    at = rng.choice([(f.rows[k].x, f.rows[k].y) for k in cutting(f, op)])

    def moved(r: Row) -> Row:
        near = abs(r.x - at[0]) < 5.0 and abs(r.y - at[1]) < 5.0
        return change(r) if r.op == op and near else r

    return work.with_file(f.edited(moved))


@fault("a pin 1 mm beside its place", "pin")
def moved_pin(rng: Random, work: Work) -> Work | None:
    by = rng.choice([(1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0)])
    return _pin(rng, work, lambda r: replace(r, x=r.x + by[0], y=r.y + by[1]))


@fault("a pin's hole 1 mm short", "pin")
def short_pin(rng: Random, work: Work) -> Work | None:
    return _pin(rng, work, lambda r: replace(r, z=r.z + 1.0) if r.z < -4.9 else r)


@fault("a pin's hole 1 mm deeper", "overcut")
def deep_pin(rng: Random, work: Work) -> Work | None:
    return _pin(rng, work, lambda r: replace(r, z=r.z - 1.0) if r.z < -4.9 else r)


@fault("a pin's hole into the table", "table-hit")
def pin_into_table(rng: Random, work: Work) -> Work | None:
    return _pin(rng, work, lambda r: replace(r, z=r.z - 13.0) if r.z < -4.9 else r)


@fault("a planned pin without its mirror image", "pin")
def uneven_pins(rng: Random, work: Work) -> Work | None:
    sheet = _sheet(work)
    if sheet is None or sheet.flip is None:
        return None
    pins = list(sheet.flip.pins)
    k = rng.randrange(len(pins))
    pins[k] = replace(pins[k], x=pins[k].x + 0.4, y=pins[k].y + 0.4)
    flip = replace(sheet.flip, pins=tuple(pins))
    return replace(work, plan=work.plan.with_sheet(replace(sheet, flip=flip)))


@fault("a bit of the second side in a pin", "pin-hit")
def pin_hit(rng: Random, work: Work) -> Work | None:
    sheet = _sheet(work)
    second = choose(rng, [f for f in work.cuts() if not f.underside])
    if sheet is None or sheet.flip is None or second is None:
        return None
    pin = rng.choice(sheet.flip.pins)
    rows = [
        Row("G0", pin.x, pin.y, CLEAR),
        Row("G1", pin.x, pin.y, 12.0, f=900.0),
        Row("G0", pin.x, pin.y, CLEAR),
    ]
    return work.with_file(second.inserted(_end(second), rows))


@fault("an outline cut before the sheet is turned", "unplanned-cut")
def too_early(rng: Random, work: Work) -> Work | None:
    """The last row of a pocket of the first side goes on through the board, out in the waste."""
    sheet = _sheet(work)
    first = choose(rng, [f for f in work.cuts() if f.underside])
    found = choose(rng, [(f, n) for f, n in operations(work, "outside") if not f.underside])
    if sheet is None or first is None or found is None:
        return None
    f, op = found
    rows = [replace(_in_y(f.rows[k], sheet), op=-1) for k in f.of(op) if f.rows[k].g]
    return work.with_file(first.inserted(_end(first), rows))


def _end(f: File) -> int:
    """Before the parking operation."""
    return f.of(len(f.operations) - 1)[0]
