# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The proof: from the posted text alone, that the parts will be right and nothing will be hit."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from flatwright.boards.batch import Batch
from flatwright.findings import Finding, by_severity
from flatwright.plan import Plan, Sheet
from flatwright.presets.model import Preset
from flatwright.proof.alone import check_alone, with_faults
from flatwright.proof.assembly import assembly, cannot_assemble
from flatwright.proof.classes import specified, stocks, thicknesses
from flatwright.proof.compare import Worst
from flatwright.proof.dry_fit import DryFit, assemble
from flatwright.proof.extremes import bands, in_words, too_tight, unsure
from flatwright.proof.fibres import check_grain
from flatwright.proof.over import is_before, turned_screws
from flatwright.proof.programs import Run
from flatwright.proof.scene import Scene, faults
from flatwright.proof.sheet_check import BOTTOM, SheetResult, check_sheet
from flatwright.proof.slab import recovered
from flatwright.proof.sweeps import joined
from flatwright.proof.tab_places import check_places
from flatwright.proof.verdict import (
    ALONE,
    BOTH_SIDES,
    CHECKED,
    NOT_CHECKED,
    FileRead,
    Report,
    verdict,
    verdict_alone,
)


def prove(
    plan: Plan,
    preset: Preset,
    programs: Mapping[str, str | bytes],
    *,
    batches: Sequence[Batch],
) -> tuple[list[Finding], Report]:
    """Read the posted programs and judge them against the plan.

    `programs` are the files' contents by the names that the plan gives them (bytes, or text with
    its line ends untouched: the sha256 is taken of it); `batches` are the boards in hand: spot marks
    count from the smallest reading, and joints are tried at both extremes. Sheets without programs
    are left out and said so. Findings come errors first.
    """
    posted = [s for s in plan.sheets if s.programs]
    results = [check_sheet(s, plan, preset, programs, _smallest(s, batches)) for s in posted]
    findings: list[Finding] = [f for r in results for f in r.findings]
    parts = {name: part for r in results for name, part in r.parts.items()}
    slabs = [recovered(parts[p.name]) for p in plan.panels if p.name in parts]
    joints, wrong = specified(plan, stocks(posted, plan.boards, batches), preset.fits)
    fit = assemble(slabs, joints)
    findings += [*thicknesses(posted, batches), *wrong, *fit.findings]
    boards = {p.panel: b for s in posted for p in s.placements for b in batches if b.name == s.board}
    from_bed = preset.machine.zero == "bed"
    found = bands(fit.gaps, boards, lambda name, t: recovered(parts[name], t, from_bed=from_bed))
    findings += [*too_tight(found), *unsure(fit.gaps, boards, preset.fits.slot_spread)]
    findings += [*check_places(posted, plan.joints, slabs), *check_grain(posted, plan)]
    order = assembly(slabs, [j.panels for j in plan.joints])
    findings += [] if fit.overlaps else cannot_assemble(order)
    deviations = sorted((w for r in results for w in r.worst if w.where), key=lambda w: (-w.depth, w.where))
    worst = deviations[0] if deviations else Worst()
    runs = [run for r in results for run in r.runs]
    counts = _counts(plan, posted, runs, len(parts), fit)
    findings = by_severity(findings)
    report = Report(
        tuple(_file(run) for run in runs),
        (*CHECKED, BOTH_SIDES) if any(s.flip for s in posted) else CHECKED,
        (*_left_out(plan, results, posted, set(parts)), *NOT_CHECKED),
        counts,
        worst,
        fit.gaps,
        verdict(findings, counts, worst),
        tuple(v for s, r in zip(posted, results, strict=True) for v in _scenes(s, r, findings, preset)),
        tuple(deviations),
        in_words(found),
        tuple(str(step) for step in order.steps),
    )
    return findings, report


def _scenes(
    sheet: Sheet, result: SheetResult, findings: Sequence[Finding], preset: Preset
) -> Iterator[Scene]:
    """What pictures of the sheet show; a sheet that is turned over has one for each side, as it lies then."""
    for first in (True, False) if sheet.flip is not None else (False,):
        runs = [r for r in result.runs if is_before(r, sheet) == first]
        side = "" if sheet.flip is None else ", first side" if first else ", second side"
        whole = joined([r.sweeps for r in runs])
        yield Scene(
            f"{sheet.name}{side}",
            sheet.size,
            sheet.thickness,
            BOTTOM - preset.machine.overcut,
            whole.take(~whole.rapid),
            turned_screws(sheet) if first else sheet.screws,
            () if first else sheet.tabs,
            faults(findings, sheet.name, runs, of_parts=not first),
            preset.holding.fasteners,
            False,
            () if sheet.flip is None or first else sheet.flip.pins,
        )


def _smallest(sheet: Sheet, batches: Sequence[Batch]) -> float:
    return next((b.smallest for b in batches if b.name == sheet.board), sheet.thickness)


def _file(run: Run) -> FileRead:
    bits = tuple(sorted({b.number for b in run.bits}))
    return FileRead(run.program.file, run.sha256, run.reading.lines, len(run.reading.motions), bits)


def prove_alone(
    programs: Mapping[str, str | bytes],
    preset: Preset,
    *,
    thickness: float | None = None,
    size: tuple[float, float] | None = None,
) -> tuple[list[Finding], Report]:
    """Machine checks on programs without a plan, in running order; thickness and size of the board
    if known, mm."""
    alone = check_alone(programs, preset, thickness, size)
    findings = by_severity(alone.findings)
    files = tuple(_file(run) for run in alone.runs)
    counts = {"files": len(files), "moves": sum(f.moves for f in files)}
    said = verdict_alone(findings, files)
    scene = with_faults(alone, findings)
    return findings, Report(files, ALONE, alone.open_points, counts, Worst(), (), said, (scene,))


def _counts(
    plan: Plan, posted: Sequence[Sheet], runs: Sequence[Run], parts: int, fit: DryFit
) -> dict[str, int]:
    return {
        "sheets": len(posted),
        "files": len(runs),
        "moves": sum(len(r.reading.motions) for r in runs),
        "parts": parts,
        "tabs": sum(len(s.tabs) for s in posted),
        "screws": sum(len(s.screws) for s in posted),
        "joints": len(plan.joints),
        "gaps": len(fit.gaps),
    }


def _left_out(
    plan: Plan, results: Sequence[SheetResult], posted: Sequence[Sheet], parts: set[str]
) -> list[str]:
    """What of this plan could not be judged."""
    out = [f"{s.name}: no program was posted for it" for s in plan.sheets if not s.programs]
    out += [
        f"the parts of {s.name}: not every program could be read"
        for s, r in zip(posted, results, strict=True)
        if not r.complete
    ]
    over = [s.name for s in posted if s.flip is not None]
    if over:
        out.append(f"how exactly {', '.join(over)} lies on its pins again when it was turned over")
    missing = [p.name for p in plan.panels if p.name not in parts]
    if missing:
        out.append(f"the joints of parts that were not recovered: {', '.join(missing)}")
    return out
