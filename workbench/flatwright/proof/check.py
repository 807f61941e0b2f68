# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The proof: from the posted text alone, that the parts will be right and nothing will be hit."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from flatwright.findings import Finding, by_severity
from flatwright.plan import Plan, Sheet
from flatwright.presets.model import Preset
from flatwright.proof.compare import Worst
from flatwright.proof.dry_fit import DryFit, assemble
from flatwright.proof.programs import Run
from flatwright.proof.sheet_check import SheetResult, check_sheet
from flatwright.proof.slab import recovered
from flatwright.proof.verdict import CHECKED, NOT_CHECKED, FileRead, Report, verdict


def prove(
    plan: Plan,
    preset: Preset,
    programs: Mapping[str, str | bytes],
    *,
    smallest: Mapping[str, float],
) -> tuple[list[Finding], Report]:
    """Read the posted programs and judge them against the plan.

    `programs` are the files' contents by the names that the plan gives them (bytes, or text with
    its line ends untouched: the sha256 is taken of it); `smallest` is the smallest thickness by
    board name, mm, from which spot marks count. Sheets without programs are left out and said so.
    Findings come errors first.
    """
    posted = [s for s in plan.sheets if s.programs]
    results = [check_sheet(s, plan, preset, programs, _smallest(s, smallest)) for s in posted]
    findings = [f for r in results for f in r.findings]
    parts = {name: part for r in results for name, part in r.parts.items()}
    slabs = [recovered(parts[p.name]) for p in plan.panels if p.name in parts]
    fit = assemble(slabs, plan.joints)
    findings += fit.findings
    worst = max((r.worst for r in results), key=lambda w: w.depth, default=Worst())
    runs = [run for r in results for run in r.runs]
    counts = _counts(plan, posted, runs, len(parts), fit)
    report = Report(
        tuple(_file(run) for run in runs),
        CHECKED,
        (*_left_out(plan, results, posted, set(parts)), *NOT_CHECKED),
        counts,
        worst,
        fit.gaps,
        verdict(findings, counts, worst),
    )
    return by_severity(findings), report


def _smallest(sheet: Sheet, smallest: Mapping[str, float]) -> float:
    return smallest.get(sheet.board, sheet.thickness) if sheet.board is not None else sheet.thickness


def _file(run: Run) -> FileRead:
    bits = tuple(sorted({b.number for b in run.bits}))
    return FileRead(run.program.file, run.sha256, run.reading.lines, len(run.reading.motions), bits)


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
    missing = [p.name for p in plan.panels if p.name not in parts]
    if missing:
        out.append(f"the joints of parts that were not recovered: {', '.join(missing)}")
    return out
