# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Which thickness slots are cut for, by the preset."""

from __future__ import annotations

import statistics

import pytest
from scipy import stats

from flatwright.boards.assigning import Assigned
from flatwright.boards.batch import Batch, measured, unmeasured
from flatwright.joints.fit import Thickness
from flatwright.joints.slots import thicknesses
from flatwright.presets.model import FitClass, Fits

EIGHT = (17.72, 17.70, 17.75, 17.68, 17.71, 17.74, 17.69, 17.73)
BATCH = measured("birch 18", 18.0, EIGHT)
MEAN, S = statistics.fmean(EIGHT), statistics.stdev(EIGHT)


def slot(slot_for: str, batch: Batch = BATCH) -> Thickness:
    fits = Fits("glue", {"glue": FitClass(0.25, 0.5, 0.5)}, slot_for=slot_for, spread_factor=2.5)  # type: ignore[arg-type]
    return thicknesses({"shelf": Assigned(batch.name, batch.mean, batch)}, fits)["shelf"]


@pytest.mark.parametrize(
    ("slot_for", "thickness"), [("mean", MEAN), ("largest", 17.75), ("spread", MEAN + 2.5 * S)]
)
def test_slots_are_cut_for_mean_largest_or_mean_plus_spread(slot_for: str, thickness: float) -> None:
    found = slot(slot_for)
    assert (found.real, found.slot) == pytest.approx((MEAN, thickness))
    assert found.clearance is None


def test_slots_for_a_wanted_probability_have_its_clearance_in_every_class() -> None:
    found = slot("probability")
    assert (found.real, found.slot) == pytest.approx((MEAN, MEAN))
    spread = (S**2 + 0.05**2) ** 0.5
    assert found.clearance == pytest.approx(stats.norm.ppf(0.95) * spread)
    assert found.each_way == pytest.approx(stats.norm.ppf(0.95**0.5) * spread)  # two have to go in


@pytest.mark.parametrize("slot_for", ["mean", "largest", "spread", "probability"])
def test_a_board_that_nobody_measured_is_taken_as_it_is(slot_for: str) -> None:
    assert slot(slot_for, unmeasured("birch 18", 18.0, 18.1)) == Thickness(18.1, 18.1)


def test_a_panel_of_no_known_board_has_no_thickness_to_fit_to() -> None:
    fits = Fits("glue", {"glue": FitClass(0.25, 0.5, 0.5)})
    assert thicknesses({"lid": Assigned(None, 5.0, None)}, fits) == {}
