# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Which readings are for which drawn thickness."""

from __future__ import annotations

import statistics
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from flatwright.boards.readings import ReadingGroup, check_plausible
from flatwright.boards.standards import sold_as
from flatwright.findings import UsageError

ONE_THICKNESS = 0.05  # mm: drawn thicknesses no farther apart are one
SAME_NOMINAL = 0.3  # mm: a drawn thickness this near a nominal one means that board
WINDOW_SHARE, WINDOW_MM = 0.08, 0.6  # readings without a nominal reach this far, whichever is more


@dataclass(frozen=True, slots=True)
class Drawn:
    """Panels drawn in one thickness."""

    thickness: float
    panels: tuple[str, ...]


def drawn_thicknesses(drawn: Mapping[str, float]) -> list[Drawn]:
    """The drawn thicknesses in rising order; equal ones together under their median."""
    out: list[list[str]] = []
    for panel in sorted(drawn, key=lambda p: round(drawn[p], 4)):
        if out and round(drawn[panel] - drawn[out[-1][0]], 4) <= ONE_THICKNESS:
            out[-1].append(panel)
        else:
            out.append([panel])
    order = list(drawn)
    return [
        Drawn(
            round(statistics.median_low([drawn[p] for p in panels]), 4),
            tuple(sorted(panels, key=order.index)),
        )
        for panels in out
    ]


def match(groups: Sequence[ReadingGroup], thicknesses: Sequence[Drawn]) -> dict[float, ReadingGroup]:
    """The readings for each drawn thickness that has some."""
    taken: dict[float, ReadingGroup] = {}
    for group in groups:
        for one in _meant(group, groups, thicknesses):
            if one.thickness in taken:
                raise UsageError(
                    f'"{taken[one.thickness].text}" and "{group.text}" are both readings for '
                    f"{mm(one.thickness)}; give all readings of one thickness together"
                )
            if group.nominal is None:
                check_plausible(group, one.thickness)
            taken[one.thickness] = group
    return taken


def _meant(group: ReadingGroup, groups: Sequence[ReadingGroup], thicknesses: Sequence[Drawn]) -> list[Drawn]:
    """The drawn thicknesses that a group is for: exactly one if it names no nominal."""
    if group.nominal is not None:
        return _named(group, group.nominal, groups, thicknesses)
    near = [
        d
        for d in thicknesses
        if round(abs(group.mean - d.thickness), 6) <= max(WINDOW_SHARE * d.thickness, WINDOW_MM)
    ]
    if not near:
        raise UsageError(_fits_nothing(group, thicknesses))
    if len(near) > 1:
        raise UsageError(
            f'the readings "{group.text}" may be for {listed(mm(d.thickness) for d in near)}; '
            f"say which with NOMINAL: before them, as in {near[0].thickness:g}:{group.text}"
        )
    return near


def _named(
    group: ReadingGroup, nominal: float, groups: Sequence[ReadingGroup], thicknesses: Sequence[Drawn]
) -> list[Drawn]:
    """Every drawn thickness near the nominal that no other group names more closely."""
    others = [g.nominal for g in groups if g.nominal is not None]

    def closest(d: Drawn) -> bool:
        here = round(abs(d.thickness - nominal), 4)
        return here <= SAME_NOMINAL and all(here <= round(abs(d.thickness - n), 4) for n in others)

    meant = [d for d in thicknesses if closest(d)]
    if not meant:
        raise UsageError(
            f'the readings "{group.text}" are for {sold_as(nominal)}, but no panel is drawn that thick; '
            f"drawn are {listed(mm(d.thickness) for d in thicknesses)}"
        )
    return meant


def _fits_nothing(group: ReadingGroup, thicknesses: Sequence[Drawn]) -> str:
    drawn = listed(mm(d.thickness) for d in thicknesses)
    in_inches = any(abs(group.mean * 25.4 - d.thickness) <= WINDOW_SHARE * d.thickness for d in thicknesses)
    hint = (
        f"if they are in inches, write each with its unit, as in {group.values[0]:g} in"
        if in_inches
        else "check them for typing errors, or say which board they are of with NOMINAL: before them"
    )
    told = f"mean {mm(group.mean)}" if len(group.values) > 1 else mm(group.mean)
    return f'the readings "{group.text}" ({told}) are near no drawn thickness; drawn are {drawn}; {hint}'


def mm(thickness: float) -> str:
    return f"{number(thickness)} mm"


def number(thickness: float) -> str:
    return f"{round(thickness, 3):g}"


def listed(words: Iterable[str]) -> str:
    """`a`, `a and b`, `a, b and c`."""
    all_ = list(words)
    return " and ".join([", ".join(all_[:-1]), all_[-1]]) if len(all_) > 1 else "".join(all_)
