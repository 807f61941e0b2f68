# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The operator sheet: everything a person at the machine needs, as one HTML file to print on A4.

No scripts, no pictures from elsewhere, black and white.
"""

from __future__ import annotations

from collections.abc import Sequence

from flatwright.cutting.moves import SheetProgram
from flatwright.findings import SEVERITIES, Finding
from flatwright.plan import Panel, Plan
from flatwright.presets.model import Preset
from flatwright.reports.cautions import CAUTIONS, FIRST, NOISE_LEVELS, time_of_noise
from flatwright.reports.dry_fit_page import DRY_FIT_PAGE
from flatwright.reports.fits import boards_table, joints_table
from flatwright.reports.lengths import Lengths
from flatwright.reports.markup import Markup, join, table, tag
from flatwright.reports.setup import Setup, setup
from flatwright.reports.sheet_page import Context, sheet_page
from flatwright.reports.style import style
from flatwright.reports.summary import visible_reliefs

SEVERITY_HEADS = {
    "error": "Errors: parts will not assemble, or a program would be unsafe or is missing",
    "warning": "Warnings: safe, but not what was asked or measured",
    "note": "Notes",
}


def operator_sheet(
    plan: Plan,
    preset: Preset,
    findings: Sequence[Finding],
    *,
    title: str,
    programs: Sequence[SheetProgram] = (),
) -> str:
    """The whole HTML text.

    `programs` are the planned moves, from which the sheet says how many holes, pockets and profiles each
    file cuts.
    """
    context = Context(title, plan, preset, Lengths(tuple(preset.report.units)), programs)
    numbers = [setup(s, plan.boards, preset.holding.fasteners, preset.machine) for s in plan.sheets]
    body = [
        _head(title, preset),
        _overview(plan, numbers, context),
        boards_table(plan.boards, context.lengths),
        joints_table(plan, context.lengths, preset.fits.wanted_probability),
        _cautions(),
        _dry_fit(findings),
        _findings(findings),
        _parts(plan, context),
        *(sheet_page(s, n, findings, context) for s, n in zip(plan.sheets, numbers, strict=True)),
    ]
    head = tag(
        "head",
        tag("meta", charset="utf-8"),
        tag("meta", name="viewport", content="width=device-width, initial-scale=1"),
        tag("title", f"Operator sheet: {title}"),
        tag("style", style(preset.report.paper)),
    )
    return f"<!DOCTYPE html>\n{tag('html', head, tag('body', *body), lang='en')}\n"


def _head(title: str, preset: Preset) -> Markup:
    fields = [tag("span", name, class_="field") for name in ("Machine", "Run by", "Date")]
    return tag(
        "header",
        tag("p", "Operator sheet", class_="form"),
        tag("h1", title),
        tag("p", f"Shop preset: {preset.name}. All lengths: {' and '.join(preset.report.units)}."),
        tag("p", *fields, class_="fields"),
    )


def _overview(plan: Plan, numbers: Sequence[Setup], context: Context) -> Markup:
    refused = [s.name for s in plan.sheets if not s.programs]
    rows = []
    for sheet, n in zip(plan.sheets, numbers, strict=True):
        ready = "ready, both sides" if sheet.flip else "ready"
        state = ready if sheet.programs else tag("b", "REFUSED: do not cut")
        counts = [str(len(k)) for k in (sheet.placements, sheet.tabs, sheet.screws, sheet.programs)]
        rows.append([sheet.name, n.name, context.lengths.size(sheet.size), *counts, state])
    heads = ["Sheet", "Board", "Size", "Parts", "Tabs", "Screws", "Files", "State"]
    loud = f"Do not cut {', '.join(refused)}: no programs were written. The sheet's page says why."
    banner = tag("div", tag("p", loud, class_="loud"), class_="refused") if refused else Markup("")
    return join([banner, tag("h3", "Sheets"), table(heads, rows), _reliefs(plan)])


def _reliefs(plan: Plan) -> Markup:
    """How many corners are relieved, and how much of it shows in the end."""
    if not plan.reliefs:
        return Markup("")
    corners = "1 corner is" if len(plan.reliefs) == 1 else f"{len(plan.reliefs)} corners are"
    area = visible_reliefs(plan)
    shows = (
        f"{area:.0f} mm² of that stay visible in the assembled piece"
        if area >= 0.5
        else "nothing of it shows"
    )
    return tag("p", f"{corners} relieved for square mates; {shows}.")


def _findings(findings: Sequence[Finding]) -> Markup:
    if not findings:
        return tag("p", "Nothing was found to be wrong.")
    parts = []
    for severity in SEVERITIES:
        found = [f for f in findings if f.severity == severity]
        if found:
            rows = [[f.where, f.message, f.remedy] for f in found]
            parts.append(tag("h4", SEVERITY_HEADS[severity]))
            parts.append(table(["Where", "What", "What to do"], rows, class_="findings"))
    return join([tag("h3", "Findings"), *parts])


def _dry_fit(findings: Sequence[Finding]) -> Markup:
    """What the dry fit said, and where its account with pictures lies."""
    said = next((f for f in findings if f.code == "proof.verdict"), None)
    if said is None:
        return Markup("")
    link = tag("a", DRY_FIT_PAGE, href=DRY_FIT_PAGE)
    return join(
        [tag("h3", "Dry fit"), tag("p", said.message, " What was read and checked, with pictures: ", link)]
    )


def _cautions() -> Markup:
    items = [tag("li", tag("b", short), ". ", what) for short, what in CAUTIONS]
    levels = ["dB(A)", *(str(level) for level in NOISE_LEVELS)]
    times = ["Most per day", *(time_of_noise(level) for level in NOISE_LEVELS)]
    noise = tag(
        "table", *(tag("tr", *(tag("td", c) for c in row)) for row in (levels, times)), class_="noise"
    )
    source = "Noise without ear protection, after NIOSH (85 dB(A) for 8 h, half of it for each 3 dB more):"
    content = [tag("h3", "Cautions"), tag("p", tag("b", FIRST)), tag("ul", *items), tag("p", source), noise]
    return tag("div", *content, class_="cautions")


def _parts(plan: Plan, context: Context) -> Markup:
    """Equal parts in one row; a part without a shape id stands alone."""
    where = {p.panel: s.name for s in plan.sheets for p in s.placements}
    groups: dict[str, list[Panel]] = {}
    for panel in plan.panels:
        groups.setdefault(panel.shape or f"\n{panel.name}", []).append(panel)
    rows = []
    for alike in groups.values():
        x0, y0, x1, y1 = alike[0].outline.bounds()
        sides = sorted((x1 - x0, y1 - y0), reverse=True)
        on = list(dict.fromkeys(where.get(p.name, "no sheet") for p in alike))
        size = context.lengths.size((*sides, alike[0].thickness), 2)
        rows.append(
            [str(len(alike)), ", ".join(p.name for p in alike), size, alike[0].board or "–", ", ".join(on)]
        )
    heads = ["Pieces", "Part", "Length × width × thickness", "Board", "Sheet"]
    return join([tag("h3", "Parts, equal ones together"), table(heads, rows, class_="wide")])
