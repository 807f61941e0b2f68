# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Faults of files, units, spindle, bits, parking, spot marks, boards and clamps."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from random import Random

from flatwright.presets.model import KeepOut
from support.faults.motion import _between
from support.faults.registry import choose, cutting, fault, operations, raw, spots
from support.planned_work import File, Row, Work


def _text(old: str, new: str, *, every: bool = False) -> Callable[[Random, Work], Work | None]:
    """The raw line that holds `old` changed, in one file."""

    def make(rng: Random, work: Work) -> Work | None:
        f = rng.choice(list(work.files.values()) if every else list(work.cuts()))
        rows = [replace(r, raw=r.raw.replace(old, new, 1)) if old in r.raw else r for r in f.rows]
        return work.with_file(f.with_rows(rows)) if tuple(rows) != f.rows else None

    return make


UNITS = (
    "outline",
    "missing-part",
    "unplanned-cut",
    "travel",
    "rapid-in-wood",
    "feed",
    "spot-missing",
    "spot-depth",
)
fault("inches for millimetres", *UNITS)(_text("G21", "G20", every=True))
fault("units not said", "assumed-state")(_text("G21 ", "", every=True))
fault("distances not said", "assumed-state")(_text("G90 ", "", every=True))
fault("another work offset", "unplaced-move")(_text("G54", "G55", every=True))
fault("spindle never started", "spindle-off")(_text("M3 S18000", "S18000"))
fault("spindle backwards", "spindle-off")(_text("M3", "M4"))
fault("spindle too fast", "spindle-speed")(_text("S18000", "S28000"))
fault("spindle too slow by a digit", "spindle-speed")(_text("S18000", "S1800"))
fault("spindle at another speed", "spindle-speed")(_text("S18000", "S12000"))
fault("spindle left on", "not-parked")(_text("M5", "", every=True))
fault("end of program missing", "reader")(_text("M2", "", every=True))
fault("block delete", "block-delete")(_text("M5", "/M5", every=True))
fault("cutter compensation", "reader")(_text("G40", "G41 D1"))
fault("another tool's length", "unplaced-move")(_text("M3 S18000", "G43 H9\nM3 S18000"))
fault("a bit that is not planned", "bit")(_text("T", "T9 M6\nT"))


@fault("another bit than planned", "bit")
def other_bit(rng: Random, work: Work) -> Work | None:
    f = rng.choice(list(work.files.values()))
    number = next(b.number for b in work.preset.bits if b.number != f.bits[0].number)
    rows = [replace(r, raw=f"T{number} M6") if r.raw.startswith("T") else r for r in f.rows]
    return work.with_file(f.with_rows(rows))


@fault("a bit thinner than planned", "bit", "outline", "hole", "pocket")
def thin_bit(rng: Random, work: Work) -> Work | None:
    """The plan says 6 mm, the shop's bit measures 5.9."""
    number = rng.choice([f.bits[0].number for f in work.cuts()])
    bits = tuple(replace(b, measured_diameter=5.9) if b.number == number else b for b in work.preset.bits)
    return replace(work, preset=replace(work.preset, bits=bits))


@fault("a bit change by hand inside a file", "bit")
def change_inside(rng: Random, work: Work) -> Work | None:
    f = rng.choice(list(work.cuts()))
    number = next(b.number for b in work.preset.bits if b.number != f.bits[0].number)
    return work.with_file(f.inserted(_between(rng, f), raw(f"T{number} M6", "M3 S18000")))


@fault("inches from the middle on", *UNITS, "screw-hit", "overcut", "hole", "pocket", "tab-missing")
def inches_later(rng: Random, work: Work) -> Work | None:
    f = rng.choice(list(work.cuts()))
    return work.with_file(f.inserted(_between(rng, f), raw("G20")))


@fault(
    "incremental from the middle on",
    "reader",
    "travel",
    "unplanned-cut",
    "missing-part",
    "outline",
    "hole",
    "pocket",
    "not-parked",
)
def incremental(rng: Random, work: Work) -> Work | None:
    f = rng.choice(list(work.cuts()))
    return work.with_file(f.inserted(_between(rng, f), raw("G91")))


@fault("truncated file", "reader")
def truncated(rng: Random, work: Work) -> Work | None:
    f = rng.choice(list(work.files.values()))
    return work.with_file(f.with_rows(f.rows[: rng.randrange(3, len(f.rows) - 1)]))


@fault("a file missing", "file-missing")
def missing(rng: Random, work: Work) -> Work | None:
    gone = rng.choice(list(work.files))
    return replace(work, files={n: f for n, f in work.files.items() if n != gone})


@fault("a file changed after posting", "file-changed")
def changed(rng: Random, work: Work) -> Work | None:
    f = rng.choice(list(work.files.values()))
    k = rng.choice([k for k, r in enumerate(f.rows) if r.g])
    r = f.rows[k]
    return replace(work.with_file(f.inserted(k, [Row(raw="(changed)")])), honest_hashes=False) if r else None


@fault("two files swapped", "bit", "spot-missing", "unplanned-cut", "missing-part", "outline", "not-parked")
def swapped(rng: Random, work: Work) -> Work | None:
    a, b = rng.sample(list(work.files.values()), 2) if len(work.files) > 1 else (None, None)
    if a is None or b is None:
        return None
    return work.with_file(a.with_rows(b.rows)).with_file(b.with_rows(a.rows))


@fault("parked elsewhere", "not-parked")
def elsewhere(rng: Random, work: Work) -> Work | None:
    f = rng.choice(list(work.files.values()))
    end = len(f.rows) - 2
    return work.with_file(f.inserted(end, [Row("G0", rng.uniform(5, 500), rng.uniform(5, 400), 30.35)]))


