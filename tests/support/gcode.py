# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Small programs for tests of the proof, written here by hand: nothing of it comes from
`flatwright.cutting`, which the proof is there to judge. Heights count from the bed, mm."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

XY = tuple[float, float]
Box = tuple[float, float, float, float]
Bridge = tuple[float, float, float, float]  # x, y of a tab's middle on the edge, its length, its height

CLEAR = 30.0
PARK = (0.0, 300.0)


def unmoved(p: XY) -> XY:
    return p


@dataclass
class Text:
    """A program under construction; `place` takes part coordinates to the sheet, `lift` is added to z."""

    bit: int = 1
    place: Callable[[XY], XY] = unmoved
    lift: float = 0.0
    lines: list[str] = field(default_factory=list)

    def start(self) -> None:
        self.lines += ["G17 G21 G40 G49 G54 G80 G90 G94", f"T{self.bit} M6", "M3 S18000"]
        self.rise()

    def rise(self, z: float = CLEAR) -> None:
        self.lines.append(f"G0 Z{z + self.lift:.4f}")

    def over(self, p: XY) -> None:
        x, y = self.place(p)
        self.rise()
        self.lines.append(f"G0 X{x:.4f} Y{y:.4f}")

    def to(self, p: XY, z: float) -> None:
        x, y = self.place(p)
        self.lines.append(f"G1 X{x:.4f} Y{y:.4f} Z{z + self.lift:.4f} F3000")

    def plunge(self, z: float) -> None:
        self.lines.append(f"G1 Z{z + self.lift:.4f} F900")

    def loop(
        self,
        path: Sequence[XY],
        depths: Sequence[float],
        top: float,
        ramp: float,
        tabs: Sequence[Bridge] = (),
    ) -> None:
        """A closed path at each depth, entered by a ramp along its first edge (0: by a plunge)."""
        self.over(path[0])
        self.rise(top + 1)
        self.plunge(top)
        (x0, y), (x1, _) = path[0], path[1]
        entry = (x0 + ramp if x1 > x0 else x0 - ramp, y)
        for z in depths:
            if ramp:
                self.to(entry, z)
            else:
                self.plunge(z)
            at = entry if ramp else path[0]
            for goal in [*path[1:], path[0], entry]:
                self._bridged(at, goal, z, tabs)
                at = goal
            self.to(path[0], z)

    def _bridged(self, at: XY, goal: XY, z: float, tabs: Sequence[Bridge]) -> None:
        """To `goal` at z, over the tabs on the way; their ends slope at 45°."""
        way = 1.0 if goal[0] > at[0] else -1.0
        on = [t for t in tabs if t[3] > z and abs(at[1] - goal[1]) < 1e-6 and abs(t[1] - at[1]) < 4.0]
        for x, _, length, height in sorted(on, key=lambda t: way * t[0]):
            half, run = length / 2 + 3.0, height - z
            if way * (x - at[0]) > half + run and way * (goal[0] - x) > half + run:
                for dx, h in ((-half - run, z), (-half, height), (half, height), (half + run, z)):
                    self.to((x + way * dx, at[1]), h)
        self.to(goal, z)

    def end(self) -> str:
        self.rise()
        self.lines += [f"G0 X{PARK[0]:g} Y{PARK[1]:g}", "M5", "M2"]
        return "\n".join(self.lines) + "\n"


def around(box: Box, r: float) -> list[XY]:
    """The path of a bit around (r > 0) or inside (r < 0) a rectangle, with the wall on its right (climb):
    from its lower left corner, around it from the lower right one."""
    x0, y0, x1, y1 = box
    a, b, c, d = (x0 - r, y0 - r), (x1 + r, y0 - r), (x1 + r, y1 + r), (x0 - r, y1 + r)
    return [b, a, d, c] if r > 0 else [a, b, c, d]


def in_inches(text: str) -> str:
    """The same program in inches."""
    scaled = re.sub(r"([XYZF])(-?[\d.]+)", lambda m: f"{m[1]}{float(m[2]) / 25.4:.5f}", text)
    return scaled.replace("G21", "G20")


def before_end(lines: str) -> Callable[[str], str]:
    """Adds lines before the spindle stops, coming back to the parking point after them."""
    park = f"\nG0 Z{CLEAR:g}\nG0 X{PARK[0]:g} Y{PARK[1]:g}\nM5\nM2"
    return lambda text: text.replace("\nM5\nM2", f"\n{lines}{park}")


def first(lines: str) -> Callable[[str], str]:
    """Adds lines once the spindle turns, before anything is cut."""
    return lambda text: text.replace("M3 S18000\n", f"M3 S18000\nG0 Z{CLEAR:g}\n{lines}\n")


def swap(old: str, new: str) -> Callable[[str], str]:
    """Replaces the first place where `old` stands."""

    def edit(text: str) -> str:
        assert old in text
        return text.replace(old, new, 1)

    return edit
