# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Joints as they are drawn between two boards that stand square to each other, each with the lines on
which it is measured. The mate's body is drawn up to the receiver; what enters it is added here.

In every function `k` is the receiver's axis (across its thickness), `m` the mate's, `l` the one along
which their planes meet.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from support.corpus.drawing import AXES, Board, Drawing, Probe, Span

Vector = NDArray[np.float64]
FAR = 1e4


def place(**at: float) -> Vector:
    """A point in space."""
    return np.array([at.get(k, 0.0) for k in AXES])


def along(axis: str, sign: float = 1.0) -> Vector:
    """A direction."""
    out = np.zeros(3)
    out[AXES.index(axis)] = sign
    return out


def axes_of(r: Board, mate: Board) -> tuple[str, str, str]:
    """(k, m, l) of two boards that stand square to each other."""
    assert r.axis is not None
    assert mate.axis is not None
    assert r.axis != mate.axis
    return AXES[r.axis], AXES[mate.axis], AXES[3 - r.axis - mate.axis]


def _from(r: Board, mate: Board, k: str) -> float:
    """+1 if the mate's body lies on the receiver's upper side along k."""
    return 1.0 if mate.middle(k) > r.middle(k) else -1.0


def _four(r: Board, mate: Board, centre: Vector, m: str, across: str) -> list[Probe]:
    """Cheeks on both faces of the mate, sides on both of its edges."""
    return [
        Probe(role, mate.name, r.name, centre, along(axis, sign))
        for role, axis in (("cheek", m), ("side", across))
        for sign in (1.0, -1.0)
    ]


def _shoulders(r: Board, mate: Board, at: Span, names: tuple[str, str, str], sign: float) -> list[Probe]:
    """Beside a tenon, from the mate's body to the receiver's face."""
    k, m, l = names  # noqa: E741
    face = r.span(k)[1 if sign > 0 else 0]
    starts = [place(**{k: face + 4 * sign, m: mate.middle(m), l: p}) for p in (at[0] - 3, at[1] + 3)]
    return [Probe("shoulder", mate.name, r.name, p, along(k, -sign)) for p in starts]


def through(d: Drawing, r: Board, mate: Board, at: Span, proud: float = 0.0, tip: bool = True) -> None:
    """Mortise and tenon; the tenon reaches the far face, stands out of it, or goes on (no tip)."""
    k, m, l = names = axes_of(r, mate)  # noqa: E741
    (r0, r1), (m0, m1), c, sign = r.span(k), mate.span(m), d.c / 2, _from(r, mate, k)
    mate.add(**{k: (r0 - proud, r1) if sign > 0 else (r0, r1 + proud), l: at})
    r.cut(**{l: (at[0] - c, at[1] + c), m: (m0 - c, m1 + c)})
    centre = place(**{k: r.middle(k), m: mate.middle(m), l: sum(at) / 2})
    probes = _four(r, mate, centre, m, l) + _shoulders(r, mate, at, names, sign)
    if tip and not proud:
        probes.append(Probe("tip", mate.name, r.name, centre, along(k, -sign)))
    d.joint("mortise and tenon", r, mate, probes, along(k, -sign))


def blind(d: Drawing, r: Board, mate: Board, at: Span, depth: float) -> None:
    """A tenon that ends in the receiver."""
    k, m, l = names = axes_of(r, mate)  # noqa: E741
    (m0, m1), c, sign = mate.span(m), d.c / 2, _from(r, mate, k)
    face = r.span(k)[1 if sign > 0 else 0]
    end, floor = face - sign * depth, face - sign * (depth + c)
    mate.add(**{k: _span(face, end), l: at})
    r.pocket(**{k: _span(face, floor), l: (at[0] - c, at[1] + c), m: (m0 - c, m1 + c)})
    centre = place(**{k: _deep(face, end), m: mate.middle(m), l: sum(at) / 2})
    probes = _four(r, mate, centre, m, l) + _shoulders(r, mate, at, names, sign)
    probes.append(Probe("floor", mate.name, r.name, centre, along(k, -sign)))
    d.joint("blind mortise and tenon", r, mate, probes, along(k, -sign))


