# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Which bit cuts which loop of a panel, with the reason, or a finding that says what would.

Every loop has a *duty* (what kind of cut it is), every bit either serves it or has a refusal.
Among the bits that serve, the kind that suits the duty best goes first, then the larger diameter;
among equals the panel gets by with as few different bits as possible.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from flatwright.bits.duty import LAST_RESORT, Duty, duties, refusal, suitability
from flatwright.bits.reach import form, largest_bit, unreached
from flatwright.findings import Finding, declare, finding
from flatwright.plan import Panel
from flatwright.presets.model import Bit, Preset

declare(
    "error",
    bits__too_wide="no bit of the preset is narrow enough for a place in a part",
    bits__too_short="no bit that reaches a place cuts deep enough for the board",
    bits__no_drill="a round hole has no straight or up-cut bit that fits it",
    bits__no_feed="the bit that would serve has no feeds for the board",
    bits__first_pass="only a compression bit serves, and it may not take its first pass",
)
declare("warning", bits__second_choice="a face may tear: the bit of choice is not in the preset")

REMEDIES = {
    "bits.too-short": "Add a bit with a longer cutting edge to the preset, or use a thinner board.",
    "bits.no-feed": "Add a row of feeds for this bit and board to the preset.",
    "bits.first-pass": "Allow a deeper pass for the compression bit, or add a straight or down-cut bit.",
}


@dataclass(frozen=True, slots=True)
class PanelBits:
    """The bit of each loop of a panel, None where none serves; `reasons` in the order of Panel.loops()."""

    outline: Bit | None
    holes: tuple[Bit | None, ...] = ()
    pockets: tuple[Bit | None, ...] = ()
    reasons: tuple[str, ...] = ()

    def loops(self) -> tuple[Bit | None, ...]:
        """In the order of Panel.loops()."""
        return (self.outline, *self.holes, *self.pockets)


@dataclass(frozen=True, slots=True)
class _Trouble:
    """Why no bit serves a loop; `widest` is the diameter that would reach it, mm."""

    code: str
    name: str
    message: str
    widest: float = math.inf


@dataclass(frozen=True, slots=True)
class _Choice:
    """The equally good bits for one loop; `poor` if they are a last resort; `trouble` if there are none."""

    serving: tuple[Bit, ...]
    poor: bool = False
    trouble: _Trouble | None = None


def choose_bits(
    panel: Panel, preset: Preset, below: Mapping[int, float] | None = None
) -> tuple[PanelBits, list[Finding]]:
    """The bit for every loop of a fitted panel (before reliefs), by the rules of this module.

    `below` gives, by the number of a loop, a diameter in mm that its bit must stay under: where
    the reliefs of a wider bit found no room.
    """
    work = duties(panel, preset)
    limits = below or {}
    choices = []
    known: dict[tuple[object, ...], _Choice] = {}  # slots alike are thought about once; trouble has a place
    for k, d in enumerate(work):
        like = (d.kind, d.depth, d.shows, d.thin, limits.get(k, math.inf), form(d.loop))
        if like not in known or known[like].trouble is not None:
            known[like] = _choice(panel, d, preset, limits.get(k, math.inf))
        choices.append(known[like])
    used = _fewest([c.serving for c in choices])
    chosen = [next((b for b in used if b in c.serving), None) for c in choices]
    reasons = tuple(_reason(d, b, c) for d, b, c in zip(work, chosen, choices, strict=True))
    n = 1 + len(panel.holes)
    bits = PanelBits(chosen[0], tuple(chosen[1:n]), tuple(chosen[n:]), reasons)
    poor = [(d, b) for d, b, c in zip(work, chosen, choices, strict=True) if c.poor and b is not None]
    return bits, _together(panel, [c.trouble for c in choices if c.trouble is not None]) + _second_choices(
        panel, poor
    )


def _together(panel: Panel, troubles: Sequence[_Trouble]) -> list[Finding]:
    """One error per code for the panel: the places by name, and what would cure all of them."""
    out = []
    for code in dict.fromkeys(t.code for t in troubles):
        same = [t for t in troubles if t.code == code]
        worst = min(same, key=lambda t: round(t.widest, 3))
        names = ", ".join(t.name for t in same)
        out.append(
            finding(
                code,
                f"{panel.name}, {names}",
                worst.message,
                _remedy(code, worst.widest),
                panels=[panel.name],
            )
        )
    return out


def _remedy(code: str, widest: float) -> str:
    if code == "bits.too-wide":
        return _wider(widest)
    if code == "bits.no-drill":
        size = f"{widest:.1f} mm, {_inches(widest):.3f} in,"
        return f"Add a straight or up-cut bit of at most {size} to the preset."
    return REMEDIES[code]


