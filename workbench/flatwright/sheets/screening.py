# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What no layout can mend: sheets smaller than their margins, parts larger than every sheet, a spacing
that the bit does not pass."""

from __future__ import annotations

from collections.abc import Sequence

from flatwright.findings import Finding, declare, finding
from flatwright.presets.model import Preset
from flatwright.sheets.job import LayoutJob, Part, Stock
from flatwright.sheets.prepare import QUARTERS, Batch, stock_for
from flatwright.sheets.shapes import micrometres_down, micrometres_up, shapes_of

declare(
    "error",
    layout__no_sheet="no stock sheet serves a board",
    layout__sheet_too_small="every sheet for a board is smaller than its edge margins",
    layout__part_too_large="a part fits on no sheet in any direction that its grain allows",
    layout__spacing_below_bit="the bit is wider than the gap between two parts",
)
declare(
    "warning",
    layout__sheet_unused="a stock sheet is smaller than its edge margins and was left out",
    layout__spacing_tight="the gap between parts is less than the widest bit and 1 mm",
)

SPARE = 1.0  # mm of wood that should stay beside the bit between two parts (common practice, no source)


def spacing_findings(preset: Preset) -> list[Finding]:
    """Compare the spacing with what the preset's widest bit cuts away."""
    if not preset.bits:
        return []
    bit = max(preset.bits, key=lambda b: (b.cut, -b.number))
    spacing = preset.layout.spacing
    if spacing >= bit.cut + SPARE - 1e-9:
        return []
    too_tight = spacing < bit.cut - 1e-9
    return [
        finding(
            "layout.spacing-below-bit" if too_tight else "layout.spacing-tight",
            "layout.spacing",
            f"Parts lie {spacing:g} mm apart and bit {bit.number} cuts {bit.cut:g} mm wide"
            + ("; it would cut into the next part." if too_tight else "."),
            f"Set the spacing to {bit.cut + SPARE:g} mm or more.",
        )
    ]


def screened(batch: Batch, preset: Preset) -> tuple[LayoutJob, list[Finding]]:
    """The batch's job without the sheets and parts that cannot be used, and a finding for each."""
    job = batch.job
    stock = tuple(s for s in job.stock if min(_usable(s, job.edge)) > 0)
    findings = [_sheet_too_small(s, batch, only=not stock) for s in job.stock if s not in stock]
    if not job.stock:
        findings.append(_no_sheet(batch))
    fitting = tuple(p for p in job.parts if any(fits(p, s, job.edge) for s in stock))
    if stock:
        large = [p for p in job.parts if p not in fitting]
        findings += [_part_too_large(p, stock, batch, preset) for p in large]
    kept = LayoutJob(fitting, stock, job.edge, job.spacing, job.seed, job.time, job.keep_outs)
    return kept, findings


def fits(part: Part, stock: Stock, edge: float) -> bool:
    """Whether the part, alone and in one of its turns, fits within the sheet's margins."""
    length, width = _usable(stock, edge)
    return any(s.size[0] <= length and s.size[1] <= width for s in shapes_of(part))


def _usable(stock: Stock, edge: float) -> tuple[int, int]:
    """Length and width inside the margins, µm."""
    margin = 2 * micrometres_up(edge)
    return micrometres_down(stock.length) - margin, micrometres_down(stock.width) - margin


def _no_sheet(batch: Batch) -> Finding:
    return finding(
        "layout.no-sheet",
        batch.label,
        f"The preset has no stock sheet for {batch.board}.",
        "Add a sheet to the preset's layout, or give the sheet's size.",
        panels=[p.name for p in batch.panels],
    )


def _sheet_too_small(stock: Stock, batch: Batch, only: bool) -> Finding:
    return finding(
        "layout.sheet-too-small" if only else "layout.sheet-unused",
        batch.label,
        f"A sheet of {_size(stock)} leaves nothing inside an edge margin of {batch.job.edge:g} mm.",
        "Give the sheet's true size, or a smaller edge margin.",
        panels=[p.name for p in batch.panels] if only else [],
    )


def _part_too_large(part: Part, stock: Sequence[Stock], batch: Batch, preset: Preset) -> Finding:
    edge = batch.job.edge
    largest = max(stock, key=lambda s: s.length * s.width)
    inside = [max(0.0, v - 2.0 * edge) for v in (largest.length, largest.width)]
    shape = shapes_of(part)[0]
    length, width = (v / 1000.0 for v in shape.size)
    return finding(
        "layout.part-too-large",
        part.name,
        f"It is {length:g} x {width:g} mm as its grain lies on the sheet; the usable part of the "
        f"largest sheet is {inside[0]:g} x {inside[1]:g} mm.",
        _what_would_do(part, (length, width), batch, preset),
        panels=[part.name],
    )


def _what_would_do(part: Part, size: tuple[float, float], batch: Batch, preset: Preset) -> str:
    edge = batch.job.edge
    need = f"{size[0] + 2.0 * edge:g} x {size[1] + 2.0 * edge:g} mm"
    listed = [s for s in stock_for(batch.board, preset) if fits(part, s, edge)]
    remedy = f"Use a sheet of at least {need}"
    if listed:
        best = min(listed, key=lambda s: s.length * s.width)
        remedy += f" (the preset's {_size(best)} would do)"
    across = Part(part.name, part.outer, QUARTERS, part.flipped)
    if any(fits(across, s, edge) for s in batch.job.stock):
        remedy += ", or let its grain run the other way"
    return remedy + ", or split the part."


def _size(stock: Stock) -> str:
    return f"{stock.length:g} x {stock.width:g} mm"
