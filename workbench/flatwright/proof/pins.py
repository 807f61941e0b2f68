# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The dowels that put a turned sheet back: their holes, and that nothing runs into them later."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np
import shapely

from flatwright.findings import Finding, finding
from flatwright.plan import Flip, Pin, Sheet
from flatwright.proof.over import WIDER
from flatwright.proof.programs import ANEW, Run
from flatwright.proof.removal import swept
from flatwright.proof.sweeps import joined

CLOSE = 0.05  # mm: how near a hole must be to its size and depth
OPPOSITE = 0.02  # mm: how near a pin's mirror image must be to a pin


def check_pins(first: Sequence[Run], second: Sequence[Run], sheet: Sheet) -> Iterator[Finding]:
    """`first` are the files of the underside, their places on the sheet as the plan draws it, `second` those
    that run when the dowels stand."""
    flip = sheet.flip
    if flip is None:
        return
    for pin in flip.pins:
        if not any(_opposite(pin, other, flip, sheet) for other in flip.pins):
            message = "has no other one at its mirror image: the turned sheet does not go onto it"
            yield _finding(pin, sheet, message)
    if len(flip.pins) < 2:
        yield _finding(
            flip.pins[0] if flip.pins else Pin(0.0, 0.0), sheet, "stands alone: the sheet can turn"
        )
    yield from _holes(first, sheet, flip)
    yield from _hits(second, sheet, flip)


def _opposite(pin: Pin, other: Pin, flip: Flip, sheet: Sheet) -> bool:
    x, y = (pin.x, sheet.size[1] - pin.y) if flip.axis == "x" else (sheet.size[0] - pin.x, pin.y)
    return math.hypot(x - other.x, y - other.y) <= OPPOSITE


def _holes(first: Sequence[Run], sheet: Sheet, flip: Flip) -> Iterator[Finding]:
    """Each hole goes through the board and to its depth, as wide as planned at any height."""
    whole = joined([r.sweeps for r in first])
    cuts = whole.take(~whole.rapid)
    r = flip.diameter / 2.0
    for pin in flip.pins:
        at = shapely.Point(pin.x, pin.y)
        local = cuts.near(at.buffer(r + 1.0).bounds)
        if not swept(local, -flip.depth + CLOSE).covers(at.buffer(r - CLOSE)):
            yield _finding(pin, sheet, f"has no hole of {flip.diameter:g} mm, {flip.depth:g} mm into the bed")
        elif not at.buffer(r + WIDER + 0.01).covers(swept(local, sheet.thickness - CLOSE)):
            yield _finding(pin, sheet, f"has a hole that is wider than {flip.diameter:g} mm")


def _hits(second: Sequence[Run], sheet: Sheet, flip: Flip) -> Iterator[Finding]:
    for run in second:
        low = run.sweeps.take(run.sweeps.lowest() < sheet.thickness)
        for pin in flip.pins:
            away = shapely.distance(low.lines(), shapely.Point(pin.x, pin.y))
            hit = np.flatnonzero(away < low.radius + flip.diameter / 2.0 - 1e-3)
            if len(hit):
                line = run.line(int(low.motion[hit[0]]))
                yield run.finding(
                    "proof.pin-hit",
                    line,
                    f"Line {line} of {run.program.file} cuts into the pin at ({pin.x:.1f}, {pin.y:.1f}).",
                )
                return


def _finding(pin: Pin, sheet: Sheet, message: str) -> Finding:
    return finding(
        "proof.pin",
        f"{sheet.name}, pin at ({pin.x:.1f}, {pin.y:.1f})",
        f"The registration pin at ({pin.x:.1f}, {pin.y:.1f}) of {sheet.name} {message}.",
        ANEW,
        sheet=sheet.name,
    )
