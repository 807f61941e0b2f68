# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The whole piece through the joints' room: contacts, fit, grain, reliefs, collisions."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from flatwright.findings import Finding
from flatwright.geometry.arcs import Segment
from flatwright.joints.bit_corners import squared
from flatwright.joints.collide import collisions
from flatwright.joints.contacts import Scene, find_contacts
from flatwright.joints.fit import Fitted, Thickness, fit
from flatwright.joints.grain import with_grain
from flatwright.joints.mates import covers, mates
from flatwright.joints.model import FoundJoint
from flatwright.joints.plain import plain, unfitted
from flatwright.joints.recognise import Recognised, recognise
from flatwright.joints.relief import Relieved, relieve, widest_bit
from flatwright.joints.relief_choice import CornerChoice
from flatwright.joints.relief_drawn import put_back, taken_back
from flatwright.joints.relief_place import Covers, Mate
from flatwright.joints.rounds import round_contacts
from flatwright.joints.sized import changed_sizes, moved_boards
from flatwright.joints.tilted import tilted
from flatwright.joints.touched import touched
from flatwright.plan import Joint, Panel, Side
from flatwright.presets.model import Fits, ReliefRules

STEP = 0.4  # mm of thickness at a time where boards lean: a rim then goes less far than a contact reaches
ROUNDS = 3  # of the fit after these steps: what is left then is far below a thousandth of a mm


@dataclass(frozen=True, slots=True, eq=False)
class Piece:
    """Fitted panels, their joints, and per panel name the edges that the fit moves (panel coordinates).
    `seen` are the panels in which the joints were found."""

    panels: tuple[Panel, ...]
    joints: tuple[Joint, ...]
    found: tuple[FoundJoint, ...]
    mating: Mapping[str, tuple[Segment, ...]]
    seen: tuple[Panel, ...]

    def in_joints(self) -> dict[str, tuple[Segment, ...]]:
        """By panel name every edge that mates: those that the fit moves, and those that lie against
        another board as drawn."""
        still = touched(self.seen, self.found)
        return {name: (*moved, *still[name]) for name, moved in self.mating.items()}


def fit_piece(
    panels: Sequence[Panel],
    thickness: Mapping[str, Thickness],
    fits: Fits,
    *,
    classes: Callable[[Sequence[FoundJoint]], Mapping[int, str]] | None = None,
    stays: Mapping[int, Side] | None = None,
) -> tuple[Piece, list[Finding]]:
    """Recognise the joints of drawn panels and fit them to the boards. By hand: `classes` says the fit
    class by index of the joints that were found, `stays` which broad face stays, by index of the panel."""
    by_index = {i: thickness[p.name] for i, p in enumerate(panels) if p.name in thickness}
    panels, rounded = squared(panels)
    drawn, panels = panels, taken_back(panels)
    scene = find_contacts(panels)
    known = recognise(scene)
    by_hand = classes(known.joints) if classes is not None else {}
    if any(c.lean < 1.0 for j in known.joints for c in j.contacts()):
        fitted = _fitted_by_steps(scene, known, by_index, fits, by_hand, stays)
    else:
        fitted = fit(scene, known, by_index, fits, classes=by_hand, stays=stays)
    findings = [
        *rounded,
        *moved_boards(panels, fitted.shift),
        *unfitted(known.left, panels),
        *round_contacts(panels),
    ]
    done, found = put_back(with_grain(fitted.panels, known.joints), drawn)
    mating = {p.name: segs for p, segs in zip(done, fitted.mating, strict=True)}
    findings += [*found, *fitted.findings, *changed_sizes(panels, done), *plain(known.joints, panels)]
    findings += [*tilted(panels, known.joints), *collisions(done)]
    return Piece(tuple(done), fitted.joints, known.joints, mating, scene.panels), findings


def _fitted_by_steps(
    scene: Scene,
    known: Recognised,
    boards: Mapping[int, Thickness],
    fits: Fits,
    classes: Mapping[int, str],
    stays: Mapping[int, Side] | None,
) -> Fitted:
    """The fit where boards lean: a rim moves with its board, and only the next look sees where to.

    The boards take on their thickness in steps, so that no contact gets out of sight on the way; a few
    looks more settle what is left."""
    drawn = [p.thickness for p in scene.panels]
    change = max((abs(t.real - drawn[i]) for i, t in boards.items()), default=0.0)
    steps = max(1, math.ceil(change / STEP))
    shift = np.zeros((len(drawn), 3))
    count = len(known.joints)
    for share in (*(k / steps for k in range(1, steps + 1)), *(1.0 for _ in range(ROUNDS))):
        part = {i: _toward(t, drawn[i], share) for i, t in boards.items()}
        fitted = fit(scene, known, part, fits, classes=classes, stays=stays)
        shift += fitted.shift
        scene = find_contacts(fitted.panels)
        known = recognise(scene)
        if len(known.joints) != count:
            break  # what is wrong then is found by the findings of this fit, and by the collisions
    return replace(fitted, shift=shift)


def _toward(t: Thickness, drawn: float, share: float) -> Thickness:
    """A board on its way from the drawn thickness to its own."""
    real = drawn + (t.real - drawn) * share
    return replace(t, real=real, slot=real + t.slot - t.real)


@dataclass(frozen=True, slots=True, eq=False)
class Surroundings:
    """For one fitted panel: its mates' wood in its plane, and what they hide of its faces."""

    panel: Panel
    mates: tuple[Mate, ...]
    covers: Covers

    def relieve(
        self, radii: Sequence[float | None], rules: ReliefRules, corners: Sequence[CornerChoice] = ()
    ) -> Relieved:
        """Relieve the panel for bits of these radii, one for each of its loops."""
        return relieve(self.panel, self.mates, self.covers, radii, rules, corners)

    def widest_bit(
        self, loop: int, rules: ReliefRules, below: float, corners: Sequence[CornerChoice] = ()
    ) -> float | None:
        """The largest diameter under `below` whose reliefs find room on a loop."""
        return widest_bit(self.panel, self.mates, self.covers, loop, rules, below, corners)


def surroundings(piece: Piece) -> list[Surroundings]:
    """Every panel of the piece with what surrounds it."""
    near, hidden = mates(piece.panels, piece.found), covers(piece.panels)
    return [Surroundings(p, tuple(m), c) for p, m, c in zip(piece.panels, near, hidden, strict=True)]
