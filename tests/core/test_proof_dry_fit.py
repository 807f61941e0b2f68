# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The dry fit: parts assembled in space must not interfere, and gaps must be those of their class."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from flatwright.geometry.arcs import Segment
from flatwright.geometry.carve import carved
from flatwright.geometry.outline import Outline, circle, from_segments, rectangle
from flatwright.plan import Joint, Panel
from flatwright.proof.dry_fit import DryFit, dry_fit
from flatwright.proof.interference import overlaps
from flatwright.proof.slab import planned
from support.pieces import board, cross_lap, finger_corner, housing, through_tenon

Make = Callable[[float], list[Panel]]

JOINTS: dict[str, tuple[Make, set[str]]] = {
    "mortise and tenon": (through_tenon, {"across", "along"}),
    "cross-lap": (cross_lap, {"across", "floor"}),
    "finger joint": (finger_corner, {"along"}),
    "housing": (housing, {"across", "along"}),
}


def fitted(kind: str, drawn: float, wanted: float) -> DryFit:
    make, kinds = JOINTS[kind]
    panels = make(drawn)
    fit = {f"{k}_mm": wanted for k in kinds}
    return dry_fit(panels, [Joint(kind, (panels[0].name, panels[1].name), fit)])


@pytest.mark.parametrize("kind", JOINTS)
@pytest.mark.parametrize("clear", [0.0, 0.25, 0.5])
def test_right_gaps_raise_nothing(kind: str, clear: float) -> None:
    result = fitted(kind, clear, clear)
    assert result.findings == ()
    measured = [g.value for g in result.gaps if g.kind in JOINTS[kind][1]]
    assert measured
    assert measured == pytest.approx([clear] * len(measured), abs=1e-6)


@pytest.mark.parametrize("kind", JOINTS)
def test_a_gap_that_is_0_1_too_narrow_is_told(kind: str) -> None:
    assert {f.code for f in fitted(kind, 0.2, 0.3).findings} == {"proof.gap"}


@pytest.mark.parametrize("kind", JOINTS)
def test_parts_that_are_0_1_too_fat_interfere(kind: str) -> None:
    found = fitted(kind, -0.1, -0.1).findings
    assert {f.code for f in found} == {"proof.interference"}
    assert set(found[0].panels) == {p.name for p in JOINTS[kind][0](0.0)}


def test_an_end_wall_that_drawn_dog_bones_took_whole_is_no_wrong_gap() -> None:
    # a bit of 6 mm leaves no end wall in the mortise of a 6 mm tenon, only the point between two circles
    side, shelf = through_tenon(0.5, t=6.0)
    r = 3.0
    (x0, y0, x1, y1), half = side.holes[0].bounds(), r / math.sqrt(2)
    discs = [circle((x, y), r) for x in (x0 + half, x1 - half) for y in (y0 + half, y1 - half)]
    (hole,) = carved(side.holes[0], discs)
    done = dry_fit(
        [replace(side, holes=(hole,)), shelf],
        [Joint("mortise and tenon", ("side", "shelf"), {"across_mm": 0.5, "along_mm": 0.5})],
    )
    assert [f.code for f in done.findings] == ["proof.gap-unmeasured"]


def test_what_dog_bones_leave_of_an_end_wall_is_measured() -> None:
    """Of 9.5 mm they leave 1.0 mm: the gap along must still be what the class says."""
    side, shelf = through_tenon(0.5, t=9.0)
    (x0, y0, x1, y1), half = side.holes[0].bounds(), 3.0 / math.sqrt(2)
    discs = [circle((x, y), 3.0) for x in (x0 + half, x1 - half) for y in (y0 + half, y1 - half)]
    (hole,) = carved(side.holes[0], discs)
    panels = [replace(side, holes=(hole,)), shelf]

    def told(along: float) -> list[str]:
        asked = Joint("mortise and tenon", ("side", "shelf"), {"across_mm": 0.5, "along_mm": along})
        return [f.code for f in dry_fit(panels, [asked]).findings]

    assert told(0.5) == []
    assert told(0.6) == ["proof.gap"]