def _choice(panel: Panel, duty: Duty, preset: Preset, below: float) -> _Choice:
    verdicts = [
        (bit, refusal(duty, bit, preset, panel.board) if bit.cut < below - 1e-6 else "bits.too-wide")
        for bit in preset.bits
    ]
    able = [bit for bit, why in verdicts if why is None]
    if not able:
        return _Choice((), trouble=_nothing_serves(panel, duty, verdicts))
    best = min(_rank(duty, b) for b in able)
    serving = tuple(b for b in able if _rank(duty, b) == best)
    return _Choice(serving, poor=suitability(duty, serving[0]) >= LAST_RESORT)


def _rank(duty: Duty, bit: Bit) -> tuple[int, float]:
    return (suitability(duty, bit), -round(bit.cut, 4))


def _fewest(options: Sequence[tuple[Bit, ...]]) -> list[Bit]:
    """The smallest set of bits that has one of each loop's options; ties by preset order."""
    wanted = [o for o in options if o]
    pool = sorted({b.number: b for o in wanted for b in o}.values(), key=lambda b: b.number)
    for size in range(len(pool) + 1):
        for picked in itertools.combinations(pool, size):
            if all(any(b in picked for b in o) for o in wanted):
                return list(picked)
    return pool


def _reason(duty: Duty, bit: Bit | None, choice: _Choice) -> str:
    if bit is None:
        return f"{duty.name}: no bit serves"
    others = len(choice.serving) - 1
    why = "the best kind for it and the largest that reaches"
    if others:
        why += f", one of {others + 1} equals, taken to change bits seldom"
    return f"{duty.name}: bit {bit.number} ({bit.kind} {bit.diameter:g} mm), {why}"


def _second_choices(panel: Panel, poor: Sequence[tuple[Duty, Bit]]) -> list[Finding]:
    """One warning for the panel about all the loops that a poor bit has to cut."""
    if not poor:
        return []
    numbers = ", ".join(f"bit {b.number} ({b.kind})" for b in dict.fromkeys(b for _, b in poor))
    return [
        finding(
            "bits.second-choice",
            f"{panel.name}, {', '.join(d.name for d, _ in poor)}",
            f"only {numbers} serves here, and it lifts the veneer of the upper face",
            "Add a down-cut, compression or straight bit to the preset.",
            panels=[panel.name],
        )
    ]


def _nothing_serves(panel: Panel, duty: Duty, verdicts: Sequence[tuple[Bit, str | None]]) -> _Trouble:
    codes = [why for _, why in verdicts if why is not None]
    if all(c == "bits.too-wide" for c in codes):
        return _too_wide(duty, [b for b, _ in verdicts])
    order = ("bits.too-short", "bits.first-pass", "bits.no-feed", "bits.no-drill")
    code = next(c for c in order if c in codes)
    candidates = [b for b, why in verdicts if why == code]
    names = ", ".join(f"bit {b.number} ({b.kind} {b.diameter:g} mm)" for b in candidates)
    message = {
        "bits.too-short": f"{names} reaches it, but cuts only "
        f"{max(b.cutting_length for b in candidates):g} mm deep and {duty.depth:.2f} mm are needed",
        "bits.no-drill": f"{names} would fit, but may not drill",
        "bits.no-feed": f"{names} would serve, but has no feeds for board {panel.board!r}",
        "bits.first-pass": f"{names} would have to take its up-cut part and 0.5 mm more in the first pass",
    }[code]
    return _Trouble(code, duty.name, message, largest_bit(duty.loop) if code == "bits.no-drill" else math.inf)


def _too_wide(duty: Duty, bits: Sequence[Bit]) -> _Trouble:
    smallest = min((b.cut for b in bits), default=0.0)
    places = unreached(duty.loop, smallest) if bits else ()
    x0, y0, x1, y1 = duty.loop.bounds()
    x, y = (places[0].x, places[0].y) if places else ((x0 + x1) / 2, (y0 + y1) / 2)
    message = (
        f"the place at u {x:.1f}, v {y:.1f} mm is narrower than every bit of the preset "
        f"(the narrowest is {smallest:g} mm)"
        if bits
        else "the preset has no bits"
    )
    return _Trouble("bits.too-wide", duty.name, message, largest_bit(duty.loop))


def _wider(widest: float) -> str:
    if widest <= 0:
        return "Draw the place wider: no bit can cut it."
    return (
        f"Add a bit to the preset (a bit of at most {widest:.1f} mm, {_inches(widest):.3f} in, would do), "
        "or draw the place wider."
    )


def _inches(mm: float) -> float:
    """Rounded down, so that what is advised fits."""
    return int(mm / 25.4 * 1000) / 1000
