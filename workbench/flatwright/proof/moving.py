# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""From a block to moves, in the order of NIST RS274/NGC v3, §3.8: settings, modes, offsets,
motion, stop."""

from __future__ import annotations

import math

from flatwright.proof import circular
from flatwright.proof.cycles import Cycle, steps
from flatwright.proof.machine_state import AXES, CANCELLED, MachineState
from flatwright.proof.modal import CYCLES, groups
from flatwright.proof.motion import Point3, ReadError
from flatwright.proof.words import Block, whole

FEED, CW, CCW = 10, 20, 30
HOMING = (280, 300)


def run(state: MachineState, block: Block) -> None:
    """Carry out one block. Raises ReadError."""
    g, m = groups(block)
    motion = state.begin(block, g)
    state.settings(m)
    state.modes(g)
    once = g.get("once")
    if once in HOMING:
        _go_home(state)
    elif once in (920, 921, 922, 923):
        _shift_origin(state, once)
    elif once == 530:
        _machine_move(state, motion)
        motion = None
    if motion is not None:
        _carry_out(state, motion)
    state.stop(m)


def _carry_out(state: MachineState, motion: int) -> None:
    if motion != state.mode or motion not in CYCLES:
        state.cycle = {}  # sticky numbers last only while the same cycle goes on
    state.repeats = state.mode in CYCLES
    state.mode = motion
    if motion == CANCELLED:
        if state.has_axes:
            state.fail("axis words, but no motion code is in force to use them")
    elif motion in (CW, CCW):
        _arc(state, ccw=motion == CCW)
    elif motion in CYCLES:
        _drill(state, motion)
    elif state.has_axes:
        state.move("feed" if motion == FEED else "rapid", _target(state))


def _target(state: MachineState) -> Point3:
    """The point that the axis words name, work coordinates, mm."""
    if "units" not in state.stated:
        state.caution("assumed-state", "the program moves before it says inches (G20) or millimetres (G21)")
    if "distance" not in state.stated:
        state.caution("assumed-state", "the program moves before it says absolute (G90) or incremental (G91)")
    out = list(state.at)
    for k, axis in enumerate(AXES):
        if axis in state.words:
            value = state.words[axis] * state.unit
            if state.absolute:
                out[k] = value + state.shift[k]
            elif math.isnan(out[k]):
                state.fail(f"an incremental {axis} move from an unknown place")
            else:
                out[k] += value
    return (out[0], out[1], out[2])


def _arc(state: MachineState, ccw: bool) -> None:
    words = state.words
    if state.plane != 170:
        state.fail("arcs are read in the XY plane (G17) only; post others as short straight moves")
    if "K" in words:
        state.fail("K belongs to no arc in the XY plane")
    if "X" not in words and "Y" not in words:
        state.fail("an arc needs an X or Y word for its end (NIST RS274/NGC v3, 3.5.3)")
    end = _target(state)
    if any(math.isnan(c) for c in (*state.at, *end)):
        state.fail("an arc from or to an unknown place")
    try:
        arc = _arc_to(state, end, ccw)
    except circular.ArcError as e:
        raise ReadError(state.line, str(e)) from e
    state.move("arc", end, arc.centre, arc.sweep)


def _arc_to(state: MachineState, end: Point3, ccw: bool) -> circular.Arc:
    words, unit = state.words, state.unit
    start, goal = (state.at[0], state.at[1]), (end[0], end[1])
    by_centre = "I" in words or "J" in words
    if "R" in words and by_centre:
        state.fail("an arc has either R or I and J, not both")
    if by_centre:
        offset = (words.get("I", 0.0) * unit, words.get("J", 0.0) * unit)
        return circular.from_centre(start, goal, offset, ccw, unit)
    if "R" not in words:
        state.fail("an arc needs I or J for its centre, or R")
    arc = circular.from_radius(start, goal, words["R"] * unit, ccw, unit)
    if circular.is_touchy(arc.sweep):
        state.caution(
            "radius-arc",
            f"an arc of {abs(math.degrees(arc.sweep)):.1f}° is given by its radius: rounding moves "
            "its middle (NIST RS274/NGC v3, 3.5.3.1)",
        )
    return arc


def _drill(state: MachineState, code: int) -> None:
    if state.plane != 170:
        state.fail("canned cycles are read in the XY plane (G17) only")
    if not state.has_axes:
        state.fail("a canned cycle needs an axis word")
    for kind, x, y, z in steps(_cycle(state, code), state.at):
        if kind == "dwell":
            state.event("dwell", x)
        else:
            state.move(kind, (x, y, z))


def _cycle(state: MachineState, code: int) -> Cycle:
    """The line's cycle in work coordinates, sticky numbers filled in."""
    words, unit = state.words, state.unit
    if state.repeats and not state.absolute:
        state.caution(
            "repeated-cycle", "controls differ in what an incremental R of a repeated cycle is counted from"
        )
    state.cycle.update({k: words[k] for k in "ZRPQ" if k in words})
    if "return level" not in state.stated:
        state.caution(
            "assumed-state", "the program drills before it says to which height it comes back (G98 or G99)"
        )
    x, y, _ = _target(state)
    at_x, at_y, at_z = state.at
    if math.isnan(x) or math.isnan(y) or math.isnan(at_z):
        state.fail("a canned cycle at an unknown place")
    r = _sticky(state, "R", code) * unit + (state.shift[2] if state.absolute else at_z)
    z = _sticky(state, "Z", code) * unit + (state.shift[2] if state.absolute else r)
    if r < z:
        state.fail("the retract plane R lies below the bottom Z")
    repeats = whole(words["L"], state.line, "L") if "L" in words else 1
    if repeats < 1 or repeats > 10_000:
        state.fail("L must be between 1 and 10000")
    peck = _sticky(state, "Q", code) * unit if code == 830 else 0.0
    if code == 830 and peck <= 0.0:
        state.fail("G83 needs a peck Q above zero")
    if peck and repeats * (r - z) / peck > 10_000:
        state.fail("a line with more than 10000 pecks")
    dwell = _sticky(state, "P", code) if code == 820 else None
    if dwell is not None and dwell < 0.0:
        state.fail("a dwell cannot be negative")
    dx, dy = (0.0, 0.0) if state.absolute else (x - at_x, y - at_y)
    return Cycle(x, y, dx, dy, z, r, repeats, dwell, peck, state.to_old)


