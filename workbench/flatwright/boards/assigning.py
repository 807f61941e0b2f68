# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Which board each panel is cut from, and how thick that board is."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from flatwright.boards.batch import Batch, measured, unmeasured
from flatwright.boards.by_hand import Chosen, chosen_boards
from flatwright.boards.climate import moisture_change, tell_moisture
from flatwright.boards.matching import (
    ONE_THICKNESS,
    SAME_NOMINAL,
    Drawn,
    drawn_thicknesses,
    listed,
    match,
    mm,
    number,
)
from flatwright.boards.readings import ReadingGroup
from flatwright.boards.standards import band, sold_as, variation_limit
from flatwright.findings import Finding, declare, finding
from flatwright.presets.model import Board, Climate

declare(
    "warning",
    board__unmeasured="a board has no readings: its panels keep the thickness as drawn",
    board__unknown="a drawn thickness has neither readings nor a board in the preset: not laid out",
    board__outside_standard="a reading lies outside what the standard allows for the nominal thickness",
)
declare(
    "note",
    board__uneven="the readings of one batch differ by more than a panel of the standard may",
    board__several="the preset has several boards of this nominal thickness: the first is taken",
)

_SHOWN = 6  # panels named in a message


class Assigned(NamedTuple):
    """A panel's board (None: not known), its thickness in mm, and the batch (None: board not known)."""

    board: str | None
    thickness: float
    batch: Batch | None


@dataclass(slots=True)
class _Board:
    """One board of the job while it is found out: its readings, and the panels cut from it."""

    name: str
    nominal: float
    readings: tuple[float, ...]
    air: Climate | None = None  # in which the readings were taken
    passed_over: tuple[str, ...] = ()
    drawn: list[Drawn] = field(default_factory=list)

    @property
    def panels(self) -> tuple[str, ...]:
        return tuple(p for one in self.drawn for p in one.panels)

    def batch(self, used_at: Climate | None) -> Batch:
        if self.readings:
            return measured(self.name, self.nominal, self.readings, moisture_change(self.air, used_at))
        nearest = min(self.drawn, key=lambda d: round(abs(d.thickness - self.nominal), 4))
        return unmeasured(self.name, self.nominal, nearest.thickness)


def assign_boards(
    drawn: Mapping[str, float],
    boards: Sequence[Board],
    groups: Sequence[ReadingGroup],
    by_hand: Mapping[str, str] | None = None,
    used_at: Climate | None = None,
) -> tuple[dict[str, Assigned], list[Finding]]:
    """(board, thickness and batch by panel name, findings), from drawn thicknesses in mm by panel name.

    One board name stands for one batch. `by_hand` names the preset's board for a panel; the others go
    by thickness. Readings given here come before a preset board's own; they belong to the boards that
    are found by thickness, and to a chosen one where no panel of that thickness is left to find; they
    count as taken in the air that the preset names for the board. `used_at` is the air of use.
    Raises UsageError for readings that fit no drawn thickness, or several, or that cannot be a board's.
    """
    chosen, findings = chosen_boards(by_hand or {}, drawn, boards)
    settled = {p for c in chosen for p in c.whole.panels}
    thicknesses = drawn_thicknesses({p: t for p, t in drawn.items() if p not in settled})
    measurable = [*thicknesses, *_of_their_own(chosen, thicknesses)]
    taken = match(groups, measurable) if measurable else {}
    free = {one.thickness for one in thicknesses}
    found, unknown = _boards_of_the_job(thicknesses, {t: g for t, g in taken.items() if t in free}, boards)
    _add_chosen(found, chosen, {t: g for t, g in taken.items() if t not in free})
    assigned = {p: Assigned(None, drawn[p], None) for one in unknown for p in one.panels}
    for board in found.values():
        batch = board.batch(used_at)
        findings.extend(_tell(board, batch))
        if batch.measured:
            findings.extend(tell_moisture(batch, board.panels, board.air, used_at))
        for one in board.drawn:
            for panel in one.panels:
                as_drawn = one.thickness if panel in settled else drawn[panel]
                assigned[panel] = Assigned(board.name, batch.mean if batch.measured else as_drawn, batch)
    findings.extend(_unknown(one) for one in unknown)
    return {panel: assigned[panel] for panel in drawn}, findings


def _of_their_own(chosen: Sequence[Chosen], thicknesses: Sequence[Drawn]) -> list[Drawn]:
    """Nominal thicknesses of chosen boards that no other panel is drawn in, each once."""
    own: dict[float, Drawn] = {}
    for c in chosen:
        nominal = c.board.nominal
        if all(round(abs(one.thickness - nominal), 4) > SAME_NOMINAL for one in thicknesses):
            own.setdefault(nominal, c.whole)
    return list(own.values())


def _add_chosen(
    found: dict[str, _Board], chosen: Sequence[Chosen], taken: Mapping[float, ReadingGroup]
) -> None:
    for c in chosen:
        group = taken.get(c.board.nominal)
        readings = c.board.readings if group is None else group.values
        new = _Board(c.board.name, c.board.nominal, readings, c.board.measured_at)
        found.setdefault(c.board.name, new).drawn.extend(c.drawn)