def test_a_wedge_has_no_clearance_along_its_slant() -> None:
    """It tapers, and is driven until it bites."""
    panels = through_tenon(0.25)
    fit = {"across_mm": 0.25, "along_mm": 0.5}
    for kind, told in (("wedged tenon", []), ("keyed tenon", ["proof.gap"])):
        assert [f.code for f in dry_fit(panels, [Joint(kind, ("side", "shelf"), fit)]).findings] == told


def test_a_clearance_that_no_wall_shows_is_noted() -> None:
    panels = through_tenon(0.25)
    found = dry_fit(panels, [Joint("mortise and tenon", ("side", "shelf"), {"floor_mm": 0.5})]).findings
    assert [f.code for f in found] == ["proof.gap-unmeasured"]
    assert found[0].severity == "note"


def with_corners(relief: Callable[[tuple[float, float], tuple[float, float]], list[Segment]]) -> list[Panel]:
    """A tenon through a mortise 80.5 x 18.25 whose corners are drawn by `relief(corner, inward)`."""
    side, shelf = through_tenon(0.0)
    x0, y0, x1, y1 = 59.75, 99.875, 140.25, 118.125
    corners = [((x0, y0), (1, 1)), ((x1, y0), (-1, 1)), ((x1, y1), (-1, -1)), ((x0, y1), (1, -1))]
    pieces = [relief(c, way) for c, way in corners]
    segments: list[Segment] = []
    for k, piece in enumerate(pieces):
        segments += [*piece, Segment(piece[-1].q, pieces[(k + 1) % 4][0].p)]
    mortise = from_segments(segments)
    return [board("side", side.outline, u=(0, 1, 0), n=(1, 0, 0), holes=[mortise]), shelf]


def fillet(corner: tuple[float, float], way: tuple[float, float]) -> list[Segment]:
    """What a 6 mm bit leaves of a square corner."""
    (x, y), (sx, sy) = corner, way
    ends = [(x, y + 3 * sy), (x + 3 * sx, y)]
    if sx * sy < 0:
        ends.reverse()
    return [Segment(ends[0], ends[1], math.tan(math.pi / 8))]


def dog_bone(corner: tuple[float, float], way: tuple[float, float]) -> list[Segment]:
    """A circle of radius 3 through the corner, centre on the bisector (CHECKS GEO-1, GEO-3: 4.24264)."""
    (x, y), (sx, sy) = corner, way
    ends = [(x, y + 4.242641 * sy), (x + 4.242641 * sx, y)]
    if sx * sy < 0:
        ends.reverse()
    return [Segment(ends[0], ends[1], 1.0)]


def test_a_missing_relief_is_an_interference() -> None:
    """A square tenon meets the fillet that the bit leaves, 3 (√2 - 1) = 1.24 mm deep (GEO-6)."""
    fit = [Joint("mortise and tenon", ("side", "shelf"), {"across_mm": 0.25, "along_mm": 0.5})]
    assert "proof.interference" in {f.code for f in dry_fit(with_corners(fillet), fit).findings}
    assert dry_fit(with_corners(dog_bone), fit).findings == ()


def tilted(clear: float, degrees: float, t: float = 18.0, d: float = 18.0) -> list[Panel]:
    """A mate leaning by an angle through an upright-walled slot of the width that DESIGN §4 gives:
    (t + c) / cos a + d · tan a."""
    a = math.radians(degrees)
    width = (t + clear) / math.cos(a) + d * math.tan(a)
    base = board(
        "base", rectangle(-100, -100, 100, 100), t=d,
        holes=[rectangle(-width / 2, -40.25, width / 2, 40.25)],
    )  # fmt: skip
    along = np.array([math.sin(a), 0.0, math.cos(a)])  # up the leaning board
    normal = np.array([math.cos(a), 0.0, -math.sin(a)])
    middle = np.array([0.0, 0.0, d / 2]) - normal * t / 2
    mate = board("mate", rectangle(-40, -60, 40, 60), t=t, origin=tuple(middle), u=(0, 1, 0), n=tuple(normal))
    assert abs(float(mate.frame.v @ along)) == pytest.approx(1)
    return [base, mate]


