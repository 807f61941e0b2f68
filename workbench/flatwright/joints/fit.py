# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The fit: one signed offset per edge, from the boards as they are and the wanted clearances.

Broad faces move first (a board is thinner or thicker than drawn) and stacked boards follow each
other, then every edge moves so that each contact has its gap, whatever gap was drawn: fitting
twice is fitting once.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from flatwright.findings import Finding, declare, finding
from flatwright.geometry.arcs import Segment
from flatwright.joints.contacts import Contact, Scene
from flatwright.joints.model import FoundJoint
from flatwright.joints.moved import moved_panel
from flatwright.joints.moves import NO_JOINT, Moves
from flatwright.joints.recognise import Recognised
from flatwright.joints.stacks import shifts, with_laps
from flatwright.joints.standing import staying_faces
from flatwright.plan import Joint, Panel, Side
from flatwright.presets.model import FitClass, Fits

declare(
    "warning",
    fit__gap="a contact could not be given its clearance: another joint moves the same edge",
    joint__stack_unclear="a board of a stack lies on two boards that are no longer level",
)

EXACT = 0.002  # mm: how near each gap must come to what is specified


@dataclass(frozen=True, slots=True)
class Thickness:
    """Of one board, mm: `real` the panel becomes; slots over it are cut for `slot`, with `clearance`
    where it is given in place of the class's own (the clearance for a wanted probability), `each_way`
    in a joint where both boards have a slot and both have to go in."""

    real: float
    slot: float
    clearance: float | None = None
    each_way: float | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Fitted:
    """Fitted panels in the order of the scene's, the joints, and per panel the edges that mate
    (panel coordinates, fitted). `shift` (n, 3) is how far each panel went as a whole, mm."""

    panels: tuple[Panel, ...]
    joints: tuple[Joint, ...]
    mating: tuple[tuple[Segment, ...], ...]
    shift: np.ndarray[tuple[int, ...], np.dtype[np.float64]]
    findings: tuple[Finding, ...]


def over_boards(
    panels: Sequence[int], c: FitClass, thickness: Mapping[int, Thickness], each_way: bool = False
) -> float:
    """Width of a slot over panels that lie on each other less their thickness together, mm, in a joint
    of that class, `each_way` if each of its boards has a slot. Clearances for a probability add up as
    the spreads do that they stand for."""
    known = [thickness[k] for k in panels if k in thickness]
    given = [v for t in known if (v := t.each_way if each_way else t.clearance) is not None]
    clear = math.hypot(*given) if given else c.over_thickness
    return clear + sum(t.slot - t.real for t in known)


@dataclass(frozen=True, slots=True, eq=False)
class _Clearances:
    """Of one joint: its class and the boards."""

    name: str
    values: FitClass
    thickness: Mapping[int, Thickness]

    def over(self, joint: FoundJoint, cheek: int) -> float:
        """What a slot is wider than the boards in it, mm."""
        return over_boards(joint.spans[cheek], self.values, self.thickness, joint.each_way)


def fit(
    scene: Scene,
    known: Recognised,
    thickness: Mapping[int, Thickness],
    fits: Fits,
    *,
    classes: Mapping[int, str] | None = None,
    stays: Mapping[int, Side] | None = None,
) -> Fitted:
    """Fit every panel of the scene. `thickness` by panel index; panels without one stay as drawn.

    By hand: `classes` names fit classes by the index of the joint in `known.joints`, `stays` the face
    that keeps its place ("+n" or "-n") by panel index.
    """
    real = [thickness[i].real if i in thickness else p.thickness for i, p in enumerate(scene.panels)]
    moves = Moves(np.zeros((len(scene.panels), 3)))
    standing = staying_faces(scene, known, stays)
    for i, panel in enumerate(scene.panels):
        moving = "-n" if standing[i] == "+n" else "+n"
        moves.faces[i, standing[i]] = 0.0
        moves.faces[i, moving] = real[i] - panel.thickness
    settled = shifts(scene, known.bodies, standing, lambda f: moves.faces[f.panel, f.side])
    laps = [(j.receiver, j.mate) for j in known.joints if j.kind in ("half-lap", "T-halving")]
    settled = with_laps(settled, known.bodies, laps)
    moves.shift = settled.by_panel
    clear = [_clearances(k, j, fits, classes or {}, thickness) for k, j in enumerate(known.joints)]
    for wishes in (_bear, _tips, _mutual, _receive):  # ends of mates first, then what receives them
        for k, joint in enumerate(known.joints):
            wishes(k, joint, clear[k], moves)
    for c in (*known.left, *(s for j in known.joints if j.kind == "edge to edge" for s in j.shoulders)):
        _keep(c, moves)
    for k, joint in enumerate(known.joints):
        _follow(k, joint, clear[k], moves)
    findings: list[Finding] = [_unclear(scene.panels[i]) for i in settled.unclear]
    panels, mating = [], []
    clashes: set[int] = set()
    titles = [_title(j, scene) for j in known.joints]
    for i, panel in enumerate(scene.panels):
        done = moved_panel(i, panel, real[i], moves, titles)
        panels.append(done.panel)
        mating.append(done.mating)
        findings += done.findings
        clashes |= done.clashed
    findings += _missed(scene, known, clear, moves, clashes)
    joints = tuple(_described(j, c, scene) for j, c in zip(known.joints, clear, strict=True))
    return Fitted(tuple(panels), joints, tuple(mating), moves.shift, tuple(findings))


