# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""One sheet: its programs, its parts, its tabs and screws."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from flatwright.findings import Finding
from flatwright.plan import Plan, Sheet
from flatwright.presets.model import Preset
from flatwright.proof.compare import Worst, compare, part_finding
from flatwright.proof.direction import check_direction
from flatwright.proof.entries import check_entries
from flatwright.proof.held import check_order
from flatwright.proof.loose import check_waste
from flatwright.proof.machine import check_machine
from flatwright.proof.over import is_before, turned_over
from flatwright.proof.passes import check_passes
from flatwright.proof.pins import check_pins
from flatwright.proof.programs import Run, load
from flatwright.proof.recover import MARGIN, Recovered, recover
from flatwright.proof.removal import Maps
from flatwright.proof.screws import check_heads, check_parts, check_spots
from flatwright.proof.stickout import check_clamps, check_collet, check_length
from flatwright.proof.sweeps import Sweeps, joined
from flatwright.proof.tabs import check_tabs, kerfs
from flatwright.proof.target import Expected, Target, expected, grown, target
from flatwright.proof.underside import join, stray

BOTTOM = 0.05  # mm above the planned depth of through cuts, at which they must be open
WASTE = 1.0  # mm beside a part's kerf that a path may still run


@dataclass(frozen=True, slots=True, eq=False)
class SheetResult:
    """What came of one sheet. `parts` are those that come loose, by panel name."""

    findings: tuple[Finding, ...]
    runs: tuple[Run, ...]
    parts: Mapping[str, Recovered]
    worst: tuple[Worst, ...]
    complete: bool


def check_sheet(
    sheet: Sheet, plan: Plan, preset: Preset, texts: Mapping[str, str | bytes], smallest: float
) -> SheetResult:
    """Read the sheet's programs and judge what they leave.

    When a program cannot be read the parts are not judged: `complete` is False then.
    """
    findings: list[Finding] = []
    runs: list[Run] = []
    for program in sheet.programs:
        run, found = load(program, sheet, preset, texts)
        findings += found
        if run is not None:
            runs.append(run)
            findings += check_machine(run, sheet, preset)
            findings += [*check_length(run, sheet.thickness, preset), *check_clamps(run, preset)]
    complete = len(runs) == len(sheet.programs)
    first, second = _sides(plan, sheet, runs)
    if complete:
        spots = [r for r in (*first.runs, *second.runs) if r.program.kind == "spots"]
        findings += check_spots(spots, sheet, preset, smallest)
    findings += check_parts(sheet, second.targets)
    for side in (first, second):
        for run in side.cuts:
            findings += check_heads(run, sheet, preset)
            findings += check_collet(run, sheet.thickness, sheet.screws, preset)
        findings += check_passes(side.cuts, side.whole, sheet, preset)
        findings += check_entries(side.cuts, side.whole, side.showing(), sheet, preset)
    if not complete:
        return SheetResult(tuple(findings), tuple(runs), {}, (), False)
    findings += check_pins(first.cuts, second.cuts, sheet)
    parts, worst, found = _parts(sheet, first, second, preset)
    findings += found
    findings += _strays(sheet, second.targets, second.cuts)
    findings += [f for run in first.cuts for f in stray(run, sheet, first.targets)]
    if "vacuum" not in preset.holding.method:
        findings += check_waste(sheet, parts, second.whole, BOTTOM - preset.machine.overcut)
    return SheetResult(tuple(findings), tuple(runs), parts, worst, True)


@dataclass(frozen=True, slots=True, eq=False)
class _Side:
    """What runs while the sheet lies one way, all places on the sheet as the plan draws it."""

    runs: list[Run]
    cuts: list[Run]
    whole: Sweeps
    targets: list[Target]

    def showing(self) -> BaseGeometry:
        """Parts whose show face is up then, with their kerfs."""
        kerf = 2 * float(self.whole.radius.max()) if len(self.whole) else 0.0
        return shapely.union_all([t.outer.buffer(kerf) for t in self.targets if t.shows])


