# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Reliefs that the user drew: known, moved with their corners, kept if they will do, else replaced."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from flatwright.bits.relieved import CutPanel, cut_panel
from flatwright.geometry.carve import carved
from flatwright.geometry.corners import concave_corners
from flatwright.geometry.drawn_reliefs import drawn_reliefs, with_reliefs, without
from flatwright.geometry.offset import move_edges
from flatwright.geometry.outline import Outline, circle, polygon_outline, rectangle
from flatwright.geometry.relief_shapes import ReliefKind, relief
from flatwright.joints.fit import Thickness
from flatwright.joints.piece import fit_piece, surroundings
from flatwright.joints.relief_choice import CornerChoice
from flatwright.plan import Panel
from flatwright.presets.reading import load
from flatwright.resources import path
from support.pieces import through_tenon
from support.relief_check import blocked, mate_of, plate, relieved

PRESET = load(path("presets/metric.shop.json"))
SLOT = rectangle(0, 0, 80, 18).cw()
KINDS: list[ReliefKind] = ["dog-bone", "T-bone in", "T-bone out"]


def drawn(loop: Outline, kind: ReliefKind, r: float) -> Outline:
    """The loop with circles drawn at all its corners."""
    circles = [circle(relief(c, kind, r, loop).centre, r) for c in concave_corners(loop)]
    return carved(loop, circles)[0]


@given(st.sampled_from(KINDS), st.floats(0.8, 4.0), st.floats(65.0, 140.0))
def test_reliefs_are_told_from_other_arcs(kind: ReliefKind, r: float, degrees: float) -> None:
    a = math.radians(degrees)
    void = polygon_outline([(0, 0), (90, 0), (90 * math.cos(a), 90 * math.sin(a))]).cw()
    corner = next(c for c in concave_corners(void) if math.hypot(*c.at) < 1e-9)
    loop = carved(void, [circle(relief(corner, kind, r, void).centre, r)])[0]
    (found,) = drawn_reliefs(loop)
    assert found.kind == kind
    assert found.at == pytest.approx((0, 0), abs=1e-6) and found.radius == pytest.approx(r)
    back = without(loop, [found])
    assert back.area() == pytest.approx(void.area(), abs=1e-6) and len(back) == 3


def test_roundings_round_ends_and_scallops_are_no_reliefs() -> None:
    q = math.tan(math.pi / 8)
    rounded = Outline(
        np.array([(3, 0), (77, 0), (80, 3), (80, 15), (77, 18), (3, 18), (0, 15), (0, 3)], float),
        np.array([0, q, 0, q, 0, q, 0, q]),
    ).cw()
    long_hole = Outline(
        np.array([(9, 0), (71, 0), (71, 18), (9, 18)], float), np.array([0, 1.0, 0, 1.0])
    ).cw()
    bump = Outline(np.array([(0, 0), (30, 0), (50, 0), (80, 0), (80, 18), (0, 18)], float),
                   np.array([0, 0.5, 0, 0, 0, 0])).cw()  # fmt: skip
    for loop in (rounded, long_hole, bump, circle((0, 0), 5).cw(), SLOT):
        assert drawn_reliefs(loop) == []


@pytest.mark.parametrize("by", [(0.15, -0.25), (3.5, 4.0)], ids=["a little", "a board of 11 for one of 18"])
@pytest.mark.parametrize("kind", KINDS)
def test_a_relief_goes_where_its_corner_goes(kind: ReliefKind, by: tuple[float, float]) -> None:
    """by: how far the long and the short edges move away from the wood."""
    loop = drawn(SLOT, kind, 3.0)
    found = drawn_reliefs(loop)
    sharp = without(loop, found)
    across, along = by
    distances = [across if abs(s.direction(0)[0]) > 0.9 else along for s in sharp.segments()]
    moved, lost = with_reliefs(move_edges(sharp, distances).outline, sharp, found)
    plain = rectangle(along, across, 80 - along, 18 - across).cw()
    assert len(moved) == len(loop) and lost == []
    assert moved.area() == pytest.approx(drawn(plain, kind, 3.0).area(), abs=1e-6)


