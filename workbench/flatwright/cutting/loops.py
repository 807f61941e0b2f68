# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Cutting the loops of one part: along them over tabs, everything inside them, pockets.

Each function adds its chains to `made` and returns findings.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from flatwright.bits.duty import pocket_overrun
from flatwright.bits.open_pocket import opened_pocket
from flatwright.cutting.clear import clear
from flatwright.cutting.holes import bore, has_helix
from flatwright.cutting.lay import Lay, across_grain, no_entry, unreached
from flatwright.cutting.lifts import lifts
from flatwright.cutting.moves import OperationKind
from flatwright.cutting.pen import Chain
from flatwright.cutting.profile import Rough, finished, profile, through_drop
from flatwright.cutting.setup import Setup
from flatwright.cutting.track import Track
from flatwright.findings import Finding
from flatwright.geometry.outline import Outline, is_circle
from flatwright.geometry.parallel import distances, parallel
from flatwright.holding.places import slopes
from flatwright.holding.without_tabs import skin_last, skin_left
from flatwright.plan import Tab
from flatwright.presets.model import Bit

Made = dict[tuple[OperationKind, Bit], list[tuple[Chain, ...]]]  # one row of chains for each loop


def profiled(
    lay: Lay, kind: OperationKind, loop: Outline, bit: Bit, tabs: Sequence[Tab], made: Made, place: str
) -> list[Finding]:
    """Along the loop, wood of the part kept, the drop or the sheet held by tabs, a skin or a vacuum."""
    setup = replace(lay.setup(bit), skin=skin_last(lay.preset))
    bottom = skin_left(lay.preset) or lay.bottom
    curves = parallel(loop, setup.radius)
    if not curves:
        return [unreached(lay, place, bit)]
    tracks = [setup.track(c) for c in curves]
    rough = _roughing(loop, curves, setup)
    nearest = [
        min(range(len(tracks)), key=lambda i: round(tracks[i].nearest((t.x, t.y))[1], 3)) for t in tabs
    ]
    findings: list[Finding] = []
    sloped = slopes(lay.preset, bit)
    for i, track in enumerate(tracks):
        mine = [t for t, k in zip(tabs, nearest, strict=True) if k == i]
        over = lifts(track, mine, setup.diameter, sloped)
        cut, aside = None, None
        if (off := rough[i]) is not None:
            aside = Rough(off, lifts(off, mine, setup.diameter, sloped))
            cut = finished(track, over, aside, setup, bottom)
        if cut is None:
            cut = profile(track, setup, bottom, over)
        across = cut is not None and cut[1].way != "with the grain" and across_grain(lay, place)
        if across and kind == "inside":
            own = through_drop(track, over, aside, setup, bottom)
            if own is not None:
                made.setdefault((kind, bit), []).append((own,))
                continue
        if cut is None:
            findings.append(no_entry(lay, place, bit))
            continue
        made.setdefault((kind, bit), []).append((cut[0],))
        if cut[1].way != "with the grain":
            findings += across_grain(lay, place)
    return findings


def _roughing(loop: Outline, curves: Sequence[Outline], setup: Setup) -> list[Track | None]:
    """For each wall curve the roughing track beside it; None where there is no single one."""
    if setup.allowance <= 0.0:
        return [None] * len(curves)
    aside = parallel(loop, setup.radius + setup.allowance)
    home = [_nearest_curve(c, curves) for c in aside]
    mine = [[c for c, k in zip(aside, home, strict=True) if k == i] for i in range(len(curves))]
    return [setup.track(m[0]) if len(m) == 1 else None for m in mine]


def _nearest_curve(curve: Outline, others: Sequence[Outline]) -> int:
    """Index of the curve that lies nearest to a curve's first point."""
    at = curve.points[:1]
    far = [round(float(distances(at, o.segments())[0]), 3) for o in others]
    return far.index(min(far))


def cleared(
    lay: Lay, kind: OperationKind, loop: Outline, bit: Bit, bottom: float, made: Made, place: str
) -> list[Finding]:
    """Everything inside the loop milled away; round ones by a helix where the bit has room for one."""
    circle = is_circle(loop)
    if circle is not None and has_helix(circle[1], lay.setup(bit)):
        made.setdefault((kind, bit), []).append((bore(*circle, lay.setup(bit), bottom),))
        return []
    done = clear(loop, lay.setup(bit), bottom)
    if done is None:
        return [no_entry(lay, place, bit)]
    chains, ways = done
    if not chains:
        return [unreached(lay, place, bit)]
    made.setdefault((kind, bit), []).append(tuple(chains))
    return across_grain(lay, place) if any(w != "with the grain" for w in ways) else []


def pockets(lay: Lay, made: Made) -> list[Finding]:
    """The pockets in the face that is up."""
    findings: list[Finding] = []
    panel = lay.panel
    for k, (pocket, bit) in enumerate(zip(panel.pockets, lay.bits.pockets, strict=True), 1):
        if pocket.side == lay.up and bit is not None:
            over = min(pocket_overrun(bit.cut), max(bit.cut / 2.0, lay.preset.layout.spacing - 0.5))
            loop = lay.loop(opened_pocket(panel, k - 1, over))
            floor = panel.thickness - pocket.depth
            findings += cleared(lay, "pocket", loop, bit, floor, made, f"pocket {k}")
    return findings