def _boards_of_the_job(
    thicknesses: Sequence[Drawn], taken: Mapping[float, ReadingGroup], boards: Sequence[Board]
) -> tuple[dict[str, _Board], list[Drawn]]:
    """The boards by name with their panels, and the thicknesses for which nothing is known."""
    nominal = {t: t if g.nominal is None else g.nominal for t, g in taken.items()}
    owner = _owners(nominal, boards)
    found: dict[str, _Board] = {}
    unknown = []
    for one in thicknesses:
        wanted = nominal.get(one.thickness, one.thickness)
        group = taken.get(one.thickness)
        preset = _nearest(wanted, boards)
        if group is not None and preset is not None and owner[preset.name] != wanted:
            preset = None  # other readings are of that board, so these are of another
        if group is None and preset is not None and preset.name in owner:
            group = next(taken[t] for t, n in nominal.items() if n == owner[preset.name])
        if preset is not None:
            new = _of_preset(preset, boards)
        elif group is not None:
            new = _Board(sold_as(wanted), wanted, ())
        else:
            unknown.append(one)
            continue
        new.readings = new.readings if group is None else group.values
        found.setdefault(new.name, new).drawn.append(one)
    return found, unknown


def _of_preset(board: Board, boards: Sequence[Board]) -> _Board:
    return _Board(board.name, board.nominal, board.readings, board.measured_at, _equals(board, boards))


def _owners(nominal: Mapping[float, float], boards: Sequence[Board]) -> dict[str, float]:
    """Of the nominal thicknesses that readings are given for, the one that each preset board serves."""
    owner: dict[str, float] = {}
    for wanted in sorted(nominal.values()):
        board = _nearest(wanted, boards)
        if board is None:
            continue
        best = owner.get(board.name)
        if best is None or round(abs(wanted - board.nominal), 4) < round(abs(best - board.nominal), 4):
            owner[board.name] = wanted
    return owner


def _nearest(nominal: float, boards: Sequence[Board]) -> Board | None:
    """The preset's board nearest a nominal thickness, the first of equals; None if none is that near."""
    near = [b for b in boards if round(abs(b.nominal - nominal), 4) <= SAME_NOMINAL]
    return min(near, key=lambda b: round(abs(b.nominal - nominal), 4), default=None)


def _equals(board: Board, boards: Sequence[Board]) -> tuple[str, ...]:
    """The names of other boards of the same nominal thickness."""
    same = (b for b in boards if round(abs(b.nominal - board.nominal), 4) <= ONE_THICKNESS)
    return tuple(b.name for b in same if b is not board)


def _tell(board: _Board, batch: Batch) -> Iterable[Finding]:
    """What there is to know about a board of the job."""
    if board.passed_over:
        yield finding(
            "board.several",
            board.name,
            f"the preset has more than one board of {sold_as(board.nominal)}: {board.name} is taken, "
            f"not {listed(board.passed_over)}",
            f"to use another, choose it for the panel by hand, or put it before {board.name} in the preset",
            panels=board.panels,
        )
    if batch.measured:
        yield from _doubts(batch, board.panels)
    else:
        yield _unmeasured(board)


def _unmeasured(board: _Board) -> Finding:
    limits = band(board.nominal)
    may = f"; a board sold as {sold_as(board.nominal)} may measure {limits}" if limits is not None else ""
    drawn = listed(mm(one.thickness) for one in board.drawn)
    return finding(
        "board.unmeasured",
        board.name,
        f"{board.name} has no readings: {_stay(board.panels)} as drawn, {drawn}{may}",
        f"measure the boards in hand and give the readings ({number(board.nominal)}:first,second,...)",
        panels=board.panels,
    )


def _unknown(one: Drawn) -> Finding:
    return finding(
        "board.unknown",
        mm(one.thickness),
        f"there is neither a reading nor a board in the preset for {mm(one.thickness)}: "
        f"{_stay(one.panels)} as drawn and {'is' if len(one.panels) == 1 else 'are'} not laid out",
        f"give readings ({number(one.thickness)}:first,second,...) or add such a board to the preset",
        panels=one.panels,
    )


def _doubts(batch: Batch, panels: tuple[str, ...]) -> Iterable[Finding]:
    """What is remarkable about the readings."""
    limits = band(batch.nominal)
    outside = [r for r in batch.readings if limits is not None and not limits.holds(r)]
    if outside:
        yield finding(
            "board.outside-standard",
            batch.name,
            f"{listed(f'{r:g}' for r in outside)} mm measured: a board sold as {sold_as(batch.nominal)} "
            f"measures {limits}",
            "check the readings and whether this is the board that was meant; the readings are used",
            panels=panels,
        )
    most = variation_limit(batch.nominal)
    if round(batch.largest - batch.smallest, 6) > most:
        yield finding(
            "board.uneven",
            batch.name,
            f"the readings differ by {batch.largest - batch.smallest:.2f} mm; within one sanded panel "
            f"the thickness varies by at most {most:g} mm (EN 315)",
            "measure again, and keep boards of different thickness apart",
            panels=panels,
        )


def _stay(panels: tuple[str, ...]) -> str:
    """`3 panels (a, b, c) stay`."""
    shown = ", ".join(panels[:_SHOWN])
    more = f" and {len(panels) - _SHOWN} more" if len(panels) > _SHOWN else ""
    many = len(panels) != 1
    return f"{len(panels)} panel{'s' * many} ({shown}{more}) {'stay' if many else 'stays'}"