def test_a_relief_whose_corner_is_gone_is_handed_back() -> None:
    loop = drawn(SLOT, "dog-bone", 3.0)
    found = drawn_reliefs(loop)
    notched = polygon_outline([(0, 0), (80, 0), (80, 18), (30, 18), (30, 9), (0, 9)]).cw()
    back, lost = with_reliefs(notched, without(loop, found), found)
    assert [r.at for r in lost] == [pytest.approx((0, 18))]
    assert len(drawn_reliefs(back)) == 3


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("r", [3.0, 3.2, 4.5])
def test_a_relief_that_the_bit_can_cut_and_that_will_do_is_kept(kind: ReliefKind, r: float) -> None:
    loop = drawn(SLOT, kind, r)
    done = relieved(plate(loop), [mate_of(SLOT)], 3.0)
    assert done.findings == () and done.reliefs == ()
    assert done.panel.holes[0].points.tolist() == loop.points.tolist()


@pytest.mark.parametrize("kind", KINDS)
def test_a_relief_too_small_for_the_bit_is_replaced(kind: ReliefKind) -> None:
    done = relieved(plate(drawn(SLOT, kind, 2.0)), [mate_of(SLOT)], 3.0)
    ours = relieved(plate(SLOT), [mate_of(SLOT)], 3.0)
    (found,) = done.findings
    assert (found.code, found.severity) == ("relief.replaced", "warning")
    assert "4 drawn reliefs" in found.message and "2.00 mm" in found.message
    assert done.panel.holes[0].area() == pytest.approx(ours.panel.holes[0].area(), abs=1e-3)
    assert np.allclose(sorted(x.centre for x in done.reliefs), sorted(x.centre for x in ours.reliefs))
    assert [x.visible for x in done.reliefs] == pytest.approx([x.visible for x in ours.reliefs], abs=0.01)


def test_a_relief_too_small_where_no_mate_comes_becomes_one_of_its_kind() -> None:
    done = relieved(plate(drawn(SLOT, "T-bone in", 2.0)), [], 3.0)
    assert [f.code for f in done.findings] == ["relief.replaced"]
    assert [x.kind for x in done.reliefs] == ["T-bone"] * 4
    assert done.panel.holes[0].area() == pytest.approx(drawn(SLOT, "T-bone in", 3.0).area(), abs=1e-6)


@pytest.mark.parametrize(
    ("centre", "r", "kept"),
    [((2.1, 2.1), 3.2, True), ((1.0, 1.0), 3.2, False)],
    ids=["good", "too narrow a way in for the bit"],
)
def test_a_relief_wide_enough_for_the_bit_may_still_not_suffice(
    centre: tuple[float, float], r: float, kept: bool
) -> None:
    (loop,) = carved(SLOT, [circle(centre, r)])
    assert len(drawn_reliefs(loop)) == 1
    done = relieved(plate(loop), [mate_of(SLOT, 0.02)], 3.0)
    arcs = [s for s in done.panel.holes[0].segments() if not s.is_line]
    assert any(math.dist(s.centre, centre) < 1e-6 for s in arcs) == kept
    assert ("relief.replaced" in {f.code for f in done.findings}) != kept


def test_a_circle_that_misses_the_corner_is_no_relief_and_gets_one() -> None:
    (loop,) = carved(SLOT, [circle((2.5, 2.5), 3.3)])
    assert drawn_reliefs(loop) == []
    done = relieved(plate(loop), [mate_of(SLOT, 0.02)], 3.0)
    assert (0.0, 0.0) in {x.corner for x in done.reliefs} and done.findings == ()
    assert blocked(done.panel.holes[0], mate_of(SLOT, 0.02), 3.0) < 0.02


def cut_side(hole_of: ReliefKind | None, r: float) -> CutPanel:
    """The side of a mortise joint whose mortise has reliefs, through the fit and the choice of bits."""
    panels: list[Panel] = [replace(p, board="birch 18") for p in through_tenon(0.3)]
    if hole_of is not None:
        panels[0] = replace(panels[0], holes=(drawn(panels[0].holes[0], hole_of, r),))
    piece, _ = fit_piece(panels, {p.name: Thickness(17.7, 17.7) for p in panels}, PRESET.fits)
    return cut_panel(surroundings(piece)[0], PRESET)


