# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""A loop with all that matters to its reliefs, as one value measured from the loop's first point.

Slots and panels that are alike in all of it are one place: they are thought about once.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from shapely.geometry.base import BaseGeometry

from flatwright.geometry.arcs import Segment
from flatwright.geometry.outline import Outline

LoopKind = Literal["outline", "hole", "pocket"]
DIGITS = 6  # decimals of mm in which places must agree to be one


@dataclass(frozen=True, slots=True, eq=False)
class Mate:
    """A mate's wood in the panel's plane, between heights z0 and z1 of the panel, its way in included."""

    shape: BaseGeometry
    z0: float
    z1: float


@dataclass(frozen=True, slots=True, eq=False)
class Covers:
    """What mates hide of each broad face (panel coordinates); shapes may overlap."""

    upper: tuple[BaseGeometry, ...] = ()
    lower: tuple[BaseGeometry, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Edge:
    """A segment of another loop of the panel; `through` if that loop goes through the board, or for a pocket
    as deep as it."""

    segment: Segment
    through: bool


@dataclass(frozen=True, slots=True, eq=False)
class Place:
    """`loop` with its first point at (0, 0), and round about it: the `wood` of the panel, the wood of its
    `mates`, what is hidden of each face that the loop opens (`faces`, and `sides`: 0 the upper face, 1 the
    lower), `beyond`: the void past the panel's edges, in its holes and in pockets as deep, and the `edges` of
    other loops."""

    key: bytes
    kind: LoopKind
    loop: Outline
    wood: BaseGeometry
    mates: BaseGeometry
    faces: tuple[BaseGeometry, ...]
    sides: tuple[int, ...]
    beyond: BaseGeometry
    edges: tuple[Edge, ...]

    def __hash__(self) -> int:
        return hash(self.key)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Place) and self.key == other.key
