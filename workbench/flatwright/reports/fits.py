# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The boards as they measure, and how the joints fit them: two tables of the operator sheet."""

from __future__ import annotations

from collections.abc import Sequence

from flatwright.boards.batch import ENOUGH_READINGS, SPREAD_FLOOR
from flatwright.joints.likelihood import percent
from flatwright.plan import Joint, Plan, PlanBoard
from flatwright.reports.lengths import Lengths
from flatwright.reports.markup import Markup, join, table, tag

NONE = "–"
UNCERTAIN = (
    "s: standard deviation of the readings. ±: with 95 % confidence the true mean lies within it. Few "
    f"readings may miss a board's scatter: for fewer than {ENOUGH_READINGS} the fit counts with at least "
)
ODDS = (
    "Clearances are totals, both sides together. Goes together: how many of 100 such joints do, boards and "
    "machine scattering as they do; the last column is the clearance over the board that would reach "
)


def boards_table(boards: Sequence[PlanBoard], lengths: Lengths) -> Markup:
    """What the readings of each board come to."""
    moves = any(b.growth for b in boards)
    heads = ["Board", "Sold as", f"Readings, {lengths.units[0]}", "Mean", "± (95 %)", "s"]
    heads += ["Smallest to largest", *(["Where it is used"] if moves else [])]
    rows = [_board(b, lengths)[: len(heads)] for b in boards]
    several = any(b.deviation is not None for b in boards)
    told = [tag("p", f"{UNCERTAIN}{lengths.says(SPREAD_FLOOR)}.", class_="legend")] if several else []
    return join([tag("h3", "Boards, as measured"), table(heads, rows, class_="boards"), *told])


def _board(b: PlanBoard, lengths: Lengths) -> list[str]:
    sold = lengths.says(b.nominal)
    if not b.measured:
        return [b.name, sold, tag("b", "not measured"), *[NONE] * 5]
    return [
        b.name,
        sold,
        ", ".join(lengths.cells(r)[0] for r in b.readings),
        lengths.says(b.mean),
        *(NONE if v is None else lengths.fine(v) for v in (b.uncertainty, b.deviation)),
        f"{lengths.says(min(b.readings))} to {lengths.says(max(b.readings))}",
        _where_used(b.growth, lengths),
    ]


def _where_used(growth: float, lengths: Lengths) -> str:
    if growth == 0.0:
        return "the same"
    return f"{lengths.says(abs(growth))} {'thicker' if growth > 0 else 'thinner'}"


def joints_table(plan: Plan, lengths: Lengths, wanted: float) -> Markup:
    """Joints alike in one row: clearances and how likely they are; `wanted` is a share of 1."""
    rows: dict[tuple[str, ...], int] = {}
    for joint in plan.joints:
        if "class" in joint.fit:
            row = _joint(joint, plan, lengths)
            rows[row] = rows.get(row, 0) + 1
    if not rows:
        return Markup("")
    heads = ["", "Joint", "Over", "Class", "Over the board", "Along", "To the floor", "Goes together"]
    heads += ["Too loose", f"For {percent(wanted)}"]
    lines = [[str(count), *row] for row, count in rows.items()]
    told = tag("p", f"{ODDS}{percent(wanted)}.", class_="legend")
    return join([tag("h3", "Joints, as they fit"), table(heads, lines, class_="joints"), told])


def _joint(joint: Joint, plan: Plan, lengths: Lengths) -> tuple[str, ...]:
    fit = joint.fit
    board = plan.panel(joint.panels[1]).board or NONE
    lengths_of = (_length(fit.get(key), lengths) for key in ("across_mm", "along_mm", "floor_mm"))
    odds = (_share(fit.get(key)) for key in ("p_assembles", "p_too_loose"))
    wanted = _length(fit.get("clearance_wanted_mm"), lengths)
    return (joint.kind, board, str(fit["class"]), *lengths_of, *odds, wanted)


def _length(value: float | str | None, lengths: Lengths) -> str:
    return lengths.says(value) if isinstance(value, int | float) else NONE


def _share(value: float | str | None) -> str:
    return percent(value) if isinstance(value, int | float) else NONE
