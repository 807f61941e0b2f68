# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What a careful operator asks of a program, looked for in the posted text alone (DESIGN §8, §9; the rules
are common practice, CHECKS section 0). Where a rule was relaxed, a finding says so and names the part."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

import numpy as np
import pytest
import shapely
from shapely.geometry.base import BaseGeometry

from flatwright.geometry.polygon import polygon
from flatwright.plan import ProgramBit, Sheet, placed
from flatwright.proof.motion import Motion, Reading
from flatwright.proof.reader import read_program
from support.runs import Run

pytestmark = pytest.mark.slow
AIR = 0.5  # mm above the thickest board: where ramps begin
PASS = 6.0  # mm, the starter preset's pass depth
RAMP = 5.0  # degrees


@dataclass(frozen=True)
class File:
    """One posted file of a sheet."""

    kind: str
    bit: ProgramBit
    reading: Reading


@cache
def files(run: Run, sheet: str) -> tuple[File, ...]:
    """The sheet's files as the proof's reader reads them, in running order."""
    texts = run.programs()
    one = next(s for s in run.plan.sheets if s.name == sheet)
    return tuple(File(p.kind, p.bits[0], read_program(texts[p.file])) for p in one.programs)


def cutting(run: Run, sheet: Sheet) -> Iterator[tuple[File, Motion]]:
    """The feed moves of all cutting files whose start is known."""
    for f in files(run, sheet.name):
        for m in f.reading.motions:
            if f.kind == "cut" and m.kind != "rapid":
                yield f, m


@cache
def woods(run: Run, sheet: str) -> dict[str, BaseGeometry]:
    """Each part as planned, on its sheet."""
    one = next(s for s in run.plan.sheets if s.name == sheet)
    panels = {p.panel: run.plan.panel(p.panel) for p in one.placements}
    return {
        p.panel: polygon(
            placed(panels[p.panel].outline, p), [placed(h, p) for h in panels[p.panel].holes], 1e-3
        )
        for p in one.placements
    }


def relaxed(run: Run, code: str) -> set[str]:
    return {n for f in run.result.findings if f.code == code for n in f.panels}


def near(run: Run, sheet: Sheet, m: Motion, names: set[str]) -> bool:
    """Whether a move runs beside one of these parts."""
    at = shapely.Point(m.end[:2])
    return any(woods(run, sheet.name)[n].distance(at) < 8.0 for n in names if n in woods(run, sheet.name))


def along_x(m: Motion) -> bool:
    dx, dy = m.end[0] - m.start[0], m.end[1] - m.start[1]
    return abs(dy) <= abs(dx) * math.tan(math.radians(10.0))


def flat(m: Motion) -> float:
    return math.dist(m.start[:2], m.end[:2])


def test_spot_marks_come_first_at_every_screw_and_nothing_else_is_cut(run: Run) -> None:
    for sheet in run.plan.sheets:
        spots, *cuts = files(run, sheet.name)
        assert spots.kind == "spots"
        assert all(c.kind == "cut" for c in cuts)
        marks = [m.end for m in spots.reading.motions if m.kind != "rapid" and m.end[2] < m.start[2]]
        wanted = sorted((round(s.x, 3), round(s.y, 3)) for s in sheet.screws)
        assert sorted((round(x, 3), round(y, 3)) for x, y, _ in marks) == wanted
        assert len({z for _, _, z in marks}) == 1, "all counted from the smallest reading"
        assert all(0.5 <= sheet.thickness - z <= 1.0 for _, _, z in marks), "CP-5"


def test_every_file_ends_parked_with_the_spindle_stopped(run: Run) -> None:
    for sheet in run.plan.sheets:
        for f in files(run, sheet.name):
            assert f.reading.motions[-1].end[:2] == (0.0, 1220.0)
            assert f.reading.motions[-1].end[2] >= sheet.thickness + 10.0
            assert [e.value for e in f.reading.events if e.kind == "spindle"][-1] == 0.0


def test_a_bit_that_may_drill_goes_first_and_no_other_plunges(run: Run) -> None:
    """CP-7."""
    for sheet in run.plan.sheets:
        kinds = [f.bit.kind for f in files(run, sheet.name)]
        assert kinds[0] in ("straight", "up-cut") or not {"straight", "up-cut"} & set(kinds)
        for f, m in cutting(run, sheet):
            if f.bit.kind not in ("straight", "up-cut") and flat(m) < 1e-6 and m.end[2] < m.start[2]:
                assert m.end[2] > sheet.thickness - 1.0, f"line {m.line} plunges with a {f.bit.kind} bit"


def test_ramps_run_with_the_grain_and_no_steeper_than_asked(run: Run) -> None:
    """CP-6. The sheet's grain runs along x."""
    exempt = relaxed(run, "cutting.ramp-across-grain")
    seen = 0
    for sheet in run.plan.sheets:
        high = max((t.height for t in sheet.tabs), default=0.0) + 0.5
        for f, m in cutting(run, sheet):
            if m.kind != "feed" or flat(m) < 1e-6 or m.end[2] >= m.start[2] or m.start[2] <= high:
                continue
            steep = math.degrees(math.atan2(m.start[2] - m.end[2], flat(m)))
            assert steep <= RAMP + 0.05, f"line {m.line}"
            shows = any(run.plan.panel(n).show != "none" for n in woods(run, sheet.name))
            if shows and f.kind == "cut" and not along_x(m):
                assert near(
                    run, sheet, m, exempt | {n for n in woods(run, sheet.name) if hidden(run, sheet, n)}
                )
            seen += 1
    assert seen


