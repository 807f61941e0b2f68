# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The wires of a face as closed lists of plain curves, read only when somebody asks."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np
import Part
from numpy.typing import NDArray

from flatwright.host.faces import vector
from flatwright.panels.solid import Curve, StraightWire

Vector = NDArray[np.float64]

SAGITTA = 0.005  # mm between a sampled curve and its chords
TURN = math.radians(5.0)  # between neighbouring tangents
_EXACT = 1e-5  # mm: a spline this close to a line or a circle is one
_MEET = 1e-3  # mm between the end of a curve and the start of the next
_FIRST = 8  # intervals before bisection; an S has to be seen
_DEEPEST = 10  # bisections


def read_loops(face: Any) -> list[Sequence[Curve]]:
    """The wires of a face, outer and inner, with the wood on the left seen from outside the solid."""
    return [_read_wire(wire.OrderedEdges) for wire in face.Wires]


def _read_wire(edges: Sequence[Any]) -> Sequence[Curve]:
    return _straight_wire(edges) or _closed([c for e in edges for c in read_edge(e)])


def _straight_wire(edges: Sequence[Any]) -> StraightWire | None:
    """A wire of straight edges that is in order, which most are; None for any other."""
    ends: list[tuple[float, ...]] = []  # of each edge, its start before its end
    for e in edges:
        if not isinstance(_basis(e), (Part.Line, Part.LineSegment)):
            return None
        a, b = e.ParameterRange
        if e.Orientation == "Reversed":
            a, b = b, a
        ends.append((*e.valueAt(a), *e.valueAt(b)))
    for s, t in zip(ends, ends[1:] + ends[:1], strict=True):
        if abs(s[3] - t[0]) >= _MEET or abs(s[4] - t[1]) >= _MEET or abs(s[5] - t[2]) >= _MEET:
            return None
    return StraightWire(np.array(ends).reshape(-1, 2, 3)) if ends else None


def read_edge(edge: Any) -> list[Curve]:
    """One edge in the sense of its wire: one curve, or the parts of a closed or kinked one."""
    if edge.Degenerated:
        return []
    a, b = edge.ParameterRange
    basis = _basis(edge)
    if isinstance(basis, (Part.Line, Part.LineSegment)):
        curves = [Curve("line", _at(edge, a), _at(edge, b))]
    elif isinstance(basis, (Part.Circle, Part.ArcOfCircle)):
        curves = _arcs(edge, a, b)
    else:
        cuts = _cuts(edge, basis, a, b)
        curves = [_free(edge, p, q) for p, q in zip(cuts, cuts[1:], strict=False)]
    return [_turned(c) for c in reversed(curves)] if edge.Orientation == "Reversed" else curves


def _basis(edge: Any) -> Any | None:
    try:
        return edge.Curve
    except Exception:  # the host has no name for a few kinds of curve
        return None


def _at(edge: Any, t: float) -> Vector:
    return vector(edge.valueAt(t))


def _arcs(edge: Any, a: float, b: float) -> list[Curve]:
    full = abs(b - a) > math.tau - 1e-6
    stops = [a, 0.5 * (a + b), b] if full else [a, b]
    return [
        Curve("arc", _at(edge, p), _at(edge, q), mid=_at(edge, 0.5 * (p + q)))
        for p, q in zip(stops, stops[1:], strict=False)
    ]


def _cuts(edge: Any, basis: Any, a: float, b: float) -> list[float]:
    """Parameters where the curve is cut: its kinks, and the middle of a closed one."""
    inner = []
    if isinstance(basis, Part.BSplineCurve):
        step = 1e-7 * (b - a)
        for k in basis.getKnots():
            if a + step < k < b - step and _angle(_tangent(edge, k - step), _tangent(edge, k + step)) > 1e-3:
                inner.append(float(k))
    if not inner and float(np.linalg.norm(_at(edge, a) - _at(edge, b))) < _MEET:
        inner = [0.5 * (a + b)]
    return [a, *inner, b]


def _tangent(edge: Any, t: float) -> Vector:
    return vector(edge.tangentAt(t))


def _angle(s: Vector, t: Vector) -> float:
    return math.atan2(float(np.linalg.norm(np.cross(s, t))), float(s @ t))


