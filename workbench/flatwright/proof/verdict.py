# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What the proof says of itself: what it read, what it checked, what it did not."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from flatwright.findings import Finding
from flatwright.proof.compare import Worst
from flatwright.proof.gaps import Gap

CHECKED = (
    "every part's outline, holes and pockets against the plan as the bits can leave them, within 0.05 mm",
    "pocket depths and through cuts, within 0.05 mm",
    "every planned tab, and that nothing else stands in the cuts",
    "no cut that the plan does not know",
    "no rapid in or just above the board, nothing below the overcut, the table never reached",
    "no bit on a screw head at any height; a spot mark for every screw, of the right depth",
    "spindle running before cutting, no drilling by bits that must not drill, ramps along the grain",
    "every file parked with the spindle stopped, and within the machine's travel",
    "assembled parts: no interference, and the gaps of every joint against its fit class",
)
NOT_CHECKED = (
    "boards other than at their mean thickness",
    "the way in and the order of assembly",
    "that each part is held until its last cut",
    "clamps, collet and holder against the work",
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
    `worst` is the largest deviation of any part from the plan; `verdict` one sentence."""

    files: tuple[FileRead, ...]
    checked: tuple[str, ...]
    not_checked: tuple[str, ...]
    counts: Mapping[str, int]
    worst: Worst
    gaps: tuple[Gap, ...]
    verdict: str


def verdict(findings: Sequence[Finding], counts: Mapping[str, int], worst: Worst) -> str:
    """One sentence to sign."""
    errors = sum(f.severity == "error" for f in findings)
    warnings = sum(f.severity == "warning" for f in findings)
    scope = (
        f"{counts['parts']} parts on {counts['sheets']} sheets, "
        f"{counts['moves']} moves in {counts['files']} files"
    )
    if errors:
        return f"Do not run these programs: {errors} errors and {warnings} warnings in {scope}."
    if not counts["files"]:
        return "No program was there to prove."
    size = f"the largest deviation is {worst.depth:.3f} mm" if worst.where else "none deviates by 0.02 mm"
    also = f"; {warnings} warnings to read first" if warnings else ""
    return f"The programs leave the planned parts and hit nothing: {scope}; {size}{also}."
