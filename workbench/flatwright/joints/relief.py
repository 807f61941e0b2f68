# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Corner reliefs: due if and only if a mate, in its fitted shape and on its way in, meets the
fillet that the bit would leave; then the shape that shows least and keeps enough wood."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import get_args

import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from flatwright.findings import Finding, declare, finding
from flatwright.geometry.arcs import Segment
from flatwright.geometry.corners import (
    Corner,
    ReliefKind,
    ReliefShape,
    concave_corners,
    relief,
    relieved,
    unreached,
)
from flatwright.geometry.outline import Outline, simplified
from flatwright.geometry.polygon import polygon, region, straight
from flatwright.joints.relief_choice import CornerChoice, CornerKind, match_choices
from flatwright.plan import Panel, Relief
from flatwright.presets.model import ReliefRules

declare(
    "error",
    relief__no_room="a corner needs a relief and none fits there",
    relief__unreached="a mate meets wood that the bit cannot reach",
)
declare(
    "warning",
    relief__thin_web="a relief leaves less wood to the next edge than wanted",
    relief__switched_off="a mate meets the fillet of a corner whose relief was switched off by hand",
)

MEETS = 1e-3  # mm²: a mate that overlaps a fillet by less does not meet it
MISSED = 0.05  # mm²: chords of arcs leave slivers smaller than this
PLAIN: dict[ReliefKind, str] = {"dog-bone": "dog-bone", "T-bone in": "T-bone", "T-bone out": "T-bone"}


@dataclass(frozen=True, slots=True, eq=False)
class Mate:
    """A mate's wood in the panel's plane, between heights z0 and z1 of the panel, its way in included."""

    shape: BaseGeometry
    z0: float
    z1: float


@dataclass(frozen=True, slots=True, eq=False)
class Covers:
    """What mates hide of each broad face (panel coordinates)."""

    upper: BaseGeometry
    lower: BaseGeometry


@dataclass(frozen=True, slots=True)
class _Candidate:
    shape: ReliefShape
    visible: float
    web: float


@dataclass(frozen=True, slots=True, eq=False)
class Relieved:
    """The relieved panel, its reliefs, what went wrong, the loops that need a narrower bit, and the
    choices that belong to no corner of the panel."""

    panel: Panel
    reliefs: tuple[Relief, ...]
    findings: tuple[Finding, ...]
    failed: tuple[int, ...]
    unused: tuple[CornerChoice, ...] = ()


def relieve(
    panel: Panel, mates: Sequence[Mate], covers: Covers, radii: Sequence[float | None], rules: ReliefRules,
    corners: Sequence[CornerChoice] = (),
) -> Relieved:  # fmt: skip
    """Relieve the panel's corners. `radii[k]` is the radius of the bit that cuts loop k of
    `panel.loops()`, None where no bit can; `corners` are the user's choices for single corners."""
    loops = list(panel.loops())
    chosen = match_choices(loops, corners)
    through = 1 + len(panel.holes)
    done: list[Outline] = []
    reliefs: list[Relief] = []
    findings: list[Finding] = []
    thin: list[tuple[float, Corner]] = []
    failed: list[int] = []
    for k, (loop, r) in enumerate(zip(loops, radii, strict=True)):
        near = _near(panel, k, mates)
        asked = {i: kind for (of, i), kind in chosen.kinds.items() if of == k}
        if r is None or (near.is_empty and not asked):
            done.append(loop)
            continue
        work = _Loop(panel, k, loop, near, covers, r, rules, asked)
        new, shapes = work.relieve()
        wrong = [*work.findings, *work.left_over(new)]
        findings += work.switched_off
        reliefs += [Relief(panel.name, PLAIN[s.kind], c.at, s.centre, s.radius) for c, s in shapes]
        findings += wrong
        thin += work.thin
        failed += [k] if wrong else []
        done.append(new)
    pockets = tuple(replace(p, outline=done[through + n]) for n, p in enumerate(panel.pockets))
    new_panel = replace(panel, outline=done[0], holes=tuple(done[1:through]), pockets=pockets)
    findings += _thin_webs(panel, thin, rules)
    return Relieved(new_panel, tuple(reliefs), tuple(findings), tuple(failed), chosen.unused)


def widest_bit(
    panel: Panel, mates: Sequence[Mate], covers: Covers, loop: int, rules: ReliefRules, below: float,
    corners: Sequence[CornerChoice] = (),
) -> float | None:  # fmt: skip
    """The largest diameter (whole tenths of a mm, less than `below`) whose reliefs find room on a loop."""
    near = _near(panel, loop, mates)
    asked = {i: kind for (of, i), kind in match_choices(panel.loops(), corners).kinds.items() if of == loop}
    for tenths in range(math.ceil(below * 10 - 1e-6) - 1, 4, -1):
        work = _Loop(panel, loop, panel.loops()[loop], near, covers, tenths / 20, rules, asked)
        new, _ = work.relieve()
        if not work.findings and not work.left_over(new):
            return tenths / 10
    return None


