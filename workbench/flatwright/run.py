# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""One run on an open document: solids in, fitted model, jobs, posted programs, proof and papers out."""

from __future__ import annotations

import hashlib
import json
import time
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from flatwright.boards.readings import ReadingGroup
from flatwright.checking import PRESET_BESIDE
from flatwright.cutting.moves import SheetProgram
from flatwright.edits.model import Edits
from flatwright.edits.turning import turned_like
from flatwright.findings import Finding, by_severity, finding, has_errors, merged
from flatwright.plan import Plan, Program, ProgramBit, Sheet
from flatwright.plan_json import to_json
from flatwright.presets.model import Preset
from flatwright.proof.check import prove
from flatwright.proof.verdict import Report
from flatwright.reports.dry_fit_page import DRY_FIT_PAGE, dry_fit_page
from flatwright.reports.operator_sheet import operator_sheet
from flatwright.steps import Decision, Options, Progress, collector_at_rest, decide


@dataclass(frozen=True, slots=True, eq=False)
class Result:
    """What a run made: the plan with its programs, all findings by severity, seconds by step, and where."""

    plan: Plan
    findings: tuple[Finding, ...]
    times: Mapping[str, float]
    folder: Path

    @property
    def refused(self) -> bool:
        """True when an error stands in the way of at least one program."""
        return has_errors(self.findings)


