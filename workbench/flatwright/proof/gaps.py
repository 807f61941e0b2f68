# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The gaps of a joint, measured where two parts meet.

A *tongue* is a piece of the mate's wood inside the receiver's thickness. Along the line where
the planes meet the tongue lies in a free span of the receiver: what the span is longer is the
gap along. Across the mate's thickness likewise. A tongue that ends inside the receiver leaves
a floor gap. Only walls within REACH of the mate belong to a joint.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field

import shapely
from shapely.geometry import Point, Polygon
from shapely.geometry.base import BaseGeometry

from flatwright.geometry.polygon import parts
from flatwright.proof.meeting import FAR, Meeting, free_around, wood_along
from flatwright.proof.slab import Slab

REACH = 5.0  # mm: farther from the mate is no wall of its joint
SKIN = 0.02  # mm left out at the receiver's faces, where shoulders bear
WITHIN = (0.1, 0.3, 0.5, 0.7, 0.9)  # of a mate's width, off the corners that reliefs take away
RIMS = (0.0, 0.5, 1.0)  # of the depth that it is engaged: where a leaning mate comes nearest
BESIDE = 0.3  # mm from a sample of an end wall to its neighbours
FLAT = 0.01  # mm by which these may differ; in a relief of 3 mm radius they differ by 0.015 or more
SMALL = 1.0  # mm²: tongues smaller than this are contact noise

Side = tuple[float | None, float | None]
Layers = list[tuple[float, float, BaseGeometry]]


@dataclass(frozen=True, slots=True)
class Gap:
    """One measured clearance of a joint, total, mm. `kind` is `across`, `along`, `floor`, or
    `wall` at the only wall beside a mate; `at` is where in space."""

    receiver: str
    mate: str
    kind: str
    value: float
    at: tuple[float, float, float]


@dataclass(frozen=True, slots=True, eq=False)
class Tongue:
    """A piece of the mate in (d, f) at the mate's middle, all of the mate there, and the receiver's
    layers about it in (d, e): from, to, wood."""

    m: Meeting
    wood: Polygon
    mate: BaseGeometry
    layers: Layers
    cuts: dict[tuple[int, float, bool], list[tuple[float, float]]] = field(default_factory=dict)

    def along(self, wood: BaseGeometry, at: float, *, level: bool) -> list[tuple[float, float]]:
        """`wood_along` of one of the receiver's layers; many samples share a line."""
        key = (id(wood), round(at, 9), level)
        if key not in self.cuts:
            self.cuts[key] = wood_along(wood, at, level=level)
        return self.cuts[key]

    @property
    def middle(self) -> float:
        """Height of the mate's middle plane."""
        return self.m.b.thickness / 2

    def wood_at(self, h: float) -> BaseGeometry | None:
        """The receiver's wood at a height, None outside its thickness."""
        if not 0.0 < h < self.m.a.thickness:
            return None
        return next((wood for _, high, wood in self.layers if h <= high), self.layers[-1][2])


def measure(receiver: Slab, mate: Slab) -> list[Gap]:
    """All gaps of the receiver about the mate's tongues. Raises ValueError for parallel parts."""
    m = Meeting(receiver, mate)
    return [g for tongue in _tongues(m) for g in _gaps(tongue)]


def _tongues(m: Meeting) -> Iterator[Tongue]:
    """The mate's wood in the receiver's thickness."""
    middle, top = m.b.thickness / 2, m.a.thickness
    f0, f1 = sorted((m.f_at(SKIN, middle), m.f_at(top - SKIN, middle)))
    whole = m.in_b(m.b.layer_at(middle).wood)
    inside = whole.intersection(shapely.box(-FAR, f0, FAR, f1))
    edges = [m.e_at(w, h) for w in (0.0, m.b.thickness) for h in (0.0, top)]
    woods = [(layer.low, layer.high, m.in_a(layer.wood)) for layer in m.a.layers]
    for p in parts(inside):
        if p.area > SMALL:
            d0, _, d1, _ = p.bounds
            room = shapely.box(d0 - 2 * REACH, min(edges) - 2 * REACH, d1 + 2 * REACH, max(edges) + 2 * REACH)
            yield Tongue(m, p, whole, [(low, high, wood.intersection(room)) for low, high, wood in woods])


def _gaps(t: Tongue) -> Iterator[Gap]:
    across, along, floors = _least(_across(t)), _least(_along(t)), list(_floors(t))
    names, at = (t.m.a.name, t.m.b.name), _place(t)
    if across[0] is not None and across[1] is not None:
        yield Gap(*names, "across", across[0] + across[1], at)
        ends = [x for x in along if x is not None]
        if len(ends) == 1 and not floors:  # an open slot: its only end is the floor
            yield Gap(*names, "floor", ends[0], at)
    walls = [x for x in across if x is not None]
    if len(walls) == 1:  # the step of a rabbet
        yield Gap(*names, "wall", walls[0], at)
    if along[0] is not None and along[1] is not None:
        yield Gap(*names, "along", along[0] + along[1], at)
    if floors:
        yield Gap(*names, "floor", min(floors), at)


def _least(sides: Iterable[Side]) -> Side:
    """The least gap on each side over all samples."""
    seen = list(sides)
    low = [a for a, _ in seen if a is not None]
    high = [b for _, b in seen if b is not None]
    return (min(low, default=None), min(high, default=None))


def _walls(span: Side | None, low: float, high: float) -> Side:
    """Distances from a mate's ends to the walls about it, those within REACH."""
    if span is None:
        return (None, None)
    a = None if span[0] is None or low - span[0] > REACH else low - span[0]
    b = None if span[1] is None or span[1] - high > REACH else span[1] - high
    return (a, b)


