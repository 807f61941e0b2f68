# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Programs without a plan: what can be said of any RS274 text from the machine's side alone.

The files are taken as run one after the other on one board. Where nobody says how thick it is, its
top is taken to lie as high as the highest cut.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from flatwright.findings import Finding
from flatwright.plan import Program, ProgramBit
from flatwright.presets.model import Preset
from flatwright.proof import codes as codes
from flatwright.proof.earlier import Earlier
from flatwright.proof.machine import depth, unplaced
from flatwright.proof.motion import ReadError, Reading
from flatwright.proof.programs import Run, cautions, file_finding, sha256, stranger
from flatwright.proof.reader import read_program
from flatwright.proof.scene import Scene, faults
from flatwright.proof.speeds import fast_feeds, more_like_it, spindle_on, spindle_range
from flatwright.proof.stickout import check_length
from flatwright.proof.sweeps import Sweeps, joined, sweeps

LOW = 0.01  # mm under the top that a rapid move may graze
PINS = " Holes of registration pins are told from faults only with their plan (say --plan)."
MEND = "Correct the program where it was made; do not run it as it is."


@dataclass(frozen=True, slots=True)
class Alone:
    """What was said of the programs: findings, the files as read, what could not be judged, a picture."""

    findings: tuple[Finding, ...]
    runs: tuple[Run, ...]
    open_points: tuple[str, ...]
    scene: Scene


def check_alone(
    texts: Mapping[str, str | bytes],
    preset: Preset,
    thickness: float | None = None,
    size: tuple[float, float] | None = None,
) -> Alone:
    """Machine checks on programs in running order; `thickness` and `size` of the board if known, mm."""
    from_top = preset.machine.zero == "board top"
    lift = thickness or 0.0 if from_top else 0.0
    findings: list[Finding] = []
    runs: list[Run] = []
    for name, text in texts.items():
        run, found = _read(name, text, preset, lift)
        findings += found
        runs += [run] if run is not None else []
    whole = joined([r.sweeps for r in runs])
    top = thickness if thickness is not None else 0.0 if from_top else _highest_cut(whole)
    earlier, first = Earlier(whole), 0
    for run in runs:
        findings += _machine(run, top, preset)
        if not from_top or thickness is not None:
            findings += depth(run, preset, f"{MEND}{PINS if preset.flipping.enabled else ''}")
        findings += _rapids(run, earlier, first, top, size)
        first += len(run.sweeps)
    if thickness is not None:
        findings += [f for run in runs for f in check_length(run, thickness, preset)]
    cuts = whole.take(~whole.rapid)
    through = -np.inf if from_top and thickness is None else 0.05
    scene = Scene("the board", size, top, float(through), cuts, (), (), (), preset.holding.fasteners, True)
    return Alone(tuple(findings), tuple(runs), tuple(_open(thickness, top, size, from_top, preset)), scene)


def with_faults(alone: Alone, ordered: Sequence[Finding]) -> Scene:
    """The picture with the faults numbered as in the list."""
    s = alone.scene
    marks = faults(ordered, None, alone.runs)
    return Scene(s.name, s.size, s.top, s.through, s.cuts, s.screws, s.tabs, marks, s.head, s.with_zones)


def _read(name: str, text: str | bytes, preset: Preset, lift: float) -> tuple[Run | None, list[Finding]]:
    digest = sha256(text)
    try:
        reading = read_program(text, name)
    except ReadError as e:
        program = Program("cut", name, digest, ())
        return None, [
            file_finding("proof.reader", program, None, e.line, f"{name} cannot be read: {e}.", MEND)
        ]
    of_motion = [m.tool for m in reading.motions]
    bits = {n: _bit(n, preset) for n in dict.fromkeys(of_motion)}
    program = Program("cut", name, digest, tuple(bits.values()))
    found = cautions(program, None, preset, reading)
    found += [
        file_finding(
            "proof.bit-unknown", program, None, 0, _unknown(name, n, bits[n]), "Enter the bit in the preset."
        )
        for n in bits
        if n is None or all(b.number != n for b in preset.bits)
    ]
    mine = tuple(bits[n] for n in of_motion)
    swept = sweeps(reading.motions, [b.diameter / 2 for b in mine], [b.number for b in mine], lift)
    return Run(program, None, digest, reading, mine, swept, lift), found


