# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What the host tells about a solid, as plain values: the input of `panels.find`.

All coordinates are mm in the assembly's space, placements applied.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal, overload

import numpy as np
from numpy.typing import NDArray

Vector = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Curve:
    """One edge of a face, in the order of its wire.

    `line` and `arc` are exact: `arc` passes through `mid` (its middle) and spans less than a
    full turn (the reader gives a full circle as two halves). `other` carries `samples`,
    (k, 3) points from start to end close enough for arcs within 0.01 mm, and their unit
    `tangents` (k, 3).
    """

    kind: Literal["line", "arc", "other"]
    start: Vector
    end: Vector
    mid: Vector | None = None
    samples: Vector | None = None
    tangents: Vector | None = None


@dataclass(frozen=True, slots=True, eq=False)
class StraightWire(Sequence[Curve]):
    """A closed wire of straight edges, as most are. `ends` (n, 2, 3): start and end of each in order."""

    ends: Vector

    def __len__(self) -> int:
        return len(self.ends)

    @overload
    def __getitem__(self, k: int) -> Curve: ...
    @overload
    def __getitem__(self, k: slice) -> list[Curve]: ...
    def __getitem__(self, k: int | slice) -> Curve | list[Curve]:
        if isinstance(k, slice):
            return [Curve("line", p, q) for p, q in self.ends[k]]
        return Curve("line", *self.ends[k])


def starts(wire: Sequence[Curve]) -> Vector:
    """(n, 3): where the wire's curves begin."""
    return wire.ends[:, 0] if isinstance(wire, StraightWire) else np.array([c.start for c in wire])


@dataclass(frozen=True, slots=True, eq=False)
class Face:
    """One face. `plane`: `direction` is the outward unit normal, `point` lies on it, `at_most` is
    an upper bound of its area in mm² (the exact area costs the host too much to ask it of each).
    `cylinder` and `extrusion` (any other surface whose normals are all square to one
    direction): `direction` is that axis, `point` lies on the surface. `other`: anything else.
    """

    kind: Literal["plane", "cylinder", "extrusion", "other"]
    direction: Vector
    point: Vector
    at_most: float = 0.0


@dataclass(frozen=True, slots=True, eq=False)
class Solid:
    """A solid of the document. `source` names it uniquely for the user (labels down the tree,
    joined by "/"), `label` is its own label. `loops(i)` reads the wires of face i, each a closed
    row of curves. `problem()` asks the kernel whether the solid is sound: "" or what ails it, in
    plain words; that is slow, so ask only about a solid that cannot be accounted for. `closed` is
    whether its surface has no gap. `object` is the host's own name of it, which stays when labels
    change ("" if it has none that lasts).
    """

    source: str
    label: str
    faces: tuple[Face, ...]
    loops: Callable[[int], Sequence[Sequence[Curve]]]
    problem: Callable[[], str]
    closed: bool = True
    object: str = ""
