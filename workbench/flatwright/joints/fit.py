# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The fit: one signed offset per edge, from the boards as they are and the wanted clearances.

Broad faces move first (a board is thinner or thicker than drawn), then every edge moves so
that each contact has its gap, whatever gap was drawn: fitting twice is fitting once.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from flatwright.findings import Finding, declare, finding
from flatwright.geometry.arcs import Segment
from flatwright.geometry.offset import move_edges, split_edges
from flatwright.geometry.outline import Outline, simplified
from flatwright.joints.contacts import Contact, Scene
from flatwright.joints.faces import PlaneFace
from flatwright.joints.model import FoundJoint
from flatwright.plan import Joint, Panel, Pocket, Side
from flatwright.presets.model import FitClass, Fits

declare(
    "error",
    fit__collapsed="an edge vanished when the part was fitted",
)
declare(
    "warning",
    fit__conflict="two contacts on one piece of an edge ask for different fits; the larger gap was taken",
)

SAME = 1e-6  # mm: offsets this close are one


@dataclass(frozen=True, slots=True)
class Thickness:
    """Of one board, mm: `real` the panel becomes; slots over it are cut for `slot`, with `clearance`
    where it is given in place of the class's own (the clearance for a wanted probability)."""

    real: float
    slot: float
    clearance: float | None = None

    def over(self, c: FitClass) -> float:
        """Width of a slot over the board less `real`, mm, in a joint of that class."""
        clear = c.over_thickness if self.clearance is None else self.clearance
        return clear + (self.slot - self.real)


@dataclass(frozen=True, slots=True, eq=False)
class Fitted:
    """Fitted panels in the order of the scene's, the joints, and per panel the edges that mate
    (panel coordinates, fitted)."""

    panels: tuple[Panel, ...]
    joints: tuple[Joint, ...]
    mating: tuple[tuple[Segment, ...], ...]
    findings: tuple[Finding, ...]


@dataclass(slots=True)
class _Wish:
    """An offset asked for a stretch (t0, t1 in mm along the segment) of an edge."""

    t0: float
    t1: float
    offset: float


@dataclass(slots=True)
class _Moves:
    """What has been decided: outward moves of broad faces, edges and pocket floors, mm."""

    faces: dict[tuple[int, str], float] = field(default_factory=dict)
    wishes: dict[tuple[int, int, int], list[_Wish]] = field(default_factory=dict)
    floors: dict[tuple[int, int], float] = field(default_factory=dict)

    def of(self, face: PlaneFace) -> float:
        """How far the face has moved outward."""
        if face.kind == "broad":
            return self.faces.get((face.panel, face.side), 0.0)
        if face.kind == "floor":
            return self.floors.get((face.panel, face.loop), 0.0)
        wishes = self.wishes.get(face.key)
        return min(w.offset for w in wishes) if wishes else 0.0


def fit(
    scene: Scene,
    found: Sequence[FoundJoint],
    thickness: Mapping[int, Thickness],
    fits: Fits,
    *,
    classes: Mapping[int, str] | None = None,
    stays: Mapping[int, Side] | None = None,
) -> Fitted:
    """Fit every panel of the scene. `thickness` by panel index; panels without one stay as drawn.
    By hand: `classes` by index of the joint, and which broad face `stays` by panel index."""
    moves = _Moves()
    real = [thickness[i].real if i in thickness else p.thickness for i, p in enumerate(scene.panels)]
    stay = staying_faces(scene, found, stays or {})
    for i, panel in enumerate(scene.panels):
        moving = "-n" if stay[i] == "+n" else "+n"
        moves.faces[i, stay[i]] = 0.0
        moves.faces[i, moving] = real[i] - panel.thickness
    by_hand = classes or {}
    chosen = [
        (by_hand[k], fits.classes[by_hand[k]]) if k in by_hand else fits.for_joint(j.kind)
        for k, j in enumerate(found)
    ]
    # ends of mates first, then what receives them: a receiver follows its mate's moved edge
    for joint, (_, c) in zip(found, chosen, strict=True):
        _bearings(joint, moves)
        _tips(joint, c, moves)
        _mutual(joint, c, moves)
    for joint, (_, c) in zip(found, chosen, strict=True):
        _receive(joint, c, moves, thickness)
    findings: list[Finding] = []
    panels, mating = [], []
    for i, panel in enumerate(scene.panels):
        fitted, segs = _apply(i, panel, real[i], moves, findings)
        panels.append(fitted)
        mating.append(segs)
    joints = tuple(
        _described(j, name, c, scene, thickness) for j, (name, c) in zip(found, chosen, strict=True)
    )
    return Fitted(tuple(panels), joints, tuple(mating), tuple(findings))


