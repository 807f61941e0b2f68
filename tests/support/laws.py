# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The laws of the fit, held to account by the referee's lines (support/rays.py): each returns what is
wrong, in words, and nothing if all is well."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from flatwright.findings import Finding
from flatwright.joints.fit import Thickness
from flatwright.joints.piece import Piece, fit_piece
from flatwright.plan import Panel
from flatwright.presets.model import FitClass, Fits
from support.corpus.drawing import Model, Probe, Truth
from support.rays import Body, Vector, body, gap, leaves, shared

GLUE = FitClass(0.25, 0.50, 0.40)
FITS = Fits("glue", {"glue": GLUE})
EXACT = 0.002  # mm: how near every gap comes to what is specified
TELL = 0.005  # mm: a change of the overall size that is told
SAME = 5e-6  # mm: two fits of one piece, numbers rounded on the way

# What each gap shall be, each side of a slot by itself. Sources: DESIGN of the fit: a slot is wider
# than the board by its class's clearance, half on each side; what bears, bears.
GAPS: Mapping[str, float] = {
    "cheek": GLUE.over_thickness / 2,
    "side": GLUE.along / 2,
    "flank": GLUE.along / 2,
    "lap side": GLUE.along / 2,
    "rabbet floor": GLUE.along / 2,
    "floor": GLUE.floor,
    "shoulder": 0.0,
    "lap shoulder": 0.0,
    "lap floor": 0.0,
    "rabbet wall": 0.0,
    "glued": 0.0,
    "key": 0.0,
    "tip": 0.0,
}


@dataclass(frozen=True, slots=True, eq=False)
class Fit:
    """A model, its fit, and what was said of it."""

    model: Model
    piece: Piece
    findings: tuple[Finding, ...]
    bodies: Mapping[str, Body]

    def panel(self, name: str) -> Panel:
        return next(p for p in self.piece.panels if p.name == name)


def fitted(model: Model, real: Mapping[float, float], panels: Sequence[Panel] | None = None) -> Fit:
    """Fit a model to boards: `real` thickness by nominal one, mm; as drawn where it says nothing."""
    drawn = model.panels if panels is None else panels
    thickness = {p.name: _board(p, real) for p in drawn}
    piece, findings = fit_piece(drawn, thickness, FITS)
    return Fit(model, piece, tuple(findings), {p.name: body(p) for p in piece.panels})


def _board(panel: Panel, real: Mapping[float, float]) -> Thickness:
    t = next((r for n, r in real.items() if abs(n - panel.nominal) < 1e-6), panel.nominal)
    return Thickness(t, t)


# -- gaps and shared wood --------------------------------------------------------------------


def wrong_gaps(fit: Fit, joints: Iterable[Truth] | None = None) -> list[str]:
    """Every measured gap that is not what is specified."""
    out = []
    for j in fit.model.joints if joints is None else joints:
        for p in j.probes:
            found = measured(p, fit.bodies)
            if found is None or abs(found - GAPS[p.role]) > EXACT:
                shown = "none" if found is None else f"{found:.4f}"
                out.append(f"{j.kind}, {p.role} of {p.of} to {p.to}: {shown}, not {GAPS[p.role]:g}")
    return out


def measured(p: Probe, bodies: Mapping[str, Body]) -> float | None:
    """The gap along a line, or how far a tip stands out."""
    of, to = bodies[p.of], bodies[p.to]
    if p.role == "tip":
        out = leaves(of, p.start, p.way)
        if out is None:
            return None
        height = to.height(p.start + out * p.way)
        return height - to.thickness if to.axes[2] @ p.way > 0 else -height
    if p.role == "glued":  # a stacked board may go by more than half its thickness: start within it
        return gap(of, to, p.start + (of.thickness / 2 - of.height(p.start)) * of.axes[2], p.way)
    if p.lean == 1.0:
        return gap(of, to, p.start, p.way)
    found = [gap(of, to, start, p.way) for start in _at_rims(p, of, to)]
    return min((g * p.lean for g in found if g is not None), default=None)


def _at_rims(p: Probe, of: Body, to: Body) -> list[Vector]:
    """The line's start, moved in the middle of its own board to just inside both faces of the other."""
    line = np.cross(of.axes[2], to.axes[2])
    up = np.cross(of.axes[2], line / np.linalg.norm(line))
    depth = of.thickness / 2 - of.height(p.start)
    start = p.start + depth * of.axes[2]
    climb = float(up @ to.axes[2])
    return [
        start + up * (z - to.height(start)) / climb
        for one in to.layers
        for z in (one.low + 1e-7, one.high - 1e-7)
    ]


def shared_wood(panels: Sequence[Panel]) -> list[str]:
    """Pairs of boards that take the same place."""
    bodies = [body(p) for p in panels]
    return [
        f"{a.name} and {b.name} share {s:.3f} mm"
        for a, b in near_pairs(bodies, 0.0)
        if (s := shared(a, b)) > 0.0
    ]


