# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""How likely each joint goes together, and how likely it is too loose.

Only slots over a board's thickness are a matter of chance here: boards scatter by tenths of a
millimetre in thickness, edges follow the machine. A cross-lap has two such slots; a slot may take
in several boards that are glued together.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from flatwright.boards.batch import Batch
from flatwright.boards.fit_probability import clearance_for, gap
from flatwright.findings import Finding, declare, finding
from flatwright.joints.fit import Thickness, over_boards
from flatwright.joints.model import FoundJoint
from flatwright.plan import Joint, Panel
from flatwright.presets.model import FitClass, Fits

declare("warning", fit__unlikely="joints go together less often than the preset's wanted probability")
declare("note", fit__loose="joints are too loose more often than the preset's wanted probability leaves")


@dataclass(frozen=True, slots=True)
class Odds:
    """Of one joint: P(assembles), P(too loose), and the clearance across (mm, as `across_mm` of the
    plan) at which it would assemble with the wanted probability."""

    assembles: float
    too_loose: float
    wanted: float


@dataclass(frozen=True, slots=True)
class Slot:
    """A slot over panels that lie on each other: wider than they by `over`, mm; `boards` holds the
    thickness of each as the plan has it, mm, and its batch."""

    over: float
    boards: tuple[tuple[float, Batch], ...]

    @property
    def clearance(self) -> float:
        """Over the boards as they are expected, in the air of their readings."""
        return self.over + sum(t - batch.expected for t, batch in self.boards)

    @property
    def spread(self) -> float:
        """Of the boards together: panels of a measured batch scatter each for itself, those of one
        that nobody measured are off all the same way."""
        own = [batch.spread for _, batch in self.boards if batch.measured]
        common: dict[str, float] = {}
        for _, batch in self.boards:
            if not batch.measured:
                common[batch.name] = common.get(batch.name, 0.0) + batch.spread
        return math.hypot(*own, *common.values())

    @property
    def growth(self) -> float:
        """How much thicker the boards are where they are used, mm."""
        return sum(batch.growth for _, batch in self.boards)


def slot_odds(slots: Sequence[Slot], c: FitClass, fits: Fits) -> Odds:
    """The odds of a joint with these slots, all of which have to go together.

    Boards that swell or shrink where they are used have two thicknesses: P(assembles) counts with the
    thicker one, P(too loose) with the thinner one. Slots and boards are normal (`fit_probability`).
    """
    assembles, tight, wanted = 1.0, 1.0, []
    each = fits.wanted_probability ** (1.0 / len(slots))
    for slot in slots:
        swelling, shrinking = max(0.0, slot.growth), max(0.0, -slot.growth)
        clear = slot.clearance
        assembles *= gap(clear - swelling, fits.slot_spread, 0.0, slot.spread).assembles
        tight *= 1.0 - gap(clear + shrinking, fits.slot_spread, 0.0, slot.spread).above(c.loose)
        wanted.append(clearance_for(each, fits.slot_spread, slot.spread) + swelling + slot.over - clear)
    return Odds(round(assembles, 6), round(1.0 - tight, 6) + 0.0, round(max(wanted), 6))


def with_odds(
    joints: Sequence[Joint],
    found: Sequence[FoundJoint],
    panels: Sequence[Panel],
    batches: Mapping[str, Batch],
    thickness: Mapping[str, Thickness],
    fits: Fits,
) -> tuple[tuple[Joint, ...], list[Finding], dict[str, str]]:
    """The joints with their odds in `fit`, what there is to say of them, and by the name of each board
    that nobody measured a sentence on how sure its joints are: it goes into the warning of that board.

    `found` are the same joints as recognised, `panels` those that they count, fitted; `batches` by
    board name; `thickness` by panel name. Joints without a slot over a board's thickness, or with a
    board in it that is not known, stay as they are.
    """
    by_index = {i: thickness[p.name] for i, p in enumerate(panels) if p.name in thickness}
    known = _Known(panels, batches, by_index)
    out, told = [], _Told(fits)
    for joint, recognised in zip(joints, found, strict=True):
        c = fits.classes.get(str(joint.fit.get("class")))
        slots = known.slots(recognised, c) if c is not None else []
        if c is not None and slots:
            odds = slot_odds(slots, c, fits)
            told.add(joint, slots, odds)
            joint = replace(joint, fit={**joint.fit, **_as_fit(odds)})
        out.append(joint)
    return tuple(out), told.findings(), told.of_unmeasured()


def with_sentences(findings: Sequence[Finding], sentences: Mapping[str, str]) -> list[Finding]:
    """The findings; to the warning of a board that nobody measured its sentence is added."""
    return [
        replace(f, message=f"{f.message} {sentences[f.where]}")
        if f.code == "board.unmeasured" and f.where in sentences
        else f
        for f in findings
    ]


def _as_fit(odds: Odds) -> dict[str, float | str]:
    return {
        "p_assembles": odds.assembles,
        "p_too_loose": odds.too_loose,
        "clearance_wanted_mm": odds.wanted,
    }