def _clearances(
    k: int, joint: FoundJoint, fits: Fits, classes: Mapping[int, str], thickness: Mapping[int, Thickness]
) -> _Clearances:
    name, values = fits.for_joint(joint.kind)
    if k in classes:
        name = classes[k]
        values = fits.classes[name]
    return _Clearances(name, values, thickness)


# -- the gap that each contact shall have ---------------------------------------------------


def _specified(joint: FoundJoint, c: _Clearances) -> Iterator[tuple[Contact, float]]:
    """Every contact of the joint with the gap that it shall have, mm."""
    for k, cheek in enumerate(joint.cheeks):
        yield cheek, c.over(joint, k) / 2
    for side in (*joint.sides, *joint.flanks):
        yield side, c.values.along / 2
    for floor in joint.floors:
        yield floor, c.values.along / 2 if joint.kind == "rabbet" else c.values.floor
    if joint.kind not in ("butt", "edge to edge", "face to face"):
        for bearing in (*joint.shoulders, *joint.bearings):
            yield bearing, 0.0


def _bear(k: int, joint: FoundJoint, c: _Clearances, moves: Moves) -> None:
    """Shoulders follow what they bear on: gap 0 in a joint, as drawn in a plain butt (0 if it was drawn a
    hair into the board). Lapped floors meet half way between the outer faces."""
    if joint.kind in ("face to face", "edge to edge"):
        return
    for s in joint.shoulders:
        if s.a.is_line:
            plain = joint.kind == "butt"
            moves.close(s, max(s.gap, 0.0) if plain else 0.0, k, loose=plain, rests=True)
    for b in joint.bearings:
        # the outer faces of the pair look the other way than the floors that meet
        out_a, out_b = _outer(b.a.side), _outer(b.b.side)
        lift = (moves.faces[b.b.panel, out_b] - moves.faces[b.a.panel, out_a]) / 2
        apart = b.gap + float((moves.shift[b.b.panel] - moves.shift[b.a.panel]) @ b.axis)
        moves.wish(b.a, b, apart / 2 + lift, k)
        moves.wish(b.b, b, apart / 2 - lift, k)


def _outer(side: str) -> str:
    return "-n" if side == "+n" else "+n"


def _tips(k: int, joint: FoundJoint, c: _Clearances, moves: Moves) -> None:
    """Free ends stand out of the far face as far as their class says, or as far as they are drawn."""
    for tip in joint.tips:
        proud = tip.proud if c.values.proud is None else c.values.proud
        face = moves.faces[tip.face.panel, tip.face.side]
        shift = float((moves.shift[tip.face.panel] - moves.shift[tip.edge.panel]) @ tip.face.normal)
        moves.wish(tip.edge, None, face + shift + proud - tip.proud, k)


def _mutual(k: int, joint: FoundJoint, c: _Clearances, moves: Moves) -> None:
    """Half from each side: finger flanks along/4 each side's two, cross-lap floors floor/2."""
    for flank in joint.flanks:
        moves.halve(flank, c.values.along / 2, k)
    if joint.kind == "cross-lap":
        for floor in joint.floors:
            moves.halve(floor, c.values.floor, k)


