# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Programs that run before a sheet is turned over, and where their places lie on the sheet afterwards."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from flatwright.plan import Flip, Pin, Screw, Sheet
from flatwright.proof.programs import Run
from flatwright.proof.sweeps import Flags, Floats, Sweeps

WIDER = 0.05  # mm that a pin's hole may be wider than planned


def is_before(run: Run, sheet: Sheet) -> bool:
    """Whether a file runs before its sheet is turned over."""
    return sheet.flip is not None and run.program.underside


def turned_over(run: Run, sheet: Sheet) -> Run:
    """The same file with its places on the sheet as the plan draws it; heights stay those of the sheet as
    it lay, with its other face on the bed."""
    return run if sheet.flip is None else replace(run, sweeps=_mirrored(run.sweeps, sheet, sheet.flip))


def flip_of(run: Run, sheet: Sheet) -> Flip | None:
    """How the sheet is turned over after this file, the pins where the file has them; None if it is not."""
    if sheet.flip is None or not is_before(run, sheet):
        return None
    pins = [_places(np.array([[p.x, p.y]]), sheet, sheet.flip)[0].tolist() for p in sheet.flip.pins]
    return replace(sheet.flip, pins=tuple(Pin(x, y) for x, y in pins))


def turned_screws(sheet: Sheet) -> tuple[Screw, ...]:
    """The screws where they stand before the sheet is turned over."""
    if sheet.flip is None:
        return sheet.screws
    at = np.array([(w.x, w.y) for w in sheet.screws]).reshape(-1, 2)
    return tuple(Screw(x, y) for x, y in _places(at, sheet, sheet.flip).tolist())


def in_pins(s: Sweeps, flip: Flip) -> Flags:
    """(n,) True where a piece sweeps nothing but the hole of a pin."""
    out = np.zeros(len(s), dtype=np.bool_)
    room = flip.diameter / 2.0 + WIDER - s.radius
    for p in flip.pins:
        off = [np.hypot(e[:, 0] - p.x, e[:, 1] - p.y) for e in (s.a, s.b)]
        out |= np.maximum(*off) <= room
    return out


def _mirrored(s: Sweeps, sheet: Sheet, flip: Flip) -> Sweeps:
    return replace(s, a=_places(s.a, sheet, flip), b=_places(s.b, sheet, flip))


def _places(points: Floats, sheet: Sheet, flip: Flip) -> Floats:
    """(n, 2 or 3) points mirrored about the middle line along the axis."""
    across = 1 if flip.axis == "x" else 0
    out = points.copy()
    out[:, across] = sheet.size[across] - points[:, across]
    return out
