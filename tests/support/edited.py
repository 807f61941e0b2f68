# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""A side with two mortises and a shelf in them, and a run with edits by hand on them, without a host."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from flatwright.edits.by_hand import ByHand
from flatwright.edits.choosing import pointed_corner
from flatwright.edits.corner_edges import Asked
from flatwright.edits.model import Edits, JointEdit, JointRef, PanelRef
from flatwright.findings import Finding
from flatwright.geometry.outline import rectangle
from flatwright.joints.fit import Thickness
from flatwright.joints.piece import Piece, fit_piece, surroundings
from flatwright.plan import Panel, Relief
from flatwright.presets.model import FitClass, Fits, ReliefRules
from support.pieces import board, slot

T = 18.0
FITS = Fits(
    "glue",
    {"press": FitClass(0.05, 0.2, 0.3), "glue": FitClass(0.25, 0.5, 0.4), "slip": FitClass(0.4, 0.8, 0.8)},
)
NEAR, FAR = 40.0, 160.0  # middle of the two tenons along y


@dataclass
class Done:
    """A run on panels that are there already, as `steps.decide` does it."""

    hand: ByHand
    piece: Piece
    reliefs: list[Relief]

    @property
    def codes(self) -> list[str]:
        return [f.code for f in self.hand.told.findings]

    @property
    def findings(self) -> list[Finding]:
        return self.hand.told.findings

    def classes(self) -> dict[float, str]:
        """Fit class by the middle of the joint along y, of the joints of side and shelf."""
        out = {}
        for joint, found, ref in zip(
            self.piece.joints, self.piece.found, self.hand.spots(self.piece.joints), strict=True
        ):
            if {"side", "shelf"} == set(joint.panels) and found.kind == "mortise and tenon":
                assert ref is not None
                spot = next(e.spot for e in ref.ref if e.panel.source == "shelf")
                assert spot is not None
                out[round(spot.at[1])] = str(joint.fit["class"])
        return out


def unit(
    *, height: float = 300.0, below: float = 0.0, rise: float = 100.0, depth: float = 200.0,
    tenons: Sequence[float] = (NEAR, FAR), slide: float = 0.0, first: Sequence[Panel] = (), t: float = T,
) -> list[Panel]:  # fmt: skip
    """An upright side (x 0..t, z from -below to height) and a shelf at z = rise whose tenons, 40 mm wide
    about y = `tenons` (moved by `slide`), go through it."""
    ys = [y + slide for y in tenons]
    holes = [slot(y - 20, below + rise, y + 20, below + rise + T) for y in ys]
    side = board(
        "side",
        rectangle(0, 0, depth, below + height),
        origin=(0, 0, -below),
        u=(0, 1, 0),
        n=(1, 0, 0),
        holes=holes,
        t=t,
    )
    left = [(t, depth)]
    for y in reversed(ys):
        left += [(t, y + 20), (0, y + 20), (0, y - 20), (t, y - 20)]
    shelf = board("shelf", [*left, (t, 0), (400, 0), (400, depth)], origin=(0, 0, rise))
    return [*first, side, shelf]


def done(panels: Sequence[Panel], edits: Edits = Edits(), objects: dict[str, str] | None = None) -> Done:  # noqa: B008
    hand = ByHand(edits, panels, objects or {})
    board_ = {p.name: Thickness(17.7, 17.7) for p in panels}
    drawn = [replace(p, board="birch") for p in hand.shown(panels)]
    piece, _ = fit_piece(
        drawn, board_, FITS, classes=lambda found: hand.classes(found, FITS), stays=hand.stays()
    )
    piece = replace(piece, panels=tuple(hand.grained(piece.panels)))
    corners = hand.corners(piece.panels)
    reliefs: list[Relief] = []
    for around in surroundings(piece):
        radii = [3.0] * len(around.panel.loops())
        relieved = around.relieve(radii, ReliefRules(), corners.get(around.panel.name, ()))
        reliefs += relieved.reliefs
        assert relieved.unused == ()
    return Done(hand, piece, reliefs)


def tenon(panels: Sequence[Panel], y: float = NEAR, objects: dict[str, str] | None = None) -> JointRef:
    """What a run calls the joint whose tenon is about y."""
    run = done(panels, objects=objects)
    for ref, found in zip(run.hand.spots(run.piece.joints), run.piece.found, strict=True):
        if ref is not None and found.kind == "mortise and tenon":
            spot = next(e.spot for e in ref.ref if e.panel.source == "shelf")
            if spot is not None and abs(spot.at[1] - y) < 5:
                return ref.ref
    raise LookupError(y)


def slip_near(panels: Sequence[Panel], objects: dict[str, str] | None = None) -> Edits:
    """The tenon at NEAR set to slip."""
    return Edits(joints=(JointEdit(tenon(panels, objects=objects), "slip"),))


LOWER = (9.0, 20.0, 100.0)  # the lower, outer corner of the near mortise, 40 mm along y and 18 along z


def of_side(panels: Sequence[Panel], asked: Asked, at: Sequence[float] = LOWER) -> Edits:
    """What the window keeps of a relief chosen for a corner of the side as fitted and relieved."""
    run = done(panels)
    [side] = [p for p in run.piece.panels if p.name == "side"]
    reliefs = [r for r in run.reliefs if r.panel == "side"]
    spots = run.hand.spots(run.piece.joints)
    return Edits(corners=(pointed_corner(side, PanelRef("side"), reliefs, spots, at, asked),))
