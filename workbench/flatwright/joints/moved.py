# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""A panel with its edges moved as the fit decided."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from flatwright.findings import Finding, declare, finding
from flatwright.geometry.arcs import Segment
from flatwright.geometry.frame import Frame
from flatwright.geometry.offset import move_edges, split_edges
from flatwright.geometry.outline import Outline, simplified
from flatwright.joints.moves import SAME, Moves
from flatwright.plan import Panel, Pocket

declare(
    "error",
    fit__collapsed="an edge vanished when the part was fitted",
    fit__no_floor="a pocket goes through its board, which is thinner than drawn",
)
declare(
    "warning",
    fit__conflict="two contacts on one piece of an edge ask for different fits; the larger gap was taken",
)

TOUCH = 1e-3  # mm
FLOOR = 0.5  # mm: wood that must stay under a pocket
AROUND = 1.0  # mm: what rests on an edge may lie so far from where it was drawn once it is fitted itself


@dataclass(frozen=True, slots=True, eq=False)
class MovedPanel:
    """The fitted panel, what mates of its edges (fitted, panel coordinates): whole edges, and of those that
    another board only rests on the stretch where it does; what went wrong, and the joints (by number) that
    did not get their way."""

    panel: Panel
    mating: tuple[Segment, ...]
    findings: tuple[Finding, ...]
    clashed: frozenset[int]


@dataclass(frozen=True, slots=True, eq=False)
class _Pieces:
    """A loop split where one edge has several offsets, and for each piece its offset and what mates of the
    edge that it is of, as drawn."""

    loop: Outline
    offsets: list[float]
    mates: list[list[Segment]]


def moved_panel(i: int, panel: Panel, real: float, moves: Moves, titles: Sequence[str]) -> MovedPanel:
    """Panel number i with its faces and edges moved; `titles` name the joints for findings."""
    work = _Panel(i, panel, moves, titles)
    loops = [work.pieces(n, loop) for n, loop in enumerate(panel.loops())]
    through = 1 + len(panel.holes)
    for k, pocket in enumerate(panel.pockets):
        deeper = [
            loops[through + m] for m, q in enumerate(panel.pockets)
            if q.side == pocket.side and q.depth > pocket.depth + TOUCH
        ]  # fmt: skip
        loops[through + k] = _followed(loops[through + k], [*loops[:through], *deeper])
    done: list[Outline] = []
    mating: list[Segment] = []
    for p in loops:
        moved = move_edges(p.loop, p.offsets)
        if moved.collapsed:
            work.findings.append(_collapsed(panel, p.loop, moved.collapsed[0]))
        segs = moved.outline.segments()
        for k, o in enumerate(moved.origins):
            mating += _along(segs[k], p.mates[o]) if o >= 0 else []
        done.append(_tidy(moved.outline))
    pockets = tuple(
        replace(p, outline=done[through + k], depth=work.depth(through + k, p, real))
        for k, p in enumerate(panel.pockets)
    )
    frame = panel.frame.shifted(-moves.faces[i, "-n"])
    fitted = replace(
        panel,
        frame=Frame(frame.origin + moves.shift[i], frame.u, frame.v, frame.n),
        thickness=round(real, 6),
        outline=done[0],
        holes=tuple(done[1:through]),
        pockets=pockets,
    )
    return MovedPanel(fitted, tuple(mating), tuple(work.findings), frozenset(work.clashed))