def housed(d: Drawing, r: Board, mate: Board, depth: float, stop: str = "", at: Span | None = None) -> None:
    """The mate's end let into the receiver by `depth`, over its whole width or `at`; the recess runs out
    of the receiver at both ends but those in `stop` ("low", "high" or both words). Along the receiver's
    longer side it is a groove."""
    k, m, l = names = axes_of(r, mate)  # noqa: E741
    (m0, m1), c, sign = mate.span(m), d.c / 2, _from(r, mate, k)
    a, b = at or mate.span(l)
    face = r.span(k)[1 if sign > 0 else 0]
    end = face - sign * depth
    lo, hi = r.span(l)
    mate.add(**{k: _span(face, end), l: (a, b)})
    pocket = (a - c if "low" in stop else lo, b + c if "high" in stop else hi)
    r.pocket(**{k: _span(face, end - sign * c), l: pocket, m: (m0 - c, m1 + c)})
    centre = place(**{k: _deep(face, end), m: mate.middle(m), l: (a + b) / 2})
    probes = [p for p in _four(r, mate, centre, m, l) if p.role == "cheek" or _stopped(p, stop)]
    probes.append(Probe("floor", mate.name, r.name, centre, along(k, -sign)))
    if at is not None:
        probes += _shoulders(r, mate, at, names, sign)
    kind = "stopped housing" if stop else "housing"
    if hi - lo > r.span(m)[1] - r.span(m)[0] + 1.0:
        kind = "groove"
    d.joint(kind, r, mate, probes, along(k, -sign))


def _stopped(side: Probe, stop: str) -> bool:
    return ("high" if side.way.sum() > 0 else "low") in stop


def rabbet(d: Drawing, r: Board, mate: Board, depth: float) -> None:
    """A step along the receiver's edge takes the mate, whose outer face is flush with that edge."""
    k, m, l = axes_of(r, mate)  # noqa: E741
    (m0, m1), c, sign = mate.span(m), d.c / 2, _from(r, mate, k)
    face = r.span(k)[1 if sign > 0 else 0]
    end = face - sign * depth
    low = abs(r.span(m)[0] - m0) < 1e-6
    assert low or abs(r.span(m)[1] - m1) < 1e-6
    mate.add(**{k: _span(face, end)})
    step = (m0, m1 + c) if low else (m0 - c, m1)
    r.pocket(**{k: _span(face, end - sign * c), m: step})
    centre = place(**{k: _deep(face, end), m: mate.middle(m), l: mate.middle(l)})
    probes = [
        Probe("rabbet wall", mate.name, r.name, centre, along(m, 1.0 if low else -1.0)),
        Probe("rabbet floor", mate.name, r.name, centre, along(k, -sign)),
    ]
    d.joint("rabbet", r, mate, probes, along(k, -sign))


def slot(d: Drawing, r: Board, mate: Board, floor: float, opens: float) -> None:
    """A notch in the receiver's edge, from `floor` on along l, open upwards (+1) or downwards (-1); the
    mate goes through it and bears on its floor."""
    k, m, l = axes_of(r, mate)  # noqa: E741
    (m0, m1), c = mate.span(m), d.c / 2
    r.cut(**{l: _span(floor - opens * c, opens * FAR), m: (m0 - c, m1 + c)})
    edge = r.span(l)[1 if opens > 0 else 0]
    mid = (floor + edge) / 2
    centre = place(**{k: r.middle(k), m: mate.middle(m), l: mid})
    probes = [p for p in _four(r, mate, centre, m, l) if p.role == "cheek"]
    probes.append(Probe("floor", mate.name, r.name, centre, along(l, -opens)))
    d.joint("slot", r, mate, probes, along(l, -opens))