def _near(panel: Panel, loop: int, mates: Sequence[Mate]) -> BaseGeometry:
    """The wood of the mates at the heights that a loop of the panel spans."""
    through = 1 + len(panel.holes)
    z0, z1 = 0.0, panel.thickness
    if loop >= through:
        pocket = panel.pockets[loop - through]
        z0, z1 = (z1 - pocket.depth, z1) if pocket.side == "+n" else (0.0, pocket.depth)
    return shapely.union_all([m.shape for m in mates if min(m.z1, z1) - max(m.z0, z0) > 0.01])


def _thin_webs(panel: Panel, thin: Sequence[tuple[float, Corner]], rules: ReliefRules) -> list[Finding]:
    """One warning for all reliefs of the panel that leave too little wood."""
    if not thin:
        return []
    web, corner = min(thin, key=lambda t: round(t[0], 3))
    x, y = corner.at
    count = f"{len(thin)} reliefs leave" if len(thin) > 1 else "A relief leaves"
    return [
        finding(
            "relief.thin-web",
            f"{panel.name} at ({x:.1f}, {y:.1f})",
            f"{count} less than {rules.minimum_web:g} mm of wood to the next edge of {panel.name}; "
            f"the least is {max(0.0, web):.1f} mm.",
            "Move the slot away from the edge, or use a smaller bit.",
            panels=[panel.name],
        )
    ]


