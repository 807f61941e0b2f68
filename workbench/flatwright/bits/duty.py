# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What kind of cut each loop of a panel is, and whether a bit may do it.

Common practice, no published source: holes are bored with up-cut or straight bits, a down-cut or
compression bit never drills (CP-7); a compression bit's first pass goes deeper than its up-cutting
part, so that no up-cut touches the upper veneer (CP-8); faces that show are cut with down-cut or
compression bits.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from flatwright.bits.open_pocket import opened_pocket
from flatwright.bits.reach import leaves_drop, leaves_room, reaches
from flatwright.geometry.outline import Outline, is_circle
from flatwright.plan import Panel
from flatwright.presets.model import Bit, Board, Preset

DutyKind = Literal["hole", "opening", "pocket", "outline"]
BURIED = 0.5  # mm: how much deeper than its up-cut part a compression bit's first pass goes (DESIGN §9)
THIN_VENEER = 0.7  # mm, common practice, no source: thinner face veneers are lifted by an up-cut bit

# Best kinds first; from LAST_RESORT on the choice comes with a warning.
LAST_RESORT = 3
KINDS: dict[str, dict[str, int]] = {
    "one face shows": {"compression": 0, "down-cut": 0, "straight": 1, "up-cut": 3},
    "both faces show": {"compression": 0, "down-cut": 1, "straight": 2, "up-cut": 3},
    "no face shows": {"straight": 0, "up-cut": 0, "down-cut": 1, "compression": 1},
    "pocket in a face that shows": {"straight": 0, "down-cut": 0, "compression": 1, "up-cut": 3},
    "pocket": {"straight": 0, "down-cut": 0, "up-cut": 1, "compression": 1},
}


@dataclass(frozen=True, slots=True, eq=False)
class Duty:
    """One loop to cut, `depth` mm deep; `shows` names the row of KINDS; `thin` a thin face veneer."""

    kind: DutyKind
    name: str
    loop: Outline
    depth: float
    shows: str
    thin: bool = False


def duties(panel: Panel, preset: Preset) -> list[Duty]:
    """One duty for each of the panel's loops, in the order of Panel.loops()."""
    through = panel.thickness + preset.machine.overcut
    thin = has_thin_veneer(next((b for b in preset.boards if b.name == panel.board), None))
    shows = {"both": "both faces show", "none": "no face shows"}.get(panel.show, "one face shows")
    if thin and panel.show == "none":  # torn veneer is no rest for glue either
        shows = "one face shows"
    out = [Duty("outline", "outline", panel.outline, through, shows, thin)]
    for k, hole in enumerate(panel.holes):
        kind: DutyKind = "hole" if is_circle(hole) else "opening"
        name = "round hole" if kind == "hole" else "opening"
        out.append(Duty(kind, f"{name} {k + 1}", hole, through, shows, thin))
    overrun = pocket_overrun(max((b.cut for b in preset.bits), default=0.0))
    for k, p in enumerate(panel.pockets):
        loop = opened_pocket(panel, k, overrun)
        shows = "pocket in a face that shows" if thin or panel.show in ("both", p.side) else "pocket"
        out.append(Duty("pocket", f"pocket {k + 1}", loop, p.depth, shows, thin))
    return out


def has_thin_veneer(board: Board | None) -> bool:
    """Whether the board's face veneer is known to be thin."""
    return board is not None and board.face_veneer is not None and board.face_veneer < THIN_VENEER


def pocket_overrun(diameter: float) -> float:
    """How far the bit clears beyond a pocket's open edge, so that no burr stays."""
    return diameter / 2.0 + 1.0


def suitability(duty: Duty, bit: Bit) -> int:
    """0 best; LAST_RESORT only with a warning."""
    if duty.kind == "hole" and not leaves_drop(duty.loop, bit.cut):
        return 1 if duty.thin and bit.kind == "up-cut" else 0  # bored, and only by bits that may drill
    return KINDS[duty.shows][bit.kind]


def refusal(duty: Duty, bit: Bit, preset: Preset, board: str | None) -> str | None:
    """The code of the finding that tells why the bit may not do the duty; None when it may."""
    if not fits(duty, bit):
        return "bits.too-wide"
    if _must_drill(duty, bit) and not bit.may_drill:
        return "bits.no-drill"
    if bit.cutting_length < duty.depth - 1e-6:
        return "bits.too-short"
    try:
        feed = preset.feed(bit.number, board)
    except KeyError:
        return "bits.no-feed"
    if bit.kind == "compression":
        first = (bit.up_cut_length or 0.0) + BURIED
        if bit.up_cut_length is None or first > feed.pass_depth + 1e-6 or first > duty.depth + 1e-6:
            return "bits.first-pass"
    return None


def fits(duty: Duty, bit: Bit) -> bool:
    """Whether the bit is narrow enough."""
    if duty.kind == "hole":
        circle = is_circle(duty.loop)
        return circle is not None and bit.cut <= 2.0 * circle[1] + 1e-3
    return reaches(duty.loop, bit.cut)


def _must_drill(duty: Duty, bit: Bit) -> bool:
    """Round holes without a drop are bored; where a bit has no room to ramp it has to plunge."""
    if duty.kind == "hole":
        return not leaves_drop(duty.loop, bit.cut)
    return duty.kind != "outline" and not leaves_room(duty.loop, bit.cut)
