# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Spindle and feeds: turning before it cuts, at the preset's speed, no faster than its cutting data."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from flatwright.findings import Finding
from flatwright.plan import Sheet
from flatwright.presets.model import Feed, Preset
from flatwright.proof.motion import Motion
from flatwright.proof.programs import Run

ABOVE = 0.5  # mm over the board that counts as in it: readings differ by less
SHARE = 0.01  # of a speed or feed that rounding may change
LONG = 20.0  # mm of a straight cut that is too long to belong to an entry
SLOWER = 1.5  # times slower than a cut a plunge must be to be told from it
MORE = 1.0  # mm/min or 1/min likewise


def check_speeds(run: Run, sheet: Sheet, preset: Preset) -> list[Finding]:
    """Spindle and feeds of a planned program."""
    return [
        *spindle_on(run, sheet.thickness),
        *spindle_range(run, sheet.thickness, preset),
        *_planned_speed(run, sheet, preset),
        *fast_feeds(run, sheet.board, preset, "proof.feed"),
        *_slow_feeds(run, sheet, preset),
    ]


def more_like_it(count: int) -> str:
    """Says how many more there are."""
    return f" ({count - 1} more like it)" if count > 1 else ""


def _cutting(run: Run, top: float) -> list[int]:
    """Motions that feed in or just above the board."""
    s = run.sweeps
    return [int(k) for k in np.unique(s.motion[~s.rapid & (s.lowest() < top + ABOVE)])]


def spindle_on(run: Run, top: float) -> Iterator[Finding]:
    """Cuts with the spindle stopped or backwards."""
    wrong = [k for k in _cutting(run, top) if run.reading.motions[k].spindle <= 0.0]
    if wrong:
        line = run.line(wrong[0])
        how = "turning backwards" if run.reading.motions[wrong[0]].spindle < 0.0 else "stopped"
        message = f"Line {line} of {run.program.file} cuts with the spindle {how}{more_like_it(len(wrong))}."
        yield run.finding("proof.spindle-off", line, message)


def spindle_range(run: Run, top: float, preset: Preset) -> Iterator[Finding]:
    """Cuts at a speed that the machine's spindle does not have."""
    low, high = preset.machine.spindle
    for k in _cutting(run, top):
        speed = run.reading.motions[k].spindle
        if speed > 0.0 and not low - MORE <= speed <= high + MORE:
            line = run.line(k)
            yield run.finding(
                "proof.spindle-speed",
                line,
                f"Line {line} of {run.program.file} cuts at {speed:.0f} 1/min; the spindle turns "
                f"{low:.0f} to {high:.0f} 1/min.",
            )
            return


def _planned_speed(run: Run, sheet: Sheet, preset: Preset) -> Iterator[Finding]:
    """Cuts at another speed than the preset's for that bit."""
    for k in _cutting(run, sheet.thickness):
        data, speed = cutting_data(run.bits[k].number, sheet.board, preset), run.reading.motions[k].spindle
        if data is not None and speed > 0.0 and abs(speed - data.spindle) > SHARE * data.spindle:
            line = run.line(k)
            yield run.finding(
                "proof.spindle-speed",
                line,
                f"Line {line} of {run.program.file} cuts at {speed:.0f} 1/min; the preset says "
                f"{data.spindle:.0f} for bit {run.bits[k].number}.",
            )
            return


def fast_feeds(run: Run, board: str | None, preset: Preset, code: str) -> Iterator[Finding]:
    """Feeds above the bit's, and descents faster than its plunge feed; one finding a file."""
    flutes = {b.number: b.flutes for b in preset.bits}
    data = {b.number: cutting_data(b.number, board, preset) for b in run.bits}
    for k, m in enumerate(run.reading.motions):
        number = run.bits[k].number
        limits = data[number]
        if m.kind == "rapid" or limits is None or number not in flutes:
            continue
        most = limits.cutting_feed(flutes[number])
        down = m.feed * _steepness(m)
        if _above(m.feed, most):
            what, limit = f"feeds {m.feed:.0f} mm/min", most
        elif _above(down, limits.plunge):
            what, limit = f"goes down at {down:.0f} mm/min", limits.plunge
        else:
            continue
        message = (
            f"Line {m.line} of {run.program.file} {what}; {limit:.0f} is the preset's most for bit {number}."
        )
        yield run.finding(code, m.line, message)
        return


def _slow_feeds(run: Run, sheet: Sheet, preset: Preset) -> Iterator[Finding]:
    """Long level cuts at the feed of the plunge before them, where the preset feeds them much faster. (An
    operation slowed down on purpose slows both.)"""
    flutes = {b.number: b.flutes for b in preset.bits}
    data = {b.number: cutting_data(b.number, sheet.board, preset) for b in run.bits}
    plunge = 0.0
    for k, m in enumerate(run.reading.motions):
        if m.kind != "feed":
            continue
        if m.start[:2] == m.end[:2]:
            plunge = m.feed if m.end[2] < m.start[2] else plunge
        elif m.feed <= plunge and m.start[2] == m.end[2] and m.end[2] + run.lift < sheet.thickness:
            number = run.bits[k].number
            limits = data[number]
            if limits is None or number not in flutes or math.dist(m.start[:2], m.end[:2]) < LONG:
                continue
            most = limits.cutting_feed(flutes[number])
            if most > SLOWER * limits.plunge:
                message = (
                    f"Line {m.line} of {run.program.file} cuts on at {m.feed:.0f} mm/min, the feed of the "
                    f"plunge before it; the preset feeds bit {number} at {most:.0f}."
                )
                yield run.finding("proof.feed-slow", m.line, message)
                return


def _above(value: float, limit: float) -> bool:
    return value > limit * (1 + SHARE) + MORE


def cutting_data(number: int, board: str | None, preset: Preset) -> Feed | None:
    """The preset's cutting data of a bit in a board, None where it has none."""
    try:
        return preset.feed(number, board)
    except KeyError:
        return None


def _steepness(m: Motion) -> float:
    """Sine of the slope at which a motion goes down; 0 when level, rising or unknown."""
    drop = m.start[2] - m.end[2]
    if not drop > 0.0:
        return 0.0
    flat = math.dist(m.start[:2], m.end[:2])
    if m.centre is not None:
        flat = abs(m.sweep) * math.dist(m.start[:2], m.centre)
    return drop / math.hypot(flat, drop) if flat == flat else 1.0