@pytest.mark.parametrize("degrees", [5.0, 15.0, 30.0])
def test_a_leaning_mate_has_its_gap_at_the_rims(degrees: float) -> None:
    panels = tilted(0.25, degrees)
    joint = Joint("mortise and tenon", ("base", "mate"), {"across_mm": 0.25, "along_mm": 0.5})
    result = dry_fit(panels, [joint])
    assert result.findings == ()
    assert next(g.value for g in result.gaps if g.kind == "across") == pytest.approx(0.25, abs=1e-5)
    assert dry_fit(tilted(-0.1, degrees), [joint]).overlaps


def stopped_housing(floor: float, end: float) -> list[Panel]:
    """A shelf in a housing that runs out over the side's one edge and stops before the other; its corner
    is cut back there."""
    side = board(
        "side", rectangle(0, 0, 200, 300), u=(0, 1, 0), n=(1, 0, 0),
        pockets=[(rectangle(20, 99.875, 200, 118.125), 6.0, "+n")],
    )  # fmt: skip
    tip = 12.0 + floor
    corner = [(18, 0), (400, 0), (400, 200), (tip, 200), (tip, 20 + end), (18, 20 + end)]
    return [side, board("shelf", corner, origin=(0, 0, 100))]


@pytest.mark.parametrize("end", [0.25, 0.8])
def test_the_end_of_a_stopped_housing_is_not_its_floor(end: float) -> None:
    joint = Joint("stopped housing", ("side", "shelf"), {"across_mm": 0.25, "floor_mm": 0.5})
    result = dry_fit(stopped_housing(0.5, end), [joint])
    assert result.findings == ()
    assert {g.kind: round(g.value, 6) for g in result.gaps} == {"across": 0.25, "floor": 0.5}
    assert [f.code for f in dry_fit(stopped_housing(0.3, end), [joint]).findings] == ["proof.gap"]


def test_boards_glued_face_to_face_only_touch() -> None:
    lower = board("lower", rectangle(0, 0, 200, 100), t=12.0)
    upper = board("upper", rectangle(20, 0, 180, 100), t=12.0, origin=(0, 0, 12.0))
    sunk = board("sunk", rectangle(20, 0, 180, 100), t=12.0, origin=(0, 0, 11.9))
    assert overlaps([planned(lower), planned(upper)]) == []
    (clash,) = overlaps([planned(lower), planned(sunk)])
    assert clash.depth == pytest.approx(0.1, abs=1e-6)


def test_a_part_in_the_pocket_of_a_parallel_one() -> None:
    pocketed = board("base", rectangle(0, 0, 100, 100), pockets=[(circle((50, 50), 20.1), 6.0, "+n")])
    disc = board("disc", circle((50, 50), 20.0), t=6.0, origin=(0, 0, 12.0))
    big = board("disc", circle((50, 50), 20.2), t=6.0, origin=(0, 0, 12.0))
    assert overlaps([planned(pocketed), planned(disc)]) == []
    assert len(overlaps([planned(pocketed), planned(big)])) == 1


def test_joints_of_parts_that_are_not_there_are_passed_over() -> None:
    assert dry_fit(through_tenon(0.0)[:1], [Joint("slot", ("side", "shelf"), {"across_mm": 0.25})]) == DryFit(
        (), (), ()
    )


def test_the_relieved_mortise_is_what_it_says() -> None:
    """The mortise above closes and turns the right way."""
    hole: Outline = with_corners(dog_bone)[0].holes[0]
    assert hole.area() < 0
    # the slot, and GEO-2's 5.13717 mm² beyond the edges at each corner
    assert -hole.area() == pytest.approx(80.5 * 18.25 + 4 * 5.13717, abs=1e-3)