def _samples(low: float, high: float, shares: Sequence[float] = WITHIN) -> list[float]:
    return [low + k * (high - low) for k in shares]


def _along(t: Tongue) -> Iterator[Side]:
    """Along the line: the tongue's widest section against the receiver's narrowest span."""
    d_low, f_low, d_high, f_high = t.wood.bounds
    sections = [s for f in _samples(f_low, f_high) for s in wood_along(t.wood, f, level=True)]
    if not sections:
        return
    low, high = min(s[0] for s in sections), max(s[1] for s in sections)
    for f in _samples(f_low, f_high):
        for w in _samples(0.0, t.m.b.thickness):
            near: list[Side] = []
            for v in (w - BESIDE, w, w + BESIDE):
                h = t.m.h_at(f, v)
                wood = t.wood_at(h)
                lines = [] if wood is None else t.along(wood, t.m.e_at(v, h), level=True)
                near.append(_walls(free_around(lines, (d_low + d_high) / 2), low, high))
            yield (_wall(a for a, _ in near), _wall(b for _, b in near))


def _wall(beside: Iterable[float | None]) -> float | None:
    """The gap at an end wall that samples side by side meet; None where a relief took the wall, or where of
    it only the point between two is left."""
    seen = list(beside)
    known = [v for v in seen if v is not None]
    return None if len(known) < len(seen) or max(known) - min(known) > FLAT else min(known)


def _across(t: Tongue) -> Iterator[Side]:
    """Across the mate's thickness: normal distances from its faces to the walls."""
    m = t.m
    d_low, _, d_high, _ = t.wood.bounds
    for d in _samples(d_low, d_high):
        ends = wood_along(t.mate, d, level=False)
        for h in (*_samples(*_engaged(t), RIMS), *_turns(t, ends)):
            wood, w = t.wood_at(h), _between_ends(t, ends, h)
            if wood is None or w is None:
                continue
            middle = (w[0] + w[1]) / 2
            span = free_around(t.along(wood, d, level=False), m.e_at(middle, h))
            low, high = _walls(span, *sorted((m.e_at(w[0], h), m.e_at(w[1], h))))
            yield (None if low is None else low * m.sin, None if high is None else high * m.sin)


def _turns(t: Tongue, ends: Sequence[tuple[float, float]]) -> list[float]:
    """Heights in the receiver at which a square-ended mate turns its corners."""
    heights = [t.m.h_at(f, w) for span in ends for f in span for w in (0.0, t.m.b.thickness)]
    return [h for h in heights if SKIN < h < t.m.a.thickness - SKIN]


def _between_ends(t: Tongue, ends: Sequence[tuple[float, float]], h: float) -> tuple[float, float] | None:
    """From where to where in its thickness the mate has wood at a height: the square end of a leaning
    mate cuts a corner off. None where it has none."""
    start, top = t.m.f_at(h, 0.0), t.m.b.thickness
    climb = (t.m.f_at(h, top) - start) / top
    for low, high in ends:
        if abs(climb) < 1e-6:
            if low - 2 * SKIN <= start <= high + 2 * SKIN:
                return (0.0, top)
            continue
        a, b = sorted(((low - start) / climb, (high - start) / climb))
        a, b = max(0.0, a), min(top, b)
        if b - a > -1e-3:
            return (a, max(a, b))
    return None


def _engaged(t: Tongue) -> tuple[float, float]:
    """Heights of the receiver between which the mate is engaged; the faces exactly (but inside)."""
    _, f_low, _, f_high = t.wood.bounds
    low, high = sorted((t.m.h_at(f_low, t.middle), t.m.h_at(f_high, t.middle)))
    top = t.m.a.thickness
    return (1e-6 if low < 2 * SKIN else low, top - 1e-6 if high > top - 2 * SKIN else high)


def _floors(t: Tongue) -> Iterator[float]:
    """From the mate's end to the receiver's wood beyond it, where it ends inside the receiver."""
    m = t.m
    d_low, f_low, d_high, f_high = t.wood.bounds
    for f, inward in ((f_low, 1.0), (f_high, -1.0)):
        down = m.h_at(f + inward, t.middle) > m.h_at(f, t.middle)  # it rises from its tip: the floor is below
        ends = [(m.h_at(f, w), w) for w in (0.0, m.b.thickness)]
        tip, w = min(ends) if down else max(ends)
        if abs(ends[0][0] - ends[1][0]) < SKIN:
            w = t.middle
        if not 2 * SKIN < tip < m.a.thickness - 2 * SKIN:
            continue
        for d in _samples(d_low, d_high):
            if t.wood.distance(Point(d, f)) <= SKIN:
                gap = _to_wood(t, Point(d, m.e_at(w, tip)), tip, down)
                if gap is not None and gap <= REACH:
                    yield gap


def _to_wood(t: Tongue, here: Point, h: float, down: bool) -> float | None:
    """Distance from height h to the receiver's next wood, downwards or upwards."""
    gaps = [
        h - high if down else low - h
        for low, high, wood in t.layers
        if (low < h if down else high > h) and wood.intersects(here)
    ]
    return min((g for g in gaps if g > -REACH), default=None)


def _place(t: Tongue) -> tuple[float, float, float]:
    c = t.wood.representative_point()
    h = t.m.h_at(c.y, t.middle)
    x, y, z = t.m.point(c.x, t.m.e_at(t.middle, h), h)
    return (round(x, 1) + 0.0, round(y, 1) + 0.0, round(z, 1) + 0.0)
