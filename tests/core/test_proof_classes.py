# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Gaps are judged by the preset's class and the readings, not by the number that the plan holds."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any

import pytest

from flatwright.boards.batch import measured
from flatwright.plan import Joint, Panel
from flatwright.presets.model import FitClass, Fits
from support.pieces import cross_lap, through_tenon
from support.planned_work import Work, piece, shop, shown, work_of

POLICIES = ("mean", "largest", "spread", "probability")


@pytest.mark.parametrize("drawn", [through_tenon, cross_lap])
@pytest.mark.parametrize("policy", POLICIES)
def test_slots_for_any_policy_are_what_the_preset_says(
    policy: Any, drawn: Callable[[float], Sequence[Panel]]
) -> None:
    preset = shop()
    preset = replace(preset, fits=replace(preset.fits, slot_for=policy))
    work = work_of(shown(drawn(0.0)), preset)
    assert work.codes() == set()
    others = [p for p in POLICIES if p != policy]
    assert all("proof.gap" in with_fits(work, slot_for=p).codes() for p in others)


def with_fits(work: Work, **values: Any) -> Work:
    return replace(work, preset=replace(work.preset, fits=replace(work.preset.fits, **values)))


@pytest.mark.parametrize("name", ["over_thickness", "along", "floor"])
def test_another_class_in_the_preset_than_was_cut_is_told(name: str) -> None:
    work = piece("cabinet")
    fits: Fits = work.preset.fits
    changed = replace(fits.classes["glue"], **{name: getattr(fits.classes["glue"], name) + 0.03})
    spoilt = with_fits(work, classes={**fits.classes, "glue": changed})
    assert spoilt.codes() == {"proof.gap"}


def test_a_rabbet_bears_on_its_wall_and_has_half_the_play_along_at_its_floor() -> None:
    """DESIGN §4: a shoulder is a datum, gap 0; a board between two rabbets has its class's play in all."""
    work = piece("rabbet corner")
    glue = work.preset.fits.classes["glue"]
    (joint,) = work.plan.joints
    assert joint.fit == {"floor_mm": glue.along / 2, "wall_mm": 0.0, "class": "glue"}
    spoilt = with_fits(work, classes={"glue": replace(glue, along=glue.along + 0.2)})
    said = [f.message for f in spoilt.prove() if f.code == "proof.gap"]
    assert len(said) == 2
    assert "is planned with 0.250 mm at the floor" in said[0]
    assert "has a gap of 0.250 mm at the floor; its fit class says 0.350 mm" in said[1]


def test_a_class_chosen_by_hand_is_the_one_that_counts() -> None:
    work = piece("through tenon")
    classes = {**work.preset.fits.classes, "mine": FitClass(0.25, 0.5, 0.5)}
    joints = tuple(replace(j, fit={**j.fit, "class": "mine"}) for j in work.plan.joints)
    by_hand = replace(with_fits(work, classes=classes), plan=replace(work.plan, joints=joints))
    assert by_hand.codes() == set()


def test_parts_and_plan_that_are_wrong_alike_are_told() -> None:
    """The planner computed 0.4 mm where the class says 0.25 mm, and cut what it said."""
    preset = shop()
    glue = replace(preset.fits.classes["glue"], over_thickness=0.4)
    wide = work_of(
        shown(through_tenon(0.0)),
        replace(preset, fits=replace(preset.fits, classes={**preset.fits.classes, "glue": glue})),
    )
    found = replace(wide, preset=preset).prove()
    said = [f.message for f in found if f.code == "proof.gap"]
    assert any("is planned with 0.400 mm over the thickness" in m and "0.250" in m for m in said)
    assert any("has a gap of 0.400 mm over the thickness; its fit class says 0.250" in m for m in said)
    honest = tuple(replace(j, fit={**j.fit, "across_mm": 0.25}) for j in wide.plan.joints)
    lied = replace(wide, preset=preset, plan=replace(wide.plan, joints=honest))
    assert lied.codes() == {"proof.gap"}


def test_boards_that_measure_otherwise_than_the_sheet_was_planned_are_told() -> None:
    work = piece("through tenon")
    (batch,) = work.batches
    other = measured(batch.name, batch.nominal, [r + 0.05 for r in batch.readings])
    assert "proof.thickness" in replace(work, batches=(other,)).codes()


def test_joints_of_boards_that_nobody_knows_stay_as_planned() -> None:
    from flatwright.plan import Plan
    from flatwright.proof.classes import specified

    joint = Joint("housing", ("a", "b"), {"across_mm": 9.0, "class": "glue"})
    joints, found = specified(Plan(joints=(joint,)), {}, shop().fits)
    assert joints == [joint]
    assert found == []
