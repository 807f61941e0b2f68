# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Which boards a document needs, and what is known of them: what there is to measure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from flatwright.boards.assigning import assign_boards
from flatwright.boards.batch import Batch
from flatwright.boards.matching import SAME_NOMINAL, drawn_thicknesses, match, number
from flatwright.boards.readings import parse_readings
from flatwright.findings import Finding, UsageError
from flatwright.host.edited import edits
from flatwright.host.solids import read_solids
from flatwright.panels.find import find_panels
from flatwright.presets.model import Board


@dataclass(frozen=True, slots=True)
class Needed:
    """Panels drawn in one thickness (mm), the board they are cut from (None: not known), what the
    readings for it say (None: there are none), and the readings that the document keeps for it."""

    thickness: float
    panels: tuple[str, ...]
    board: str | None
    measured: Batch | None
    kept: str = ""

    def group(self, values: Sequence[str]) -> str:
        """Some readings of this board, as they are kept: `18:17.7 mm,17.75 mm`."""
        return f"{number(self.thickness)}:{','.join(values)}"


def panel_thicknesses(doc: Any, boards: Sequence[Board] = ()) -> dict[str, float]:
    """Drawn thickness in mm by the name of the panel, in the order of the tree; of a panel for which one
    of the `boards` was chosen by hand that board's nominal thickness, if the drawing means another.

    Raises UsageError when the document holds no panel.
    """
    panels, found = find_panels(read_solids(doc)[0])
    if not panels:
        reason = f": {found[0].message}" if found else ""
        raise UsageError(f"there are no flat panels in {doc.Label}{reason}")
    nominal = {b.name: b.nominal for b in boards}
    chosen = {e.panel.source: nominal[e.board] for e in edits(doc).panels if e.board in nominal}
    return {p.name: _counts_as(p.thickness, chosen.get(p.source)) for p in panels}


def _counts_as(drawn: float, nominal: float | None) -> float:
    if nominal is None or round(abs(drawn - nominal), 4) <= SAME_NOMINAL:
        return drawn
    return nominal


def needed_boards(
    drawn: dict[str, float], boards: Sequence[Board], groups: Sequence[str]
) -> tuple[list[Needed], list[Finding]]:
    """The boards that panels of these drawn thicknesses (mm by name) need, in rising order, and what
    there is to say of the readings. Raises UsageError for readings that cannot be used."""
    parsed = parse_readings(groups)
    assigned, found = assign_boards(drawn, boards, parsed)
    thicknesses = drawn_thicknesses(drawn)
    kept = {t: g.text.rpartition(":")[2] for t, g in match(parsed, thicknesses).items()}
    needed = []
    for one in thicknesses:
        board, _, batch = assigned[one.panels[0]]
        measured = batch if batch and batch.measured else None
        needed.append(Needed(one.thickness, one.panels, board, measured, kept.get(one.thickness, "")))
    return needed, found
