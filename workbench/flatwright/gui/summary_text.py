# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The summary of a run as rich text: what came of it, where it is, and the findings by severity.

Links: `finding:N` to what finding N is about, `show:WHAT` to the fitted panels and the like,
`folder:` to the programs, `apply:` to do it again, `forget:` to take out lost edits by hand,
`slots:` to have missing slots cut.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from html import escape
from pathlib import Path

from flatwright.findings import SEVERITIES, Finding
from flatwright.gui.colours import BY_SEVERITY, ERROR, WARNING
from flatwright.host.arranged import DRAWN, FITTED
from flatwright.plan import Plan, Sheet


@dataclass(frozen=True, slots=True)
class Now:
    """What has changed since the run: why its result is `stale` ("" if it is not), what is `wrong` by sheet
    name with screws and tabs that were moved, how many edits by hand are `lost` and can be forgotten."""

    stale: str = ""
    wrong: Mapping[str, Sequence[str]] = field(default_factory=dict)
    lost: int = 0


def summary_text(plan: Plan, findings: Sequence[Finding], folder: Path, now: Now, ink: str, pale: str) -> str:
    """The rich text; `ink` and `pale` are the colours of text and of what is less in need of being read."""
    parts = []
    if now.stale:
        parts.append(
            f'<p style="color:{WARNING}"><b>Stale: {escape(now.stale)}.</b><br>'
            f'<a href="apply:" style="color:{WARNING}">Apply Shop Rules</a> fits it again.</p>'
        )
    for name, said in now.wrong.items():
        text = "<br>".join(escape(_sentence(s)) for s in said)
        parts.append(
            f'<p style="color:{ERROR}"><b>{escape(name)} must not be cut.</b><br>{text}<br>'
            f'<a href="show:{escape(name)}" style="color:{ERROR}">Show {escape(name)}</a></p>'
        )
    joints = _count(len(plan.joints), "joint")
    parts.append(
        f"<p><b>{_count(len(plan.panels), 'panel')}, {joints}, {_count(len(plan.sheets), 'sheet')}</b><br>"
        f"Show: {_views(plan.sheets)}<br>"
        f"Programs: {_programs(plan.sheets, folder, bool(now.stale))}</p>"
    )
    if now.lost:
        forget = f'<a href="forget:">Forget {"it" if now.lost == 1 else "them"}</a>'
        are = "is" if now.lost == 1 else "are"
        parts.append(f"<p>{_count(now.lost, 'edit')} by hand {are} lost. {forget}</p>")
    if any(f.code == "joint.collision" for f in findings):
        parts.append(
            '<p>Boards are drawn through each other. <a href="slots:">Cut the slots that are missing</a></p>'
        )
    numbered = list(enumerate(findings))
    for severity in SEVERITIES:
        some = [(k, f) for k, f in numbered if f.severity == severity]
        if some:
            colour = BY_SEVERITY[severity]
            parts.append(f'<p style="color:{colour}"><b>{_count(len(some), severity)}</b></p>')
            parts += [_finding(k, f, colour, ink, pale) for k, f in some]
    if not findings:
        parts.append("<p>No findings.</p>")
    return "".join(parts)


def _finding(number: int, f: Finding, colour: str, ink: str, pale: str) -> str:
    message = escape(_sentence(f.message))
    if f.panels or f.sheet:
        message = f'<a href="finding:{number}" style="color:{ink}; text-decoration:none">{message}</a>'
    return (
        '<table width="100%" cellpadding="3" cellspacing="0"><tr>'
        f'<td width="3" bgcolor="{colour}"></td><td><b>{escape(f.where)}</b><br>{message}'
        f'<br><span style="color:{pale}">{escape(_sentence(f.remedy))}</span></td></tr></table>'
    )


def _views(sheets: Sequence[Sheet]) -> str:
    names = (DRAWN, FITTED, *(s.name for s in sheets))
    return ", ".join(f'<a href="show:{escape(name)}">{escape(name)}</a>' for name in names)


def _programs(sheets: Sequence[Sheet], folder: Path, stale: bool) -> str:
    files = sum(len(s.programs) for s in sheets)
    refused = [s.name for s in sheets if not s.programs]
    link = f'<a href="folder:">{escape(str(folder))}</a>'
    text = f"{_count(files, 'file')} in {link}" if files else "none"
    if files and stale:
        text += f'<br><span style="color:{ERROR}">Out of date: do not run them</span>'
    if refused:
        text += f'<br><span style="color:{ERROR}">Refused: {escape(", ".join(refused))}</span>'
    return text


def _sentence(text: str) -> str:
    text = text[:1].upper() + text[1:]
    return text if text[-1:] in ".?!" else f"{text}."


def _count(n: int, what: str) -> str:
    return f"{n} {what}{'' if n == 1 else 's'}"
