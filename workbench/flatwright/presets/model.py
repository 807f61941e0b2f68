# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The shop preset as values.

Inside, lengths are mm, feeds mm/min, angles radians, spindle speeds 1/min, powers W and
probabilities fractions. The file (`*.shop.json`) writes every quantity with its unit; see
`flatwright.presets.reading`.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

BitKind = Literal["straight", "up-cut", "down-cut", "compression"]
BitMaterial = Literal["carbide", "steel"]
Tip = Literal["flush", "proud", "shy", "as drawn"]


@dataclass(frozen=True, slots=True)
class Climate:
    """Air that boards are measured or used in: °C and relative humidity as a fraction."""

    temperature: float
    humidity: float


@dataclass(frozen=True, slots=True)
class Board:
    """One kind of board. `readings` are the caliper readings of the batch in hand, mm."""

    name: str
    nominal: float
    plies: int | None = None
    face_grain: Literal["length", "width"] = "length"
    face_veneer: float | None = None
    grade: str = ""
    readings: tuple[float, ...] = ()
    measured_at: Climate | None = None


@dataclass(frozen=True, slots=True)
class FitClass:
    """Total clearances, both sides together, mm.

    `tip_by` is how far a proud tip stands out and a shy one lies back; a gap over a board's
    thickness beyond `loose` is too loose.
    """

    over_thickness: float
    along: float
    floor: float
    tip: Tip = "flush"
    tip_by: float = 0.5
    too_loose: float | None = None

    @property
    def proud(self) -> float | None:
        """How far tips stand out of the far face, mm, negative lying back; None: as drawn."""
        by = {"flush": 0.0, "proud": self.tip_by, "shy": -self.tip_by}
        return by.get(self.tip)

    @property
    def loose(self) -> float:
        """The gap above which a joint is too loose, mm: `too_loose`, else twice the clearance and
        at least 0.3 mm (a rule of our own, no source)."""
        return max(2.0 * self.over_thickness, 0.3) if self.too_loose is None else self.too_loose


@dataclass(frozen=True, slots=True)
class Fits:
    """How parts fit. Slots are cut for a board's `slot_for`: the mean of its readings, the largest,
    "spread" (the mean plus `spread_factor` times their standard deviation), or "probability" (the
    mean, with the clearance for `wanted_probability` in place of the class's).

    `slot_spread` is the standard deviation of a slot's width, mm; `used_at` the air that pieces are
    used in, None where it is the air of the readings.
    """

    default: str
    classes: Mapping[str, FitClass]
    by_joint: Mapping[str, str] = field(default_factory=dict)
    slot_for: Literal["mean", "largest", "spread", "probability"] = "mean"
    spread_factor: float = 2.0
    wanted_probability: float = 0.95
    slot_spread: float = 0.05
    used_at: Climate | None = None

    def for_joint(self, kind: str) -> tuple[str, FitClass]:
        """(class name, values) for a joint kind."""
        name = self.by_joint.get(kind, self.default)
        return name, self.classes[name]


@dataclass(frozen=True, slots=True)
class ReliefRules:
    """`kind`: "least visible", "dog-bone" or "T-bone"; `minimum_web` mm of wood to the next edge."""

    kind: Literal["least visible", "dog-bone", "T-bone"] = "least visible"
    bit: str = "profile"
    minimum_web: float = 6.0


@dataclass(frozen=True, slots=True)
class Bit:
    """A router bit; `up_cut_length` is the lower, up-cutting part of a compression bit, mm; `stick_out`
    is how far the bit stands out of the collet, None for 10 mm more than it can cut."""

    number: int
    kind: BitKind
    diameter: float
    flutes: int
    cutting_length: float
    measured_diameter: float | None = None
    up_cut_length: float | None = None
    stick_out: float | None = None
    material: BitMaterial = "carbide"

    @property
    def cut(self) -> float:
        """The diameter that it really cuts: measured where given, else nominal."""
        return self.diameter if self.measured_diameter is None else self.measured_diameter

    @property
    def may_drill(self) -> bool:
        """Never drill with a down-cut or compression bit (common practice, no source)."""
        return self.kind in ("straight", "up-cut")


@dataclass(frozen=True, slots=True)
class Feed:
    """Cutting data of one bit, for one board or (board None) for all."""

    bit: int
    spindle: float
    chip_load: float
    pass_depth: float
    plunge: float
    board: str | None = None

    def cutting_feed(self, flutes: int) -> float:
        """v_f = n · z · f_z in mm/min (ISO 3002-3 terms).

        >>> Feed(1, 18000, 0.10, 6, 900).cutting_feed(2)
        3600.0
        """
        return self.spindle * flutes * self.chip_load


@dataclass(frozen=True, slots=True)
class Tabs:
    length: float = 10.0
    height: float = 6.0
    ends: Literal["square", "sloped"] = "sloped"
    at_least: int = 3
    factor: float = 4.0


@dataclass(frozen=True, slots=True)
class Fasteners:
    """Hold-down screws or composite nails; `bite` is how deep the point goes into the spoilboard;
    `shank_diameter` is what pulls out of it (a #8 screw: 4.17 mm, ASME B18.6.1)."""

    kind: Literal["screw", "composite nail"] = "screw"
    head_diameter: float = 8.5
    head_height: float = 2.6
    margin: float = 3.0
    reach: float = 500.0
    bite: float = 12.0
    mark_depth: float = 0.6
    shank_diameter: float = 4.2