class _Panel:
    """One panel while its loops are taken apart."""

    def __init__(self, i: int, panel: Panel, moves: Moves, titles: Sequence[str]) -> None:
        self.i, self.panel, self.moves, self.titles = i, panel, moves, titles
        self.findings: list[Finding] = []
        self.clashed: set[int] = set()

    def pieces(self, n: int, loop: Outline) -> _Pieces:
        segs = loop.segments()
        cuts: dict[int, list[float]] = {}
        plans: list[list[tuple[float, float]]] = []  # per edge: (fraction where the piece ends, offset)
        for k, s in enumerate(segs):
            found = self.moves.stretches((self.i, n, k))
            if found is None:
                plans.append([(1.0, 0.0)])
                continue
            stretches, clashes = found
            for pair in clashes:
                self._conflict(s, *pair)
            ends = [(x.end / s.length, x.offset) for x in stretches[:-1]] + [(1.0, stretches[-1].offset)]
            plans.append(ends)
            cuts[k] = [e for e, _ in ends[:-1]]
        split, origins = split_edges(loop, cuts) if any(cuts.values()) else (loop, list(range(len(segs))))
        offsets = [off for plan in plans for _, off in plan]
        mates = [self._mating(n, k, s) for k, s in enumerate(segs)]
        return _Pieces(split, offsets, [mates[o] for o in origins])

    def _mating(self, n: int, k: int, s: Segment) -> list[Segment]:
        """The stretches of an edge that others rest on, or all of it."""
        wishes = self.moves.wishes.get((self.i, n, k), ())
        if not all(w.rests for w in wishes):
            return [s]
        return [
            s.part(max(0.0, (w.t0 - AROUND) / s.length), min(1.0, (w.t1 + AROUND) / s.length)) for w in wishes
        ]

    def depth(self, loop: int, pocket: Pocket, real: float) -> float:
        """From the moved face to the moved floor; without a mate on the floor, as drawn."""
        face = self.moves.faces[self.i, pocket.side]
        depth = round(pocket.depth + face - self.moves.floor(self.i, loop, pocket.side), 6)
        if depth > real - FLOOR:
            x0, y0, x1, y1 = pocket.outline.bounds()
            self.findings.append(_no_floor(self.panel, (x0 + x1) / 2, (y0 + y1) / 2, depth, real))
        return depth

    def _conflict(self, s: Segment, a: int, b: int) -> None:
        self.clashed |= {a, b}
        x, y = s.at(0.5)
        both = f"two contacts of {self.titles[a]}" if a == b else f"{self.titles[a]} and {self.titles[b]}"
        self.findings.append(
            finding(
                "fit.conflict",
                self.panel.spot((x, y)),
                f"On one piece of an edge of {self.panel.name} {both} ask for different fits; "
                "the larger gap was taken.",
                "Check that place, or draw the edge in two pieces.",
                panels=[self.panel.name],
            )
        )


def _along(edge: Segment, stretches: Sequence[Segment]) -> list[Segment]:
    """What of a moved edge lies beside the stretches."""
    out = []
    for s in stretches:
        a, b = max(0.0, edge.fraction(s.p)), min(1.0, edge.fraction(s.q))
        out += [edge.part(a, b)] if (b - a) * edge.length > TOUCH else []
    return out


def _followed(pocket: _Pieces, others: Sequence[_Pieces]) -> _Pieces:
    """A pocket's edge that lies on an outline, a hole or a deeper pocket is open there: it moves with that
    edge, piece by piece."""
    moving = [
        (t, offset)
        for other in others
        for t, offset in zip(other.loop.segments(), other.offsets, strict=True)
        if t.is_line and abs(offset) > SAME
    ]
    if not moving:
        return pocket
    cuts: dict[int, list[float]] = {}
    plans: list[list[float]] = []
    for k, s in enumerate(pocket.loop.segments()):
        along = [] if pocket.mates[k] or not s.is_line else _on_each(s, moving)
        marks = sorted({0.0, 1.0, *(x for a, b, _ in along for x in (a, b))})
        middles = [(a + b) / 2 for a, b in zip(marks, marks[1:], strict=False)]
        plans.append([next((-o for a, b, o in along if a < m < b), pocket.offsets[k]) for m in middles])
        cuts[k] = marks[1:-1]
    loop, origins = split_edges(pocket.loop, cuts)
    return _Pieces(loop, [o for plan in plans for o in plan], [pocket.mates[k] for k in origins])


def _on_each(s: Segment, moving: Sequence[tuple[Segment, float]]) -> list[tuple[float, float, float]]:
    """(from, to, offset) in fractions of s for each edge that runs along it the other way."""
    out = []
    for t, offset in moving:
        a, b = s.fraction(t.q), s.fraction(t.p)
        low, high = max(0.0, a), min(1.0, b)
        if (high - low) * s.length < TOUCH:
            continue
        if t.distance(s.at(low)) < TOUCH and t.distance(s.at(high)) < TOUCH:
            ends = (0.0 if low * s.length < TOUCH else low, 1.0 if (1 - high) * s.length < TOUCH else high)
            out.append((*ends, offset))
    return out


def _tidy(outline: Outline) -> Outline:
    outline = simplified(outline)
    return Outline(np.round(outline.points, 7) + 0.0, outline.bulges)


def _collapsed(panel: Panel, loop: Outline, edge: int) -> Finding:
    s = loop.segments()[edge]
    x, y = s.at(0.5)
    return finding(
        "fit.collapsed",
        panel.spot((x, y)),
        f"An edge of {s.length:.2f} mm on {panel.name} vanished when the part was fitted.",
        "Draw that edge longer, or give the joint a smaller clearance.",
        panels=[panel.name],
    )


def _no_floor(panel: Panel, x: float, y: float, depth: float, real: float) -> Finding:
    return finding(
        "fit.no-floor",
        panel.spot((x, y)),
        f"A pocket of {panel.name} would be {depth:.2f} mm deep in a board of {real:.2f} mm.",
        "Draw it less deep, or through.",
        panels=[panel.name],
    )
