# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Limits of spindle and bits: each one that a cut passes is a finding that names what would cure it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence

from flatwright.bits.choose import PanelBits
from flatwright.bits.duty import has_thin_veneer
from flatwright.bits.figures import Figures, chip_thinning, figures, full_slot, stick_out
from flatwright.findings import Finding, declare, finding
from flatwright.plan import Panel
from flatwright.presets.model import Bit, Board, Feed, Preset

declare(
    "warning",
    bits__power="a cut asks for more power than the spindle has",
    bits__bends="a bit bends so far that joints may come out too tight or too loose",
    bits__thin_chip="the chips are so thin that the bit rubs and burns instead of cutting",
    bits__fast_plunge="a bit is driven straight down faster than it cuts",
    bits__thin_veneer="an up-cut bit may tear the thin face veneer of a board",
)

THINNEST_CHIP = 0.02  # mm, from memory: below it an edge rubs


def limits_of(panels: Sequence[Panel], bits: Mapping[str, PanelBits], preset: Preset) -> list[Finding]:
    """What the bits that cut, each in the boards that it cuts, cannot bear."""
    used = {
        (b.number, p.board)
        for p in panels
        for b in bits[p.name].loops()
        if b is not None and p.board is not None
    }
    return check_limits(used, preset)


def check_limits(used: Iterable[tuple[int, str]], preset: Preset) -> list[Finding]:
    """One finding for each limit that a bit passes in a board; `used` are (bit number, board name) pairs
    that cut."""
    out: list[Finding] = []
    for number, name in sorted(set(used)):
        bit, feed = preset.bit(number), preset.feed(number, name)
        where = f"bit {number} ({bit.kind} {bit.diameter:g} mm) in {name}"
        board = next((b for b in preset.boards if b.name == name), None)
        full = full_slot(bit, feed)
        out += _power(where, full, bit, feed, preset)
        out += _bending(where, bit, feed, preset)
        out += _chip(where, bit, feed, preset)
        out += _plunge(where, full, feed)
        out += _veneer(where, bit, board)
    return out


def _power(where: str, full: Figures, bit: Bit, feed: Feed, preset: Preset) -> list[Finding]:
    power = preset.machine.power
    if full.power <= power:
        return []
    share = power / full.power
    return [
        finding(
            "bits.power",
            where,
            f"a slot {bit.cut:g} mm wide and {feed.pass_depth:g} mm deep at {full.feed:.0f} mm/min "
            "takes about "
            f"{full.power:.0f} W; the spindle has {power:g} W",
            f"Take at most {_down(feed.pass_depth * share, 1)} mm a pass, or feed at most "
            f"{_down(full.feed * share, 0)} mm/min (a chip load of {_down(feed.chip_load * share, 3)} mm).",
        )
    ]


def _down(value: float, digits: int) -> str:
    """Rounded down, so that what is advised passes."""
    return f"{math.floor(value * 10**digits) / 10**digits:.{digits}f}"


def _bending(where: str, bit: Bit, feed: Feed, preset: Preset) -> list[Finding]:
    """Both walls of a slot are off by the bend: together at most half of the tightest clearance."""
    names = {preset.fits.default, *preset.fits.by_joint.values()} & set(preset.fits.classes)
    tightest = min((preset.fits.classes[n].over_thickness for n in names), default=0.0)
    wall = wall_cut(bit, feed, preset)
    if tightest <= 0.0 or 2.0 * wall.bend <= tightest / 2.0:
        return []
    share = tightest / 4.0 / wall.bend
    length = stick_out(bit)
    lighter = (
        f"Leave a finish allowance of at most {preset.entries.finish_allowance * share:.2f} mm"
        if preset.entries.finish_allowance > 0.0
        else f"Take at most {feed.pass_depth * share:.1f} mm a pass, or ask for a finish pass"
    )
    return [
        finding(
            "bits.bends",
            where,
            f"standing {length:g} mm out of the collet the {bit.material} bit bends by about "
            f"{wall.bend:.3f} mm under {wall.force:.0f} N, so slots may be off by {2.0 * wall.bend:.3f} mm: "
            f"more than half of the tightest clearance of {tightest:g} mm",
            f"{lighter}, let it stand out at most {length * share ** (1 / 3):.0f} mm, or take a wider bit.",
        )
    ]


def wall_cut(bit: Bit, feed: Feed, preset: Preset) -> Figures:
    """The cut that leaves a wall: a full slot, or the finish allowance, one pass deep."""
    allowance = preset.entries.finish_allowance
    if allowance <= 0.0:
        return full_slot(bit, feed)
    return figures(bit, feed, allowance, feed.pass_depth)


def _chip(where: str, bit: Bit, feed: Feed, preset: Preset) -> list[Finding]:
    allowance = preset.entries.finish_allowance
    thinning = chip_thinning(allowance / bit.cut) if allowance > 0.0 else 1.0
    chip = feed.chip_load * thinning
    if chip >= THINNEST_CHIP:
        return []
    what = "the finish pass takes" if thinning < 1.0 else "the bit takes"
    return [
        finding(
            "bits.thin-chip",
            where,
            f"{what} chips of {chip:.3f} mm at most; below about {THINNEST_CHIP:g} mm an edge rubs and burns",
            f"Raise the chip load to {THINNEST_CHIP / thinning:.3f} mm or more: a slower spindle or a "
            "faster feed.",
        )
    ]


def _plunge(where: str, full: Figures, feed: Feed) -> list[Finding]:
    if feed.plunge <= full.feed + 1e-6:
        return []
    return [
        finding(
            "bits.fast-plunge",
            where,
            f"its plunge of {feed.plunge:.0f} mm/min is faster than it cuts, {full.feed:.0f} mm/min: the "
            f"programs drive it straight down at {full.feed:.0f} mm/min, which is much",
            f"Set its plunge to {full.feed / 4.0:.0f} mm/min or so.",
        )
    ]


def _veneer(where: str, bit: Bit, board: Board | None) -> list[Finding]:
    if bit.kind != "up-cut" or board is None or not has_thin_veneer(board):
        return []
    return [
        finding(
            "bits.thin-veneer",
            where,
            f"the face veneer is {board.face_veneer:g} mm thin, and an up-cut bit lifts it",
            "Add a straight, down-cut or compression bit of that size to the preset.",
        )
    ]
