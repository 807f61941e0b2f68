# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Which edges take part in a joint: also those that the fit leaves as drawn."""

from __future__ import annotations

from collections.abc import Sequence

from flatwright.joints.fit import Thickness
from flatwright.joints.piece import Piece, fit_piece
from flatwright.plan import Panel
from flatwright.presets.model import FitClass, Fits
from support.pieces import housing

FITS = Fits("glue", {"glue": FitClass(0.25, 0.5, 0.5, "flush")})


def piece(panels: Sequence[Panel]) -> Piece:
    return fit_piece(panels, {p.name: Thickness(17.7, 17.7) for p in panels}, FITS)[0]


def test_the_end_of_a_shelf_in_a_housing_mates_though_it_stays_as_drawn() -> None:
    done = piece(housing())
    end = next(s for s in done.panels[1].outline.segments() if s.p[0] == s.q[0] == 12.0)
    assert not any(s.distance(end.at(0.5)) < 0.5 for s in done.mating["shelf"])
    assert any(s.distance(end.at(0.5)) < 0.5 and s.length > 159 for s in done.in_joints()["shelf"])