def _bit(number: int | None, preset: Preset) -> ProgramBit:
    return stranger(preset, -1 if number is None else number)


def _unknown(name: str, number: int | None, taken: ProgramBit) -> str:
    says = (
        "does not say which bit is in the spindle"
        if number is None
        else f"uses bit {number}, which the preset does not have"
    )
    return f"{name} {says}: it was read as the preset's widest, {taken.diameter:g} mm"


def _highest_cut(s: Sweeps) -> float:
    """Height of the highest level or sinking feed move sideways, 0 without any."""
    cuts = ~s.rapid & s.sideways() & (s.b[:, 2] <= s.a[:, 2] + 1e-6)
    level = s.a[cuts, 2]
    if len(level):
        return float(s.b[cuts, 2].max())
    return float(s.lowest()[~s.rapid].max()) if (~s.rapid).any() else 0.0


def _machine(run: Run, top: float, preset: Preset) -> Iterator[Finding]:
    """Checks that need no map of the wood."""
    yield from spindle_on(run, top)
    yield from spindle_range(run, top, preset)
    yield from fast_feeds(run, None, preset, "proof.feed-unlike-preset")
    yield from unplaced(run)
    yield from _span(run, preset)
    yield from _end(run.reading, run, top)


def _span(run: Run, preset: Preset) -> Iterator[Finding]:
    """Wider than the machine: where its zero lies on the machine is not known."""
    if not len(run.sweeps):
        return
    points = np.vstack([run.sweeps.a, run.sweeps.b])
    for k, axis in enumerate("xyz"):
        span = float(points[:, k].max() - points[:, k].min())
        if span > preset.machine.travel[k] + 0.05:
            has = preset.machine.travel[k]
            message = f"{run.program.file} moves {span:.2f} mm along {axis}; the machine has {has:.2f} mm."
            yield run.finding("proof.travel", 0, message, "Cut it on a larger machine, or in two settings.")


def _end(reading: Reading, run: Run, top: float) -> Iterator[Finding]:
    if not reading.motions:
        yield run.finding("proof.not-parked", 0, f"{run.program.file} holds no move.", MEND)
        return
    z = reading.motions[-1].end[2] + run.lift
    if z <= top + LOW:
        message = (
            f"{run.program.file} ends at {z:.2f} mm, in the board or on it (its top lies at {top:.2f} mm)."
        )
        yield run.finding("proof.not-parked", reading.motions[-1].line, message, MEND)


def _rapids(
    run: Run, earlier: Earlier, first: int, top: float, size: tuple[float, float] | None
) -> Iterator[Finding]:
    """Rapids through wood that nothing cut away before."""
    s = run.sweeps
    low = s.rapid & (s.lowest() < top - LOW) & (s.sideways() | (s.b[:, 2] < s.a[:, 2] - 1e-6))
    low &= s.over(size) if size is not None else True
    wrong = [k for k in np.flatnonzero(low).tolist() if not earlier.open_way(first + k, float(s.lowest()[k]))]
    if wrong:
        line, z = run.line(int(s.motion[wrong[0]])), float(s.lowest()[wrong[0]])
        unless = "" if size is not None else ", unless the board ends before that place (say --sheet)"
        message = f"Line {line} of {run.program.file} moves by rapid through wood at Z{z - run.lift:.2f}"
        yield run.finding("proof.rapid-in-wood", line, f"{message}{more_like_it(len(wrong))}{unless}.", MEND)


def _open(
    thickness: float | None, top: float, size: tuple[float, float] | None, from_top: bool, preset: Preset
) -> Iterator[str]:
    """What could not be judged, and what it would take."""
    if thickness is None and from_top:
        yield "how deep it goes into the spoilboard: the preset's zero is the board's top (say --thickness)"
    elif thickness is None:
        yield f"rapids above the highest cut, which lies {top:.2f} mm above the bed (say --thickness)"
    if size is None:
        yield "screws near the board's edges: nobody said how large it is (say --sheet)"
    yield f"where zero lies: the preset says at the {'board’s top' if from_top else 'bed'}"
    yield "what it makes: without a plan no part, pocket, tab or joint can be judged"
