# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Gaps with the thickest and thinnest boards of a batch, and what is said of boards nobody measured."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from core.test_proof_recovered_fit import cut as cut_housing
from flatwright.boards.batch import Batch, measured, unmeasured
from flatwright.proof.dry_fit import dry_fit
from flatwright.proof.extremes import Band, bands, in_words, too_tight, unsure
from flatwright.proof.slab import Slab, planned, stretched
from support.pieces import cross_lap, housing, through_tenon

MEAN = 18.0
BOARD = measured("ply 18", 18.0, (17.9, 18.0, 18.1))  # the calliper's step is 0.05: 17.85 to 18.15


def tried(make: object, board: Batch, clear: float = 0.25) -> list[Band]:
    panels = {p.name: p for p in make(clear)}  # type: ignore[operator]

    def part(name: str, t: float | None) -> Slab:
        slab = planned(panels[name])
        if t is None:
            return slab
        layers = stretched([(x.low, x.high, x.wood) for x in slab.layers], t - MEAN, from_bed=True)
        woods = [replace(slab.layers[0], low=a, high=b, wood=w) for a, b, w in layers]
        return Slab(name, slab.frame, t, tuple(woods))

    gaps = [g for a, b in [list(panels)] for g in dry_fit([*panels.values()], [_joint(a, b)]).gaps]
    return bands(gaps, dict.fromkeys(panels, board), part)


def _joint(a: str, b: str) -> object:
    from flatwright.plan import Joint

    return Joint("mortise and tenon", (a, b), {})


def by_kind(found: list[Band]) -> dict[str, tuple[float, float, float]]:
    return {b.gap.kind: (round(b.low, 6), round(b.gap.value, 6), round(b.high, 6)) for b in found}


def test_a_slot_over_the_thickness_takes_up_what_boards_differ_by() -> None:
    """0.25 at the mean, less 0.15 and plus 0.15; along the tenon nothing changes."""
    assert by_kind(tried(through_tenon, BOARD)) == {"across": (0.1, 0.25, 0.4), "along": (0.25, 0.25, 0.25)}


def test_a_pocket_cut_from_the_bed_is_deeper_in_a_thicker_board() -> None:
    """Its floor keeps its height, the shoulder bears on the top face: 0.15 more or less of floor gap."""
    seat = {**by_kind(tried(lambda c: raised(housing(c)), BOARD))}
    assert seat["floor"] == (pytest.approx(0.35), pytest.approx(0.5), pytest.approx(0.65))
    assert seat["across"] == (0.1, 0.25, 0.4)


def raised(panels: list) -> list:
    """The shelf of a housing 0.5 mm off its floor."""
    side, shelf = panels
    frame = replace(shelf.frame, origin=shelf.frame.origin + np.array([0.5, 0.0, 0.0]))
    return [side, replace(shelf, frame=frame)]


def test_a_cross_laps_floor_does_not_know_the_thickness() -> None:
    low, value, high = by_kind(tried(cross_lap, BOARD))["floor"]
    assert (low, value, high) == (0.25, 0.25, 0.25)


def test_boards_that_differ_by_more_than_the_clearance_are_told() -> None:
    uneven = measured("ply 18", 18.0, (17.7, 18.0, 18.3))
    found = tried(through_tenon, uneven)
    (told,) = too_tight(found)
    assert (told.code, told.severity, told.panels) == ("proof.extreme", "warning", ("side", "shelf"))
    assert "0.250 mm at the mean, but -0.1" in told.message
    assert list(too_tight(tried(through_tenon, BOARD))) == []
    assert in_words(found) == ("side and shelf: across 0.250 (-0.100 to 0.600), along 0.250",)


def test_boards_that_nobody_measured_have_a_mean_only_and_a_probability() -> None:
    """P by the normal distribution: gap 0.25 about boards as EN 315 allows them."""
    board = unmeasured("ply 18", 18.0, MEAN)
    found = tried(through_tenon, board)
    assert by_kind(found)["across"] == (0.25, 0.25, 0.25)
    (told,) = unsure([b.gap for b in found], dict.fromkeys(("side", "shelf"), board), 0.05)
    assert (told.code, told.severity) == ("proof.unmeasured", "warning")
    from statistics import NormalDist

    mean, spread = 0.25 + MEAN - board.expected, (0.05**2 + board.spread**2) ** 0.5
    assert f"P = {100 * NormalDist().cdf(mean / spread):.1f} %" in told.message
    assert list(unsure([b.gap for b in found], dict.fromkeys(("side", "shelf"), BOARD), 0.05)) == []


def test_the_account_prints_the_band_of_every_gap() -> None:
    _, report = cut_housing()  # boards of 12.0, read as 11.9 to 12.1 with a step of 0.05
    assert report.bands == ("base and shelf: across 0.250 (0.100 to 0.400), floor 0.500 (0.350 to 0.650)",)
    assert report.order == ("base onto shelf, moving along −y",)  # the housing is open at both ends
