# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The dry fit's account: as plain text for the command line, and as a page with a picture of every sheet,
to sign and to file."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from flatwright.findings import SEVERITIES, Finding
from flatwright.proof.verdict import Report
from flatwright.reports.markup import Markup, join, table, tag
from flatwright.reports.scene_map import STYLE, scene_map
from flatwright.reports.style import style

DRY_FIT_PAGE = "dry-fit.html"  # beside the operator sheet
SIGNED = ("Read by", "Date", "Signature")


def account(report: Report, findings: Sequence[Finding]) -> str:
    """The account in lines of plain text; findings are numbered as on the pictures."""
    lines = ["Read:"]
    lines += [f"  {f.name}  {f.lines} lines, {f.moves} moves, sha256 {f.sha256}" for f in report.files]
    lines += ["Checked:", *(f"  {c}" for c in report.checked)]
    lines += [f"Findings: {counted(findings)}"]
    for k, f in enumerate(findings, 1):
        lines.append(f"  {k}. {f.severity}: {f.where}: {f.message} {f.remedy} [{f.code}]")
    lines += _measured(report)
    lines += ["Not checked:", *(f"  {c}" for c in report.not_checked)]
    lines += ["Verdict:", f"  {report.verdict}"]
    return "\n".join(lines) + "\n"


def counted(findings: Sequence[Finding]) -> str:
    """How many of each severity.

    >>> counted([])
    '0 errors, 0 warnings, 0 notes'
    """
    numbers = [sum(f.severity == s for f in findings) for s in SEVERITIES]
    return ", ".join(f"{n} {s}{'' if n == 1 else 's'}" for n, s in zip(numbers, SEVERITIES, strict=True))


def _measured(report: Report) -> Iterator[str]:
    if report.deviations:
        yield "Largest deviation of each part from its plan:"
        for w in report.deviations:
            yield f"  {w.depth:.3f} mm: {w.where}"
    if report.bands:
        yield "Gaps in mm, receiver and mate, at the mean (from thickest to thinnest boards measured):"
        for b in report.bands:
            yield f"  {b}"
    if report.order:
        yield "An order of assembly:"
        yield from (f"  {k}. {step}" for k, step in enumerate(report.order, 1))


def dry_fit_page(report: Report, findings: Sequence[Finding], *, title: str, paper: str = "A4") -> str:
    """The account as one HTML file without scripts."""
    files = [[f.name, str(f.lines), str(f.moves), tag("code", f.sha256)] for f in report.files]
    rows = [[str(k), f.severity, f.where, f"{f.message} {f.remedy}"] for k, f in enumerate(findings, 1)]
    body = [
        tag("p", "Dry fit", class_="form"),
        tag("h1", title),
        tag("p", tag("b", report.verdict), class_="verdict"),
        tag("p", *(tag("span", name, class_="field") for name in SIGNED), class_="fields"),
        tag("h3", "What was read"),
        table(["File", "Lines", "Moves", "sha256"], files),
        tag("h3", f"Findings: {counted(findings)}"),
        table(["", "", "Where", "What, and what to do"], rows, class_="findings") if rows else Markup(""),
        *(_sheet(report, k) for k in range(len(report.scenes))),
        tag("h3", "What was checked"),
        tag("ul", *(tag("li", c) for c in report.checked)),
        tag("h3", "What was not checked"),
        tag("ul", *(tag("li", c) for c in report.not_checked)),
        tag("h3", "What was measured"),
        tag("pre", "\n".join(_measured(report))),
    ]
    head = tag(
        "head",
        tag("meta", charset="utf-8"),
        tag("title", f"Dry fit: {title}"),
        tag("style", style(paper) + STYLE),
    )
    return f"<!DOCTYPE html>\n{tag('html', head, tag('body', *body), lang='en')}\n"


def _sheet(report: Report, k: int) -> Markup:
    scene = report.scenes[k]
    return join([tag("h3", f"Picture of {scene.name}"), scene_map(scene)])