@pytest.mark.parametrize("kind", KINDS)
def test_small_drawn_reliefs_are_no_reason_to_refuse_the_bit(kind: ReliefKind) -> None:
    """The preset has bits of 6 mm; reliefs of 2 mm radius used to end as bits.too-wide."""
    plain, small, right = cut_side(None, 0), cut_side(kind, 2.0), cut_side(kind, 3.2)
    assert [f.code for f in small.findings] == ["relief.replaced"]
    assert right.findings == () and right.relieved.reliefs == ()
    assert small.relieved.panel.holes[0].area() == pytest.approx(
        plain.relieved.panel.holes[0].area(), abs=1e-3
    )
    assert [b.cut if b else None for b in small.bits.loops()] == [6.0, 6.0]


# -- reliefs that meet, and reliefs at round edges ------------------------------------------


def places(points: Iterable[Sequence[float]]) -> list[tuple[float, ...]]:
    """Points to 0.0001 mm, in order."""
    return sorted(tuple(round(x, 4) + 0.0 for x in p) for p in points)


def narrow(width: float, r: float, kind: ReliefKind = "dog-bone", at: float = 0.0) -> Outline:
    """A slot of 60 mm with reliefs at both ends, turned by `at` radians."""
    return drawn(rectangle(0, 0, 60, width).cw(), kind, r).moved(angle=at)


@given(st.floats(0.75, 0.99), st.floats(1.0, 4.0), st.floats(-3.1, 3.1))
def test_dog_bones_that_meet_at_the_end_of_a_narrow_slot_are_known(
    share: float, r: float, angle: float
) -> None:
    """Two circles through the corners meet beyond the end where it is shorter than 2 √2 r."""
    width = 2 * math.sqrt(2) * r * share
    loop = narrow(width, r, at=angle)
    assert len(loop) == 6  # two sides, four arcs: nothing is left of the ends
    found = drawn_reliefs(loop)
    assert [d.kind for d in found] == ["dog-bone"] * 4
    assert len({d.run for d in found}) == 2
    corners = rectangle(0, 0, 60, width).moved(angle=angle).points
    assert places(d.at for d in found) == places(corners.tolist())
    back = without(loop, found)
    assert len(back) == 4 and back.area() == pytest.approx(-60 * width, abs=1e-6)


@given(st.floats(0.52, 0.98), st.floats(1.0, 4.0))
def test_t_bones_that_meet_across_the_end_of_a_slot_are_known(share: float, r: float) -> None:
    """With centres on the end, each one radius from its side: they meet where it is shorter than 4 r."""
    slot = rectangle(0, 0, 60, 4 * r * share).cw()
    corners = concave_corners(slot)
    ends = [abs(c.before.direction(1)[0]) > 0.9 for c in corners]  # the side leads in: the end leads out
    kinds: list[ReliefKind] = ["T-bone out" if end else "T-bone in" for end in ends]
    circles = [circle(relief(c, k, r, slot).centre, r) for c, k in zip(corners, kinds, strict=True)]
    (loop,) = carved(slot, circles)
    found = drawn_reliefs(loop)
    assert sorted(d.kind for d in found) == ["T-bone in"] * 2 + ["T-bone out"] * 2
    assert without(loop, found).area() == pytest.approx(slot.area(), abs=1e-6)


@pytest.mark.parametrize("kind", KINDS)
@given(bulge=st.floats(-0.4, -0.01) | st.floats(0.01, 0.4), r=st.floats(1.0, 3.0))
def test_reliefs_at_round_edges_are_known(kind: ReliefKind, bulge: float, r: float) -> None:
    """A void of which one side is an arc of at least 28 mm radius."""
    void = Outline(np.array([(0, 0), (40, 0), (40, 30), (0, 30)], float), np.array([0, bulge, 0, 0])).cw()
    corners = [c for c in concave_corners(void) if c.opening > math.radians(65)]
    circles = [circle(relief(c, kind, r, void).centre, r) for c in corners]
    (loop,) = carved(void, circles)
    found = drawn_reliefs(loop)
    assert places(d.at for d in found) == places(c.at for c in corners)
    assert {d.kind for d in found} == {kind}
    assert without(loop, found).area() == pytest.approx(void.area(), abs=1e-5)


