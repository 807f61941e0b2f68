# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""One cut: what stands as one operation in the program."""

from __future__ import annotations

from dataclasses import dataclass

from flatwright.cutting.moves import OperationKind
from flatwright.cutting.pen import Chain
from flatwright.geometry.arcs import Point
from flatwright.presets.model import Bit


@dataclass(frozen=True, slots=True, eq=False)
class Cut:
    """One part's cuts of one kind with one bit.

    `features` are its loops, each a row of chains whose order matters; `area` is the part's, mm², for
    small before large (the holes of pins are no part's: "" and 0); `after` names the parts that must be
    finished first, because they lie in it.
    """

    kind: OperationKind
    panel: str
    bit: Bit
    features: tuple[tuple[Chain, ...], ...]
    area: float
    after: frozenset[str] = frozenset()

    @property
    def start(self) -> Point:
        return (self.features[0][0].x, self.features[0][0].y)

    @property
    def end(self) -> Point:
        return self.features[-1][-1].end
