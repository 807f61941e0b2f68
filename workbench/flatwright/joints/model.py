# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""A recognised joint: which contact plays which role."""

from __future__ import annotations

import math
from dataclasses import dataclass

from flatwright.geometry.frame import Vector
from flatwright.joints.contacts import Contact
from flatwright.joints.faces import PlaneFace


@dataclass(frozen=True, slots=True, eq=False)
class Tip:
    """A free end of the mate (`edge`) that lies flush with a broad face (`face`) of the receiver;
    `proud` is how far it stands out of it as drawn, mm."""

    edge: PlaneFace
    face: PlaneFace
    proud: float


@dataclass(frozen=True, slots=True, eq=False)
class FoundJoint:
    """Contacts by role; in each, face a belongs to the panel whose edge moves (the receiver).

    cheeks: a slot over the mate's thickness; sides: along the mate; floors: against the mate in
    the direction of insertion; flanks: finger against finger; shoulders: an edge (a) that bears
    on a broad face (b); bearings: lapped floors that lie on each other; tips: ends flush with a far
    face. `line` is the direction in which the two panels' planes meet (None when they are
    parallel), `insert` the way the mate goes in. `spans` goes with the cheeks: the panels, glued
    face to face, that each slot takes in.
    """

    kind: str
    receiver: int
    mate: int
    cheeks: tuple[Contact, ...] = ()
    sides: tuple[Contact, ...] = ()
    floors: tuple[Contact, ...] = ()
    flanks: tuple[Contact, ...] = ()
    shoulders: tuple[Contact, ...] = ()
    bearings: tuple[Contact, ...] = ()
    tips: tuple[Tip, ...] = ()
    line: Vector | None = None
    insert: Vector | None = None
    spans: tuple[tuple[int, ...], ...] = ()

    def contacts(self) -> tuple[Contact, ...]:
        """All contacts of the joint."""
        return (
            *self.cheeks, *self.sides, *self.floors, *self.flanks, *self.shoulders, *self.bearings,
        )  # fmt: skip

    @property
    def each_way(self) -> bool:
        """True when each of the two panels has a slot over the other."""
        return len({c.a.panel for c in self.cheeks}) > 1

    @property
    def lean(self) -> float:
        """Degrees by which the mate leans from square in its slot."""
        return round(math.degrees(math.acos(min(1.0, min((c.lean for c in self.cheeks), default=1.0)))), 6)
