# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What every joint's gaps must be: worked out anew from the preset's fit classes and the boards' readings.

Of the plan only which clearances a joint has, and of which class it is, are taken; what the fit made of
them is judged, on paper here and in the cut parts by `dry_fit`.
"""

from __future__ import annotations

import math
import statistics
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from flatwright.boards.batch import Batch
from flatwright.boards.fit_probability import clearance_for
from flatwright.findings import Finding, finding
from flatwright.plan import Joint, Plan, PlanBoard, Sheet
from flatwright.presets.model import FitClass, Fits
from flatwright.proof.components import components

SAME = 0.002  # mm: how near a planned clearance must be to its class's
PLACES = {"along": "along the joint", "floor": "at the floor", "wall": "at the wall"}
ANEW = "Fit the joints anew and lay out again; report the fault if it stays."


@dataclass(frozen=True, slots=True)
class Stock:
    """The board of a panel: its batch, and how much it thickens where the piece is used, mm."""

    batch: Batch
    growth: float

    @property
    def mean(self) -> float:
        """Of the readings; as drawn where there are none."""
        return statistics.fmean(self.batch.readings) if self.batch.readings else self.batch.mean

    def over(self, fits: Fits) -> float:
        """What slots are cut for, less the mean."""
        if not self.batch.readings:
            return 0.0
        more = max(0.0, self.growth)
        if fits.slot_for == "largest":
            return max(self.batch.readings) - self.mean + more
        return more + (fits.spread_factor * self.batch.spread if fits.slot_for == "spread" else 0.0)

    def clearance(self, fits: Fits, each_way: bool) -> float | None:
        """The clearance for the wanted probability, where slots are cut for one. Where both boards have
        a slot, each must go in with the root of it."""
        if fits.slot_for != "probability" or not self.batch.readings:
            return None
        wanted = fits.wanted_probability
        return clearance_for(math.sqrt(wanted) if each_way else wanted, fits.slot_spread, self.batch.spread)


def stocks(
    sheets: Sequence[Sheet], boards: Sequence[PlanBoard], batches: Sequence[Batch]
) -> dict[str, Stock]:
    """The board of every panel that is laid out, by its name."""
    growth = {b.name: b.growth for b in boards}
    known = {b.name: Stock(b, growth.get(b.name, b.growth)) for b in batches}
    return {p.panel: known[s.board] for s in sheets for p in s.placements if s.board in known}


def thicknesses(sheets: Sequence[Sheet], batches: Sequence[Batch]) -> Iterator[Finding]:
    """Sheets that are planned of another thickness than their board's readings come to."""
    for sheet in sheets:
        batch = next((b for b in batches if b.name == sheet.board and b.readings), None)
        mean = statistics.fmean(batch.readings) if batch else sheet.thickness
        if abs(sheet.thickness - mean) > SAME:
            yield finding(
                "proof.thickness",
                sheet.name,
                f"{sheet.name} is planned of {sheet.thickness:.3f} mm; the readings of {sheet.board} come to "
                f"{mean:.3f} mm.",
                ANEW,
                sheet=sheet.name,
            )


def specified(plan: Plan, known: Mapping[str, Stock], fits: Fits) -> tuple[list[Joint], list[Finding]]:
    """The joints with the clearances that their classes say, and a finding for each whose planned ones
    are others. Joints of panels whose board is not known stay as planned."""
    stacks = _stacks(plan.joints)
    joints: list[Joint] = []
    findings: list[Finding] = []
    for j in plan.joints:
        c = fits.classes.get(str(j.fit.get("class")))
        if c is None or not all(n in known for n in j.panels):
            joints.append(j)
            continue
        values = {key: _nearest(float(j.fit[key]), ways) for key, ways in _wanted(j, c, known, fits, stacks)}
        joints.append(replace(j, fit={**j.fit, **values}))
        findings += [_wrong(j, key, w) for key, w in values.items() if abs(float(j.fit[key]) - w) > SAME][:1]
    return joints, findings


def _wanted(
    j: Joint, c: FitClass, known: Mapping[str, Stock], fits: Fits, stacks: Mapping[str, tuple[str, ...]]
) -> Iterator[tuple[str, list[float]]]:
    """Every clearance that a joint has, with what it may be."""
    receiver, mate = j.panels
    each = j.kind == "cross-lap"
    for key, inside in (("across_mm", mate), ("across_other_mm", receiver)):
        if key in j.fit:
            # a slot goes over one board of a stack, or over all of it
            spans = {(inside,), stacks.get(inside, (inside,))}
            spans |= {(receiver,), (mate,)} if each else set()
            yield (
                key,
                [_over([known[n] for n in s], c, fits, each) for s in sorted(spans) if set(s) <= set(known)],
            )
    if "along_mm" in j.fit:
        yield "along_mm", [c.along]
    if "floor_mm" in j.fit:
        # the step of a rabbet takes the mate's end: half of what the mate has along it
        yield "floor_mm", [c.along / 2 if j.kind == "rabbet" else c.floor]
    if "wall_mm" in j.fit:
        yield "wall_mm", [0.0]


def _over(boards: Sequence[Stock], c: FitClass, fits: Fits, each_way: bool) -> float:
    """Width of a slot over boards that lie on each other, less their thickness together, mm."""
    given = [v for b in boards if (v := b.clearance(fits, each_way)) is not None]
    return (math.hypot(*given) if given else c.over_thickness) + sum(b.over(fits) for b in boards)


def _stacks(joints: Sequence[Joint]) -> dict[str, tuple[str, ...]]:
    """Boards that are glued face to face, by each of them."""
    glued = [j.panels for j in joints if j.kind == "face to face"]
    names = sorted({n for pair in glued for n in pair})
    index = {n: k for k, n in enumerate(names)}
    groups = components(len(names), [(index[a], index[b]) for a, b in glued])
    return {names[k]: tuple(names[i] for i in group) for group in groups for k in group}


def _nearest(value: float, ways: Sequence[float]) -> float:
    return min(ways, key=lambda w: (round(abs(w - value), 6), w))


def _wrong(j: Joint, key: str, wanted: float) -> Finding:
    where = PLACES.get(key.removesuffix("_mm"), "over the thickness")
    a, b = j.panels
    return finding(
        "proof.gap",
        f"{a} and {b}",
        f"The {j.kind} of {a} and {b} is planned with {float(j.fit[key]):.3f} mm {where}; its fit class "
        f"{j.fit['class']} and the boards' readings come to {wanted:.3f} mm.",
        ANEW,
        panels=j.panels,
    )
