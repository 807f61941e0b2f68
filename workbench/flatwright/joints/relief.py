# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Corner reliefs: due if and only if a mate, in its fitted shape and on its way in, meets the
fillet that the bit would leave; then the shape that shows least and keeps enough wood."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from flatwright.findings import Finding
from flatwright.geometry.arcs import Point
from flatwright.geometry.outline import Outline
from flatwright.joints.relief_choice import CornerChoice, match_choices
from flatwright.joints.relief_choosing import choose
from flatwright.joints.relief_loop import PLAIN, Needs, culprit, needs_of, sound
from flatwright.joints.relief_messages import (
    break_through,
    in_pieces,
    not_placed,
    other_kind,
    replaced,
    shows,
    switched_off,
    thin_webs,
    unreached,
)
from flatwright.joints.relief_place import Covers, Mate
from flatwright.joints.relief_survey import Surveyor
from flatwright.plan import Panel, Relief
from flatwright.presets.model import ReliefRules

SHOWS = 0.5  # mm²: less than this of all reliefs of a face is not worth a word
ABOUT = 4.0  # bit radii: farther from a loop nothing matters to its reliefs but the web


@dataclass(frozen=True, slots=True, eq=False)
class Relieved:
    """The relieved panel, its reliefs, what went wrong, the loops that need a narrower bit, and the
    choices that belong to no corner of the panel."""

    panel: Panel
    reliefs: tuple[Relief, ...]
    findings: tuple[Finding, ...]
    failed: tuple[int, ...]
    unused: tuple[CornerChoice, ...] = ()


def relieve(
    panel: Panel, mates: Sequence[Mate], covers: Covers, radii: Sequence[float | None], rules: ReliefRules,
    corners: Sequence[CornerChoice] = (),
) -> Relieved:  # fmt: skip
    """Relieve the panel's corners. `radii[k]` is the radius of the bit that cuts loop k of
    `panel.loops()`, None where no bit can; `corners` are the user's choices for single corners."""
    work = _Work(panel, rules)
    matched = match_choices(panel.loops(), corners)
    survey = Surveyor(panel, mates, covers)
    for k, (r, asked) in enumerate(zip(radii, matched.by_loop, strict=True)):
        if r is not None:
            work.look(survey, k, r, asked)
    work.cut()
    loops = [work.loops.get(k, o) for k, o in enumerate(panel.loops())]
    new = panel.with_loops(loops)
    return Relieved(new, tuple(work.reliefs), tuple(work.findings()), tuple(work.failed), matched.unused)


def widest_bit(
    panel: Panel, mates: Sequence[Mate], covers: Covers, loop: int, rules: ReliefRules, below: float,
    corners: Sequence[CornerChoice] = (),
) -> float | None:  # fmt: skip
    """The largest diameter (whole tenths of a mm, less than `below`) whose reliefs find room on a loop."""
    asked = match_choices(panel.loops(), corners).by_loop[loop]
    survey = Surveyor(panel, mates, covers)
    for tenths in range(math.ceil(below * 10 - 1e-6) - 1, 4, -1):
        work = _Work(panel, rules)
        work.look(survey, loop, tenths / 20, asked)
        work.cut()
        if not work.failed:
            return tenths / 10
    return None


class _Work:
    """A panel while it is relieved."""

    def __init__(self, panel: Panel, rules: ReliefRules) -> None:
        self.panel, self.rules = panel, rules
        self.loops: dict[int, Outline] = {}
        self.reliefs: list[Relief] = []
        self.failed: list[int] = []
        self._needs: list[tuple[int, Needs, Point]] = []
        self._errors: list[Finding] = []
        self._remarks: list[Finding] = []
        self._thin: list[tuple[float, Point]] = []
        self._other: list[Point] = []
        self._shown = [0.0, 0.0]  # mm² that stay visible of the upper and of the lower face

    def look(self, survey: Surveyor, index: int, r: float, asked: Sequence[CornerChoice]) -> None:
        """What a loop needs."""
        near = survey.near(index)
        small = any(s.b < 0 and s.radius < r - 1e-4 for s in survey.loops[index].segments())
        if not near and not asked and not small:
            return
        place, (x, y) = survey.place(index, near, ABOUT * r + self.rules.minimum_web)
        local = tuple(CornerChoice((c.at[0] - x, c.at[1] - y), c.kind) for c in asked)
        self._needs.append((index, needs_of(place, r, self.rules, local), (x, y)))

    def cut(self) -> None:
        """Choose among all that fits, and take it out."""
        picks, webs = choose([(needs, at) for _, needs, at in self._needs], self.rules)
        for (index, needs, at), taken, web in zip(self._needs, picks, webs, strict=True):
            self._loop(index, needs, at, taken)
            self._thin += [
                (w, _moved(n.corner.at, at))
                for n, w in zip(needs.needs, web, strict=True)
                if w < self.rules.minimum_web - 1e-6
            ]

    def _loop(self, index: int, needs: Needs, at: Point, wished: tuple[int, ...]) -> None:
        picks, done = sound(needs, wished)
        pairs = list(zip(needs.needs, picks, strict=True))
        none = [(_moved(n.corner.at, at), n.met) for n, k in pairs if k < 0]
        errors = [break_through(self.panel, where) for where, met in none if met]
        self._remarks += [not_placed(self.panel, where) for where, met in none if not met]
        self._remarks += [switched_off(self.panel, _moved(c.at, at), 2 * needs.r) for c in needs.switched_off]
        if done.loop is None:
            errors.append(in_pieces(self.panel, _moved(culprit(needs, picks).at, at)))
        elif done.missed is not None and not errors:
            errors.append(unreached(self.panel, _moved(done.missed, at), 2 * needs.r))
        self.failed += [index] if errors else []
        self._errors += errors
        if done.loop is None or (not done.visible[0] and not needs.replaced):
            return
        self.loops[index] = done.loop.moved(at)
        shapes = [(n.corner, n.options[k].shape) for n, k in pairs if k >= 0]
        for (corner, s), areas in zip(shapes, zip(*done.visible, strict=True), strict=True):
            place = _moved(corner.at, at), _moved(s.centre, at)
            self.reliefs.append(Relief(self.panel.name, PLAIN[s.kind], *place, s.radius, sum(areas)))
        for face, row in zip(needs.place.sides, done.visible, strict=True):
            self._shown[face] += sum(row)
        self._other += [_moved(n.corner.at, at) for n, k in pairs if k >= 0 and not n.options[k].wanted]

    def findings(self) -> list[Finding]:
        """Everything that is to be said."""
        out = [*self._errors, *self._remarks]
        if self._thin:
            out.append(thin_webs(self.panel, self._thin, self.rules.minimum_web))
        if self._other:
            out.append(other_kind(self.panel, self._other, self.rules.kind))
        drawn = [(_moved(d.at, at), d.radius) for _, needs, at in self._needs for d in needs.replaced]
        if drawn:
            out.append(replaced(self.panel, drawn))
        sides = zip(self._shown, ("+n", "-n"), strict=True)
        area = sum(area for area, side in sides if self.panel.show in (side, "both"))
        if area > SHOWS:
            out.append(shows(self.panel, area))
        return out


def _moved(x: Point, by: Point) -> Point:
    return (x[0] + by[0], x[1] + by[1])
