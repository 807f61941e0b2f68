# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Every gap with the thickest and the thinnest boards of the batches, and how sure a joint is to go together.

A mate of another thickness is taken to lie in the middle of its slot, and to bear on the only wall of a
rabbet, which leaves the gap there as it is. A receiver keeps the face that the mate comes in by.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import product

import numpy as np

from flatwright.boards.batch import Batch
from flatwright.boards.fit_probability import gap as gap_of
from flatwright.findings import Finding, finding
from flatwright.geometry.frame import Vector
from flatwright.proof import codes as codes
from flatwright.proof.gaps import Gap, measure
from flatwright.proof.slab import Slab

NOISE = 0.002  # mm of a band that comes from drawing circles as polygons
TIGHT = 0.01  # mm by which a gap may be less than nothing and parts still touch

# a part as the programs leave it, of a board of this thickness; None: of the mean
Make = Callable[[str, float | None], Slab]


@dataclass(frozen=True, slots=True)
class Band:
    """A gap at the mean, and the least and most it becomes; the same where nobody measured the board."""

    gap: Gap
    low: float
    high: float

    def __str__(self) -> str:
        span = f" ({self.low:.3f} to {self.high:.3f})" if self.high - self.low > NOISE else ""
        return f"{self.gap.kind} {self.gap.value:.3f}{span}"


def bands(gaps: Sequence[Gap], boards: Mapping[str, Batch], make: Make) -> list[Band]:
    """The bands of gaps as measured at the mean; `boards` is the batch by part."""
    out: list[Band] = []
    for pair in dict.fromkeys((g.receiver, g.mate) for g in gaps):
        here = [g for g in gaps if (g.receiver, g.mate) == pair]
        mine = _free(here)
        tried = [_free(t) for t in _tried(pair, boards, make)]
        for k, g in enumerate(mine):
            values = [t[k].value for t in tried if [x.kind for x in t] == [x.kind for x in mine]]
            out.append(Band(g, min([g.value, *values]), max([g.value, *values])))
        out += [Band(g, g.value, g.value) for g in here if g.kind == "wall"]
    return out


def _free(gaps: Sequence[Gap]) -> list[Gap]:
    """Those that change with a board's thickness: a wall is borne on."""
    return [g for g in gaps if g.kind != "wall"]


def in_words(found: Sequence[Band]) -> tuple[str, ...]:
    """One line for each pair of parts; equal gaps are counted."""
    lines: dict[tuple[str, str], dict[str, int]] = {}
    for band in found:
        said = lines.setdefault((band.gap.receiver, band.gap.mate), {})
        said[str(band)] = said.get(str(band), 0) + 1
    return tuple(
        f"{a} and {b}: {', '.join(f'{n} × {text}' if n > 1 else text for text, n in said.items())}"
        for (a, b), said in lines.items()
    )


def _tried(pair: tuple[str, str], boards: Mapping[str, Batch], make: Make) -> Iterator[list[Gap]]:
    """The gaps of a pair with each mix of thick and thin boards."""
    ends: list[tuple[float | None, ...]] = [
        b.extremes if (b := boards.get(name)) is not None and b.measured else (None,) for name in pair
    ]
    if ends == [(None,), (None,)]:
        return
    receiver, mate = make(pair[0], None), make(pair[1], None)
    towards_n = float((_middle(mate) - _middle(receiver)) @ receiver.frame.n) > 0.0
    for t_receiver, t_mate in product(*ends):
        yield measure(
            _kept(make(pair[0], t_receiver), receiver, 1.0 if towards_n else 0.0),
            _kept(make(pair[1], t_mate), mate, 0.5),
        )


def _middle(s: Slab) -> Vector:
    low, high = s.box()
    return np.asarray((low + high) / 2, dtype=np.float64)


def _kept(s: Slab, mean: Slab, share: float) -> Slab:
    """The slab shifted so that the plane at this share of its thickness stays where the mean one's is."""
    return replace(s, frame=s.frame.shifted(share * (mean.thickness - s.thickness)))


def too_tight(found: Sequence[Band]) -> Iterator[Finding]:
    """Joints that go together at the mean, but not with every board of a measured batch."""
    for band in found:
        g = band.gap
        if band.low < -TIGHT <= g.value:
            yield finding(
                "proof.extreme",
                f"{g.receiver} and {g.mate}",
                f"The gap {g.kind} of {g.receiver} and {g.mate} is {g.value:.3f} mm at the mean, but "
                f"{band.low:.3f} mm with the boards at their extremes.",
                "Sort out the thickest boards, widen the fit class, or cut slots for the largest reading.",
                panels=(g.receiver, g.mate),
            )


def unsure(gaps: Sequence[Gap], boards: Mapping[str, Batch], slot_spread: float) -> Iterator[Finding]:
    """One warning for every board that nobody measured, with the joint that it makes least sure."""
    for name in sorted({b.name for b in boards.values() if not b.measured}):
        sure = [
            (round(_assembles(g, boards[g.mate], slot_spread), 4), g.receiver, g.mate)
            for g in gaps
            if g.kind == "across" and (b := boards.get(g.mate)) is not None and b.name == name
        ]
        if sure:
            p, receiver, mate = min(sure)
            yield finding(
                "proof.unmeasured",
                name,
                f"Nobody measured {name}: its joints were tried as drawn only. The least sure, {receiver} "
                f"and {mate}, goes together with P = {100 * p:.1f} %.",
                "Measure the boards with a calliper and enter the readings.",
            )


def _assembles(g: Gap, b: Batch, slot_spread: float) -> float:
    """P that the mate goes into the slot, when the slot is right for `mean` and boards are as expected."""
    return gap_of(g.value + b.mean, slot_spread, b.expected, b.spread).assembles