def _sides(plan: Plan, sheet: Sheet, runs: Sequence[Run]) -> tuple[_Side, _Side]:
    """What runs before the sheet is turned over (nothing if it never is), and what runs after it."""
    before = [turned_over(r, sheet) for r in runs if is_before(r, sheet)]
    after = [r for r in runs if not is_before(r, sheet)]
    return _side(plan, sheet, before, True), _side(plan, sheet, after, False)


def _side(plan: Plan, sheet: Sheet, runs: list[Run], below: bool) -> _Side:
    cuts = [r for r in runs if r.program.kind == "cut"]
    targets = [target(plan.panel(p.panel), p, sheet, below) for p in sheet.placements]
    return _Side(runs, cuts, joined([r.sweeps for r in cuts]), targets)


def _parts(
    sheet: Sheet, first: _Side, second: _Side, preset: Preset
) -> tuple[dict[str, Recovered], tuple[Worst, ...], list[Finding]]:
    """Every placed panel, recovered and compared."""
    area = shapely.box(0.0, 0.0, *sheet.size)
    through = BOTTOM + (sheet.skin or -preset.machine.overcut)
    parts: dict[str, Recovered] = {}
    worst: list[Worst] = []
    vacuum = "vacuum" in preset.holding.method
    findings: list[Finding] = []
    whole = second.whole
    widest = float(whole.radius.max()) if len(whole) else 0.0
    for t, below in zip(second.targets, first.targets, strict=True):
        around = grown(t.outer.bounds, 2 * widest + MARGIN)
        near = Maps(whole.near(around))
        e = expected(t, near.sweeps)
        part = recover(t, e, near, area, through)
        if part is None:
            findings.append(_missing(t, sheet))
            continue
        beside = kerfs(t, e)
        found, deepest = compare(part, near, beside, sheet.name, area, through)
        worst.append(deepest)
        found += check_tabs(t, beside, near, sheet.name)
        if sheet.flip is not None:
            part, more, deepest = join(part, below, Maps(first.whole.near(around)), beside, sheet.name)
            worst.append(deepest)
            found += more
        parts[t.name] = part
        findings += found
        thin = sheet.skin > 0.0 and _cut_free(t, e, near, area, sheet.skin - BOTTOM)
        if thin:
            message = f"its skin of {sheet.skin:g} mm is cut through"
            findings.append(part_finding("proof.skin-missing", t, sheet.name, message, _middle(t)))
        held = bool(t.tabs) and not any(f.code == "proof.tab-missing" for f in found)
        held = held or (sheet.skin > 0.0 and not thin)
        findings += check_direction(second.cuts, t, e, near.sweeps, preset)
        findings += check_order(second.cuts, part, near, held, sheet, through, vacuum)
    return parts, tuple(worst), findings


def _cut_free(t: Target, e: Expected, near: Maps, area: BaseGeometry, level: float) -> bool:
    """Whether the part is loose at a level already."""
    part = recover(t, e, near, area, level)
    return part is not None and part.free <= level + 1e-9


def _missing(t: Target, sheet: Sheet) -> Finding:
    return part_finding("proof.missing-part", t, sheet.name, "it is not cut out of the sheet", _middle(t))


def _middle(t: Target) -> tuple[float, float]:
    x, y = t.outer.centroid.coords[0]
    return (round(x, 1), round(y, 1))


def _strays(sheet: Sheet, targets: Sequence[Target], cuts: list[Run]) -> Iterator[Finding]:
    """Cuts that belong to no planned part."""
    for run in cuts:
        low = run.sweeps.take(run.sweeps.lowest() < sheet.thickness - 1e-3)
        if not len(low):
            continue
        reach = 2 * float(low.radius.max()) + WASTE
        allowed = shapely.union_all([t.outer.buffer(reach) for t in targets])
        shapely.prepare(allowed)
        stray = np.unique(low.motion[~shapely.covers(allowed, low.lines())])
        if len(stray):
            m = run.reading.motions[int(stray[0])]
            yield run.finding(
                "proof.unplanned-cut",
                m.line,
                f"Line {m.line} of {run.program.file} cuts at ({m.end[0]:.1f}, {m.end[1]:.1f}), "
                "where the plan has no part.",
            )
