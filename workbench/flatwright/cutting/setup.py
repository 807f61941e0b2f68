# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What every cut of one bit on one sheet shares. Heights count from the bed, mm."""

from __future__ import annotations

from dataclasses import dataclass

from flatwright.cutting.passes import first_pass, passes
from flatwright.cutting.pen import Pen
from flatwright.cutting.track import Track
from flatwright.geometry.arcs import Point
from flatwright.geometry.outline import Outline
from flatwright.presets.model import Bit, Feed

AIR = 0.5  # mm above the thickest board: where helices begin and pecks let go of their chips
CLEAR_OF_BOARD = 2.0  # mm above the thickest board: the lowest height for rapids


@dataclass(frozen=True, slots=True)
class Setup:
    """`largest` and `smallest` are the board's extremes; `fibres` the grain's direction in radians, None
    where entries need not run with it; `allowance` what roughing leaves on walls, and `lead` the radius of
    the arcs on which the wall is joined and left, 0 for none; `skin` what the last pass alone takes."""

    bit: Bit
    feed: Feed
    largest: float
    smallest: float
    climb: bool
    ramp_angle: float
    fibres: float | None
    allowance: float = 0.0
    lead: float = 0.0
    skin: float = 0.0

    @property
    def diameter(self) -> float:
        return self.bit.cut

    @property
    def radius(self) -> float:
        return self.bit.cut / 2.0

    @property
    def air(self) -> float:
        return self.largest + AIR

    def heights(self, bottom: float) -> list[float]:
        """The passes from the thickest board's top down to the bottom."""
        first = first_pass(self.bit, self.feed, self.largest, self.smallest)
        if self.skin > bottom and self.skin > 0.0:
            return [*passes(self.largest, self.skin, self.feed.pass_depth, first), bottom]
        return passes(self.largest, bottom, self.feed.pass_depth, first)

    def pen(self, at: Point) -> Pen:
        """A pen over `at`, at the lowest height for rapids."""
        v_f = self.feed.cutting_feed(self.bit.flutes)
        return Pen(at, self.largest + CLEAR_OF_BOARD, v_f, self.feed.plunge)

    def leave(self, pen: Pen) -> None:
        """Straight up to where rapids may run."""
        pen.up(self.largest + CLEAR_OF_BOARD)

    def track(self, curve: Outline) -> Track:
        """The track of a tool-centre curve that has the wood to keep on its left.

        The spindle turns clockwise seen from above (M3). With the wood on the left of the feed the teeth
        move through it in the direction of the feed, which is conventional milling; climb milling has
        the wood on the right: clockwise round a part, counter-clockwise inside an opening.
        """
        return Track(curve.reversed() if self.climb else curve)
