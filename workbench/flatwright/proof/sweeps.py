# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Tool-tip paths as straight pieces in arrays: what all maps and checks work on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from flatwright.proof.motion import Motion

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]
Box = tuple[float, float, float, float]

CHORD = 0.002  # mm between a flattened arc and the arc
STILL = 1e-4  # mm in the plane that is no movement


@dataclass(frozen=True, slots=True, eq=False)
class Sweeps:
    """Straight pieces of tool-tip paths in running order; heights count from the bed.

    `a`, `b` (n, 3) float mm, `radius` (n,) mm, `motion` (n,) number of the motion in its
    file, `rapid`, `arc` (n,) bool, `bit` (n,) bit number, `file` (n,) number of the file.
    """

    a: Floats
    b: Floats
    radius: Floats
    motion: Ints
    rapid: Flags
    arc: Flags
    bit: Ints
    file: Ints

    def __len__(self) -> int:
        return len(self.radius)

    def take(self, chosen: Flags | Ints) -> Sweeps:
        """The chosen pieces."""
        return Sweeps(
            self.a[chosen],
            self.b[chosen],
            self.radius[chosen],
            self.motion[chosen],
            self.rapid[chosen],
            self.arc[chosen],
            self.bit[chosen],
            self.file[chosen],
        )

    def lowest(self) -> Floats:
        """(n,) lowest height of each piece."""
        return np.minimum(self.a[:, 2], self.b[:, 2])

    def sideways(self) -> Flags:
        """(n,) True where a piece moves in the plane."""
        moved = (np.abs(self.b[:, :2] - self.a[:, :2]) > STILL).any(axis=1)
        return np.asarray(moved, dtype=np.bool_)

    def lines(self) -> NDArray[np.object_]:
        """(n,) the pieces in the plane: lines, and points where the bit only goes up or down."""
        a, b = self.a[:, :2], self.b[:, :2]
        out = np.asarray(shapely.points(a), dtype=np.object_)
        moved = (a != b).any(axis=1)
        out[moved] = shapely.linestrings(np.stack([a[moved], b[moved]], axis=1))
        return out

    def over(self, size: tuple[float, float]) -> Flags:
        """(n,) True where a piece's box, grown by its bit, meets a sheet."""
        r = self.radius[:, None]
        low = np.minimum(self.a[:, :2], self.b[:, :2]) - r
        high = np.maximum(self.a[:, :2], self.b[:, :2]) + r
        return np.asarray((low < size).all(axis=1) & (high > 0.0).all(axis=1), dtype=np.bool_)

    def near(self, box: Box) -> Sweeps:
        """The pieces whose sweep may touch a box (xmin, ymin, xmax, ymax)."""
        r = self.radius
        low, high = np.minimum(self.a, self.b), np.maximum(self.a, self.b)
        return self.take(
            (high[:, 0] >= box[0] - r)
            & (low[:, 0] <= box[2] + r)
            & (high[:, 1] >= box[1] - r)
            & (low[:, 1] <= box[3] + r)
        )


def sweeps(motions: Sequence[Motion], radii: Sequence[float], bits: Sequence[int], lift: float) -> Sweeps:
    """Flattened paths of motions; `radii` and `bits` go with the motions, `lift` is added to z.

    Motions that end at an unknown place are left out; an unknown start counts as the end.
    """
    n = len(motions)
    a = np.array([m.start for m in motions], dtype=np.float64).reshape(n, 3)
    b = np.array([m.end for m in motions], dtype=np.float64).reshape(n, 3)
    a = np.where(np.isnan(a), b, a)
    a[:, 2] += lift
    b[:, 2] += lift
    centre = np.array([m.centre or (0.0, 0.0) for m in motions], dtype=np.float64).reshape(n, 2)
    turn = np.array([m.sweep for m in motions], dtype=np.float64)
    known = ~np.isnan(b).any(axis=1)
    pieces = np.where(turn == 0.0, 1, _pieces(a, centre, turn))
    pieces[~known] = 0
    of = np.repeat(np.arange(n), pieces)
    step = np.arange(len(of)) - np.repeat(np.cumsum(pieces) - pieces, pieces)
    total = pieces[of].astype(np.float64)
    p = _along(a, b, centre, turn, of, step / total)
    q = _along(a, b, centre, turn, of, (step + 1) / total)
    rapid = np.array([m.kind == "rapid" for m in motions], dtype=np.bool_)
    return Sweeps(
        p,
        q,
        np.asarray(radii, dtype=np.float64)[of],
        of.astype(np.int64),
        rapid[of],
        (turn != 0.0)[of],
        np.asarray(bits, dtype=np.int64)[of],
        np.zeros(len(of), dtype=np.int64),
    )


def _pieces(a: Floats, centre: Floats, turn: Floats) -> Ints:
    """How many chords keep an arc within CHORD."""
    r = np.maximum(np.hypot(a[:, 0] - centre[:, 0], a[:, 1] - centre[:, 1]), 2 * CHORD)
    step = 2.0 * np.arccos(1.0 - CHORD / r)
    count: Ints = np.ceil(np.nan_to_num(np.abs(turn) / step)).astype(np.int64)
    return np.maximum(1, count)


def _along(a: Floats, b: Floats, centre: Floats, turn: Floats, of: Ints, t: Floats) -> Floats:
    """(k, 3) points at fraction t of motion `of`; ends are exact."""
    a, b, centre, turn = a[of], b[of], centre[of], turn[of]
    out = a + (b - a) * t[:, None]
    da, db = a[:, :2] - centre, b[:, :2] - centre
    r0, r1 = np.hypot(da[:, 0], da[:, 1]), np.hypot(db[:, 0], db[:, 1])
    angle = np.arctan2(da[:, 1], da[:, 0]) + turn * t
    r = r0 + (r1 - r0) * t
    round_ = (turn != 0.0) & (t > 0.0) & (t < 1.0)
    out[round_, 0] = (centre[:, 0] + r * np.cos(angle))[round_]
    out[round_, 1] = (centre[:, 1] + r * np.sin(angle))[round_]
    out[t >= 1.0] = b[t >= 1.0]
    return out


def joined(several: Sequence[Sweeps]) -> Sweeps:
    """Sweeps of several files one after the other; motion numbers stay each file's own."""
    if not several:
        return sweeps([], [], [], 0.0)
    return Sweeps(
        np.concatenate([s.a for s in several]),
        np.concatenate([s.b for s in several]),
        np.concatenate([s.radius for s in several]),
        np.concatenate([s.motion for s in several]),
        np.concatenate([s.rapid for s in several]),
        np.concatenate([s.arc for s in several]),
        np.concatenate([s.bit for s in several]),
        np.concatenate([np.full(len(s), k, dtype=np.int64) for k, s in enumerate(several)]),
    )