def staying_faces(
    scene: Scene, found: Sequence[FoundJoint], by_hand: Mapping[int, Side] | None = None
) -> list[str]:
    """Which broad face of each panel keeps its place when the thickness changes: the one said by hand,
    else the one on which shoulders bear; if both or none, the face away from the assembly's centre, else
    +n."""
    bears: list[set[str]] = [set() for _ in scene.panels]
    for j in found:
        for c in j.shoulders:
            for f in (c.a, c.b):
                if f.kind == "broad":
                    bears[f.panel].add(f.side)
    centres = np.array([p.centre() for p in scene.panels])
    middle = (centres.min(axis=0) + centres.max(axis=0)) / 2
    out: list[str] = []
    for i, panel in enumerate(scene.panels):
        if by_hand and i in by_hand:
            out.append(by_hand[i])
        elif len(bears[i]) == 1:
            out.append(next(iter(bears[i])))
        else:
            out.append("+n" if round(float((centres[i] - middle) @ panel.frame.n), 3) >= 0 else "-n")
    return out


def over_board(panel: int, c: FitClass, thickness: Mapping[int, Thickness]) -> float:
    """Width of a slot over a panel less the panel's thickness, mm, in a joint of that class."""
    return thickness[panel].over(c) if panel in thickness else c.over_thickness


# -- wishes ------------------------------------------------------------------------------


def _wish(moves: _Moves, face: PlaneFace, contact: Contact | None, offset: float) -> None:
    if face.kind == "floor":
        known = moves.floors.get((face.panel, face.loop))
        moves.floors[face.panel, face.loop] = offset if known is None else min(known, offset)
        return
    points = face.corners if contact is None else contact.points
    at = (points - face.start) @ face.along
    moves.wishes.setdefault(face.key, []).append(_Wish(float(at.min()), float(at.max()), offset))


def _bearings(joint: FoundJoint, moves: _Moves) -> None:
    """Shoulders follow the face they bear on: gap 0 in a joint, as drawn in a plain butt."""
    if joint.kind in ("face to face", "edge to edge"):
        return
    for c in joint.shoulders:
        if c.a.is_line and c.b.kind == "broad":
            drawn = c.gap if joint.kind == "butt" else 0.0
            _wish(moves, c.a, c, c.gap - moves.of(c.b) - drawn)


def _tips(joint: FoundJoint, c: FitClass, moves: _Moves) -> None:
    """Free ends stand out of the far face as far as their class says, or as far as they are drawn."""
    for tip in joint.tips:
        proud = tip.proud if c.proud is None else c.proud
        _wish(moves, tip.edge, None, moves.of(tip.face) + proud - tip.proud)


def _mutual(joint: FoundJoint, c: FitClass, moves: _Moves) -> None:
    """Half from each side: finger flanks along/4 each side's two, cross-lap floors floor/2."""
    for k in joint.flanks:
        offset = (k.gap - c.along / 2) / 2
        _wish(moves, k.a, k, offset)
        _wish(moves, k.b, k, offset)
    if joint.kind == "cross-lap":
        for k in joint.floors:
            offset = (k.gap - c.floor) / 2
            _wish(moves, k.a, k, offset)
            _wish(moves, k.b, k, offset)


def _receive(joint: FoundJoint, c: FitClass, moves: _Moves, thickness: Mapping[int, Thickness]) -> None:
    for k in joint.cheeks:
        over = over_board(k.b.panel, c, thickness)
        _wish(moves, k.a, k, k.gap - moves.of(k.b) - over / 2)
    for k in joint.sides:
        _wish(moves, k.a, k, k.gap - moves.of(k.b) - c.along / 2)
    if joint.kind != "cross-lap":
        gap = c.along / 2 if joint.kind == "rabbet" else c.floor
        for k in joint.floors:
            _wish(moves, k.a, k, k.gap - moves.of(k.b) - gap)


# -- applying ----------------------------------------------------------------------------


def _apply(
    i: int, panel: Panel, real: float, moves: _Moves, findings: list[Finding]
) -> tuple[Panel, tuple[Segment, ...]]:
    """The panel with its edges moved, in its moved frame, and the edges that mate."""
    loops = panel.loops()
    offsets = [_pieces(i, n, loop, moves, panel, findings) for n, loop in enumerate(loops)]
    through = 1 + len(panel.holes)
    for n in range(through, len(loops)):
        _follow_open_edges(n, through, offsets)
    done: list[Outline] = []
    mating: list[Segment] = []
    for loop, distances, wished in offsets:
        moved = move_edges(loop, distances)
        if moved.collapsed:
            findings.append(_collapsed(panel, loop, moved.collapsed[0]))
        segs = moved.outline.segments()
        mating += [segs[k] for k, o in enumerate(moved.origins) if o >= 0 and wished[o]]
        done.append(_tidy(moved.outline))
    pockets = tuple(
        replace(p, outline=done[through + k], depth=_depth(i, through + k, p, moves))
        for k, p in enumerate(panel.pockets)
    )
    fitted = replace(
        panel,
        frame=panel.frame.shifted(-moves.faces[i, "-n"]),
        thickness=round(real, 6),
        outline=done[0],
        holes=tuple(done[1:through]),
        pockets=pockets,
    )
    return fitted, tuple(mating)


