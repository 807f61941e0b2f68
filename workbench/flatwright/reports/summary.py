# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""A run in a few lines of plain text: what the command line and the demo end with."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping

from flatwright.findings import SEVERITIES, Finding
from flatwright.plan import Plan, Sheet

COLUMNS = 80
LABEL = 12


def summary_table(plan: Plan, findings: Iterable[Finding], times: Mapping[str, float]) -> str:
    """Panels, joints, sheets with yield, findings, seconds per step: lines of at most 80 characters.

    Yield is the area of the parts, holes taken off, over the area of the sheet. `times` are seconds by step.
    """
    found = list(findings)
    shapes = len({p.shape or f"\n{p.name}" for p in plan.panels})
    joints = Counter(j.kind for j in plan.joints)
    severities = Counter(f.severity for f in found)
    rows = [
        ("panels", [f"{len(plan.panels)} of {shapes} shapes"]),
        ("joints", [f"{n} {kind}" for kind, n in sorted(joints.items())] or ["none"]),
        ("reliefs", [str(len(plan.reliefs)), f"{visible_reliefs(plan):.0f} mm2 stay visible"]),
        ("sheets", [f"{len(plan.sheets)}"]),
        *((f"  {s.name}", _sheet(plan, s)) for s in plan.sheets),
        ("findings", [_counted(severities[s], s) for s in SEVERITIES]),
        ("seconds", [f"{name} {seconds:.2f}" for name, seconds in times.items()] or ["not taken"]),
        ("  together", [f"{sum(times.values()):.2f}"]),
    ]
    return "\n".join(line for label, items in rows for line in _lines(label, items)) + "\n"


def yield_of(plan: Plan, sheet: Sheet) -> float:
    """Share of the sheet that becomes parts, 0 … 1."""
    panels = (plan.panel(p.panel) for p in sheet.placements)
    area = sum(abs(p.outline.area()) - sum(abs(h.area()) for h in p.holes) for p in panels)
    return area / (sheet.size[0] * sheet.size[1])


def visible_reliefs(plan: Plan) -> float:
    """Area of all corner reliefs that shows in the assembled piece, over both faces, mm²."""
    return sum(r.visible for r in plan.reliefs)


def _sheet(plan: Plan, sheet: Sheet) -> list[str]:
    files = _counted(len(sheet.programs), "file") if sheet.programs else "refused: no programs"
    return [
        f"{sheet.board or 'no board'}, {sheet.thickness:.2f} mm",
        f"{sheet.size[0]:.0f} x {sheet.size[1]:.0f} mm",
        _counted(len(sheet.placements), "part"),
        f"yield {100.0 * yield_of(plan, sheet):.1f} %",
        _counted(len(sheet.screws), "screw"),
        *(["turned over"] if sheet.flip else []),
        files,
    ]


def _counted(n: int, what: str) -> str:
    return f"{n} {what}{'' if n == 1 else 's'}"


def _lines(label: str, items: Iterable[str]) -> list[str]:
    """The label, then the items with commas between, folded so that no line is too long."""
    width = COLUMNS - LABEL - 1
    lines = [""]
    for item in (piece for i in items for piece in _cut(i, width - 1)):
        joined = f"{lines[-1]}, {item}" if lines[-1] else item
        if len(joined) + 1 <= width:
            lines[-1] = joined
        else:
            lines[-1] += ","
            lines.append(item)
    heads = [label[: LABEL - 1], *[""] * (len(lines) - 1)]
    return [f"{head:<{LABEL}} {line}".rstrip() for head, line in zip(heads, lines, strict=True)]


def _cut(item: str, width: int) -> list[str]:
    return [item[k : k + width] for k in range(0, len(item), width)] or [""]
