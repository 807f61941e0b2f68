# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The law of reliefs: they only take wood away, and a square mate enters what a round bit has left."""

from __future__ import annotations

from collections.abc import Sequence

import shapely
from shapely.geometry.base import BaseGeometry

from flatwright.joints.piece import surroundings
from flatwright.plan import Panel
from flatwright.presets.model import ReliefRules
from support.corpus.drawing import Truth
from support.laws import Fit, near_pairs
from support.rays import Body, Vector, body, filled, layer, recesses, shared

ADDED = 1e-3  # mm² of wood where none was: chords of arcs
STUCK = 0.02  # mm of a line in both boards: what the discs' chords and the fillets' last hundredths make
WAY = (0.0, 2.0, 25.0)  # mm before the end of the way in
ALLOWED = {"relief.thin-web"}


def wrong_reliefs(fit: Fit, r: float, rules: ReliefRules | None = None) -> list[str]:
    """Relieve every panel for a bit of radius r, and say what is wrong with it."""
    out: list[str] = []
    relieved: dict[str, Panel] = {}
    for s in surroundings(fit.piece):
        done = s.relieve([r] * len(s.panel.loops()), rules or ReliefRules())
        out += [f"{f.code}: {f.message}" for f in done.findings if f.code not in ALLOWED]
        relieved[s.panel.name] = done.panel
    for p in fit.piece.panels:
        grown = _grown(body(p), body(relieved[p.name]))
        if grown > ADDED:
            out.append(f"{p.name} gains {grown:.4f} mm² of wood by its reliefs")
    left = {name: as_cut(p, r) for name, p in relieved.items()}
    inserts = _inserts(fit.model.joints)
    for a, b in near_pairs(list(fit.bodies.values()), 0.01):
        for one, mate in ((a, b), (b, a)):
            way = inserts.get((one.name, mate.name))
            for back in WAY if way is not None else (0.0,):
                moved = mate if way is None else mate.shifted(-back * way)
                stuck = shared(left[one.name], moved)
                if stuck > STUCK:
                    out.append(
                        f"{mate.name} shares {stuck:.3f} mm with {one.name} as cut by a bit of {2 * r:g} mm, "
                        f"{back:g} mm before its place"
                    )
    return out


def as_cut(panel: Panel, r: float) -> Body:
    """The panel as a round bit leaves it: every void is what discs of that radius reach."""
    outer = filled(panel.outline)
    air = shapely.box(*outer.bounds).buffer(4 * r, join_style="mitre").difference(outer)
    holes = [filled(h) for h in panel.holes]
    gone = [_reached(air, r), *(_reached(h, r) for h in holes)]
    through = shapely.union_all([air, *holes]).buffer(1e-4)
    base = body(panel)
    layers = []
    for one in base.layers:
        mid = (one.low + one.high) / 2
        sunk = [shape for shape, low, high in recesses(panel) if low < mid < high]
        reached = []
        if sunk:
            void = shapely.union_all(sunk)
            reached = [_reached(void.union(through), r).intersection(void)]
        whole = shapely.box(*outer.bounds)
        layers.append(layer(one.low, one.high, whole.difference(shapely.union_all([*gone, *reached]))))
    return Body(panel.name, base.origin, base.axes, tuple(layers))


def _reached(void: BaseGeometry, r: float) -> BaseGeometry:
    """Opened by a disc; a hair smaller than the bit, so that a slot of just its width is not lost."""
    return void.buffer(-r + 1e-3, quad_segs=64).buffer(r - 1e-3, quad_segs=64)


def _grown(before: Body, after: Body) -> float:
    return max(
        float(b.shape.difference(a.shape).area) for a, b in zip(before.layers, after.layers, strict=True)
    )


def _inserts(
    joints: Sequence[Truth],
) -> dict[tuple[str, str], Vector]:
    """The way in which a mate comes, by (receiver, mate) and the other way round, where there is one."""
    out = {}
    for j in joints:
        if j.insert is not None:
            out[j.receiver, j.mate] = j.insert
            out[j.mate, j.receiver] = -j.insert
    return out
