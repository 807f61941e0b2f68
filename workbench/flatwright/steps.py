# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The one way through the house: from solids to programs as plain moves.

Every step takes values and returns values and findings; nothing here knows a host.
"""

from __future__ import annotations

import gc
import re
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace

from shapely.geometry.base import BaseGeometry

from flatwright.bits.both_faces import check_two_faces
from flatwright.bits.limits import limits_of
from flatwright.bits.relieved import cut_panel
from flatwright.boards.assigning import assign_boards
from flatwright.boards.batch import Batch
from flatwright.boards.readings import ReadingGroup
from flatwright.cutting.moves import SheetProgram
from flatwright.edits.by_hand import ByHand
from flatwright.edits.model import Edits
from flatwright.edits.spots import JointSpot
from flatwright.findings import Finding, UsageError
from flatwright.holding.tab_rules import TabRules
from flatwright.joints.likelihood import with_odds, with_sentences
from flatwright.joints.missing import cut_missing
from flatwright.joints.movement import movements
from flatwright.joints.piece import fit_piece, surroundings
from flatwright.joints.sag import sags
from flatwright.joints.slots import thicknesses
from flatwright.panels.edges import low_edges
from flatwright.panels.find import find_panels
from flatwright.panels.shapes import with_shape_ids
from flatwright.panels.show import with_show_faces
from flatwright.panels.solid import Solid
from flatwright.plan import Panel, Plan, Sheet
from flatwright.presets.model import Preset
from flatwright.sheet_work import SheetWork
from flatwright.sheets.layout import lay_out

Progress = Callable[[float, str], None]


@contextmanager
def collector_at_rest() -> Iterator[None]:
    """Put off the search for unreachable cycles of objects: the steps make hundreds of thousands of small
    values that stay until their end, and going through them again and again costs a tenth of the time."""
    on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if on:
            gc.enable()


@dataclass(frozen=True, slots=True)
class Options:
    """What the user may ask of one run; None leaves it to the preset.

    `boards` names a board of the preset for a panel, by the panel's name or its source's label.
    """

    sheet_size: tuple[float, float] | None = None
    engine: str = "auto"
    seed: int | None = None
    time: float | None = None
    boards: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, eq=False)
class Decision:
    """What the steps decided. `programs` and `zones` by sheet name, `batches` the boards in hand,
    `times` seconds by step, `edits` those to keep, of which some may be `lost`, `spots` what they
    call each joint of the plan, `tab_rules` what the tabs of each panel depend on."""

    plan: Plan
    programs: Mapping[str, tuple[SheetProgram, ...]]
    zones: Mapping[str, BaseGeometry]
    batches: tuple[Batch, ...]
    findings: tuple[Finding, ...]
    times: Mapping[str, float]
    edits: Edits = field(default_factory=Edits)
    lost: Edits = field(default_factory=Edits)
    spots: tuple[JointSpot | None, ...] = ()
    tab_rules: Mapping[str, TabRules] = field(default_factory=dict)


@dataclass(slots=True)
class _Clock:
    """Tells the progress and takes the time of each step."""

    progress: Progress | None
    times: dict[str, float] = field(default_factory=dict)

    def within(self, start: float, end: float) -> Progress | None:
        """A progress for a step that tells its own: its 0 to 1 becomes start to end."""
        tell = self.progress
        return None if tell is None else lambda done, text: tell(start + (end - start) * done, text)

    @contextmanager
    def step(self, name: str, done: float) -> Iterator[None]:
        if self.progress is not None:
            self.progress(done, name)
        start = time.perf_counter()
        yield
        self.times[name] = self.times.get(name, 0.0) + time.perf_counter() - start


def decide(
    solids: Sequence[Solid],
    preset: Preset,
    readings: Sequence[ReadingGroup] = (),
    options: Options | None = None,
    progress: Progress | None = None,
    edits: Edits | None = None,
    moved: Mapping[str, Sheet] | None = None,
) -> Decision:
    """All steps from solids to moves, `edits` being what was decided by hand and `moved` the sheets (by
    name) whose screws were. Raises UsageError for input that cannot be worked on."""
    options = options or Options()
    clock = _Clock(progress)
    findings: list[Finding] = []
    with clock.step("find panels", 0.05):
        drawn, found = find_panels(sorted(solids, key=lambda solid: natural(solid.label)))
        findings += found
    if not drawn:
        raise UsageError(_no_panels(findings))
    hand = ByHand(edits or Edits(), drawn, {s.source: s.object for s in solids})
    by_hand = {**hand.boards(), **_by_panel(options.boards, drawn)}
    thickness = {p.name: p.thickness for p in drawn}
    assigned, found = assign_boards(thickness, preset.boards, readings, by_hand, preset.fits.used_at)
    findings += found
    slots = thicknesses(assigned, preset.fits)
    with clock.step("fit joints", 0.10):
        whole, found = cut_missing(drawn) if hand.kept.cut_slots else (drawn, [])
        findings += found
        boarded = [replace(p, board=assigned[p.name].board) for p in hand.shown(with_show_faces(whole))]
        piece, found = fit_piece(
            boarded,
            slots,
            preset.fits,
            classes=lambda joints: hand.classes(joints, preset.fits),
            stays=hand.stays(),
        )
        piece = replace(piece, panels=tuple(hand.grained(piece.panels)))
        findings += found
    with clock.step("relieve corners", 0.25):
        corners = hand.corners(piece.panels)
        cut = [cut_panel(a, preset, corners.get(a.panel.name, ())) for a in surroundings(piece)]
        tabs = hand.tabs([c.relieved.panel for c in cut])
        findings += [*hand.told.findings, *(f for c in cut for f in c.findings)]
    bits = {c.relieved.panel.name: c.bits for c in cut}
    reliefs = tuple(r for c in cut for r in c.relieved.reliefs)
    panels = with_shape_ids([c.relieved.panel for c in cut])
    findings += limits_of(panels, bits, preset)
    batches = {a.batch.name: a.batch for a in assigned.values() if a.batch}
    findings += check_two_faces(panels, batches, preset)
    with clock.step("lay out sheets", 0.45):
        sheets, found = lay_out(
            panels,
            preset,
            sheet_size=options.sheet_size,
            engine=options.engine,
            seed=options.seed,
            time=options.time,
            progress=clock.within(0.45, 0.60),
            mating=piece.mating,
        )
        findings += found
    joints, found, unsure = with_odds(piece.joints, piece.found, panels, batches, slots, preset.fits)
    findings = [*with_sentences(findings, unsure), *found]
    findings += [*movements(joints, piece.found, panels, batches, preset.fits)]
    findings += sags(panels, piece.found, {b.name: b for b in preset.boards})
    plan = Plan(tuple(panels), joints, reliefs, sheets, tuple(b.as_planned() for b in batches.values()))
    programs: dict[str, tuple[SheetProgram, ...]] = {}
    zones: dict[str, BaseGeometry] = {}
    mating = piece.in_joints()
    rules = {p.name: TabRules(bits[p.name], tuple(low_edges(p)), mating[p.name]) for p in panels}
    for sheet in sheets:
        with clock.step("hold and cut", 0.60):
            there = (moved or {}).get(sheet.name)
            batch = batches[sheet.board or ""]
            work = SheetWork(sheet, plan, bits, rules, preset, batch, tabs, there)
            done, programs[sheet.name], zones[sheet.name], found = work.done()
        plan = plan.with_sheet(done)
        findings += found
    spots = hand.spots(plan.joints)
    lost = hand.told.lost_edits()
    boards = tuple(batches.values())
    return Decision(
        plan, programs, zones, boards, tuple(findings), clock.times, hand.kept, lost, spots, rules
    )


def _by_panel(chosen: Mapping[str, str], panels: Sequence[Panel]) -> dict[str, str]:
    """Boards chosen by hand, by panel name: a name is taken before a label that several panels share."""
    names = {p.name for p in panels}
    out: dict[str, str] = {}
    for key, board in chosen.items():
        meant = [key] if key in names else [p.name for p in panels if p.source == key]
        out.update(dict.fromkeys(meant or [key], board))
    return out


def natural(name: str) -> list[tuple[int, int, str]]:
    """A sort key by which "part 10" comes after "part 9": a model gives one plan in every file format.

    >>> sorted(["part 10", "part 9", "Part 1"], key=natural)
    ['Part 1', 'part 9', 'part 10']
    """
    pieces = re.split(r"(\d+)", name.casefold())
    return [(1, int(t), "") if t.isdigit() else (0, 0, t) for t in pieces]


def _no_panels(findings: Sequence[Finding]) -> str:
    reasons = "; ".join(f.message.rstrip(".") for f in findings[:3])
    more = f" (and {len(findings) - 3} more)" if len(findings) > 3 else ""
    return f"no solid of the model is a flat panel: {reasons}{more}"