class Run:
    """`rules` is the preset's text and `readings` what was typed, both kept in the document; `folder` is
    where the files will lie, `staging` where they are written first; `edits` by hand come on top of
    those that the document keeps; `told` was found before. The caller holds the transaction."""

    def __init__(
        self, doc: Any, preset: Preset, rules: str, readings: Sequence[str], folder: Path, staging: Path,
        progress: Progress | None, edits: Edits | None = None, told: Sequence[Finding] = (),
    ) -> None:  # fmt: skip
        self.doc, self.preset, self.rules = doc, preset, rules
        self.readings, self.folder, self.staging = readings, folder, staging
        self.progress = progress
        self.edits = edits or Edits()
        self.told = tuple(told)
        self.times: dict[str, float] = {}
        self.proof: tuple[Report, tuple[Finding, ...]] | None = None

    def go(
        self,
        groups: Sequence[ReadingGroup],
        options: Options,
        times: Mapping[str, float] | None = None,
    ) -> Result:
        """Everything from reading the solids to the papers; `times` are seconds spent before."""
        from flatwright.host import arranged, edited, moved, remembered, tabs, tree
        from flatwright.host.solids import read_solids

        self.times = dict(times or {})
        with collector_at_rest():
            solids, more = self._timed("read solids", 0.0, lambda: read_solids(self.doc))
            kept = edited.edits(self.doc)
            edits = kept.under(turned_like(self.edits, kept.poses))
            by_hand = moved.moved_screws(self.doc)
            decision = decide(solids, self.preset, groups, options, self.progress, edits, by_hand)
        self.times |= decision.times
        findings = [*self.told, *more, *decision.findings]
        made_of = tree.tops(self.doc)
        arranged.show_only(self.doc, arranged.DRAWN)  # an earlier result, which knows what it hides, goes
        plan, findings = self._into_document(decision, findings)
        ordered = tuple(by_severity(merged(findings)))
        names = {s.source: s.object for s in solids}
        boards = [b.name for b in self.preset.boards]
        edited.remember_edits(self.doc, decision.edits, decision.lost, decision.spots, names, boards)
        if decision.edits.tabs:
            tabs.look_again(self.doc)
        remembered.remember_run(self.doc, ordered, made_of)
        arranged.show_only(self.doc, arranged.FITTED)
        self._papers(plan, ordered, decision)
        return Result(plan, ordered, dict(self.times), self.folder)

    def save_document(self) -> None:
        """Save the document, as it is now, as fitted.FCStd."""
        from flatwright.host.session import save_copy

        save_copy(self.doc, self.staging / "fitted.FCStd")

    # -- into the document ----------------------------------------------------------------

    def _into_document(self, decision: Decision, findings: list[Finding]) -> tuple[Plan, list[Finding]]:
        from flatwright.host import model, result
        from flatwright.host.cam_job import refuse_jobs

        record = model.Record(self.rules, "\n".join(self.readings), str(self.folder))
        _, more = self._timed(
            "write the model",
            0.70,
            lambda: model.write_model(
                self.doc, decision.plan, self.preset, record, decision.zones, decision.tab_rules
            ),
        )
        findings = [*findings, *more]
        jobs: dict[str, list[Any]] = {}
        texts: dict[str, str] = {}
        plan = decision.plan
        for sheet in plan.sheets:
            programs = decision.programs[sheet.name]
            reason = refusal(sheet, findings)
            jobs[sheet.name] = self._timed(
                "make CAM jobs",
                0.75,
                lambda s=sheet, p=programs, r=reason: self._jobs(s, p, r),  # type: ignore[misc]
            )
            result.add_jobs(self.doc, sheet.name, jobs[sheet.name])
            if reason is None and programs:
                posted, files = self._posted(sheet, programs, jobs[sheet.name])
                plan = plan.with_sheet(posted)
                texts |= files
        proved = self._timed("dry fit", 0.90, lambda: self._proof(plan, texts, decision))
        findings = [*findings, *not_told_yet(proved, findings)]
        for sheet in plan.sheets:
            reason = refusal(sheet, findings)
            if reason is not None and sheet.programs:
                refuse_jobs(jobs[sheet.name], reason)
                plan = plan.with_sheet(replace(sheet, programs=()))
        self._keep(plan, texts)
        result.store_plan(self.doc, plan)
        return plan, findings

    def _jobs(self, sheet: Sheet, programs: Sequence[SheetProgram], refused: str | None) -> list[Any]:
        """The jobs of a sheet's programs, each with the parts as they lie while it runs."""
        from flatwright.host import result
        from flatwright.host.cam_job import make_jobs

        jobs: list[Any] = []
        folder = str(self.folder / "sheets")
        for underside in (True, False):
            mine = [p for p in programs if p.underside == underside]
            if mine:
                parts = result.laid_parts(self.doc, sheet.name, underside)
                jobs += make_jobs(
                    self.doc, sheet, mine, self.preset,
                    model_objects=[parts], refused=refused, folder=folder,
                )  # fmt: skip
        return jobs

    def _posted(
        self, sheet: Sheet, programs: Sequence[Any], jobs: Sequence[Any]
    ) -> tuple[Sheet, dict[str, str]]:
        """The sheet with its programs, and their texts by file name."""
        from flatwright.host.posts import post_job

        texts: dict[str, str] = {}
        made = []
        for program, job in zip(programs, jobs, strict=True):
            name = f"sheets/{program.stem}.nc"
            path = self.staging / name
            path.parent.mkdir(exist_ok=True)
            texts[name] = self._timed("post", 0.85, lambda j=job, p=path: post_job(j, p))  # type: ignore[misc]
            bits = tuple(
                ProgramBit(b.number, b.kind, b.cut) for b in (self.preset.bit(n) for n in program.bits)
            )
            digest = hashlib.sha256(path.read_bytes()).hexdigest()
            made.append(Program(program.kind, name, digest, bits, program.underside))
        return replace(sheet, programs=tuple(made)), texts

    def _proof(self, plan: Plan, texts: Mapping[str, str], decision: Decision) -> list[Finding]:
        found, report = prove(plan, self.preset, texts, batches=decision.batches)
        self.proof = (report, tuple(found))
        if report.files:
            left = f"Not checked: {'; '.join(report.not_checked)}."
            found.append(finding("proof.verdict", "dry fit", report.verdict, left))
        return found

    def _keep(self, plan: Plan, texts: Mapping[str, str]) -> None:
        """Remove posted files of sheets that were refused after all."""
        wanted = {p.file for s in plan.sheets for p in s.programs}
        for name in texts:
            if name not in wanted:
                (self.staging / name).unlink()

    # -- papers ---------------------------------------------------------------------------

    def _papers(self, plan: Plan, findings: Sequence[Finding], decision: Decision) -> None:
        from flatwright.host.step import write_step

        _write_json(self.staging / "plan.json", to_json(plan))
        _write_json(self.staging / "findings.json", [f.as_json() for f in findings])
        (self.staging / PRESET_BESIDE).write_text(self.rules, encoding="utf-8")
        if self.proof is not None:
            proved = dry_fit_page(*self.proof, title=self.doc.Label, paper=self.preset.report.paper)
            (self.staging / DRY_FIT_PAGE).write_text(proved, encoding="utf-8")
        programs = [p for s in plan.sheets for p in decision.programs[s.name]]
        page = operator_sheet(plan, self.preset, findings, title=self.doc.Label, programs=programs)
        (self.staging / "operator-sheet.html").write_text(page, encoding="utf-8")
        self._timed("write STEP", 0.95, lambda: write_step(plan.panels, self.staging / "fitted.step"))

    def _timed(self, name: str, done: float, work: Callable[[], Any]) -> Any:
        if self.progress is not None:
            self.progress(done, name)
        start = time.perf_counter()
        out = work()
        self.times[name] = self.times.get(name, 0.0) + time.perf_counter() - start
        return out


def refusal(sheet: Sheet, findings: Iterable[Finding]) -> str | None:
    """Why no program of a sheet may be posted, or None: the errors that touch it.

    An error that names neither a sheet nor panels touches every sheet.
    """
    here = {p.panel for p in sheet.placements}
    reasons = [
        f.message
        for f in findings
        if f.severity == "error"
        and (f.sheet == sheet.name or here & set(f.panels) or (f.sheet is None and not f.panels))
    ]
    if not reasons:
        return None
    more = f" (and {len(reasons) - 1} more)" if len(reasons) > 1 else ""
    return reasons[0] + more


def not_told_yet(proved: Iterable[Finding], told: Iterable[Finding]) -> list[Finding]:
    """What the dry fit found, without the boards that nobody measured if the plan has named them: that is
    one matter, and one warning. The dry fit's own account keeps its own."""
    named = {f.where for f in told if f.code == "board.unmeasured"}
    return [f for f in proved if f.code != "proof.unmeasured" or f.where not in named]


def _write_json(path: Path, value: Any) -> None:
    path.write_text(json.dumps(value, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")
