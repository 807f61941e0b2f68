# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Boards that somebody chose for a panel, whatever thickness it is drawn in."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from flatwright.boards.matching import SAME_NOMINAL, Drawn, drawn_thicknesses, mm
from flatwright.boards.standards import sold_as
from flatwright.findings import Finding, UsageError, declare, finding
from flatwright.presets.fields import suggestion
from flatwright.presets.model import Board

declare(
    "warning",
    board__chosen_unknown="a board chosen by hand is not in the preset: the panel goes by its thickness",
    board__chosen_for_nothing="a board was chosen by hand for a panel that the model does not have",
)
declare("note", board__chosen="a panel is cut from a board of another thickness than drawn, as chosen")


@dataclass(frozen=True, slots=True)
class Chosen:
    """A board and the panels that it was chosen for, under the thickness that each counts as, mm:
    as drawn, or the board's nominal one where the drawing means another board."""

    board: Board
    drawn: tuple[Drawn, ...]

    @property
    def whole(self) -> Drawn:
        """All its panels under its nominal thickness."""
        return Drawn(self.board.nominal, tuple(p for one in self.drawn for p in one.panels))


def check_known(by_hand: Mapping[str, str], boards: Sequence[Board]) -> None:
    """Raise UsageError for a choice (board name by panel) that the preset's boards cannot meet."""
    names = [b.name for b in boards]
    for panel, name in by_hand.items():
        if name not in names:
            told = suggestion(name, names) or "; it has no boards"
            raise UsageError(f"the preset has no board {name}, which was chosen for {panel}{told}")


def chosen_boards(
    by_hand: Mapping[str, str], drawn: Mapping[str, float], boards: Sequence[Board]
) -> tuple[list[Chosen], list[Finding]]:
    """What `by_hand` (board name by panel name) chooses among the preset's boards, in their order.

    `drawn` is the thickness in mm by panel name. What cannot be followed is in the findings.
    """
    known = {b.name: b for b in boards}
    counts: dict[str, dict[str, float]] = {}
    findings = []
    for panel, name in by_hand.items():
        if panel not in drawn:
            findings.append(_no_panel(panel, name, drawn))
        elif name not in known:
            findings.append(_no_board(panel, name, known))
        else:
            board, thickness = known[name], drawn[panel]
            if round(abs(thickness - board.nominal), 4) > SAME_NOMINAL:
                findings.append(_other_thickness(panel, thickness, board))
                thickness = board.nominal
            counts.setdefault(name, {})[panel] = thickness
    return [Chosen(b, tuple(drawn_thicknesses(counts[b.name]))) for b in boards if b.name in counts], findings


def _no_panel(panel: str, name: str, drawn: Mapping[str, float]) -> Finding:
    return finding(
        "board.chosen-for-nothing",
        panel,
        f"{name} was chosen for {panel}, but the model has no panel of that name{suggestion(panel, drawn)}",
        "take the choice back, or give it to another panel",
    )


def _no_board(panel: str, name: str, known: Mapping[str, Board]) -> Finding:
    return finding(
        "board.chosen-unknown",
        panel,
        f"{name} was chosen for {panel}, but the preset has no such board{suggestion(name, known)}",
        "choose another board for it or add this one to the preset; until then it goes by its thickness",
        panels=[panel],
    )


def _other_thickness(panel: str, thickness: float, board: Board) -> Finding:
    return finding(
        "board.chosen",
        panel,
        f"{panel} is drawn {mm(thickness)} thick and is cut from {board.name}, sold as "
        f"{sold_as(board.nominal)}, as chosen by hand",
        "nothing to do if that is what you meant",
        panels=[panel],
    )
