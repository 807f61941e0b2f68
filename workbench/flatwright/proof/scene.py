# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What a picture of a proven sheet shows: what the bits leave, screws, tabs, and the place of every fault.

The shapes are for the eye: within 0.1 mm, and worked out only when a picture is drawn.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from flatwright.findings import Finding
from flatwright.plan import Pin, Screw, Tab
from flatwright.presets.model import Fasteners
from flatwright.proof.programs import Run
from flatwright.proof.removal import paths_below
from flatwright.proof.sweeps import Box, Sweeps

FINE = 0.1  # mm
QUARTER = 6  # chords in a quarter of a bit's circle
BEYOND = 50.0  # mm around the cuts that are looked at when nobody told the board's size
UNDER = 0.01  # mm under the board's top

_AT = re.compile(r"\bat \((-?[\d.]+), (-?[\d.]+)\)")
_LINE = re.compile(r"^(.*), line (\d+)$")


@dataclass(frozen=True, slots=True)
class Fault:
    """A finding's number in the list (from 1) and its place, sheet coordinates."""

    number: int
    at: tuple[float, float]
    severity: str


@dataclass(frozen=True, slots=True, eq=False)
class Scene:
    """One sheet, or one board without a plan (`size` None where nobody told it).

    `cuts` are the feed moves of all its programs, heights from the bed; `through` is the level at
    which a place counts as cut through; `head` the fasteners, if zones for them are to be shown; `pins` are
    dowels that stand in the board.
    """

    name: str
    size: tuple[float, float] | None
    top: float
    through: float
    cuts: Sweeps
    screws: tuple[Screw, ...]
    tabs: tuple[Tab, ...]
    faults: tuple[Fault, ...]
    head: Fasteners
    with_zones: bool
    pins: tuple[Pin, ...] = ()

    def box(self) -> Box:
        """What is looked at: the board, else the cuts with some room about them."""
        if self.size is not None:
            return (0.0, 0.0, *self.size)
        if not len(self.cuts):
            return (0.0, 0.0, 100.0, 100.0)
        points = np.vstack([self.cuts.a, self.cuts.b])[:, :2]
        (x0, y0), (x1, y1) = points.min(axis=0), points.max(axis=0)
        return (x0 - BEYOND, y0 - BEYOND, x1 + BEYOND, y1 + BEYOND)

    def marked(self) -> BaseGeometry:
        """Where any bit cuts into the board, however deep."""
        return _coarse(self.cuts, self.top - UNDER)

    def opened(self) -> BaseGeometry:
        """Where it is cut through."""
        return _coarse(self.cuts, self.through)

    def zones(self, every: BaseGeometry) -> BaseGeometry:
        """Where the middle of a screw is safe from every move in `every`, and well inside the board."""
        clear = self.head.head_diameter / 2 + self.head.margin
        return shapely.box(*self.box()).buffer(-clear).difference(every.buffer(clear + FINE))

    def swept(self) -> BaseGeometry:
        """What any bit sweeps below the heads of screws."""
        return _coarse(self.cuts, self.top + self.head.head_height)


def _coarse(s: Sweeps, level: float) -> BaseGeometry:
    a, b, radius = paths_below(s, level)
    shapes = []
    for r in np.unique(radius).tolist():
        mine = radius == r
        lines = shapely.MultiLineString(np.stack([a[mine], b[mine]], axis=1).tolist())
        merged = shapely.simplify(shapely.line_merge(lines), FINE / 2)
        shapes.append(merged.buffer(r, quad_segs=QUARTER))
    return shapely.union_all(shapes).simplify(FINE / 2) if shapes else shapely.Polygon()


def faults(
    findings: Sequence[Finding], sheet: str | None, runs: Iterable[Run], of_parts: bool = True
) -> tuple[Fault, ...]:
    """The findings on a sheet that have a place, numbered as in the list: those at lines of the files, and
    with `of_parts` those at places of the sheet as the plan draws it."""
    by_file = {run.program.file: run for run in runs}
    out = []
    for number, f in enumerate(findings, 1):
        if f.sheet == sheet and (at := _place(f, by_file, of_parts)) is not None:
            out.append(Fault(number, at, f.severity))
    return tuple(out)


def _place(f: Finding, runs: dict[str, Run], of_parts: bool) -> tuple[float, float] | None:
    written = _AT.search(f.where) if of_parts else None
    if written:
        return (float(written[1]), float(written[2]))
    line = _LINE.match(f.where)
    run = runs.get(line[1]) if line else None
    if line is None or run is None:
        return None
    ends = [m.end for m in run.reading.motions if m.line == int(line[2])]
    return (ends[-1][0], ends[-1][1]) if ends and ends[-1][0] == ends[-1][0] else None