def _depth(i: int, loop: int, pocket: Pocket, moves: _Moves) -> float:
    """From the moved face to the moved floor; without a mate on the floor, as drawn."""
    face = moves.faces[i, pocket.side]
    return round(pocket.depth + face - moves.floors.get((i, loop), face), 6)


_Pieces = tuple[Outline, list[float], list[bool]]


def _pieces(i: int, n: int, loop: Outline, moves: _Moves, panel: Panel, findings: list[Finding]) -> _Pieces:
    """The loop split where one edge has several offsets, an offset for each piece, and whether it mates."""
    segs = loop.segments()
    cuts: dict[int, list[float]] = {}
    plans: list[list[tuple[float, float]]] = []  # per edge: (fraction where the piece ends, offset)
    for k, s in enumerate(segs):
        wishes = sorted(moves.wishes.get((i, n, k), []), key=lambda w: (round(w.t0, 4), round(w.t1, 4)))
        if not wishes:
            plans.append([(1.0, 0.0)])
            continue
        stretches, clash = _stretches(wishes)
        if clash:
            findings.append(_conflict(panel, s))
        ends = [(s_end / s.length, off) for s_end, off in stretches[:-1]] + [(1.0, stretches[-1][1])]
        plans.append(ends)
        cuts[k] = [e for e, _ in ends[:-1]]
    split, origins = split_edges(loop, cuts) if any(cuts.values()) else (loop, list(range(len(segs))))
    distances = [off for plan in plans for _, off in plan]
    wished = [bool(moves.wishes.get((i, n, o))) for o in origins]
    return split, distances, wished


def _stretches(wishes: list[_Wish]) -> tuple[list[tuple[float, float]], bool]:
    """One offset for the whole edge if all agree; else stretches (end in mm, offset), parted
    halfway between contacts that differ. True when overlapping contacts disagree."""
    merged: list[_Wish] = []
    clash = False
    for w in wishes:
        if merged and w.t0 < merged[-1].t1 - 0.01 and abs(w.offset - merged[-1].offset) > SAME:
            clash = True
            merged[-1] = _Wish(merged[-1].t0, max(merged[-1].t1, w.t1), min(w.offset, merged[-1].offset))
        elif merged and abs(w.offset - merged[-1].offset) <= SAME:
            merged[-1] = _Wish(merged[-1].t0, max(merged[-1].t1, w.t1), merged[-1].offset)
        else:
            merged.append(_Wish(w.t0, w.t1, w.offset))
    out = [((a.t1 + b.t0) / 2, a.offset) for a, b in zip(merged, merged[1:], strict=False)]
    return [*out, (merged[-1].t1, merged[-1].offset)], clash


def _follow_open_edges(n: int, through: int, offsets: list[_Pieces]) -> None:
    """A pocket's edge that lies on an outline or hole is open: it moves with that edge."""
    loop, distances, wished = offsets[n]
    for k, s in enumerate(loop.segments()):
        if wished[k] or not s.is_line:
            continue
        for other, dist, _ in offsets[:through]:
            for h, t in enumerate(other.segments()):
                if t.is_line and abs(dist[h]) > 0 and _on(s, t):
                    distances[k] = -dist[h]


def _on(s: Segment, t: Segment) -> bool:
    return t.distance(s.p) < 1e-3 and t.distance(s.q) < 1e-3


def _tidy(outline: Outline) -> Outline:
    outline = simplified(outline)
    return Outline(np.round(outline.points, 7) + 0.0, outline.bulges)


def _described(
    j: FoundJoint, name: str, c: FitClass, scene: Scene, thickness: Mapping[int, Thickness]
) -> Joint:
    """The joint as the plan holds it: only the clearances that it has."""
    values: dict[str, float | str] = {}
    if j.cheeks:
        values["across_mm"] = over_board(j.mate, c, thickness)
    if j.sides or j.flanks:
        values["along_mm"] = c.along
    if j.floors and j.kind != "rabbet":
        values["floor_mm"] = c.floor
    if values:
        values["class"] = name
    names = (scene.panels[j.receiver].name, scene.panels[j.mate].name)
    return Joint(j.kind, names, values)


def _collapsed(panel: Panel, loop: Outline, edge: int) -> Finding:
    s = loop.segments()[edge]
    x, y = s.at(0.5)
    return finding(
        "fit.collapsed",
        f"{panel.name} at ({x:.1f}, {y:.1f})",
        f"An edge of {s.length:.2f} mm on {panel.name} vanished when the part was fitted.",
        "Draw that edge longer, or give the joint a smaller clearance.",
        panels=[panel.name],
    )


def _conflict(panel: Panel, s: Segment) -> Finding:
    x, y = s.at(0.5)
    return finding(
        "fit.conflict",
        f"{panel.name} at ({x:.1f}, {y:.1f})",
        f"Two mates on one piece of an edge of {panel.name} ask for different fits; "
        "the larger gap was taken.",
        "Check that joint, or draw the edge in two pieces.",
        panels=[panel.name],
    )
