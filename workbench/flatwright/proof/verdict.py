# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What the proof says of itself: what it read, what it checked, what it did not."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from flatwright.findings import Finding
from flatwright.proof.compare import Worst
from flatwright.proof.gaps import Gap
from flatwright.proof.scene import Scene

CHECKED = (
    "every part's outline, holes and pockets against the plan as the bits can leave them, within 0.05 mm",
    "pocket depths and through cuts, within 0.05 mm",
    "that parts lie with the grain that the plan gives them",
    "every planned tab, and that nothing else stands in the cuts",
    "no cut that the plan does not know",
    "no rapid in or just above the board, nothing below the overcut, the table never reached",
    "no bit on a screw head at any height; a spot mark for every screw, of the right depth",
    "spindle running before cutting, no drilling by bits that must not drill, ramps along the grain",
    "ramps no steeper than the preset's, walls cut climb or conventional as it says",
    "first passes of compression bits deeper than their up-cut part",
    "every file parked with the spindle stopped, and within the machine's travel",
    "feeds, pass depths, spindle speeds and cutting lengths against the preset",
    "collets over screw heads, and clamps",
    "inside cut before outside, every part held until its last cut, and no waste that comes loose",
    "assembled parts: no interference, and the gaps of every joint against its class in the preset",
    "every clearance of the plan against that class and the boards' readings",
    "every gap with the thickest and the thinnest boards that were measured",
    "a free way in for every joint, and an order of assembly",
)
BOTH_SIDES = (
    "sheets that are turned over: both sides as one part, nothing but pins cut through before it, the pins"
)
NOT_CHECKED = (
    "whether screws, tabs and vacuum are strong enough, and the play of the machine",
    "ways in that turn or bend a part: moves are taken along straight lines",
    "how the control rounds corners between moves",
)


@dataclass(frozen=True, slots=True)
class FileRead:
    """One program as read."""

    name: str
    sha256: str
    lines: int
    moves: int
    bits: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Report:
    """The proof's account. `counts`: sheets, files, moves, parts, tabs, screws, joints, gaps;
    `worst` is the largest deviation of any part from the plan, `deviations` those of each part, the
    largest first; `bands` the gaps and `order` an order of assembly, in words; `scenes` what the
    pictures show; `verdict` one sentence."""

    files: tuple[FileRead, ...]
    checked: tuple[str, ...]
    not_checked: tuple[str, ...]
    counts: Mapping[str, int]
    worst: Worst
    gaps: tuple[Gap, ...]
    verdict: str
    scenes: tuple[Scene, ...] = field(default=(), compare=False)
    deviations: tuple[Worst, ...] = ()
    bands: tuple[str, ...] = ()
    order: tuple[str, ...] = ()


ALONE = (
    "every line against RS274/NGC (NIST, version 3), with arcs, units and modes",
    "no rapid through wood that was not cut away before",
    "how deep it goes into the spoilboard, and that the table is never reached",
    "spindle running before cutting and within its range, feeds against the preset's cutting data",
    "no wider than the machine's travel, and clear of the board at its end",
    "what every bit sweeps, and where a screw is safe from it",
)


def verdict_alone(findings: Sequence[Finding], files: Sequence[FileRead]) -> str:
    """One sentence on programs without a plan."""
    errors = sum(f.severity == "error" for f in findings)
    warnings = sum(f.severity == "warning" for f in findings)
    scope = f"{_number(sum(f.moves for f in files), 'move')} in {_number(len(files), 'file')}"
    if errors:
        return f"Do not run: {_counted(errors, warnings)} in {scope}."
    also = f"; {_number(warnings, 'warning')} to read first" if warnings else ""
    return f"Nothing speaks against running it, as far as it can be judged without a plan: {scope}{also}."


def verdict(findings: Sequence[Finding], counts: Mapping[str, int], worst: Worst) -> str:
    """One sentence to sign."""
    errors = sum(f.severity == "error" for f in findings)
    warnings = sum(f.severity == "warning" for f in findings)
    scope = (
        f"{_number(counts['parts'], 'part')} on {_number(counts['sheets'], 'sheet')}, "
        f"{_number(counts['moves'], 'move')} in {_number(counts['files'], 'file')}"
    )
    if errors:
        return f"Do not run these programs: {_counted(errors, warnings)} in {scope}."
    if not counts["files"]:
        return "No program was there to prove."
    size = f"the largest deviation is {worst.depth:.3f} mm" if worst.where else "none deviates by 0.02 mm"
    also = f"; {_number(warnings, 'warning')} to read first" if warnings else ""
    return f"The programs leave the planned parts and hit nothing: {scope}; {size}{also}."


def _counted(errors: int, warnings: int) -> str:
    return f"{_number(errors, 'error')} and {_number(warnings, 'warning')}"


def _number(n: int, what: str) -> str:
    return f"{n} {what}{'' if n == 1 else 's'}"
