# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""From panels to layout jobs: one for each batch of boards, with the side up and the turns that the
grain allows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from flatwright.bits.figures import holder_reach
from flatwright.plan import Panel
from flatwright.presets.model import KeepOut, Preset
from flatwright.sheets.job import LayoutJob, Part, Rectangle, Stock

Grain = Literal["length", "width"]

QUARTERS = (0.0, 90.0, 180.0, 270.0)


@dataclass(frozen=True, slots=True, eq=False)
class Batch:
    """The panels that are cut from one kind of board of one thickness, and their layout job."""

    board: str
    thickness: float
    grain: Grain
    panels: tuple[Panel, ...]
    job: LayoutJob

    @property
    def label(self) -> str:
        """How findings name it."""
        return f"{self.board} ({round(self.thickness, 2):g} mm)"


def clamps(preset: Preset) -> tuple[Rectangle, ...]:
    """The clamps on the bed, so grown that at the layout's spacing from them no bit comes near one, nor a
    collet to one that is tall."""
    return tuple(_grown(k, preset) for k in preset.machine.keep_outs if k.kind == "clamp")


def _grown(clamp: KeepOut, preset: Preset) -> Rectangle:
    """Beside a part the bit's middle runs half a bit off, and the finish allowance."""
    beside = [b.cut / 2.0 + holder_reach(b, -preset.machine.overcut, clamp.height) for b in preset.bits]
    wanted = max(beside, default=0.0) + preset.entries.finish_allowance + preset.holding.fasteners.margin
    more = max(0.0, wanted - preset.layout.spacing)
    x0, y0, x1, y1 = clamp.corners
    return (x0 - more, y0 - more, x1 + more, y1 + more)


def batches(
    panels: Sequence[Panel],
    preset: Preset,
    *,
    sheet_size: tuple[float, float] | None = None,
    seed: int | None = None,
    time: float | None = None,
) -> list[Batch]:
    """The batches, thickest first, then by name. Panels without a board are not laid out.

    `sheet_size` (length, width) takes the place of the preset's stock.
    """
    groups: dict[tuple[float, str], list[Panel]] = {}
    for panel in panels:
        if panel.board is not None:
            groups.setdefault((-round(panel.thickness, 3), panel.board), []).append(panel)
    rules = preset.layout
    out = []
    for (_, board), members in sorted(groups.items()):
        grain = grain_of(board, preset)
        job = LayoutJob(
            parts=tuple(_part(p, grain, preset) for p in members),
            stock=(Stock(*sheet_size),) if sheet_size else stock_for(board, preset),
            edge=rules.edge,
            spacing=rules.spacing,
            seed=rules.seed if seed is None else seed,
            time=rules.time if time is None else time,
            keep_outs=clamps(preset),
        )
        out.append(Batch(board, round(members[0].thickness, 6), grain, tuple(members), job))
    return out


def stock_for(board: str, preset: Preset) -> tuple[Stock, ...]:
    """The preset's sheets that serve this board."""
    return tuple(
        Stock(s.length, s.width, s.count, s.cost)
        for s in preset.layout.sheets
        if s.board is None or s.board == board
    )


def grain_of(board: str, preset: Preset) -> Grain:
    """Which way the face grain of the sheet runs: along x (length) unless the board says otherwise."""
    for b in preset.boards:
        if b.name == board:
            return b.face_grain
    return "length"


def part(panel: Panel, grain: Grain) -> Part:
    """The panel as a part to lay out."""
    flipped = lies_flipped(panel)
    return Part(panel.name, panel.outline, turns(panel.grain, flipped, grain), flipped)


def _part(panel: Panel, grain: Grain, preset: Preset) -> Part:
    both = preset.flipping.enabled and len({p.side for p in panel.pockets}) == 2
    return replace(part(panel, grain), both_faces=both)


def lies_flipped(panel: Panel) -> bool:
    """True if -n must be up: pockets can be cut from above only, and decide where they lie on one
    side; otherwise the show face is up."""
    sides = {p.side for p in panel.pockets}
    if len(sides) == 1:
        return sides == {"-n"}
    return panel.show == "-n"


def hidden_show_face(panel: Panel) -> bool:
    """True if the pockets force the show face down."""
    return panel.show == ("+n" if lies_flipped(panel) else "-n")


def turns(grain: float | None, flipped: bool, sheet: Grain) -> tuple[float, ...]:
    """The angles, in [0, 360), that bring a panel's grain (degrees from u) along the sheet's.

    Two that are half a turn apart, or four quarter turns if the panel's grain is free. Mirroring
    u turns a direction g into 180 - g.

    >>> turns(90.0, False, "length")
    (90.0, 270.0)
    >>> turns(30.0, True, "length")
    (30.0, 210.0)
    """
    if grain is None:
        return QUARTERS
    direction = 180.0 - grain if flipped else grain
    first = round((0.0 if sheet == "length" else 90.0) - direction, 6) % 180.0 + 0.0
    return first, round(first + 180.0, 6)
