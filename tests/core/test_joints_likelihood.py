# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""How likely joints go together: per joint in the plan, and told where it is less than wanted."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from flatwright.boards.assigning import Assigned, assign_boards
from flatwright.boards.batch import Batch, measured, unmeasured
from flatwright.findings import Finding
from flatwright.geometry.frame import Frame
from flatwright.joints.likelihood import Slot, slot_odds, with_odds, with_sentences
from flatwright.joints.piece import fit_piece
from flatwright.joints.slots import thicknesses
from flatwright.plan import Joint, Panel
from flatwright.presets.model import Board, FitClass, Fits
from support.pieces import cross_lap, finger_corner, housing, through_tenon

EIGHT = (17.72, 17.70, 17.75, 17.68, 17.71, 17.74, 17.69, 17.73)
CLASSES = {
    "press": FitClass(0.05, 0.2, 0.3),
    "glue": FitClass(0.25, 0.5, 0.5),
    "slip": FitClass(0.4, 0.8, 0.8),
}
GLUE = Fits("glue", CLASSES)
BIRCH = measured("birch 18", 18.0, (17.7, 17.75, 17.8))


def fitted(panels: Sequence[Panel], batch: Batch, fits: Fits) -> tuple[tuple[Joint, ...], list[Finding]]:
    """The piece with every panel cut from one batch: its joints, and what is said of them."""
    return with_sentence(panels, batch, fits)[:2]


def with_sentence(
    panels: Sequence[Panel], batch: Batch, fits: Fits
) -> tuple[tuple[Joint, ...], list[Finding], dict[str, str]]:
    """The same with the sentence for the warning of a board that nobody measured."""
    boarded = [replace(p, board=batch.name) for p in panels]
    slots = thicknesses({p.name: Assigned(batch.name, batch.mean, batch) for p in panels}, fits)
    piece, _ = fit_piece(boarded, slots, fits)
    return with_odds(piece.joints, piece.found, piece.panels, {batch.name: batch}, slots, fits)


def odds(joint: Joint) -> Mapping[str, float]:
    return {k: float(joint.fit[k]) for k in ("p_assembles", "p_too_loose", "clearance_wanted_mm")}


def test_a_measured_board_in_a_slot_of_its_class() -> None:
    """Three readings count with the floor of 0.1 mm, slots with 0.05 mm; too loose is over 0.5 mm."""
    [joint], findings = fitted(housing(), BIRCH, GLUE)
    spread = (0.1**2 + 0.05**2) ** 0.5
    assert odds(joint) == pytest.approx(
        {
            "p_assembles": stats.norm.cdf(0.25 / spread),
            "p_too_loose": stats.norm.sf((0.5 - 0.25) / spread),
            "clearance_wanted_mm": stats.norm.ppf(0.95) * spread,
        },
        abs=1e-6,
    )
    assert findings == []


def test_press_fits_of_a_board_hardly_known_are_told_with_what_it_takes() -> None:
    [joint], [warning] = fitted(through_tenon(), BIRCH, replace(GLUE, default="press"))
    assert (warning.code, warning.severity) == ("fit.unlikely", "warning")
    assert joint.fit["p_assembles"] == pytest.approx(0.6726, abs=5e-5)
    for words in ("67.3 % go together", "clearance of 0.05 mm", "95 % that are wanted take 0.18 mm"):
        assert words in warning.message
    assert set(warning.panels) == {"side", "shelf"} and warning.where == "birch 18, class press"


def test_the_clearance_for_the_wanted_probability_reaches_it() -> None:
    """And with so few readings no clearance is both wide and tight enough for a press fit."""
    [joint], [note] = fitted(housing(), BIRCH, replace(GLUE, default="press", slot_for="probability"))
    assert joint.fit["p_assembles"] == pytest.approx(0.95, abs=1e-6)
    assert joint.fit["across_mm"] == pytest.approx(joint.fit["clearance_wanted_mm"], abs=1e-6)
    assert note.code == "fit.loose" and "15 %" in note.message


def test_a_cross_lap_cut_for_the_wanted_probability_reaches_it_too() -> None:
    [joint], findings = fitted(cross_lap(), BIRCH, replace(GLUE, slot_for="probability"))
    assert joint.fit["p_assembles"] == pytest.approx(0.95, abs=1e-6)
    assert "fit.unlikely" not in {f.code for f in findings}


def test_a_board_that_nobody_measured_has_its_probability_and_the_advice_to_measure() -> None:
    """EN 315 lets 18 mm measure 17.06 to 18.74: about 17.9, s 0.42."""
    [joint], findings, said = with_sentence(housing(), unmeasured("birch 18", 18.0, 18.0), GLUE)
    spread = (0.42**2 + 0.05**2) ** 0.5
    assert odds(joint) == pytest.approx(
        {
            "p_assembles": stats.norm.cdf(0.35 / spread),
            "p_too_loose": stats.norm.sf((0.5 - 0.35) / spread),
            "clearance_wanted_mm": stats.norm.ppf(0.95) * spread - 0.1,
        },
        abs=1e-6,
    )
    assert findings == []  # the board's own warning says it: one matter, one warning
    for words in (
        "1 stopped housing of class glue",
        "79.6 % go together",
        "95 % that are wanted take 0.60 mm",
    ):
        assert words in said["birch 18"]


