# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""One loop of a panel: which of its corners need a relief, what may be put there, and how it is cut."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import get_args

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from flatwright.geometry.arcs import Point
from flatwright.geometry.carve import carved
from flatwright.geometry.corners import Corner, concave_corners, unreached
from flatwright.geometry.drawn_reliefs import DrawnRelief, drawn_reliefs, without
from flatwright.geometry.outline import Outline, simplified
from flatwright.geometry.polygon import parts, polygon, ring
from flatwright.geometry.relief_shapes import ReliefKind, ReliefShape, relief, suits
from flatwright.joints.relief_choice import CornerChoice, CornerKind, chosen_at
from flatwright.joints.relief_left import standing
from flatwright.joints.relief_place import Place
from flatwright.joints.relief_rating import Candidate, polygons, rated, shown, taken
from flatwright.presets.model import ReliefRules

MEETS = 5e-5  # mm²: a mate that overlaps a fillet by less goes less than about 0.01 mm into it
MISSED = 0.05  # mm²: chords of arcs leave slivers smaller than this
CHORD = 1e-3  # mm: arcs flattened to tell whether a loop crosses itself
BREAKS = 0.2  # mm: a relief that leaves a thinner web breaks through it
PLAIN: dict[ReliefKind, str] = {"dog-bone": "dog-bone", "T-bone in": "T-bone", "T-bone out": "T-bone"}


