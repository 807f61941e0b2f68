# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The whole piece through the joints' room: contacts, fit, grain, reliefs, collisions."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from flatwright.findings import Finding
from flatwright.geometry.arcs import Segment
from flatwright.joints.collide import collisions
from flatwright.joints.contacts import find_contacts
from flatwright.joints.fit import Thickness, fit
from flatwright.joints.grain import with_grain
from flatwright.joints.mates import covers, mates
from flatwright.joints.model import FoundJoint
from flatwright.joints.plain import plain, unfitted
from flatwright.joints.recognise import recognise
from flatwright.joints.relief import Relieved, relieve, widest_bit
from flatwright.joints.relief_choice import CornerChoice
from flatwright.joints.relief_place import Covers, Mate
from flatwright.joints.rounds import round_contacts
from flatwright.joints.sized import changed_sizes, moved_boards
from flatwright.joints.tilted import tilted
from flatwright.plan import Joint, Panel, Side
from flatwright.presets.model import Fits, ReliefRules

ROUNDS = 3  # of the fit where boards lean: what is left after them is far below a thousandth of a mm


@dataclass(frozen=True, slots=True, eq=False)
class Piece:
    """Fitted panels, their joints, and per panel name the edges that mate (panel coordinates)."""

    panels: tuple[Panel, ...]
    joints: tuple[Joint, ...]
    found: tuple[FoundJoint, ...]
    mating: Mapping[str, tuple[Segment, ...]]


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
    scene = find_contacts(panels)
    known = recognise(scene)
    by_hand = classes(known.joints) if classes is not None else None
    fitted = fit(scene, known, by_index, fits, classes=by_hand, stays=stays)
    findings = [*moved_boards(panels, fitted.shift), *unfitted(known.left, panels), *round_contacts(panels)]
    for _ in range(ROUNDS if any(c.lean < 1.0 for j in known.joints for c in j.contacts()) else 0):
        again = find_contacts(fitted.panels)  # a rim moves with its board: the next round sees where to
        anew = recognise(again)
        if len(anew.joints) == len(known.joints):
            fitted = fit(again, anew, by_index, fits, classes=by_hand, stays=stays)
    done = with_grain(fitted.panels, known.joints)
    mating = {p.name: segs for p, segs in zip(done, fitted.mating, strict=True)}
    findings += [*fitted.findings, *changed_sizes(panels, done), *plain(known.joints, panels)]
    findings += [*tilted(panels, known.joints), *collisions(done)]
    return Piece(tuple(done), fitted.joints, known.joints, mating), findings


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