@fault("left low at its end", "not-parked")
def low_end(rng: Random, work: Work) -> Work | None:
    f = rng.choice(list(work.files.values()))
    return work.with_file(f.inserted(len(f.rows) - 2, [Row("G0", 0.0, 0.0, rng.uniform(18.5, 25.0))]))


@fault("machine coordinates", "unplaced-move")
def machine_coordinates(rng: Random, work: Work) -> Work | None:
    f = rng.choice(list(work.cuts()))
    return work.with_file(f.inserted(_between(rng, f), raw("G53 G0 Z0", "G0 Z30.35")))


@fault("beyond the machine's travel", "travel")
def beyond(rng: Random, work: Work) -> Work | None:
    f = rng.choice(list(work.cuts()))
    x, z = rng.choice([(-20.0, 30.35), (2600.0, 30.35), (0.0, 200.0)])
    row = Row("G0", x, 0.0, z)
    return work.with_file(f.inserted(_between(rng, f), [row, replace(row, x=0.0, z=30.35)]))


@fault("feed ten times too fast", "feed")
def fast(rng: Random, work: Work) -> Work | None:
    return _row(rng, work, lambda r: r.f > 3000, lambda r: replace(r, f=r.f * 10))


@fault("plunge at cutting feed", "feed")
def fast_plunge(rng: Random, work: Work) -> Work | None:
    return _row(rng, work, lambda r: r.f == 900.0, lambda r: replace(r, f=3600.0))


@fault("feed left out", "reader")
def no_feed(rng: Random, work: Work) -> Work | None:
    """The first feed of a file is zero."""
    f = rng.choice(list(work.cuts()))
    k = next(k for k, r in enumerate(f.rows) if r.g == "G1")
    return work.with_file(f.with_rows([*f.rows[:k], replace(f.rows[k], f=0.0), *f.rows[k + 1 :]]))


def _row(rng: Random, work: Work, fits: Callable[[Row], bool], change: Callable[[Row], Row]) -> Work | None:
    found = choose(rng, [(f, k) for f in work.cuts() for k in cutting(f, below=18.3) if fits(f.rows[k])])
    if found is None:
        return None
    f, k = found
    return work.with_file(f.with_rows([*f.rows[:k], change(f.rows[k]), *f.rows[k + 1 :]]))


def _marks(f: File) -> list[int]:
    return [k for k, r in enumerate(f.rows) if r.g == "G1" and r.z < 17.7]


def _mark(change: Callable[[Row], Row]) -> Callable[[Random, Work], Work | None]:
    def make(rng: Random, work: Work) -> Work | None:
        f = spots(work)
        if f is None:
            return None
        at = rng.choice(_marks(f))
        old = f.rows[at]
        rows = [change(r) if r.g and (r.x, r.y) == (old.x, old.y) else r for r in f.rows]
        return work.with_file(f.with_rows(rows))

    return make


fault("spot mark 1 mm beside its screw", "spot-missing", "unplanned-cut")(
    _mark(lambda r: replace(r, x=r.x + 1.0))
)
fault("spot mark 0.3 too deep", "spot-depth")(_mark(lambda r: replace(r, z=r.z - 0.3) if r.z < 17.7 else r))
fault("spot mark 0.3 too shallow", "spot-depth")(
    _mark(lambda r: replace(r, z=r.z + 0.3) if r.z < 17.7 else r)
)


@fault("spot mark missing", "spot-missing")
def no_mark(rng: Random, work: Work) -> Work | None:
    f = spots(work)
    if f is None:
        return None
    old = f.rows[rng.choice(_marks(f))]
    return work.with_file(f.with_rows([r for r in f.rows if not r.g or (r.x, r.y) != (old.x, old.y)]))


@fault("a clamp in the way", "clamp-hit")
def clamp(rng: Random, work: Work) -> Work | None:
    f = rng.choice(list(work.cuts()))
    r = f.rows[rng.choice(cutting(f))]
    stand = KeepOut("corner clamp", "clamp", (r.x - 5, r.y - 5, r.x + 5, r.y + 5), 40.0)
    machine = replace(work.preset.machine, keep_outs=(stand,))
    return replace(work, preset=replace(work.preset, machine=machine))


def _bit(work: Work, rng: Random, **values: float) -> Work:
    number = rng.choice([f.bits[0].number for f, _ in operations(work, "outside")])
    bits = tuple(replace(b, **values) if b.number == number else b for b in work.preset.bits)
    return replace(work, preset=replace(work.preset, bits=bits))


@fault("edges shorter than the board is thick", "cutting-length")
def short_bit(rng: Random, work: Work) -> Work | None:
    return _bit(work, rng, cutting_length=rng.uniform(8.0, 17.0))


@fault("the collet over a screw head", "holder-hit")
def collet(rng: Random, work: Work) -> Work | None:
    """A screw beside the outline, under a bit that stands out 18 mm."""
    sheet = work.plan.sheets[0]
    f = next((f for f, _ in operations(work, "outside") if f.name.startswith(f"{sheet.name}.")), None)
    if f is None:
        return None
    outside = {n for n, o in enumerate(f.operations) if o.kind == "outside"}
    low = [f.rows[k] for k in cutting(f, below=0.0)]
    row = rng.choice([r for r in low if r.op in outside])
    screws = (*sheet.screws, replace(sheet.screws[0], x=row.x + 14.0, y=row.y)) if sheet.screws else ()
    if not screws:
        return None
    spoilt = replace(work, plan=work.plan.with_sheet(replace(sheet, screws=screws)))
    return _bit(spoilt, rng, stick_out=18.0)