def _free(edge: Any, a: float, b: float) -> Curve:
    """A piece of a free curve without kinks: a line or an arc if it is one, else sampled."""
    inset = 1e-9 * (b - a)  # tangents at a kink belong to this side of it
    stops = [a + (b - a) * k / _FIRST for k in range(_FIRST + 1)]
    params = [a]
    for p, q in zip(stops, stops[1:], strict=False):
        params += _refined(edge, p, q, _DEEPEST)
    points = np.array([_at(edge, t) for t in params])
    plain = _as_line(points) or _as_arc(points)
    if plain is not None:
        return plain
    tangents = np.array([_tangent(edge, min(max(t, a + inset), b - inset)) for t in params])
    return Curve("other", points[0], points[-1], samples=points, tangents=tangents)


def _refined(edge: Any, p: float, q: float, depth: int) -> list[float]:
    """Parameters after p up to q, close enough by `SAGITTA` and `TURN`."""
    m = 0.5 * (p + q)
    start, middle, end = _at(edge, p), _at(edge, m), _at(edge, q)
    far = _off_chord(start, end, middle[None, :]) > SAGITTA
    if depth and (far or _angle(_tangent(edge, p), _tangent(edge, q)) > TURN):
        return _refined(edge, p, m, depth - 1) + _refined(edge, m, q, depth - 1)
    return [q]


def _off_chord(start: Vector, end: Vector, points: Vector) -> float:
    """Largest distance of points from the line through two points (from the first, if they coincide)."""
    chord = end - start
    length = float(np.linalg.norm(chord))
    rel = points - start
    if length > 1e-12:
        along = chord / length
        rel = rel - (rel @ along)[:, None] * along
    return float(np.linalg.norm(rel, axis=1).max())


def _as_line(points: Vector) -> Curve | None:
    if _off_chord(points[0], points[-1], points) > _EXACT:
        return None
    return Curve("line", points[0], points[-1])


def _as_arc(points: Vector) -> Curve | None:
    """The arc through the first, a middle and the last point, if all points lie on it."""
    p, m, q = points[0], points[len(points) // 2], points[-1]
    s, t = m - p, q - p
    normal = np.cross(s, t)
    size = float(normal @ normal)
    if size < 1e-12:
        return None
    centre = p + (np.cross(normal, s) * (t @ t) + np.cross(t, normal) * (s @ s)) / (2.0 * size)
    radii = np.linalg.norm(points - centre, axis=1)
    lift = np.abs((points - p) @ normal) / math.sqrt(size)
    if np.abs(radii - radii[0]).max() > _EXACT or lift.max() > _EXACT:
        return None
    return Curve("arc", p, q, mid=_middle(centre, float(radii[0]), p, q, m))


def _middle(centre: Vector, radius: float, p: Vector, q: Vector, inside: Vector) -> Vector:
    """The middle of the arc from p to q that passes `inside`."""
    bisector = p + q - 2.0 * centre
    length = float(np.linalg.norm(bisector))
    if length < 1e-6 * radius:  # half a turn: square to the diameter
        axis = np.cross(np.cross(p - centre, inside - centre), p - centre)
        return np.asarray(centre + axis * (radius / float(np.linalg.norm(axis))))
    towards = bisector * (radius / length)
    if float((inside - centre) @ bisector) < float((p - centre) @ bisector):
        towards = -towards
    return np.asarray(centre + towards)


def _turned(c: Curve) -> Curve:
    """The same curve run the other way."""
    return replace(
        c,
        start=c.end,
        end=c.start,
        samples=None if c.samples is None else c.samples[::-1],
        tangents=None if c.tangents is None else -c.tangents[::-1],
    )


def _closed(curves: Sequence[Curve]) -> list[Curve]:
    """The curves in order, head to tail; the kernel's order is kept where it already is one."""
    left = list(curves)
    chain = left[:1]
    left = left[1:]
    while left:
        k = next((i for i, c in enumerate(left) if _near(c.start, chain[-1].end)), None)
        if k is None:
            k = next((i for i, c in enumerate(left) if _near(c.end, chain[-1].end)), 0)
            left[k] = _turned(left[k])
        chain.append(left.pop(k))
    return chain


def _near(p: Vector, q: Vector) -> bool:
    return float(np.abs(p - q).max()) < _MEET