@dataclass(frozen=True, slots=True)
class OnionSkin:
    """A skin of wood left under every part, mm: sawn or sanded through by hand, or, on a vacuum bed,
    cut through last in a thin pass."""

    thickness: float = 0.6


@dataclass(frozen=True, slots=True)
class Vacuum:
    """`pressure` below the air's, kPa; `friction` of board on bed; `factor` over the cutting force."""

    pressure: float = 60.0
    friction: float = 0.2
    factor: float = 4.0


@dataclass(frozen=True, slots=True)
class Holding:
    """`method` names what holds: "tabs", "screws", "onion skin", "vacuum"."""

    method: tuple[str, ...] = ("tabs", "screws")
    tabs: Tabs = field(default_factory=Tabs)
    fasteners: Fasteners = field(default_factory=Fasteners)
    onion_skin: OnionSkin = field(default_factory=OnionSkin)
    vacuum: Vacuum = field(default_factory=Vacuum)


@dataclass(frozen=True, slots=True)
class SheetStock:
    """A stock sheet; `board` None serves every board; `count` None means as many as needed."""

    length: float
    width: float
    count: int | None = None
    cost: float | None = None
    board: str | None = None


@dataclass(frozen=True, slots=True)
class Layout:
    """`edge`: from a part to the sheet's edge; `spacing`: between parts (at least bit + margin);
    `parts_in_drops`: whether small parts may lie in the drops of big openings."""

    sheets: tuple[SheetStock, ...]
    edge: float = 25.0
    spacing: float = 12.0
    seed: int = 1
    time: float = 20.0
    parts_in_drops: bool = False


@dataclass(frozen=True, slots=True)
class KeepOut:
    """A rectangle of the bed between two opposite corners, mm from the sheet's lower left corner.

    A clamp stands `height` over the bed and no bit may come near it; into a dead area (a vacuum port, a
    rail) no screw may go.
    """

    name: str
    kind: Literal["clamp", "dead area"]
    corners: tuple[float, float, float, float]
    height: float = 30.0


@dataclass(frozen=True, slots=True)
class Machine:
    """`travel` (x, y, z) from the sheet's corner and the bed; `park` (x, y); `rapid` mm/min and
    `acceleration` mm/s², for estimated times; `own_bits`: whether the bits of the user's own jobs in the
    document are used too."""

    zero: Literal["bed", "board top"] = "bed"
    overcut: float = 0.5
    clear_height: float = 10.0
    spoilboard: float = 18.0
    bit_change: Literal["by hand", "automatic"] = "by hand"
    park: tuple[float, float] = (0.0, 0.0)
    travel: tuple[float, float, float] = (2500.0, 1300.0, 150.0)
    spindle: tuple[float, float] = (6000.0, 24000.0)
    power: float = 2200.0
    work_offset: str = "G54"
    rapid: float = 6000.0
    acceleration: float = 500.0
    keep_outs: tuple[KeepOut, ...] = ()
    own_bits: bool = False


@dataclass(frozen=True, slots=True)
class Entries:
    """`ramp_angle` from the board's plane, radians. With a `finish_allowance` (mm) every pass is roughed
    that far off the wall, the wall then cut at the same height, joined on arcs of `lead_radius` (mm)."""

    ramp_angle: float = math.radians(5.0)
    along_grain: bool = True
    direction: Literal["climb", "conventional"] = "climb"
    finish_allowance: float = 0.0
    lead_radius: float = 0.0


@dataclass(frozen=True, slots=True)
class Flipping:
    """Whether sheets with pockets in both faces are turned over, about their middle line along `axis`.

    They are put back by dowels of `pin_diameter`, in holes that go `pin_depth` into the spoilboard;
    `least_floor` mm of wood are to stay between two pockets in opposite faces.
    """

    enabled: bool = False
    axis: Literal["x", "y"] = "x"
    pin_diameter: float = 8.0
    pin_depth: float = 6.0
    least_floor: float = 2.0


@dataclass(frozen=True, slots=True)
class Post:
    processor: str = "linuxcnc"
    arguments: str = "--no-show-editor"
    units: Literal["mm", "in"] = "mm"


@dataclass(frozen=True, slots=True)
class Report:
    units: tuple[str, ...] = ("mm", "in")
    paper: str = "A4"


@dataclass(frozen=True, slots=True)
class Preset:
    """Everything the shop decided; frozen, so that steps may share it."""

    name: str
    boards: tuple[Board, ...]
    fits: Fits
    reliefs: ReliefRules
    bits: tuple[Bit, ...]
    feeds: tuple[Feed, ...]
    holding: Holding
    layout: Layout
    machine: Machine
    entries: Entries
    post: Post
    report: Report = field(default_factory=Report)
    flipping: Flipping = field(default_factory=Flipping)
    based_on: str | None = None

    def bit(self, number: int) -> Bit:
        """The bit of that number; raises KeyError."""
        for b in self.bits:
            if b.number == number:
                return b
        raise KeyError(number)

    def feed(self, bit: int, board: str | None) -> Feed:
        """Cutting data for a bit in a board (the board's own row first); raises KeyError."""
        rows = [f for f in self.feeds if f.bit == bit]
        for f in rows:
            if f.board == board and board is not None:
                return f
        for f in rows:
            if f.board is None:
                return f
        raise KeyError(f"no feeds for bit {bit}")