def cross_lap(d: Drawing, a: Board, b: Board, at: float | None = None) -> None:
    """Two boards slotted into each other; a's slot opens upwards along l, from `at` (the middle)."""
    ka, kb, l = axes_of(a, b)  # noqa: E741
    c = d.c / 2
    lo, hi = max(a.span(l)[0], b.span(l)[0]), min(a.span(l)[1], b.span(l)[1])
    h = (lo + hi) / 2 if at is None else at
    (a0, a1), (b0, b1) = a.span(ka), b.span(kb)
    a.cut(**{l: (h - c, FAR), kb: (b0 - c, b1 + c)})
    b.cut(**{l: (-FAR, h + c), ka: (a0 - c, a1 + c)})
    middle = {ka: a.middle(ka), kb: b.middle(kb)}
    up, down = place(**middle, **{l: (h + hi) / 2}), place(**middle, **{l: (h + lo) / 2})
    probes = [Probe("cheek", b.name, a.name, up, along(kb, s)) for s in (1.0, -1.0)]
    probes += [Probe("cheek", a.name, b.name, down, along(ka, s)) for s in (1.0, -1.0)]
    probes.append(Probe("floor", a.name, b.name, down, along(l)))
    d.joint("cross-lap", a, b, probes, along(l, -1.0))


def fingers(d: Drawing, a: Board, b: Board, count: int, a_first: bool = True) -> None:
    """A corner of two boards, both drawn to its outside; `count` fingers along l, a's and b's by turns."""
    ka, kb, l = axes_of(a, b)  # noqa: E741
    c = d.c / 4
    lo, hi = a.span(l)
    assert np.allclose((lo, hi), b.span(l))
    (a0, a1), (b0, b1) = a.span(ka), b.span(kb)
    a_out = 1.0 if b.middle(kb) > a.middle(kb) else -1.0  # towards b's outer face
    b_out = 1.0 if a.middle(ka) > b.middle(ka) else -1.0
    step = (hi - lo) / count
    probes = []
    middle = {ka: (a0 + a1) / 2, kb: (b0 + b1) / 2}
    for j in range(count):
        z0, z1 = lo + j * step, lo + (j + 1) * step
        gone = (z0 - (c if j else FAR), z1 + (c if j < count - 1 else FAR))
        own, other = (a, b) if (j % 2 == 0) == a_first else (b, a)
        if own is a:
            b.cut(**{l: gone, ka: (a0, a1)})
        else:
            a.cut(**{l: gone, kb: (b0, b1)})
        at = place(**middle, **{l: (z0 + z1) / 2})
        ways = [s for s, there in ((1.0, j < count - 1), (-1.0, j > 0)) if there]
        probes += [Probe("flank", own.name, other.name, at, along(l, s)) for s in ways]
        axis, out = (kb, a_out) if own is a else (ka, b_out)
        probes.append(Probe("tip", own.name, other.name, at, along(axis, out)))
        # the other board's root stands on the inner face of this one
        axis, out, inner = (ka, b_out, a0 if b_out > 0 else a1) if own is a else (
            kb, a_out, b0 if a_out > 0 else b1)  # fmt: skip
        start = place(**middle, **{l: (z0 + z1) / 2})
        start[AXES.index(axis)] = inner - 4 * out
        probes.append(Probe("shoulder", other.name, own.name, start, along(axis, out)))
    d.joint("finger joint", a, b, probes)


def butt(d: Drawing, r: Board, mate: Board) -> None:
    """The mate's edge merely stands on the receiver's face."""
    k, m, l = axes_of(r, mate)  # noqa: E741
    sign = _from(r, mate, k)
    face = r.span(k)[1 if sign > 0 else 0]
    lo, hi = max(r.span(l)[0], mate.span(l)[0]), min(r.span(l)[1], mate.span(l)[1])
    start = place(**{k: face + 4 * sign, m: mate.middle(m), l: (lo + hi) / 2 + 1.0})
    d.joint("butt", r, mate, [Probe("shoulder", mate.name, r.name, start, along(k, -sign))])


def _deep(face: float, end: float) -> float:
    """Where a shallow recess is measured: near its floor, for the face may recede with the board."""
    return face + 0.85 * (end - face)


def _span(a: float, b: float) -> Span:
    return (a, b) if a < b else (b, a)