def test_scallops_waves_and_hearts_are_no_reliefs() -> None:
    scallops = Outline(
        np.array([(0, 0), (10, 0), (20, 0), (30, 0), (40, 0), (40, 30), (0, 30)], float),
        np.array([-1.0, -1.0, -1.0, -1.0, 0, 0, 0]),
    )
    heart = Outline(np.array([(20, 10), (40, 40), (20, 50), (0, 40)], float), np.array([0, 0.8, 0.8, 0])).cw()
    wave = Outline(
        np.array([(0, 0), (15, 0), (30, 0), (60, 0), (60, 30), (0, 30)], float),
        np.array([0.3, -0.3, 0, 0, 0, 0]),
    )
    for loop in (scallops, heart, wave, wave.cw()):
        assert drawn_reliefs(loop) == []


@pytest.mark.parametrize(("r", "bit", "kept"), [(3.0, 3.0, True), (3.2, 3.0, True), (2.9, 3.0, False)])
def test_reliefs_that_meet_are_kept_if_the_bit_can_cut_them(r: float, bit: float, kept: bool) -> None:
    slot = rectangle(0, 0, 60, 8).cw()
    loop = narrow(8, r)
    done = relieved(plate(loop), [mate_of(slot)], bit)
    if kept:
        assert done.findings == () and done.reliefs == ()
        assert done.panel.holes[0].points.tolist() == loop.points.tolist()
    else:
        ours = relieved(plate(slot), [mate_of(slot)], bit)
        assert [f.code for f in done.findings] == ["relief.replaced"]
        assert done.panel.holes[0].area() == pytest.approx(ours.panel.holes[0].area(), abs=1e-3)
    assert blocked(done.panel.holes[0], mate_of(slot), bit) < 0.02


def test_of_reliefs_that_meet_both_go_where_one_is_chosen_anew() -> None:
    loop = narrow(8, 3.0)
    done = relieved(
        plate(loop), [mate_of(rectangle(0, 0, 60, 8))], 3.0, corners=[CornerChoice((0, 0), "T-bone in")]
    )
    assert [f.code for f in done.findings] == ["relief.replaced"]
    assert {places([r.corner])[0]: r.kind for r in done.reliefs}[0.0, 0.0] == "T-bone"
    assert len(done.reliefs) == 2  # at the other end the drawn ones stay
    assert blocked(done.panel.holes[0], mate_of(rectangle(0, 0, 60, 8)), 3.0) < 0.02


def test_a_narrow_mortise_with_reliefs_that_meet_is_fitted_like_a_plain_one() -> None:
    """The ends of the mortise came to nothing in the drawing: the mate had no side, and no gap along it."""
    plain = [replace(p, board="birch 8") for p in through_tenon(0.3, t=8.0)]
    hole = plain[0].holes[0]
    bones = [replace(plain[0], holes=(drawn(hole, "dog-bone", 3.0),)), plain[1]]
    assert len(drawn_reliefs(bones[0].holes[0])) == 4 and len(bones[0].holes[0]) == 6
    boards = {p.name: Thickness(7.7, 7.7) for p in plain}
    one, said = fit_piece(bones, boards, PRESET.fits)
    other, expected = fit_piece(plain, boards, PRESET.fits)
    assert said == expected
    assert [j.fit for j in one.joints] == [j.fit for j in other.joints]
    fitted, hole = one.panels[0].holes[0], other.panels[0].holes[0]
    assert without(fitted, drawn_reliefs(fitted)).area() == pytest.approx(hole.area(), abs=1e-6)
    assert fitted.area() == pytest.approx(drawn(hole, "dog-bone", 3.0).area(), abs=1e-6)