def _sticky(state: MachineState, letter: str, code: int) -> float:
    if letter not in state.cycle:
        state.fail(f"G{code // 10} needs {letter}")
    return state.cycle[letter]


def _machine_move(state: MachineState, motion: int | None) -> None:
    """G53: a straight move to machine coordinates, §3.5.12."""
    if motion not in (0, FEED) or not state.has_axes:
        state.fail("G53 needs a G0 or G1 move on its line")
    if not state.absolute:
        state.fail("G53 names a place of the machine: it cannot be incremental (G91)")
    state.caution(
        "machine-coordinates", "G53 moves to machine coordinates, whose place over the board is not known"
    )
    end = [
        state.home[k] + state.words[a] * state.unit if a in state.words else state.at[k]
        for k, a in enumerate(AXES)
    ]
    state.mode = motion
    state.move("feed" if motion == FEED else "rapid", (end[0], end[1], end[2]))


def _go_home(state: MachineState) -> None:
    """G28, G30: a rapid to the point named, then one home, §3.5.8."""
    state.caution("machine-coordinates", "G28 and G30 move to places that the machine keeps, not the program")
    if state.has_axes:
        state.move("rapid", _target(state))
    state.move("rapid", state.home)


def _shift_origin(state: MachineState, code: int) -> None:
    """G92, G92.1, G92.2 and G92.3, §3.5.18."""
    if code == 920:
        if not state.has_axes:
            state.fail("G92 needs an axis word")
        for k, a in enumerate(AXES):
            if a in state.words:
                if math.isnan(state.at[k]):
                    state.fail(f"G92 {a} at an unknown place")
                state.shift[k] = state.at[k] - state.words[a] * state.unit
        state.kept_shift = list(state.shift)
    elif code == 923:
        if state.kept_shift is None:
            state.caution(
                "machine-coordinates", "G92.3 takes up a shift that the machine keeps, not the program"
            )
        state.shift = list(state.kept_shift or state.shift)
    else:
        state.shift = [0.0, 0.0, 0.0]
        if code == 921:
            state.kept_shift = [0.0, 0.0, 0.0]