def near_pairs(bodies: Sequence[Body], margin: float) -> list[tuple[Body, Body]]:
    """Pairs whose boxes in space come within the margin."""
    boxes = [box_of(b) for b in bodies]
    return [
        (a, b)
        for i, a in enumerate(bodies)
        for k, b in enumerate(bodies[:i])
        if (boxes[i][0] <= boxes[k][1] + margin).all() and (boxes[k][0] <= boxes[i][1] + margin).all()
    ]


def box_of(board: Body) -> tuple[Vector, Vector]:
    flat = np.vstack([one.starts for one in board.layers])
    low, high = flat.min(axis=0), flat.max(axis=0)
    corners = np.array(
        [[x, y, z] for x in (low[0], high[0]) for y in (low[1], high[1]) for z in (0.0, board.thickness)]
    )
    space = corners @ board.axes + board.origin
    return space.min(axis=0), space.max(axis=0)


# -- one fit against another -------------------------------------------------------------------


def differences(a: Sequence[Panel], b: Sequence[Panel], tolerance: float = SAME) -> list[str]:
    """Panels of one name that differ in place or shape."""
    other = {p.name: p for p in b}
    out = []
    for p in a:
        why = _difference(p, other[p.name], tolerance)
        if why:
            out.append(f"{p.name}: {why}")
    return out


def _difference(p: Panel, q: Panel, tolerance: float) -> str:
    if abs(p.thickness - q.thickness) > tolerance:
        return f"thickness {p.thickness} and {q.thickness}"
    axes = [(p.frame.u, q.frame.u), (p.frame.v, q.frame.v), (p.frame.n, q.frame.n)]
    if max(float(np.abs(x - y).max()) for x, y in axes) > 1e-9:
        return "turned"
    if float(np.abs(p.frame.origin - q.frame.origin).max()) > tolerance:
        return f"moved by {p.frame.origin - q.frame.origin}"
    for k, (s, t) in enumerate(zip(p.loops(), q.loops(), strict=True)):
        if len(s) != len(t):
            return f"loop {k} has {len(s)} and {len(t)} segments"
        rows, rows_t = (np.column_stack([o.points, o.bulges]) for o in (s, t))
        off = min(float(np.abs(np.roll(rows, n, axis=0) - rows_t).max()) for n in range(len(rows)))
        if off > tolerance:
            return f"loop {k} is off by {off:.6f}"
    for k, (x, y) in enumerate(zip(p.pockets, q.pockets, strict=True)):
        if x.side != y.side or abs(x.depth - y.depth) > tolerance:
            return f"pocket {k} is {x.depth} and {y.depth} deep"
    return ""


def kinds(fit: Fit) -> list[tuple[str, tuple[str, ...]]]:
    """The joints by kind and panels, without order."""
    return sorted((j.kind, tuple(sorted(j.panels))) for j in fit.piece.joints)


# -- slots of thicker boards, sizes, what is left alone ---------------------------------------------


def slot_widths(fit: Fit) -> dict[tuple[int, str, str], float]:
    """From wall to wall across each mate, mm, by number of the joint and names; where both walls are seen."""
    out: dict[tuple[int, str, str], list[float]] = {}
    for k, j in enumerate(fit.model.joints):
        for p in j.probes:
            if p.role == "cheek":
                clear, own = measured(p, fit.bodies), fit.bodies[p.of].thickness
                if clear is not None:
                    out.setdefault((k, p.of, p.to), []).append(clear + own / 2)
    return {key: sum(two) for key, two in out.items() if len(two) == 2}


def told_sizes(fit: Fit) -> list[str]:
    """Overall sizes along the axes that changed without a word, or words without a change."""
    before, after = _size(fit.model.panels), _size(fit.piece.panels)
    changed = bool((np.abs(after - before) > TELL + 1e-4).any())
    kept = bool((np.abs(after - before) < TELL - 1e-4).all())
    told = any(f.code == "fit.size" for f in fit.findings)
    if changed and not told:
        return [f"the piece was {before} and is {after}, and nothing says so"]
    return [f"a change of size is told and there is none: {after}"] if kept and told else []


def _size(panels: Sequence[Panel]) -> Vector:
    points = [
        np.column_stack([one.starts, np.full(len(one.starts), z)]) @ b.axes + b.origin
        for b in map(body, panels)
        for one in b.layers
        for z in (one.low, one.high)
    ]
    size: Vector = np.vstack(points).max(axis=0) - np.vstack(points).min(axis=0)
    return size


def changed_rounds(fit: Fit) -> list[str]:
    """Round holes, sunk or through, that are not where and as they were drawn."""
    out = []
    for p in fit.model.panels:
        after = [o for o in fit.panel(p.name).loops() if (o.bulges != 0).all()]
        before = [o for o in p.loops() if (o.bulges != 0).all()]
        here = fit.panel(p.name).frame
        for a, b in zip(before, after, strict=True):
            drawn = (p.frame.to_space(a.points) - here.origin) @ np.column_stack([here.u, here.v])
            if (
                float(np.abs(drawn - b.points).max()) > EXACT
                or float(np.abs(a.bulges - b.bulges).max()) > 1e-9
            ):
                out.append(f"{p.name}: a round hole at {a.points[0]} is now at {b.points[0]}")
    return out
