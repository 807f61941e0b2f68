# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""From contacts to joints: a role follows from what faces what."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from shapely.geometry import Polygon

from flatwright.geometry.frame import Vector
from flatwright.geometry.polygon import polygon
from flatwright.joints.contacts import BITE, REACH, Contact, Scene
from flatwright.joints.faces import PlaneFace
from flatwright.joints.model import FoundJoint, Tip
from flatwright.plan import Panel

ALONG = 0.999  # cosine above which two directions are one
NEXT = 2.5  # mm: how far a slot's end lies from the end of its cheeks' contact at most


def recognise(scene: Scene) -> list[FoundJoint]:
    """All joints, in the order of the panel pairs and along each pair's line."""
    out: list[FoundJoint] = []
    for (i, j), contacts in sorted(scene.contacts.items()):
        out.extend(_Pair(scene, i, j, contacts).joints())
    return out


class _Pair:
    """Works out one pair; contacts are taken out of `free` as roles are found for them."""

    def __init__(self, scene: Scene, i: int, j: int, contacts: Sequence[Contact]) -> None:
        self.scene = scene
        self.i, self.j = i, j
        self.free = list(contacts)
        cross = np.cross(scene.panels[i].frame.n, scene.panels[j].frame.n)
        length = float(np.linalg.norm(cross))
        self.line: Vector | None = cross / length if length > 1e-3 else None

    def joints(self) -> list[FoundJoint]:
        if self.line is None:
            return self._parallel()
        sockets = self._sockets(self.i, self.j) + self._sockets(self.j, self.i)
        found = self._cross_laps(sockets)
        found += [self._socket_joint(s) for s in sockets]
        flanks = self._flanks()
        if flanks:
            found.append(FoundJoint("finger joint", self.i, self.j, flanks=tuple(flanks), line=self.line))
        found += self._rabbets()
        return self._with_shoulders(found)

    # -- sockets: slots that straddle the mate's thickness ------------------------------

    def _sockets(self, receiver: int, mate: int) -> list[list[Contact]]:
        """Groups of cheek contacts, each group one slot of the receiver, ordered along the line."""
        assert self.line is not None
        cheeks = [
            c for c in map(self._seen_by(receiver), self.free)
            if c.a.is_line and c.b.kind == "broad" and c.a.panel == receiver
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
        line = self.line
        return sorted(groups, key=lambda g: round(min(c.extent(line)[0] for c in g), 3))

    def _straddle(self, c: Contact, d: Contact) -> bool:
        """Edges on both broad faces of the mate, on one loop, over a common stretch."""
        if c.a.loop != d.a.loop or c.a.kind != d.a.kind or c.b.side == d.b.side:
            return False
        assert self.line is not None
        (a0, a1), (b0, b1) = c.extent(self.line), d.extent(self.line)
        return min(a1, b1) - max(a0, b0) > 0.3

    def _seen_by(self, panel: int) -> Callable[[Contact], Contact]:
        return lambda c: c if c.a.panel == panel else c.turned()

    def _take(self, contacts: Sequence[Contact]) -> None:
        used = {(id(c.a), id(c.b)) for c in contacts} | {(id(c.b), id(c.a)) for c in contacts}
        self.free = [c for c in self.free if (id(c.a), id(c.b)) not in used]

    def _span(self, cheeks: Sequence[Contact]) -> tuple[float, float]:
        assert self.line is not None
        ends = [c.extent(self.line) for c in cheeks]
        return min(e[0] for e in ends), max(e[1] for e in ends)

    # -- joints with sockets ------------------------------------------------------------

    def _cross_laps(self, sockets: list[list[Contact]]) -> list[FoundJoint]:
        """Two open slots, one of each panel, that meet end to end on the line."""
        out: list[FoundJoint] = []
        for s in [g for g in sockets if g[0].a.panel == self.i and _open_slot(g)]:
            for t in [g for g in sockets if g[0].a.panel == self.j and _open_slot(g)]:
                (s0, s1), (t0, t1) = self._span(s), self._span(t)
                if min(abs(s1 - t0), abs(t1 - s0)) > NEXT:
                    continue
                floors = self._ends(s, self.i)
                sockets.remove(s)
                sockets.remove(t)
                sign = 1.0 if abs(s1 - t0) <= abs(t1 - s0) else -1.0
                # panel i's slot ends where the other's begins: its mate comes in along the line
                insert = None if self.line is None else sign * self.line
                out.append(
                    FoundJoint("cross-lap", self.i, self.j, cheeks=(*s, *t), floors=tuple(floors),
                               line=self.line, insert=insert)
                )  # fmt: skip
                break
        return out

    def _ends(self, cheeks: Sequence[Contact], receiver: int) -> list[Contact]:
        """Contacts of the slot's ends (on the receiver's loop) with edges of the mate; taken."""
        assert self.line is not None
        lo, hi = self._span(cheeks)
        loop, kind = cheeks[0].a.loop, cheeks[0].a.kind
        found = []
        for c in map(self._seen_by(receiver), self.free):
            if not (c.a.kind == kind and c.a.loop == loop and c.b.kind == "edge"):
                continue
            if abs(float(c.a.normal @ self.line)) < ALONG:
                continue
            at = float(c.points[0] @ self.line)
            if min(abs(at - lo), abs(at - hi)) < NEXT:
                found.append(c)
        self._take(found)
        return found

    def _socket_joint(self, cheeks: list[Contact]) -> FoundJoint:
        receiver, mate = cheeks[0].a.panel, cheeks[0].b.panel
        ends = self._ends(cheeks, receiver)
        floors = self._pocket_floor(cheeks, receiver) if cheeks[0].a.kind == "wall" else []
        insert: Vector | None
        if cheeks[0].a.kind == "wall":
            kind = "housing"
            insert = -floors[0].a.normal if floors else self._from_bulk(receiver, mate)
            sides = ends
        elif cheeks[0].a.loop == 0:
            kind, sides, floors = "slot", [], ends
            insert = -ends[0].a.normal if ends else None
        else:
            kind, sides = "mortise and tenon", ends
            insert = self._from_bulk(receiver, mate)
        return FoundJoint(kind, receiver, mate, cheeks=tuple(cheeks), sides=tuple(sides),
                          floors=tuple(floors), line=self.line, insert=insert)  # fmt: skip

    def _pocket_floor(self, cheeks: Sequence[Contact], receiver: int) -> list[Contact]:
        found = [
            c for c in map(self._seen_by(receiver), self.free)
            if c.a.kind == "floor" and c.a.loop == cheeks[0].a.loop and c.b.kind == "edge"
        ]  # fmt: skip
        self._take(found)
        return found

    def _from_bulk(self, receiver: int, mate: int) -> Vector:
        """The receiver's normal, from the side where most of the mate is."""
        r, m = self.scene.panels[receiver], self.scene.panels[mate]
        height = float((m.centre() - r.centre()) @ r.frame.n)
        return -r.frame.n if height > 0 else r.frame.n

    # -- finger joints and rabbets --------------------------------------------------------

    def _flanks(self) -> list[Contact]:
        """Edges against edges along the line, with no slot: fingers between fingers, if edges also
        bear on faces (else two edges merely stand on each other)."""
        assert self.line is not None
        if not any({c.a.kind, c.b.kind} == {"edge", "broad"} for c in self.free):
            return []
        found = [
            c for c in self.free
            if c.a.kind == "edge" and c.b.kind == "edge" and abs(float(c.a.normal @ self.line)) > ALONG
        ]  # fmt: skip
        self._take(found)
        return found

    def _rabbets(self) -> list[FoundJoint]:
        """A step along an edge: a wall against a broad face or edge, a floor against the other."""
        out = []
        for receiver, mate in ((self.i, self.j), (self.j, self.i)):
            seen = [self._seen_by(receiver)(c) for c in self.free]
            walls = [c for c in seen if c.a.kind == "wall"]
            floors = [c for c in seen if c.a.kind == "floor"]
            loops = sorted({c.a.loop for c in floors} & {c.a.loop for c in walls})
            for loop in loops:
                bearing = [c for c in walls if c.a.loop == loop]
                under = [c for c in floors if c.a.loop == loop]
                self._take([*bearing, *under])
                out.append(
                    FoundJoint("rabbet", receiver, mate, shoulders=tuple(bearing),
                               floors=tuple(under), line=self.line)
                )  # fmt: skip
        return out

    # -- shoulders, tips, the rest -----------------------------------------------------------

    def _with_shoulders(self, found: list[FoundJoint]) -> list[FoundJoint]:
        """Edges bearing on broad faces belong to the nearest joint of the pair, or are a butt joint."""
        bearing = [c if c.a.is_line else c.turned() for c in self.free
                   if {c.a.kind, c.b.kind} in ({"edge", "broad"}, {"wall", "broad"})]  # fmt: skip
        self._take(bearing)
        if not found:
            if not bearing:
                return []
            a = bearing[0].a.panel
            kind = "butt"
            return [
                FoundJoint(
                    kind, self.j if a == self.i else self.i, a, shoulders=tuple(bearing), line=self.line
                )
            ]
        line = self.line
        assert line is not None
        centres = [np.mean([c.extent(line) for c in f.contacts()]) for f in found]
        shares: list[list[Contact]] = [[] for _ in found]
        for c in bearing:
            mid = sum(c.extent(line)) / 2
            nearest = min(range(len(found)), key=lambda k: (round(abs(mid - centres[k]), 3), k))
            shares[nearest].append(c)
        return [
            FoundJoint(f.kind, f.receiver, f.mate, f.cheeks, f.sides, f.floors, f.flanks,
                       (*f.shoulders, *s), self._tips(f), f.line, f.insert)
            for f, s in zip(found, shares, strict=True)
        ]  # fmt: skip

    def _tips(self, joint: FoundJoint) -> tuple[Tip, ...]:
        """Ends that lie flush (within the reach) with the far face of the panel they go through."""
        if joint.kind not in ("mortise and tenon", "finger joint", "slot"):
            return ()
        pairs = [(joint.mate, joint.receiver)]
        if joint.kind == "finger joint":
            pairs.append((joint.receiver, joint.mate))
        out = []
        for giver, taker in pairs:
            hull = polygon(self.scene.panels[taker].outline).convex_hull.buffer(REACH)
            for edge in self.scene.faces[giver]:
                if edge.kind == "edge" and self._in_reach(edge, joint):
                    for face in self.scene.faces[taker][:2]:
                        proud = edge.offset - face.offset
                        if (
                            float(edge.normal @ face.normal) > 1.0 - 1e-6
                            and abs(proud) <= REACH + BITE
                            and _inside(edge, self.scene.panels[taker], hull)
                        ):
                            out.append(Tip(edge, face, proud))
        return tuple(out)

    def _in_reach(self, edge: PlaneFace, joint: FoundJoint) -> bool:
        """The end of a tenon lies between the ends of its slot; a finger anywhere on the line."""
        if joint.kind == "finger joint" or joint.line is None:
            return True
        lo, hi = self._span(joint.cheeks)
        d = edge.corners @ joint.line
        return float(d.min()) > lo - NEXT and float(d.max()) < hi + NEXT

    def _parallel(self) -> list[FoundJoint]:
        """Panels with parallel faces: laid face to face, or edge to edge."""
        if any(c.a.kind in ("broad", "floor") and c.b.kind in ("broad", "floor") for c in self.free):
            return [FoundJoint("face to face", self.i, self.j, shoulders=tuple(self.free))]
        return [FoundJoint("edge to edge", self.i, self.j, shoulders=tuple(self.free))] if self.free else []


def _open_slot(cheeks: Sequence[Contact]) -> bool:
    return cheeks[0].a.kind == "edge" and cheeks[0].a.loop == 0


def _inside(edge: PlaneFace, panel: Panel, hull: Polygon) -> bool:
    """The edge lies over the panel's outline (in a slot or notch of it)."""
    points = panel.frame.to_plane(edge.corners)[:, :2]
    return bool(hull.contains(Polygon(points).centroid))