@dataclass(frozen=True, slots=True)
class _Known:
    """Panels, their batches by board name, and what they are fitted to by index."""

    panels: Sequence[Panel]
    batches: Mapping[str, Batch]
    thickness: Mapping[int, Thickness]

    def slots(self, joint: FoundJoint, c: FitClass) -> list[Slot]:
        """The slots of a joint, each once; none if a board in one is not known."""
        spans = dict.fromkeys(
            (cheek.a.panel, span) for cheek, span in zip(joint.cheeks, joint.spans, strict=True)
        )
        out = []
        for _, span in spans:
            inside = [(p.thickness, self.batches.get(p.board or "")) for p in (self.panels[i] for i in span)]
            boards = [(t, batch) for t, batch in inside if batch is not None]
            if len(boards) < len(span):
                return []
            out.append(Slot(over_boards(span, c, self.thickness, joint.each_way), tuple(boards)))
        return out


class _Told:
    """Joints alike in boards, class, clearance and odds, for one finding each."""

    def __init__(self, fits: Fits) -> None:
        self.fits = fits
        self.groups: dict[tuple[tuple[str, ...], str, float, Odds], list[Joint]] = {}
        self.batches: dict[str, Batch] = {}

    def add(self, joint: Joint, slots: Sequence[Slot], odds: Odds) -> None:
        """Count a joint in."""
        here = {batch.name: batch for s in slots for _, batch in s.boards}
        self.batches |= here
        key = (tuple(sorted(here)), str(joint.fit["class"]), round(float(joint.fit["across_mm"]), 4), odds)
        self.groups.setdefault(key, []).append(joint)

    def findings(self) -> list[Finding]:
        """One finding for each group that is not as likely as wanted; where a board is not measured, that
        is what is told, and not here."""
        out = []
        wanted = round(self.fits.wanted_probability, 4)
        for (boards, name, across, odds), joints in self.groups.items():
            said = _Said(boards, name, across, joints)
            if round(odds.assembles, 4) < wanted:
                if all(self.batches[b].measured for b in boards):
                    out.append(said.unlikely(odds, wanted))
            elif round(odds.too_loose, 4) > round(1.0 - wanted, 4):
                out.append(said.loose(odds.too_loose, self.fits.classes[name].loose))
        return out

    def of_unmeasured(self) -> dict[str, str]:
        """By the name of each board that is not measured, how sure its least sure joints are."""
        least: dict[str, tuple[float, str]] = {}
        wanted = round(self.fits.wanted_probability, 4)
        for (boards, name, across, odds), joints in self.groups.items():
            text = _Said(boards, name, across, joints).unsure(odds, wanted)
            for b in boards:
                if not self.batches[b].measured:
                    least[b] = min(least.get(b, (2.0, "")), (round(odds.assembles, 4), text))
        return {b: text for b, (_, text) in least.items()}


@dataclass(frozen=True, slots=True)
class _Said:
    """The words for joints alike."""

    boards: tuple[str, ...]
    name: str
    across: float
    joints: list[Joint]

    @property
    def where(self) -> str:
        return f"{' and '.join(self.boards)}, class {self.name}"

    def _counted(self) -> str:
        kinds: dict[str, int] = {}
        for j in self.joints:
            kinds[j.kind] = kinds.get(j.kind, 0) + 1
        return ", ".join(f"{n} {kind}" for kind, n in sorted(kinds.items()))

    def _panels(self) -> tuple[str, ...]:
        return tuple(dict.fromkeys(p for j in self.joints for p in j.panels))

    def unlikely(self, odds: Odds, wanted: float) -> Finding:
        """They go together too seldom."""
        return finding(
            "fit.unlikely",
            self.where,
            f"{self._counted()} over {' and '.join(self.boards)}: {self._share(odds, wanted)}",
            "give more readings, take a looser class, or let the preset cut slots for the wanted probability",
            panels=self._panels(),
        )

    def unsure(self, odds: Odds, wanted: float) -> str:
        """The same of a board that is not measured, for its warning."""
        return (
            f"The dry fit tries its joints at that one thickness; the least sure, {self._counted()} of class "
            f"{self.name}: {self._share(odds, wanted)}."
        )

    def _share(self, odds: Odds, wanted: float) -> str:
        share = (
            f"{percent(odds.assembles)} go together with a clearance of {self.across:.2f} mm, and "
            f"{percent(odds.too_loose)} are too loose"
        )
        if round(odds.assembles, 4) >= wanted:
            return share
        return f"{share}; the {percent(wanted)} that are wanted take {odds.wanted:.2f} mm"

    def loose(self, too_loose: float, limit: float) -> Finding:
        """They go together, but not tightly."""
        return finding(
            "fit.loose",
            self.where,
            f"{self._counted()} over {' and '.join(self.boards)}: {percent(too_loose)} have a gap of more "
            f"than {limit:.2f} mm, which class {self.name} calls too loose",
            "take a tighter class, give more readings, or keep boards of different thickness apart",
            panels=self._panels(),
        )


def percent(share: float) -> str:
    """`98.7 %`; what is not certain is never said to be.

    >>> percent(0.95), percent(0.99996), percent(0.00001)
    ('95 %', 'over 99.9 %', 'under 0.1 %')
    """
    if 0.999 < share < 1.0:
        return "over 99.9 %"
    if 0.0 < share < 0.001:
        return "under 0.1 %"
    return f"{round(100.0 * share, 1):g} %"
