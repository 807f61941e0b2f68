# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What a fit has decided: how far each face moves, edge by edge and stretch by stretch."""

from __future__ import annotations

from dataclasses import dataclass, field

from flatwright.geometry.frame import Vector
from flatwright.joints.contacts import Contact
from flatwright.joints.faces import PlaneFace

NO_JOINT = -1  # asks for a contact that no joint explains; it gives way without a word
SAME = 1e-6  # mm: offsets this close are one
OVERLAP = 0.01  # mm: contacts that share more of an edge than this must agree about it


@dataclass(frozen=True, slots=True)
class Wish:
    """An offset asked for a stretch (t0, t1 in mm along the segment) of an edge, by a joint. A `loose` one
    only keeps boards apart that merely touch. Where the other board `rests` on that stretch, it passes no
    more of the edge on its way in."""

    t0: float
    t1: float
    offset: float
    joint: int
    loose: bool = False
    rests: bool = False


@dataclass(frozen=True, slots=True)
class Stretch:
    """What an edge does from where the stretch before ends (mm along it) up to `end`."""

    end: float
    offset: float


Resolved = tuple[list[Stretch], list[tuple[int, int]]]  # as `resolved` gives it


@dataclass(slots=True)
class Moves:
    """Outward moves of broad faces, edges and pocket floors, mm, and the way each panel goes as a
    whole: `shift` (n, 3)."""

    shift: Vector
    faces: dict[tuple[int, str], float] = field(default_factory=dict)
    wishes: dict[tuple[int, int, int], list[Wish]] = field(default_factory=dict)
    floors: dict[tuple[int, int], list[Wish]] = field(default_factory=dict)
    _resolved: dict[tuple[int, int, int], Resolved] = field(default_factory=dict)

    def wish(
        self,
        face: PlaneFace,
        contact: Contact | None,
        offset: float,
        joint: int,
        loose: bool = False,
        rests: bool = False,
    ) -> None:
        """Ask for an offset where the contact lies; on the whole edge without one."""
        if face.kind == "floor":
            self.floors.setdefault((face.panel, face.loop), []).append(Wish(0.0, 0.0, offset, joint))
            return
        points = face.corners if contact is None else contact.points
        at: list[float] = ((points - face.start) @ face.along).tolist()
        asked = Wish(min(at), max(at), offset, joint, loose, rests or loose)
        self.wishes.setdefault(face.key, []).append(asked)
        self._resolved.pop(face.key, None)

    def stretches(self, edge: tuple[int, int, int]) -> Resolved | None:
        """What is wished of an edge (panel, loop, segment), as `resolved` says; None for nothing."""
        wishes = self.wishes.get(edge)
        if wishes and edge not in self._resolved:
            self._resolved[edge] = resolved(wishes)
        return self._resolved.get(edge)

    def growth(self, face: PlaneFace, contact: Contact) -> float:
        """How far the face moves outward, as part of its panel, at a contact."""
        if face.kind == "broad":
            return self.faces.get((face.panel, face.side), 0.0)
        if face.kind == "floor":
            return self.floor(face.panel, face.loop, face.side)
        found = self.stretches(face.key)
        if found is None:
            return 0.0
        along: list[float] = ((contact.points - face.start) @ face.along).tolist()
        at = (min(along) + max(along)) / 2
        stretches = found[0]
        return next((s.offset for s in stretches if at < s.end), stretches[-1].offset)

    def floor(self, panel: int, loop: int, side: str) -> float:
        """A pocket's floor goes with the face that it is cut from, unless a mate wants it elsewhere."""
        wishes = self.floors.get((panel, loop))
        return min(w.offset for w in wishes) if wishes else self.faces.get((panel, side), 0.0)

    def room(self, c: Contact) -> float:
        """The gap at a contact after every move but that of face a itself."""
        axis = c.axis
        share = c.lean if c.b.is_line and not c.a.is_line else 1.0
        shift = float((self.shift[c.a.panel] - self.shift[c.b.panel]) @ axis)
        return c.gap - shift - self.growth(c.b, c) * share

    def gap(self, c: Contact) -> float:
        """The gap at a contact after every move."""
        share = c.lean if c.a.is_line and not c.b.is_line else 1.0
        return self.room(c) - self.growth(c.a, c) * share

    def close(self, c: Contact, wanted: float, joint: int, loose: bool = False, rests: bool = False) -> None:
        """Let face a move so that the wanted gap is left."""
        share = c.lean if c.a.is_line and not c.b.is_line else 1.0
        self.wish(c.a, c, (self.room(c) - wanted) / share, joint, loose, rests)

    def halve(self, c: Contact, wanted: float, joint: int, loose: bool = False) -> None:
        """Let both faces move alike so that the wanted gap is left."""
        shift = float((self.shift[c.a.panel] - self.shift[c.b.panel]) @ c.axis)
        offset = (c.gap - shift - wanted) / 2
        self.wish(c.a, c, offset, joint, loose)
        self.wish(c.b, c, offset, joint, loose)


def resolved(wishes: list[Wish]) -> Resolved:
    """One offset for the whole edge if all agree; else stretches, parted halfway between contacts
    that differ; and the pairs of joints that want different things of one piece (the larger gap wins).
    Where boards merely touch an edge it stays whole: a step of some tenths is no work for a bit."""
    if all(w.loose for w in wishes):
        return [Stretch(max(w.t1 for w in wishes), min(w.offset for w in wishes))], []
    merged: list[Wish] = []
    clashes: list[tuple[int, int]] = []
    for w in sorted(wishes, key=lambda w: (round(w.t0, 4), round(w.t1, 4), round(w.offset, 6))):
        last = merged[-1] if merged else None
        if last is not None and abs(w.offset - last.offset) <= SAME:
            merged[-1] = Wish(last.t0, max(last.t1, w.t1), last.offset, last.joint)
        elif last is not None and w.t0 < last.t1 - OVERLAP:
            if NO_JOINT not in (last.joint, w.joint):
                clashes.append((last.joint, w.joint))
            merged[-1] = Wish(last.t0, max(last.t1, w.t1), min(w.offset, last.offset), last.joint)
        else:
            merged.append(w)
    ends = [(a.t1 + b.t0) / 2 for a, b in zip(merged, merged[1:], strict=False)]
    stretches = [Stretch(end, w.offset) for end, w in zip([*ends, merged[-1].t1], merged, strict=True)]
    return stretches, clashes
