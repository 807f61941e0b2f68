# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The laws of the fit over random assemblies (support/assemblies.py): joints of every kind, any place,
any thickness and clearance. `tests/run.sh --long -- tests/core/test_assemblies.py` draws 10,000."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, note, settings

from support.amounts import examples
from support.assemblies import STATION_KINDS, Spec, Station, build, specs
from support.laws import (
    Fit,
    differences,
    fitted,
    shared_wood,
    slot_widths,
    told_sizes,
    wrong_gaps,
)
from support.moving import mirrored, mirrored_panels, reordered, turned, turned_over, turned_panels
from support.recognition import Score
from support.reliefs import wrong_reliefs
from support.touching import passed_over

SLANT = (0.7, 0.2, -2.0)
FLAT = (0.0, 0.0, 0.0)
SLOW = [HealthCheck.too_slow, HealthCheck.data_too_large]


def wrong_as_it_is(fit: Fit) -> list[str]:
    """What is wrong with one fit by itself."""
    score = Score()
    score.count(fit.model, fit.piece.joints)
    unwanted = [f"{f.code}: {f.message}" for f in fit.findings if f.severity != "note"]
    return [
        *score.wrong,
        *wrong_gaps(fit),
        *shared_wood(fit.piece.panels),
        *told_sizes(fit),
        *passed_over(fit),
        *unwanted,
    ]


def wrong_by_change(spec: Spec, fit: Fit) -> list[str]:
    """What should come out the same and does not."""
    model, real, done = fit.model, spec.boards(fit.model), fit.piece.panels

    def again(other: Fit) -> list[str]:
        return differences(done, other.piece.panels)

    backwards = reordered(model, range(len(model.panels))[::-1])
    there = fitted(turned(model, SLANT), real).piece.panels
    mirror = fitted(mirrored(model), real).piece.panels
    over = fitted(turned_over(model), real)
    return [
        *(f"twice: {w}" for w in again(fitted(model, real, done))),
        *(f"clearance: {w}" for w in again(fitted(build(spec, 0.0), real))),
        *(f"order: {w}" for w in again(fitted(backwards, real))),
        *(f"turned: {w}" for w in differences(turned_panels(done, SLANT), there)),
        *(f"mirrored: {w}" for w in differences(mirrored_panels(done), mirror)),
        *(f"other faces: {w}" for w in [*wrong_gaps(over), *shared_wood(over.piece.panels)]),
    ]


def narrower(spec: Spec, fit: Fit) -> list[str]:
    """Slots that thicker boards make narrower."""
    thin = slot_widths(fit)
    thick = slot_widths(fitted(fit.model, spec.boards(fit.model, 1.02)))
    assert thin.keys() == thick.keys()
    return [f"{key} from {thin[key]} to {thick[key]}" for key in thin if thick[key] < thin[key] - 1e-9]


@settings(max_examples=examples(300, 50), suppress_health_check=SLOW)
@given(specs())
def test_every_law_holds_for_random_assemblies(spec: Spec) -> None:
    model = build(spec)
    assert shared_wood(model.panels) == [], "the drawing itself is unsound"
    fit = fitted(model, spec.boards(model))
    for joint in model.joints:
        note(f"{joint.kind} of {joint.receiver} and {joint.mate}")
    assert wrong_as_it_is(fit) == []
    assert wrong_by_change(spec, fit) == []
    assert narrower(spec, fit) == []


@settings(max_examples=examples(100, 20, 3000), suppress_health_check=SLOW)
@given(specs())
def test_reliefs_only_remove_and_suffice_for_random_assemblies(spec: Spec) -> None:
    model = build(spec)
    fit = fitted(model, spec.boards(model))
    thinnest = min(p.thickness for p in fit.piece.panels)
    assert wrong_reliefs(fit, min(3.175, 0.4 * thinnest)) == []


def test_every_kind_of_joint_is_drawn() -> None:
    """What the strategy chooses from reaches each kind."""
    drawn = {
        j.kind
        for kind in STATION_KINDS
        for count in range(7)
        for height in (150.0, 300.0)
        for j in build(Spec(18.0, height, (Station(kind, 12.0, 0.5, 0.5, count),), 0.3, 1.0, FLAT, 0)).joints
    }
    assert drawn == {
        "mortise and tenon", "blind mortise and tenon", "keyed tenon", "wedged tenon", "slot", "housing",
        "stopped housing", "groove", "rabbet", "finger joint", "cross-lap", "half-lap", "T-halving", "butt",
        "face to face",
    }  # fmt: skip


def test_the_clearance_is_drawn() -> None:
    """A generator that ignored it would make a law empty."""
    spec = Spec(18.0, 300.0, (Station("through", 12.0, 0.5, 0.5, 1),), 0.8, 1.0, FLAT, 0)
    widths = []
    for c in (0.0, 0.8):
        hole = build(spec, c).panel("upright").holes[0]
        x0, y0, x1, y1 = hole.bounds()
        widths.append(min(x1 - x0, y1 - y0))
    assert widths == pytest.approx([12.0, 12.8])


def test_three_equal_blind_tenons_are_of_one_kind() -> None:
    """The middle one's shoulders lie as near to its neighbours: float noise once named it otherwise."""
    turn = (-2.666, 0.0, -2.666)
    spec = Spec(6.0, 304.0, (Station("blind", 19.05, 1.0, 0.03, 2),), 0.2, 1.025, turn, 1)
    model = build(spec)
    kinds = [j.kind for j in fitted(model, spec.boards(model)).piece.joints]
    assert kinds == ["blind mortise and tenon"] * 3