def _receive(k: int, joint: FoundJoint, c: _Clearances, moves: Moves) -> None:
    """The receiver's edges stand off from the mate as it has become."""
    for n, cheek in enumerate(joint.cheeks):
        moves.close(cheek, c.over(joint, n) / 2, k)
    for side in joint.sides:
        moves.close(side, c.values.along / 2, k)
    if joint.kind != "cross-lap":
        for floor in joint.floors:
            moves.close(floor, c.values.along / 2 if joint.kind == "rabbet" else c.values.floor, k)


def _follow(k: int, joint: FoundJoint, c: _Clearances, moves: Moves) -> None:
    """Where one floor serves joints with different gaps (rabbets and a groove of one depth), the larger one
    decides how deep it is; the ends that go in with the smaller reach as much farther."""
    for floor, wanted in _specified(joint, c):
        shared = floor.a.kind == "floor" and floor.b.kind == "edge" and floor.b.key not in moves.wishes
        if shared and moves.gap(floor) > wanted + EXACT:
            moves.close(floor.turned(), wanted, k)


def _keep(c: Contact, moves: Moves) -> None:
    """Edges that touch in no joint stay as far from each other as drawn: what moves beside them must not
    take them along."""
    if c.a.is_line and c.b.is_line:
        moves.halve(c, c.gap, NO_JOINT, loose=True)
    elif c.a.is_line or c.b.is_line:
        seen = c if c.a.is_line else c.turned()
        moves.close(seen, seen.gap, NO_JOINT, loose=True)


# -- what came of it --------------------------------------------------------------------------


def _missed(
    scene: Scene, known: Recognised, clear: Sequence[_Clearances], moves: Moves, clashes: set[int]
) -> list[Finding]:
    """Contacts that did not get their gap; those of a joint already reported are left out."""
    out = []
    for k, joint in enumerate(known.joints):
        if k in clashes:
            continue
        off = [(c, moves.gap(c), g) for c, g in _specified(joint, clear[k]) if abs(moves.gap(c) - g) > EXACT]
        if off:
            contact, gap, wanted = max(off, key=lambda o: round(abs(o[1] - o[2]), 4))
            out.append(_gap_finding(scene, joint, contact, gap, wanted))
    return out


def _described(j: FoundJoint, c: _Clearances, scene: Scene) -> Joint:
    """The joint as the plan holds it: only the clearances that it has."""
    values: dict[str, float | str] = {}
    if j.cheeks:
        values["across_mm"] = c.over(j, 0)
        other = next((c.over(j, k) for k, f in enumerate(j.cheeks) if f.a.panel != j.cheeks[0].a.panel), None)
        if other is not None and round(other - c.over(j, 0), 4) != 0.0:
            values["across_other_mm"] = other
    if (j.sides or j.flanks) and j.kind != "keyed tenon":  # a key bears on the board, not in its mortise
        values["along_mm"] = c.values.along
    if j.floors:
        values["floor_mm"] = c.values.along / 2 if j.kind == "rabbet" else c.values.floor
    if j.kind == "rabbet" and any((s.a.kind, s.b.kind) == ("wall", "broad") for s in j.shoulders):
        values["wall_mm"] = 0.0  # its one wall is a shoulder
    if values:
        values["class"] = c.name
    if j.lean:
        values["lean_deg"] = j.lean
    names = (scene.panels[j.receiver].name, scene.panels[j.mate].name)
    return Joint(j.kind, names, values)


def _title(joint: FoundJoint, scene: Scene) -> str:
    return f"the {joint.kind} of {scene.panels[joint.receiver].name} and {scene.panels[joint.mate].name}"


def _gap_finding(scene: Scene, joint: FoundJoint, c: Contact, gap: float, wanted: float) -> Finding:
    panel, other = scene.panels[c.a.panel], scene.panels[c.b.panel]
    u, v = panel.frame.to_plane(c.centre)[0, :2]
    return finding(
        "fit.gap",
        panel.spot((u, v)),
        f"In {_title(joint, scene)} a gap came out {gap:.2f} mm and not {wanted:.2f} mm: "
        "another joint moves the same edge.",
        "Check that place, or draw the edge in two pieces.",
        panels=[panel.name, other.name],
    )


def _unclear(panel: Panel) -> Finding:
    return finding(
        "joint.stack-unclear",
        panel.name,
        f"{panel.name} lies on two boards that were level as drawn and are not with these thicknesses; "
        "it follows the one that leaves it clear of both.",
        "Cut the boards under it from one batch, or pack the lower one.",
        panels=[panel.name],
    )