def hidden(run: Run, sheet: Sheet, name: str) -> bool:
    """Whether the part's face that is up does not show."""
    p = next(q for q in sheet.placements if q.panel == name)
    return run.plan.panel(name).show not in ("both", "-n" if p.flipped else "+n")


def test_tabs_stand_on_edges_along_the_grain(run: Run) -> None:
    """CP-4: the bit is lifted to the tab's height on straight moves along x, once for each tab and pass."""
    exempt = relaxed(run, "holding.tabs-relaxed")
    for sheet in run.plan.sheets:
        heights = {round(t.height, 3) for t in sheet.tabs}
        tops = [
            m for _, m in cutting(run, sheet)
            if m.kind == "feed" and flat(m) > 5.0
            and round(m.start[2], 3) in heights and round(m.end[2], 3) in heights
        ]  # fmt: skip
        rims = [shapely.Polygon(w.exterior) for w in woods(run, sheet.name).values()]
        for m in tops:
            if any(r.contains(shapely.Point(m.end[:2])) for r in rims):
                continue  # a drop is waste: its tabs may stand on any edge
            assert along_x(m) or near(run, sheet, m, exempt), f"line {m.line}"
        middles = {(round((m.start[0] + m.end[0]) / 2), round((m.start[1] + m.end[1]) / 2)) for m in tops}
        for t in sheet.tabs:
            if t.panel not in exempt:
                assert min(math.dist((t.x, t.y), c) for c in middles) < 4.5, "the lift is over the tab"


def test_passes_are_even_and_none_is_too_deep(run: Run) -> None:
    """MAC-12: the levels of every outline, from the text."""
    for sheet in run.plan.sheets:
        for name, wood in woods(run, sheet.name).items():
            rim = shapely.Polygon(wood.exterior)
            levels: dict[int, set[float]] = {}
            for f, m in cutting(run, sheet):
                if flat(m) < 1.0 or m.start[2] != m.end[2] or rim.contains(shapely.Point(m.end[:2])):
                    continue
                if abs(rim.distance(shapely.Point(m.end[:2])) - f.bit.diameter / 2) < 0.02:
                    levels.setdefault(f.bit.number, set()).add(round(m.end[2], 3))
            tabs = {round(t.height, 3) for t in sheet.tabs if t.panel == name}
            for heights in levels.values():
                steps = -np.diff([sheet.thickness, *sorted(heights - tabs, reverse=True)])
                assert steps.max() <= PASS + 0.2, (
                    f"{name}: the thickest board is a little thicker than the mean"
                )
                assert np.ptp(steps[1:]) < 2e-3 or len(steps) < 3


def test_the_wood_lies_on_the_right_of_every_wall_cut(run: Run) -> None:
    """Climb milling with a spindle that turns clockwise."""
    checked = 0
    for sheet in run.plan.sheets:
        every = shapely.union_all(list(woods(run, sheet.name).values()))
        shapely.prepare(every)
        rims = every.boundary
        for f, m in cutting(run, sheet):
            if m.kind != "feed" or flat(m) < 20.0 or m.start[2] != m.end[2]:
                continue
            x, y = (m.start[0] + m.end[0]) / 2, (m.start[1] + m.end[1]) / 2
            r = f.bit.diameter / 2
            ux, uy = (m.end[0] - m.start[0]) / flat(m), (m.end[1] - m.start[1]) / flat(m)
            right, left = (x + uy * (r + 0.5), y - ux * (r + 0.5)), (x - uy * (r + 0.5), y + ux * (r + 0.5))
            if every.contains(shapely.Point(x, y)) or abs(rims.distance(shapely.Point(x, y)) - r) > 0.02:
                continue
            checked += 1
            one_side = every.contains(shapely.Point(right)), every.contains(shapely.Point(left))
            assert one_side != (False, True), f"line {m.line}"
    assert checked > 20


def test_insides_come_before_outsides(run: Run) -> None:
    for sheet in run.plan.sheets:
        moves = [
            (f, m) for f, m in cutting(run, sheet) if flat(m) > 1e-6 and m.end[2] < sheet.thickness - 0.1
        ]
        for name, wood in woods(run, sheet.name).items():
            rim = shapely.Polygon(wood.exterior)
            ends = shapely.points([m.end[:2] for _, m in moves])
            inside = np.flatnonzero(shapely.contains(rim, ends))
            radii = np.array([f.bit.diameter / 2 for f, _ in moves])
            outside = np.flatnonzero(np.abs(shapely.distance(rim, ends) - radii) < 0.02)
            assert len(outside)
            assert not len(inside) or inside.max() < outside.min(), name


def test_arcs_are_arcs_with_centres_and_of_sensible_radius(run: Run) -> None:
    """GCD-3: no radius-format arcs; none of giant radius."""
    for sheet in run.plan.sheets:
        for f in files(run, sheet.name):
            assert not any(c.kind == "radius-arc" for c in f.reading.cautions)
            for m in f.reading.motions:
                if m.centre is not None:
                    assert 0.01 <= math.dist(m.start[:2], m.centre) <= 5000.0


def test_nothing_low_passes_a_screw(run: Run) -> None:
    """Rapids below the heads keep clear of them, whatever they are for."""
    for sheet in run.plan.sheets:
        heads = shapely.MultiPoint([(s.x, s.y) for s in sheet.screws]).buffer(8.5 / 2)
        for f in files(run, sheet.name):
            for m in f.reading.motions if f.kind == "cut" else ():
                low = min(m.start[2], m.end[2]) < sheet.thickness + 2.6
                if low and flat(m) > 1e-6:
                    way = shapely.LineString([m.start[:2], m.end[:2]])
                    assert way.distance(heads) > f.bit.diameter / 2 or m.centre is not None
