# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The joints of two bodies (boards or stacks of boards) whose planes cross in a line."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from flatwright.geometry.frame import Vector, cross, unit
from flatwright.joints.contacts import Contact, Scene
from flatwright.joints.ends import is_blind_tenon, socket_kind, tips
from flatwright.joints.model import FoundJoint

ALONG = 0.999  # cosine above which two directions are one
NEXT = 2.5  # mm: how far a slot's end lies from the end of its cheeks' contact at most
STRADDLE = 0.3  # mm of common stretch that makes two cheeks one slot
BEHIND = 0.1  # mm: a face that lies farther from a wall than another of its board only looks at it


class Pair:
    """Works out one pair; contacts are taken out of `free` as roles are found for them."""

    def __init__(
        self, scene: Scene, first: Sequence[int], second: Sequence[int], contacts: Sequence[Contact]
    ) -> None:
        self.scene = scene
        self.first, self.second = tuple(first), tuple(second)
        self.free = list(contacts)
        self.line = unit(cross(scene.panels[first[0]].frame.n, scene.panels[second[0]].frame.n))

    def joints(self) -> list[FoundJoint]:
        """All joints of the pair; what stays in `free` plays no known role."""
        sockets = [s for r in self.first for s in self._sockets(r)]
        sockets += [s for r in self.second for s in self._sockets(r)]
        found = self._cross_laps(sockets)
        found += [self._socket_joint(s) for s in sockets]
        found += self._fingers()
        found += self._rabbets()
        return self._with_shoulders(found)

    # -- sockets: slots that straddle the mate's thickness ------------------------------

    def _sockets(self, receiver: int) -> list[list[Contact]]:
        """Groups of cheek contacts, each group one slot of the receiver, ordered along the line."""
        cheeks = [
            c for c in map(self._seen_by(receiver), self.free)
            if c.a.panel == receiver and c.a.is_line and c.b.kind == "broad"
        ]  # fmt: skip
        groups: list[list[Contact]] = []
        for c in cheeks:
            partners = [d for d in cheeks if self._straddle(c, d)]
            if not partners:
                continue
            merged = [c, *partners]
            rest = []
            for g in groups:
                if any(x is y for x in g for y in merged):
                    merged = g + [m for m in merged if not any(m is x for x in g)]
                else:
                    rest.append(g)
            groups = [*rest, merged]
        for g in groups:
            self._take(g)
        return sorted(groups, key=lambda g: round(self._span(g)[0], 3))

    def _straddle(self, c: Contact, d: Contact) -> bool:
        """Edges on both broad faces of the mate, on one loop, over a common stretch."""
        if c.a.loop != d.a.loop or c.a.kind != d.a.kind or float(c.b.normal @ d.b.normal) > -ALONG:
            return False
        (a0, a1), (b0, b1) = c.extent(self.line), d.extent(self.line)
        return min(a1, b1) - max(a0, b0) > STRADDLE and self._wood_between(c, d)

    def _wood_between(self, c: Contact, d: Contact) -> bool:
        """Two edges look at each other across the mate, they do not turn their backs."""
        return float(c.b.normal @ (c.points[0] - d.points[0])) > 0.0

    def _seen_by(self, panel: int) -> Callable[[Contact], Contact]:
        return lambda c: c if c.a.panel == panel else c.turned()

    def _take(self, contacts: Sequence[Contact]) -> None:
        used = {(id(c.a), id(c.b)) for c in contacts} | {(id(c.b), id(c.a)) for c in contacts}
        self.free = [c for c in self.free if (id(c.a), id(c.b)) not in used]

    def _span(self, cheeks: Sequence[Contact]) -> tuple[float, float]:
        ends = [c.extent(self.line) for c in cheeks]
        return min(e[0] for e in ends), max(e[1] for e in ends)

    def _spans(self, cheeks: Sequence[Contact]) -> tuple[tuple[int, ...], ...]:
        """For each cheek the panels that its slot takes in, from face to face."""
        out: list[tuple[int, ...]] = []
        for c in cheeks:
            body = self.first if c.b.panel in self.first else self.second
            if len(body) == 1:
                out.append(body)
                continue
            others = {d.b.panel for d in cheeks if d.a.panel == c.a.panel}
            axis = self.scene.panels[body[0]].frame.n
            heights = [float(self.scene.panels[k].centre() @ axis) for k in {c.b.panel, *others}]
            lo, hi = min(heights) - 1e-3, max(heights) + 1e-3
            out.append(tuple(k for k in body if lo <= float(self.scene.panels[k].centre() @ axis) <= hi))
        return tuple(out)

    # -- joints with sockets ------------------------------------------------------------

    def _cross_laps(self, sockets: list[list[Contact]]) -> list[FoundJoint]:
        """Two open slots, one of each body, that meet end to end on the line."""
        out: list[FoundJoint] = []
        for s in [g for g in sockets if g[0].a.panel in self.first and _open_slot(g)]:
            for t in [g for g in sockets if g[0].a.panel in self.second and _open_slot(g)]:
                (s0, s1), (t0, t1) = self._span(s), self._span(t)
                if min(abs(s1 - t0), abs(t1 - s0)) > NEXT:
                    continue
                floors = self._ends(s)
                sockets[:] = [g for g in sockets if g is not s and g is not t]
                # the first's slot ends where the other's begins: its mate comes in along the line
                insert = self.line if abs(s1 - t0) <= abs(t1 - s0) else -self.line
                cheeks = (*s, *t)
                out.append(
                    FoundJoint("cross-lap", s[0].a.panel, t[0].a.panel, cheeks=cheeks, floors=tuple(floors),
                               line=self.line, insert=insert, spans=self._spans(cheeks))
                )  # fmt: skip
                break
        return out

    def _ends(self, cheeks: Sequence[Contact]) -> list[Contact]:
        """Contacts of the slot's ends (on the receiver's loop) with edges of the mate; taken."""
        lo, hi = self._span(cheeks)
        receiver, loop, kind = cheeks[0].a.panel, cheeks[0].a.loop, cheeks[0].a.kind
        found = []
        for free in self.free:
            face, other = (free.a, free.b) if free.a.panel == receiver else (free.b, free.a)
            if face.panel != receiver or (face.loop, face.kind, other.kind) != (loop, kind, "edge"):
                continue
            c = free if face is free.a else free.turned()
            if abs(float(c.a.normal @ self.line)) < ALONG:
                continue
            at = float(c.points[0] @ self.line)
            if min(abs(at - lo), abs(at - hi)) < NEXT:
                found.append(c)
        self._take(found)
        return found

    def _socket_joint(self, cheeks: list[Contact]) -> FoundJoint:
        receiver, mate = cheeks[0].a.panel, min(c.b.panel for c in cheeks)
        ends = self._ends(cheeks)
        floors: list[Contact] = []
        insert: Vector | None
        if cheeks[0].a.kind == "wall":
            floors = self._pocket_floor(cheeks)
            insert = -floors[0].a.normal if floors else self._from_bulk(receiver, mate)
            sides = ends
        elif cheeks[0].a.loop == 0:
            sides, floors = [], ends
            insert = -ends[0].a.normal if ends else None
        else:
            sides = ends
            insert = self._from_bulk(receiver, mate)
        kind = socket_kind(self.scene, cheeks, self.line)
        return FoundJoint(
            kind, receiver, mate, cheeks=tuple(cheeks), sides=tuple(sides), floors=tuple(floors),
            line=self.line, insert=insert, spans=self._spans(cheeks),
        )  # fmt: skip

    def _pocket_floor(self, cheeks: Sequence[Contact]) -> list[Contact]:
        receiver, loop = cheeks[0].a.panel, cheeks[0].a.loop
        found = [
            c for c in map(self._seen_by(receiver), self.free)
            if c.a.panel == receiver and c.a.kind == "floor" and c.a.loop == loop and c.b.kind == "edge"
        ]  # fmt: skip
        self._take(found)
        return found

    def _from_bulk(self, receiver: int, mate: int) -> Vector:
        """The receiver's normal, from the side where most of the mate is."""
        r, m = self.scene.panels[receiver], self.scene.panels[mate]
        height = float((m.centre() - r.centre()) @ r.frame.n)
        return -r.frame.n if height > 0 else r.frame.n

    # -- finger joints and rabbets --------------------------------------------------------

    def _fingers(self) -> list[FoundJoint]:
        """Edges against edges along the line, with no slot: fingers between fingers, if edges also
        bear on faces (else two edges merely stand on each other)."""
        if not any({c.a.kind, c.b.kind} == {"edge", "broad"} for c in self.free):
            return []
        found = [
            c for c in self.free
            if c.a.kind == "edge" and c.b.kind == "edge" and abs(float(c.a.normal @ self.line)) > ALONG
        ]  # fmt: skip
        self._take(found)
        pairs = sorted({(c.a.panel, c.b.panel) for c in found})
        return [
            FoundJoint("finger joint", a, b, line=self.line,
                       flanks=tuple(c for c in found if (c.a.panel, c.b.panel) == (a, b)))
            for a, b in pairs
        ]  # fmt: skip

    def _rabbets(self) -> list[FoundJoint]:
        """A step along an edge: a wall against a broad face or edge, a floor against the other."""
        out = []
        order = [(r, m) for r in self.first for m in self.second]
        for receiver, mate in (*order, *((m, r) for r, m in order)):
            seen = [
                c for c in map(self._seen_by(receiver), self.free)
                if c.a.panel == receiver and c.b.panel == mate
            ]  # fmt: skip
            walls = [c for c in seen if c.a.kind == "wall"]
            floors = [c for c in seen if c.a.kind == "floor"]
            for loop in sorted({c.a.loop for c in floors} & {c.a.loop for c in walls}):
                bearing = [c for c in walls if c.a.loop == loop]
                under = [c for c in floors if c.a.loop == loop]
                self._take([*bearing, *under])
                out.append(
                    FoundJoint("rabbet", receiver, mate, shoulders=_nearest(bearing),
                               floors=tuple(under), line=self.line)
                )  # fmt: skip
        return out

    # -- shoulders and tips ------------------------------------------------------------------

    def _with_shoulders(self, found: list[FoundJoint]) -> list[FoundJoint]:
        """Edges bearing on broad faces belong to the nearest joint of their panels, or are a butt joint."""
        bearing = [c if c.a.is_line else c.turned() for c in self.free
                   if {c.a.kind, c.b.kind} in ({"edge", "broad"}, {"wall", "broad"})]  # fmt: skip
        self._take(bearing)
        shares: list[list[Contact]] = [[] for _ in found]
        plain: dict[tuple[int, int], list[Contact]] = {}
        ends = [[e for c in f.contacts() for e in c.extent(self.line)] for f in found]
        centres = [sum(e) / len(e) for e in ends]
        for c in bearing:
            mid = sum(c.extent(self.line)) / 2
            own = [k for k, f in enumerate(found) if {c.a.panel, c.b.panel} <= _panels(f)]
            if own:
                nearest = min(own, key=lambda k: (round(abs(mid - centres[k]), 3), k))
                shares[nearest].append(c)
            else:
                plain.setdefault((c.b.panel, c.a.panel), []).append(c)
        done = [self._ended(f, s, bearing) for f, s in zip(found, shares, strict=True)]
        return done + [
            FoundJoint("butt", b, a, shoulders=tuple(cs), line=self.line)
            for (b, a), cs in sorted(plain.items())
        ]

    def _ended(
        self, joint: FoundJoint, shoulders: Sequence[Contact], bearing: Sequence[Contact]
    ) -> FoundJoint:
        # which shoulder counts to which of several equal tenons may be a tie: all of the pair's tell the kind
        kind = "blind mortise and tenon" if is_blind_tenon(self.scene, joint, bearing) else joint.kind
        full = replace(joint, kind=kind, shoulders=(*joint.shoulders, *shoulders))
        return replace(full, tips=tips(self.scene, full, NEXT))


def _open_slot(cheeks: Sequence[Contact]) -> bool:
    return cheeks[0].a.kind == "edge" and cheeks[0].a.loop == 0


def _nearest(walls: Sequence[Contact]) -> tuple[Contact, ...]:
    """Of the contacts of each wall those with what is next to it: in thin boards the floor of a groove lies
    no farther behind its board's face than a drawn clearance may be."""
    least = {w.a.key: min(c.gap for c in walls if c.a.key == w.a.key) for w in walls}
    return tuple(w for w in walls if round(w.gap - least[w.a.key], 4) <= BEHIND)


def _panels(joint: FoundJoint) -> set[int]:
    """The panels of a joint, whole stacks included."""
    return {joint.receiver, joint.mate, *(k for s in joint.spans for k in s)}