@dataclass(frozen=True, slots=True)
class Need:
    """A corner that gets a relief: `met` if a mate meets its fillet; the shapes that may be put there."""

    corner: Corner
    met: bool
    options: tuple[Candidate, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Needs:
    """What a loop needs. `loop` has corners where drawn reliefs have to go; `free` are the mates without
    what they meet at corners that were switched off."""

    place: Place
    r: float
    loop: Outline
    needs: tuple[Need, ...]
    replaced: tuple[DrawnRelief, ...]
    switched_off: tuple[Corner, ...]
    free: BaseGeometry


@dataclass(frozen=True, slots=True, eq=False)
class Cut:
    """A loop after its reliefs, None where they cut it in pieces; `missed`: where a mate still meets wood;
    `visible` mm² of each relief, a row for each face that the loop opens."""

    loop: Outline | None
    missed: Point | None
    visible: tuple[tuple[float, ...], ...]


@lru_cache(maxsize=512)
def needs_of(place: Place, r: float, rules: ReliefRules, asked: tuple[CornerChoice, ...] = ()) -> Needs:
    """Which corners of a loop need a relief for a bit of radius r; `asked` are choices by hand."""
    return _Looking(place, r, rules, asked).needs()


@lru_cache(maxsize=512)
def cut(needs: Needs, picks: tuple[int, ...]) -> Cut:
    """The loop with, at each corner in need, the option of that number taken out (-1 for none)."""
    place, loop = needs.place, needs.loop
    shapes = [n.options[k].shape for n, k in zip(needs.needs, picks, strict=True) if k >= 0]
    if shapes:
        loops = carved(loop, [s.outline() for s in shapes])
        if len(loops) != 1 or (loops[0].area() > 0) != (loop.area() > 0) or _crosses_itself(loops[0]):
            return Cut(None, None, ())
        loop = simplified(loops[0])
    missed = standing(place, loop, needs.r).intersection(needs.free)
    p = missed.representative_point() if missed.area > MISSED else None
    return Cut(loop, None if p is None else (p.x, p.y), _visible(place, shapes))


def sound(needs: Needs, picks: tuple[int, ...]) -> tuple[tuple[int, ...], Cut]:
    """The loop cut with these options; where that would leave no one sound loop, with another option for
    one of the corners, the one that shows least, or without one that no mate needs."""
    done = cut(needs, picks)
    if done.loop is not None:
        return picks, done
    others = sorted(
        (round(option.visible, 1), i, k)
        for i, n in enumerate(needs.needs)
        for k, option in enumerate(n.options)
        if k != picks[i]
    )
    others += [(0.0, i, -1) for i, n in enumerate(needs.needs) if not n.met]
    for _, i, k in others:
        trial = (*picks[:i], k, *picks[i + 1 :])
        better = cut(needs, trial)
        if better.loop is not None:
            return trial, better
    return picks, done


def culprit(needs: Needs, picks: tuple[int, ...]) -> Corner:
    """The first corner without whose relief the loop would be sound; the first one if there is none."""
    for i, n in enumerate(needs.needs):
        if picks[i] >= 0 and cut(needs, (*picks[:i], -1, *picks[i + 1 :])).loop is not None:
            return n.corner
    return needs.needs[0].corner


def _crosses_itself(loop: Outline) -> bool:
    """Told by its area: what a crossing loop goes round twice or the wrong way counts twice or not at all."""
    shape = Polygon(ring(loop, CHORD))
    if shape.is_valid:
        return False
    round_edges = sum(s.length for s in loop.segments() if not s.is_line)
    whole = shapely.area(shapely.make_valid(shape))
    return bool(abs(abs(loop.area()) - whole) > MISSED + CHORD * round_edges)


def _visible(place: Place, shapes: Sequence[ReliefShape]) -> tuple[tuple[float, ...], ...]:
    """What shows of each relief; what two of them take together counts for the first."""
    if not shapes:
        return ((),) * len(place.sides)
    wood = taken(place, polygons(shapes))
    for k in range(1, len(wood)):
        before = [t for t in wood[:k] if t.intersects(wood[k])]
        wood[k] = wood[k].difference(shapely.union_all(before)) if before else wood[k]
    return tuple(tuple(row) for row in shown(place, wood).tolist())


class _Looking:
    """Looks at a loop for what it needs."""

    def __init__(self, place: Place, r: float, rules: ReliefRules, asked: Sequence[CornerChoice]) -> None:
        self.place, self.r, self.rules, self.asked = place, r, rules, asked
        shapely.prepare(place.mates)
        self.replaced = self._unfit(place.loop)
        self.loop = without(place.loop, self.replaced)
        if self.replaced:
            filled = polygon(place.loop.ccw()).symmetric_difference(polygon(self.loop.ccw()))
            self.place = replace(place, wood=place.wood.union(filled))
        self.segments = self.loop.segments()
        self.corners = concave_corners(self.loop)
        self.reach = [0.0] * len(self.loop)  # how far along its edges each vertex's fillet reaches
        for c in self.corners:
            self.reach[c.index] = r / math.tan(c.opening / 2)
        self.nooks: list[Polygon] | None = None

    def needs(self) -> Needs:
        """The corners in need, and what the user switched off."""
        corners = [c for c in self.corners if not self._open(c)]
        fillets = np.array([self._fillet(c) for c in corners], dtype=object)
        drawn = [CornerChoice(d.at, d.kind) for d in self.replaced]
        due: list[tuple[Corner, bool, CornerKind | None]] = []
        off: list[Corner] = []
        free = self.place.mates
        for corner, fillet, met in zip(corners, fillets, self._met(fillets), strict=True):
            asked = chosen_at(self.asked, corner.at)
            if asked is None and not met:
                asked = chosen_at(drawn, corner.at)  # the user wanted a relief there
            if asked == "off" and met:
                off.append(corner)
                free = free.difference(fillet.buffer(MISSED, join_style="mitre"))
            elif asked != "off" and (met or asked not in (None, "least visible")):
                due.append((corner, met, asked))
        return Needs(
            self.place, self.r, self.loop, self._with_options(due), tuple(self.replaced), tuple(off), free
        )

    def _unfit(self, loop: Outline) -> list[DrawnRelief]:
        """Drawn reliefs that are too small for the bit or for the mate, or in whose place the user chose
        something else."""
        drawn = drawn_reliefs(loop)
        if not drawn:
            return []
        missed = standing(self.place, loop, self.r).intersection(self.place.mates)
        places = parts(missed) if missed.area > MISSED else []

        def unfit(d: DrawnRelief) -> bool:
            near = shapely.Point(d.at).buffer(2.5 * max(d.radius, self.r))
            return (
                d.radius < self.r - 1e-4
                or any(p.intersects(near) for p in places)
                or chosen_at(self.asked, d.at) is not None
            )

        runs = {d.run for d in drawn if unfit(d)}
        return [d for d in drawn if d.run in runs]

    def _met(self, fillets: NDArray[np.object_]) -> list[bool]:
        """Which fillets a mate meets."""
        if not len(fillets):
            return []
        met = shapely.intersects(self.place.mates, fillets)
        met[met] = shapely.area(shapely.intersection(fillets[met], self.place.mates)) > MEETS
        return [bool(m) for m in met]

    def _fillet(self, corner: Corner) -> BaseGeometry:
        """What the bit leaves of a corner."""
        if self._plain(corner):
            return Polygon(unreached(corner, self.r))
        if self.nooks is None:  # all that it leaves of the loop, but for what chords of arcs feign
            left = standing(self.place, self.loop, self.r)
            self.nooks = [p for p in parts(left) if not p.buffer(-0.005).is_empty]
        at = shapely.Point(corner.at)
        return shapely.union_all([p for p in self.nooks if p.distance(at) < 0.05])

    def _plain(self, corner: Corner) -> bool:
        """Two straight edges with room for the whole fillet beside those at their other ends."""
        i, n = corner.index, len(self.loop)
        ends = ((self.segments[i - 1], self.reach[i - 1]), (self.segments[i], self.reach[(i + 1) % n]))
        return corner.straight and all(self.reach[i] + far <= s.length + 1e-9 for s, far in ends)

    def _open(self, corner: Corner) -> bool:
        """A pocket's corner on the panel's edge or over a hole is no inside corner."""
        return self.place.kind == "pocket" and any(
            e.through and e.segment.distance(corner.at) < 1e-3 for e in self.place.edges
        )

    def _with_options(self, due: Sequence[tuple[Corner, bool, CornerKind | None]]) -> tuple[Need, ...]:
        """The shapes for each corner that do not break through."""
        pairs = [
            (corner, relief(corner, kind, self.r, self.loop))
            for corner, _, asked in due
            for kind in _kinds(corner, asked)
        ]
        found = rated(
            self.place, self.loop, [c for c, _ in pairs], [s for _, s in pairs], self.rules.minimum_web
        )
        return tuple(
            Need(
                corner, met, self._marked(asked, [c for c in found if c.corner is corner and _fits(c, asked)])
            )
            for corner, met, asked in due
        )

    def _marked(self, asked: CornerKind | None, options: Sequence[Candidate]) -> tuple[Candidate, ...]:
        """The options, marked by whether they are of the preset's kind, if any of them is."""
        if asked is not None or not any(PLAIN[c.shape.kind] == self.rules.kind for c in options):
            return tuple(options)
        return tuple(replace(c, wanted=PLAIN[c.shape.kind] == self.rules.kind) for c in options)


def _fits(c: Candidate, asked: CornerKind | None) -> bool:
    """Whether a relief neither breaks through nor, unless asked for by hand, takes a whole edge."""
    return c.web > BREAKS and (c.eaten < math.inf or asked not in (None, "least visible"))


def _kinds(corner: Corner, asked: CornerKind | None) -> list[ReliefKind]:
    """What may be put at a corner: the very kind that was asked for by hand, else all that make sense."""
    every: tuple[ReliefKind, ...] = get_args(ReliefKind)
    return [k for k in every if k == asked] or [k for k in every if suits(corner, k)]
