# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The plan: everything that the steps decided, as frozen values.

Lengths are mm and angles degrees here, since this is what is written to plan.json (see
`flatwright.plan_json`). Each step returns a new value and changes none.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Literal

import numpy as np

from flatwright.geometry.frame import Frame, Vector
from flatwright.geometry.outline import Outline

Side = Literal["+n", "-n"]
Show = Literal["+n", "-n", "both", "none"]
Axis = Literal["x", "y"]

# The kinds of joints, by their trade names; `by_joint` of a preset uses the same words.
JOINT_KINDS = (
    "mortise and tenon",
    "blind mortise and tenon",
    "keyed tenon",
    "wedged tenon",
    "slot",
    "housing",
    "stopped housing",
    "groove",
    "rabbet",
    "finger joint",
    "cross-lap",
    "half-lap",
    "T-halving",
    "butt",
    "edge to edge",
    "face to face",
)


@dataclass(frozen=True, slots=True, eq=False)
class Pocket:
    """A recess cut from one face. `outline` runs clockwise (wood on its left); `depth` from that face."""

    outline: Outline
    depth: float
    side: Side


@dataclass(frozen=True, slots=True, eq=False)
class Panel:
    """A flat part. Its solid is the outline less the holes, extruded from the frame's plane
    (the -n face) along n by the thickness, less the pockets.

    `nominal` is the thickness as drawn, `thickness` the present one; `grain` degrees
    counter-clockwise from u seen from +n, or None; equal `shape` ids are equal parts.
    """

    name: str
    source: str
    frame: Frame
    nominal: float
    thickness: float
    outline: Outline
    holes: tuple[Outline, ...] = ()
    pockets: tuple[Pocket, ...] = ()
    board: str | None = None
    show: Show = "none"
    grain: float | None = None
    shape: str = ""

    def loops(self) -> tuple[Outline, ...]:
        """Outer loop, holes, then pocket loops: the numbering that edge references use."""
        return (self.outline, *self.holes, *(p.outline for p in self.pockets))

    def with_loops(self, loops: Sequence[Outline]) -> Panel:
        """The panel with other loops, in the order of `loops()`."""
        n = 1 + len(self.holes)
        pockets = [replace(p, outline=o) for p, o in zip(self.pockets, loops[n:], strict=True)]
        return replace(self, outline=loops[0], holes=tuple(loops[1:n]), pockets=tuple(pockets))

    def centre(self) -> Vector:
        """The middle of the box about the outline, at half the thickness, in space, (3,) float."""
        x0, y0, x1, y1 = self.outline.bounds()
        middle = np.array([[(x0 + x1) / 2, (y0 + y1) / 2]])
        centre: Vector = self.frame.to_space(middle, self.thickness / 2)[0]
        return centre

    def spot(self, at: Sequence[float]) -> str:
        """A place (u, v) of the panel in the words of findings: `Side at (12.0, 40.5)`."""
        return f"{self.name} at ({at[0]:.1f}, {at[1]:.1f})"


@dataclass(frozen=True, slots=True)
class PlanBoard:
    """A board of the job. `mean` is that of the readings, else the thickness as drawn; `deviation` of
    the readings and `uncertainty` (U95 of their mean) need two of them. `spread` is the standard
    deviation that probabilities count with, `growth` what it thickens where pieces are used."""

    name: str
    nominal: float
    readings: tuple[float, ...]
    mean: float
    deviation: float | None
    uncertainty: float | None
    spread: float
    growth: float = 0.0

    @property
    def measured(self) -> bool:
        return bool(self.readings)

    @property
    def range(self) -> float | None:
        """Largest less smallest reading; None without any."""
        return max(self.readings) - min(self.readings) if self.readings else None


@dataclass(frozen=True, slots=True)
class Joint:
    """`panels` are (receiver, mate); `fit` holds total clearances in mm by name, the
    class, and how likely it is that the joint assembles."""

    kind: str
    panels: tuple[str, str]
    fit: Mapping[str, float | str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Relief:
    """A corner relief in panel coordinates; `visible` mm² of it show in the assembled piece."""

    panel: str
    kind: str
    corner: tuple[float, float]
    centre: tuple[float, float]
    radius: float
    visible: float = 0.0


@dataclass(frozen=True, slots=True)
class Placement:
    """Where a panel lies: mirror u if flipped (then -n is up), turn by `angle`°, shift by x, y."""

    panel: str
    x: float
    y: float
    angle: float
    flipped: bool


@dataclass(frozen=True, slots=True)
class Tab:
    """A bridge of wood. x, y: the middle of its length on the part's outline, sheet coordinates;
    `angle` the edge's direction there; `length` of wood at its top; `height` from the underside. `dress`:
    it stands on an edge of a joint, which must be dressed flush before assembly."""

    panel: str
    x: float
    y: float
    angle: float
    length: float
    height: float
    dress: bool = False


@dataclass(frozen=True, slots=True)
class Screw:
    x: float
    y: float


@dataclass(frozen=True, slots=True)
class Pin:
    x: float
    y: float


@dataclass(frozen=True, slots=True)
class Flip:
    """How a sheet is turned over between two set-ups: the underside is cut first, then the side that the
    sheet's coordinates show.

    It turns about its middle line along `axis`. Dowels in the spoilboard at `pins` (sheet coordinates, each
    with its mirror image among them) put it back: holes of `diameter`, through it and `depth` into the bed.
    """

    axis: Axis
    pins: tuple[Pin, ...]
    diameter: float
    depth: float


@dataclass(frozen=True, slots=True)
class ProgramBit:
    number: int
    kind: str
    diameter: float


@dataclass(frozen=True, slots=True)
class Program:
    """A posted file, relative to the output folder; `underside`: run before the sheet is turned over."""

    kind: Literal["spots", "cut"]
    file: str
    sha256: str
    bits: tuple[ProgramBit, ...]
    underside: bool = False


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sheet: lower left corner (0, 0), length along x; `skin` mm of wood that stay under every part and
    drop (0: they are cut through); `screws_by_hand`: the user has placed its screws; `flip` None: it is cut
    from one side only."""

    name: str
    board: str | None
    thickness: float
    size: tuple[float, float]
    grain: Literal["length", "width"] = "length"
    placements: tuple[Placement, ...] = ()
    tabs: tuple[Tab, ...] = ()
    screws: tuple[Screw, ...] = ()
    skin: float = 0.0
    screws_by_hand: bool = False
    programs: tuple[Program, ...] = ()
    flip: Flip | None = None


@dataclass(frozen=True, slots=True)
class Plan:
    panels: tuple[Panel, ...] = ()
    joints: tuple[Joint, ...] = ()
    reliefs: tuple[Relief, ...] = ()
    sheets: tuple[Sheet, ...] = ()
    boards: tuple[PlanBoard, ...] = ()

    def panel(self, name: str) -> Panel:
        """The panel of that name; raises KeyError."""
        for p in self.panels:
            if p.name == name:
                return p
        raise KeyError(name)

    def with_sheet(self, sheet: Sheet) -> Plan:
        """The plan with the sheet of the same name replaced."""
        return replace(self, sheets=tuple(sheet if s.name == sheet.name else s for s in self.sheets))


def placed(outline: Outline, placement: Placement) -> Outline:
    """A panel's loop in sheet coordinates; a flipped loop is run backwards so that wood stays on its left."""
    from math import radians

    out = outline.moved((placement.x, placement.y), radians(placement.angle), placement.flipped)
    return out.reversed() if placement.flipped else out
