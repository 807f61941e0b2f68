# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Lay panels out on as many sheets as they need."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from flatwright.findings import Finding, UsageError, declare, finding
from flatwright.geometry.arcs import Segment
from flatwright.plan import Panel, Placement, Sheet
from flatwright.presets.model import Preset
from flatwright.sheets.bound import sheets_needed
from flatwright.sheets.engines import AUTO, BUILT_IN, Task, check_name, run
from flatwright.sheets.in_drops import nested
from flatwright.sheets.job import Cancelled, Layout, LayoutJob, Progress
from flatwright.sheets.prepare import Batch, batches, hidden_show_face
from flatwright.sheets.screening import screened, spacing_findings

declare("error", layout__stock_exhausted="there are too few stock sheets for the parts")
declare("warning", layout__show_face_down="pockets force a panel's show face down")
declare("note", layout__yield="how many sheets a board batch needs and how much of them is used")


def lay_out(
    panels: Sequence[Panel],
    preset: Preset,
    *,
    sheet_size: tuple[float, float] | None = None,
    engine: str = AUTO,
    seed: int | None = None,
    time: float | None = None,
    progress: Progress | None = None,
    cancelled: Cancelled | None = None,
    mating: Mapping[str, Sequence[Segment]] | None = None,
) -> tuple[tuple[Sheet, ...], list[Finding]]:
    """Sheets with placements, and findings. Panels without a board are left out.

    `sheet_size` (length, width in mm) replaces the preset's stock, `seed` and `time` (seconds for
    each board batch, at most) its layout values. Sheets are numbered from "sheet-1" over all
    batches, thickest first, then by board name; on a sheet the placements keep the panels' order.
    `progress` gets the fraction done and what is being done, `cancelled` is asked often; `mating` are each
    panel's edges that go into joints.

    Raises UsageError for an unknown engine or values out of range, LayoutCancelled when cancelled.
    """
    _check(engine, sheet_size, time)
    todo = batches(panels, preset, sheet_size=sheet_size, seed=seed, time=time)
    findings = [*(spacing_findings(preset) if todo else []), *_hidden_faces(todo)]
    sheets: list[Sheet] = []
    done, total = 0, sum(len(b.panels) for b in todo)
    for batch in todo:
        job, wrong = screened(batch, preset)
        share = _share(progress, done / total, len(batch.panels) / total)
        whole = Task(job, batch.label, share, cancelled or (lambda: False))

        def pack(inside: LayoutJob, task: Task = whole) -> Layout:
            return run(BUILT_IN, replace(task, job=inside, progress=lambda done, what: None))[0]

        nest, told = nested(job, batch.panels, preset, mating or {}, batch.label, pack)
        layout, more = run(engine, replace(whole, job=nest.job))
        job, layout, wrong = nest.job, nest.unfolded(layout), [*wrong, *told]
        made = _sheets(batch, layout, len(sheets))
        findings += wrong + more + _left_over(batch, layout)
        if made:
            findings.append(_yield_note(batch, made, sheets_needed(job)))
        sheets += made
        done += len(batch.panels)
    return tuple(sheets), findings


def yield_of(sheet: Sheet, panels: Iterable[Panel]) -> float:
    """The fraction of the sheet's area that becomes parts (openings are not counted)."""
    names = {p.panel for p in sheet.placements}
    used = sum(net_area(p) for p in panels if p.name in names)
    return used / (sheet.size[0] * sheet.size[1])


def net_area(panel: Panel) -> float:
    """Area of a panel less its openings, mm²."""
    return abs(panel.outline.area()) - sum(abs(h.area()) for h in panel.holes)


def _check(engine: str, sheet_size: tuple[float, float] | None, time: float | None) -> None:
    check_name(engine)
    if sheet_size is not None and not all(0.0 < v < math.inf for v in sheet_size):
        raise UsageError(f"a sheet of {sheet_size[0]:g} x {sheet_size[1]:g} mm cannot be cut from")
    if time is not None and not 0.0 < time < math.inf:
        raise UsageError(f"the time for the layout must be a positive number of seconds, not {time:g}")


def _share(progress: Progress | None, start: float, part: float) -> Progress:
    """Progress of one batch as a share of the whole."""
    if progress is None:
        return lambda fraction, what: None
    return lambda fraction, what: progress(start + part * fraction, what)


def _sheets(batch: Batch, layout: Layout, first: int) -> list[Sheet]:
    flipped = {p.name: p.flipped for p in batch.job.parts}
    order = {p.name: k for k, p in enumerate(batch.job.parts)}
    spots = sorted(layout.spots, key=lambda s: order[s.part])
    return [
        Sheet(
            name=f"sheet-{first + k + 1}",
            board=batch.board,
            thickness=batch.thickness,
            size=(stock.length, stock.width),
            grain=batch.grain,
            placements=tuple(
                Placement(s.part, s.x, s.y, s.angle, flipped[s.part]) for s in spots if s.sheet == k
            ),
        )
        for k, stock in enumerate(layout.sheets)
    ]


def _hidden_faces(todo: Iterable[Batch]) -> list[Finding]:
    return [
        finding(
            "layout.show-face-down",
            p.name,
            f"Its pockets are cut from the {p.pockets[0].side} face, so its show face lies down.",
            "Use a bit that leaves the underside clean, or choose the other show face.",
            panels=[p.name],
        )
        for batch in todo
        for p in batch.panels
        if hidden_show_face(p)
    ]


def _left_over(batch: Batch, layout: Layout) -> list[Finding]:
    if not layout.left:
        return []
    names = ", ".join(layout.left)
    return [
        finding(
            "layout.stock-exhausted",
            batch.label,
            f"The stock is used up after {len(layout.sheets)} sheets; {len(layout.left)} parts have no "
            f"place: {names}.",
            "Get more sheets and raise their count in the preset, or leave parts out.",
            panels=layout.left,
        )
    ]


def _yield_note(batch: Batch, sheets: Sequence[Sheet], needed: float) -> Finding:
    total = sum(s.size[0] * s.size[1] for s in sheets)
    used = sum(yield_of(s, batch.panels) * s.size[0] * s.size[1] for s in sheets)
    count = "1 sheet" if len(sheets) == 1 else f"{len(sheets)} sheets"
    return finding(
        "layout.yield",
        batch.label,
        f"{100.0 * used / total:.0f} % of {count} becomes parts; no layout could do with fewer than "
        f"{needed:.0f}.",
        "Nothing to do.",
    )
