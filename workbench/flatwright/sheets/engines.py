# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Which engine lays a job out, and what happens when one fails: the built-in engine always answers."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from flatwright.findings import Finding, UsageError, declare, finding
from flatwright.sheets import built_in, libraries
from flatwright.sheets.bound import sheets_needed
from flatwright.sheets.job import Cancelled, Layout, LayoutJob, Progress, costs
from flatwright.sheets.verify import verify

declare(
    "warning",
    layout__library_missing="the packing library asked for is not installed; the built-in engine was used",
    layout__library_failed="a packing library found no layout; the built-in engine was used",
    layout__library_refused="a packing library's layout broke a rule; the built-in engine was used",
)

declare(
    "note", layout__library_passed_over="an installed packing library cannot do this job; it was not asked"
)

AUTO = "auto"
BUILT_IN = "built-in"
NAMES = (AUTO, BUILT_IN, *libraries.MODULES)


@dataclass(frozen=True, slots=True)
class Task:
    """A job with what a run of it needs: the name for findings, and the two ways back to the user."""

    job: LayoutJob
    where: str
    progress: Progress
    cancelled: Cancelled

    def half(self, second: bool) -> Task:
        """The same task, its progress one half of the whole."""
        start = 0.5 if second else 0.0
        return replace(self, progress=lambda done, what: self.progress(start + done / 2.0, what))


def check_name(engine: str) -> None:
    """Raises UsageError for an engine that is not known."""
    if engine not in NAMES:
        raise UsageError(f'there is no layout engine "{engine}"; choose one of {", ".join(NAMES)}')


def run(engine: str, task: Task) -> tuple[Layout, list[Finding]]:
    """A verified layout. `auto` asks a library only where the built-in engine needs more sheets than
    the area does, and then keeps the better of the two."""
    if engine == BUILT_IN:
        return _built_in(task), []
    if engine == AUTO:
        here = [n for n in libraries.MODULES if libraries.installed(n)]
        name = next((n for n in here if not libraries.cannot(n, task.job)), None)
        own = _built_in(task.half(second=False) if name else task)
        if len(own.sheets) <= sheets_needed(task.job) and not own.left:
            return own, []
        if name is None:
            return own, [_passed_over(n, task) for n in here]
        found, findings = _library(name, task.half(second=True))
        better = found is not None and score(task.job, found) < score(task.job, own)
        return (found if found is not None and better else own), findings
    found, findings = _library(engine, task)
    return (found if found is not None else _built_in(task)), findings


def score(job: LayoutJob, layout: Layout) -> tuple[int, float, int, int, float]:
    """Smaller is better: parts left over, cost, sheets, sheets to turn over, length (mm) used on the emptiest
    sheet."""
    cost = dict(zip(job.stock, costs(job.stock), strict=True))
    parts = {p.name: p for p in job.parts}
    used = [0.0] * len(layout.sheets)
    for s in layout.spots:
        bounds = parts[s.part].outer.moved((s.x, s.y), math.radians(s.angle), parts[s.part].flipped).bounds()
        sheet = layout.sheets[s.sheet]
        used[s.sheet] = max(used[s.sheet], bounds[2] if sheet.length >= sheet.width else bounds[3])
    total = round(sum(cost[s] for s in layout.sheets), 3)
    turned = len({s.sheet for s in layout.spots if parts[s.part].both_faces})
    return len(layout.left), total, len(layout.sheets), turned, round(min(used, default=0.0), 3)


def _built_in(task: Task) -> Layout:
    layout = built_in.lay_out(task.job, progress=task.progress, cancelled=task.cancelled)
    problems = verify(task.job, layout)
    if problems:
        raise AssertionError(f"the built-in layout of {task.where} is wrong: {'; '.join(problems)}")
    return layout


def _passed_over(name: str, task: Task) -> Finding:
    return finding(
        "layout.library-passed-over",
        task.where,
        f"The packing library {name} was not asked: {libraries.cannot(name, task.job)}.",
        "Nothing to do: the built-in engine's layout is used.",
    )


def _library(name: str, task: Task) -> tuple[Layout | None, list[Finding]]:
    """The best layout of the library that holds, if there is one, and why not."""
    answer = libraries.ask(name, task.job, progress=task.progress, cancelled=task.cancelled)
    if answer.missing:
        return None, [
            finding(
                "layout.library-missing",
                task.where,
                f"The packing library {name} is not installed.",
                f"Install it for this Python (pip install {name}), or choose the built-in engine.",
            )
        ]
    problems: list[str] = []
    for layout in reversed(answer.layouts):
        wrong = verify(task.job, layout)
        if not wrong and not layout.left:
            return layout, []
        problems = problems or wrong
    if problems:
        return None, [
            finding(
                "layout.library-refused",
                task.where,
                f"The layout of {name} was refused: {problems[0]}.",
                "Nothing to do: the built-in engine's layout is used.",
            )
        ]
    return None, [
        finding(
            "layout.library-failed",
            task.where,
            f"{name} found no layout: {answer.trouble or 'not every part was placed'}.",
            "Give it more time, or choose the built-in engine.",
        )
    ]