def test_a_sure_joint_of_a_board_that_nobody_measured_has_its_probability_too() -> None:
    wide = replace(GLUE, classes={"glue": FitClass(1.2, 0.5, 0.4)})
    _, findings, said = with_sentence(housing(), unmeasured("birch 18", 18.0, 18.0), wide)
    assert [f.code for f in findings] == []
    assert "99.9 % go together with a clearance of 1.20 mm" in said["birch 18"]
    assert "wanted" not in said["birch 18"]


def test_the_sentence_goes_into_the_warning_of_its_board() -> None:
    assigned, told = assign_boards({"a": 18.0}, (Board("birch 18", 18.0),), (), {})
    assert assigned["a"].board == "birch 18"
    [one] = with_sentences(told, {"birch 18": "And so on.", "birch 12": "No."})
    assert one.message == f"{told[0].message} And so on."


def test_both_slots_of_a_cross_lap_have_to_take_their_board() -> None:
    [lap], _ = fitted(cross_lap(), BIRCH, GLUE)
    [one], _ = fitted(housing(), BIRCH, GLUE)
    assert lap.fit["p_assembles"] == pytest.approx(float(one.fit["p_assembles"]) ** 2, abs=2e-6)
    assert float(lap.fit["p_too_loose"]) == pytest.approx(
        1.0 - (1.0 - float(one.fit["p_too_loose"])) ** 2, abs=2e-6
    )
    assert lap.fit["clearance_wanted_mm"] == pytest.approx(
        stats.norm.ppf(0.95**0.5) * (0.1**2 + 0.05**2) ** 0.5, abs=1e-6
    )


def test_fingers_have_no_slot_over_a_thickness_and_no_odds() -> None:
    [joint], findings = fitted(finger_corner(), unmeasured("birch 18", 18.0, 18.0), GLUE)
    assert "p_assembles" not in joint.fit and findings == []


def test_joints_alike_are_told_once() -> None:
    pieces = [replace(p, name=f"{p.name} {k}", frame=moved(p.frame, k)) for k in range(4) for p in housing()]
    joints, [warning] = fitted(pieces, BIRCH, replace(GLUE, default="press"))
    assert len({j.fit["p_assembles"] for j in joints}) == 1
    assert warning.message.startswith("4 stopped housing over birch 18: ")
    assert len(warning.panels) == 8


def moved(frame: Frame, k: int) -> Frame:
    """The frame k metres away."""
    return replace(frame, origin=frame.origin + np.array([0.0, 1000.0 * k, 0.0]))


def test_glued_boards_in_one_slot_scatter_together() -> None:
    """Measured boards each for itself; of boards that nobody measured all are off alike."""
    other = measured("birch 9", 9.0, (9.0, 9.1))
    both = Slot(0.25, ((BIRCH.mean, BIRCH), (other.mean, other)))
    assert both.spread == pytest.approx(math.hypot(BIRCH.spread, other.spread))
    guess = unmeasured("birch 18", 18.0, 18.0)
    twice = Slot(0.25, ((18.0, guess), (18.0, guess)))
    assert (twice.spread, twice.clearance) == pytest.approx((0.84, 0.25 + 2 * 0.1))


def test_joints_that_rattle_are_a_note() -> None:
    classes = {"slip": FitClass(0.4, 0.8, 0.8, too_loose=0.45)}
    _, [note] = fitted(housing(), BIRCH, Fits("slip", classes))
    assert (note.code, note.severity) == ("fit.loose", "note")
    assert "more than 0.45 mm" in note.message


def test_a_mate_of_no_known_board_has_no_odds() -> None:
    piece, _ = fit_piece(housing(), {}, GLUE)
    assert with_odds(piece.joints, piece.found, piece.panels, {}, {}, GLUE) == (piece.joints, [], {})


@given(growth=st.floats(-6.0, 6.0), clear=st.floats(-0.2, 0.6))
def test_boards_that_move_are_never_likelier_to_fit(growth: float, clear: float) -> None:
    """They have to go in swollen and must not rattle shrunk."""
    still = measured("b", 18.0, EIGHT)
    moving = measured("b", 18.0, EIGHT, moisture=growth)
    a, b = (slot_odds([Slot(clear, ((x.mean, x),))], CLASSES["glue"], GLUE) for x in (still, moving))
    assert b.assembles <= a.assembles + 1e-9
    assert b.too_loose >= a.too_loose - 1e-9
    assert b.wanted >= a.wanted - 1e-9


@given(clear=st.floats(-0.2, 0.6), more=st.floats(0.0, 0.4))
def test_more_clearance_fits_more_often_and_rattles_more_often(clear: float, more: float) -> None:
    tight, wide = (
        slot_odds([Slot(c, ((BIRCH.mean, BIRCH),))], CLASSES["glue"], GLUE) for c in (clear, clear + more)
    )
    assert tight.assembles <= wide.assembles and tight.too_loose <= wide.too_loose
    assert tight.wanted == pytest.approx(wide.wanted, abs=2e-6)
