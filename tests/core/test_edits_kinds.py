# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What one run calls a joint or a corner is that joint and corner to the next, for joints of every kind."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pytest

from flatwright.edits.by_hand import ByHand
from flatwright.edits.choosing import inside_corners, pointed_corner, pointed_joint
from flatwright.edits.model import Edits, JointEdit, PanelRef
from flatwright.joints.fit import Thickness
from flatwright.joints.piece import Piece, fit_piece
from flatwright.plan import Panel
from support import pieces
from support.edited import FITS
from support.wall import wall

KINDS = {
    "tenon": pieces.through_tenon, "cross-lap": pieces.cross_lap, "housing": pieces.housing,
    "groove": pieces.groove, "slot": pieces.open_slot, "fingers": pieces.finger_corner,
    "wall": lambda clear: wall(3, 4),
}  # fmt: skip


def run(panels: Sequence[Panel], edits: Edits) -> tuple[ByHand, Piece, dict[int, str]]:
    hand = ByHand(edits, panels, {})
    chosen: dict[int, str] = {}

    def classes(found: Sequence[object]) -> dict[int, str]:
        chosen.update(hand.classes(found, FITS))  # type: ignore[arg-type]
        return chosen

    thickness = {p.name: Thickness(17.7, 17.7) for p in panels}
    piece, _ = fit_piece(panels, thickness, FITS, classes=classes, stays=hand.stays())
    return hand, piece, chosen


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("clear", [0.0, 0.35])
def test_every_joint_is_found_again_by_what_it_is_called(kind: str, clear: float) -> None:
    panels = KINDS[kind](clear)
    hand, piece, _ = run(panels, Edits())
    spots = hand.spots(piece.joints)
    names = ("slip", "press")
    edits = Edits(joints=tuple(JointEdit(s.ref, names[k % 2]) for k, s in enumerate(spots) if s))
    again, _, chosen = run(panels, edits)
    assert chosen == {k: names[k % 2] for k in range(len(spots))}
    assert again.kept == edits
    assert again.told.findings == []
    turned = [JointEdit(e.joint[::-1], e.fit_class) for e in edits.joints]  # either panel may come first
    assert run(panels, Edits(joints=tuple(turned)))[2] == chosen


@pytest.mark.parametrize("kind", KINDS)
def test_every_joint_is_found_where_it_is_pointed_at(kind: str) -> None:
    hand, piece, _ = run(KINDS[kind](0.0), Edits())
    for spot in hand.spots(piece.joints):
        assert spot is not None
        near = (np.array(spot.low) + np.array(spot.high)) / 2
        sources = (spot.ref[0].panel.source, spot.ref[1].panel.source)
        assert pointed_joint(hand.spots(piece.joints), sources, near) == spot.ref


@pytest.mark.parametrize("kind", KINDS)
def test_every_corner_is_found_again_by_what_it_is_called(kind: str) -> None:
    panels = KINDS[kind](0.0)
    hand, piece, _ = run(panels, Edits())
    spots = hand.spots(piece.joints)
    for panel in piece.panels:
        corners = inside_corners(panel, ())
        points = [panel.frame.to_space(np.array([c]), panel.thickness)[0] for c in corners]
        edits = [pointed_corner(panel, PanelRef(panel.source), (), spots, p, "off") for p in points]
        again, fitted, _ = run(panels, Edits(corners=tuple(edits)))
        chosen = again.corners(fitted.panels)
        assert [c.at for c in chosen.get(panel.name, [])] == [pytest.approx(c) for c in corners]
        assert again.told.findings == []