class _Loop:
    """One loop of a panel while its corners are relieved."""

    def __init__(
        self, panel: Panel, index: int, loop: Outline, mates: BaseGeometry, covers: Covers, r: float,
        rules: ReliefRules, asked: Mapping[int, CornerKind],
    ) -> None:  # fmt: skip
        self.panel, self.index, self.loop, self.asked = panel, index, loop, asked
        self.mates, self.covers, self.r, self.rules = mates, covers, r, rules
        self.findings: list[Finding] = []
        self.switched_off: list[Finding] = []
        self.thin: list[tuple[float, Corner]] = []  # reliefs that leave too little wood
        self.others = [o for k, o in enumerate(panel.loops()) if k != index]
        voids = [*panel.holes, loop] if index > len(panel.holes) else panel.holes
        self.wood = region(panel.outline, voids)
        shapely.prepare(self.mates)
        shapely.prepare(self.wood)

    def relieve(self) -> tuple[Outline, list[tuple[Corner, ReliefShape]]]:
        chosen: dict[int, tuple[Corner, ReliefShape]] = {}
        due = [c for c in concave_corners(self.loop) if self._due(c)]
        for corner in due:
            best = self._choose(corner, {i: s for i, (_, s) in chosen.items()}, due)
            if best is not None:
                chosen[corner.index] = (corner, best)
        if not chosen:
            return self.loop, []
        new = relieved(self.loop, {i: s for i, (_, s) in chosen.items()})
        return simplified(new), list(chosen.values())

    def _due(self, corner: Corner) -> bool:
        if self._open(corner):
            return False
        asked = self.asked.get(corner.index, "least visible")
        fillet = Polygon(unreached(corner, self.r))
        met = bool(self.mates.intersection(fillet).area > MEETS)
        if asked == "off" and met:
            self.switched_off.append(self._switched_off(corner))
            self.mates = self.mates.difference(fillet.buffer(MISSED, join_style="mitre"))
        return asked not in ("off", "least visible") or (met and asked != "off")

    def _open(self, corner: Corner) -> bool:
        """A pocket's corner on the panel's edge or over a hole is no inside corner."""
        if self.index < 1 + len(self.panel.holes):
            return False
        through = [self.panel.outline, *self.panel.holes]
        return any(s.distance(corner.at) < 1e-3 for o in through for s in o.segments())

    def _choose(
        self, corner: Corner, chosen: Mapping[int, ReliefShape], due: Sequence[Corner]
    ) -> ReliefShape | None:
        if not corner.straight:
            self.findings.append(self._no_room(corner, "it lies at a curved edge"))
            return None
        kinds = [k for k in get_args(ReliefKind) if self._wanted(k, corner)]
        options = []
        for kind in kinds:
            shape = relief(corner, kind, self.r)
            if self._fits(corner, shape, chosen, due):
                options.append(self._rated(corner, shape))
        if not options:
            self.findings.append(self._no_room(corner, "its edges are too short for the bit"))
            return None
        wide = [o for o in options if o.web >= self.rules.minimum_web - 1e-6]
        if not wide:
            best = max(options, key=lambda o: round(o.web, 3))
            self.thin.append((best.web, corner))
            return best.shape
        return min(wide, key=lambda o: (round(o.visible, 2), kinds.index(o.shape.kind))).shape

    def _wanted(self, kind: ReliefKind, corner: Corner) -> bool:
        if kind != "dog-bone" and not corner.square:
            return False
        asked = self.asked.get(corner.index)
        if asked is not None:
            return asked in (kind, "least visible")
        return self.rules.kind == "least visible" or PLAIN[kind] == self.rules.kind

    def _fits(
        self, corner: Corner, shape: ReliefShape, chosen: Mapping[int, ReliefShape], due: Sequence[Corner]
    ) -> bool:
        """Room on both edges, beside what reliefs at their other ends take or will need."""
        n = len(self.loop)
        indices = {c.index for c in due}
        prev, nxt = (corner.index - 1) % n, (corner.index + 1) % n
        least = self.r * 2 * math.cos(corner.opening / 2)  # an equal neighbour's dog-bone

        def need(i: int, before: bool) -> float:
            if i in chosen:
                return chosen[i].takes_before if before else chosen[i].takes_after
            return least if i in indices and shape.kind == "dog-bone" else 0.0

        return (
            shape.takes_before + need(prev, False) <= corner.before.length + 1e-9
            and shape.takes_after + need(nxt, True) <= corner.after.length + 1e-9
        )

    def _extra(self, shape: ReliefShape) -> BaseGeometry:
        """The wood that the relief takes beyond the corner's edges."""
        disc = shapely.Point(shape.centre).buffer(shape.radius, quad_segs=32)
        return disc.intersection(self.wood)

    def _rated(self, corner: Corner, shape: ReliefShape) -> _Candidate:
        extra = self._extra(shape)
        faces = [self.covers.upper, self.covers.lower]
        if self.index > len(self.panel.holes):
            side = self.panel.pockets[self.index - 1 - len(self.panel.holes)].side
            faces = faces[:1] if side == "+n" else faces[1:]
        visible = sum(float(extra.difference(cover).area) for cover in faces)
        return _Candidate(shape, visible, self._web(corner, shape))

    def _web(self, corner: Corner, shape: ReliefShape) -> float:
        """Least wood from the relief to any edge but those of its own corner."""
        n = len(self.loop)
        own = {(corner.index - 1) % n, corner.index}
        best = math.inf
        for o in self.others:
            for s in o.segments():
                best = min(best, s.distance(shape.centre))
        for k, s in enumerate(self.loop.segments()):
            if k not in own and not self._across_void(shape, s):
                best = min(best, s.distance(shape.centre))
        return best - shape.radius

    def _across_void(self, shape: ReliefShape, s: Segment) -> bool:
        """True for an edge that the relief's centre sees only across the slot itself."""
        foot = s.at(min(1.0, max(0.0, s.fraction(shape.centre))))
        way = straight(shape.centre, foot)
        return bool(way.intersection(self.wood).length < shape.radius * 0.5)

    # -- what is left -------------------------------------------------------------------

    def left_over(self, new: Outline) -> list[Finding]:
        """After relieving, no mate may meet wood that the bit cannot reach."""
        void, room = self._void(new)
        r = self.r - 1e-3
        reach = room.buffer(-r, quad_segs=32).buffer(r, quad_segs=32)
        missed = void.difference(reach.buffer(2e-3)).intersection(self.mates)
        if missed.area <= MISSED:
            return []
        p = missed.representative_point()
        return [
            finding(
                "relief.unreached",
                f"{self.panel.name} at ({p.x:.1f}, {p.y:.1f})",
                f"A bit of {2 * self.r:.2f} mm leaves wood on {self.panel.name} at a place where "
                "a mate must go.",
                "Use a smaller bit, or draw that corner wider.",
                panels=[self.panel.name],
            )
        ]

    def _void(self, loop: Outline) -> tuple[BaseGeometry, BaseGeometry]:
        """What the loop must clear, and where its bit may run to clear it: a pocket that is open to
        an edge or a hole is cut from beyond it."""
        outline = polygon(self.panel.outline if self.index else loop)
        outside = shapely.box(*outline.bounds).buffer(8 * self.r).difference(outline)
        if self.index == 0:
            return outside, outside
        void = polygon(loop.ccw())
        if self.index <= len(self.panel.holes):
            return void, void
        holes = [polygon(h.ccw()) for h in self.panel.holes]
        return void, shapely.union_all([void, outside, *holes]).buffer(1e-4)

    def _no_room(self, corner: Corner, why: str) -> Finding:
        x, y = corner.at
        return finding(
            "relief.no-room",
            f"{self.panel.name} at ({x:.1f}, {y:.1f})",
            f"A corner of {self.panel.name} must be square for its mate, but no relief fits: {why}.",
            "Use a smaller bit, or draw more room there.",
            panels=[self.panel.name],
        )

    def _switched_off(self, corner: Corner) -> Finding:
        x, y = corner.at
        return finding(
            "relief.switched-off",
            f"{self.panel.name} at ({x:.1f}, {y:.1f})",
            f"The relief of a corner of {self.panel.name} is switched off, and a mate meets the fillet that "
            f"the bit of {2 * self.r:.2f} mm leaves.",
            "Square that corner by hand, round the mate's corner, or switch the relief on.",
            panels=[self.panel.name],
        )
