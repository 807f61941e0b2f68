# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""From plain moves to the words of a host path, on the grid of the posted text.

Posts print four decimals of a millimetre or of an inch. Positions are put on that grid here,
before the centre of an arc is reckoned, so that the start, the end and the centre that a
control reads agree within 0.0003 mm: RS274/NGC (NIST, version 3, §3.5.3) stops at a difference
of the two radii of 0.002 mm or 0.0002 in.
"""

from __future__ import annotations

import json
import math
from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Any, Literal

from flatwright.cutting.moves import Move, Operation
from flatwright.cutting.times import seconds, sweep
from flatwright.findings import UsageError

Units = Literal["mm", "in"]
Word = tuple[str, dict[str, float]]  # a command's name and its parameters, mm and mm/s
Spot = tuple[float, float, float]

SCALE: dict[Units, float] = {"mm": 1.0, "in": 25.4}
DECIMALS = 4  # of a position, in the post's unit
FEED_DECIMALS = 3  # of a feed per minute, in the post's unit
RAPID = 6000.0  # mm/min and
ACCELERATION = 500.0  # mm/s²: for estimated times where nothing else is known

_LETTERS = {"rapid": "r", "line": "l", "cw": "cw", "ccw": "ccw"}
_KINDS = {v: k for k, v in _LETTERS.items()}


def moves_to_words(moves: Sequence[Move], units: Units = "mm", stops_spindle: bool = False) -> list[Word]:
    """The commands of one operation, starting from an unknown position.

    Rapids never slant: they rise before they travel and travel before they sink. Moves that
    vanish on the posted grid are left out; an arc that is a line on it becomes one. Feeds are
    mm/s, as the host wants them. `stops_spindle` ends with M5.
    """
    pen = _Pen(units)
    for move in moves:
        pen.add(move)
    if stops_spindle:
        pen.words.append(("M5", {}))
    return pen.words


class _Pen:
    """Where the bit stands, exactly and on the grid, and what was written so far."""

    def __init__(self, units: Units) -> None:
        self.scale = SCALE[units]
        self.step = self.scale * 10.0**-DECIMALS
        self.words: list[Word] = []
        self.exact: Spot | None = None
        self.here: Spot | None = None

    def grid(self, value: float) -> float:
        return round(round(value / self.step) * self.step, 9) + 0.0

    def feed(self, move: Move) -> float:
        per_minute = round((move.feed or 0.0) / self.scale, FEED_DECIMALS) * self.scale
        return per_minute / 60.0

    def add(self, move: Move) -> None:
        goal = (self.grid(move.x), self.grid(move.y), self.grid(move.z))
        if move.kind == "rapid":
            self.rapid(goal)
        elif self.here is None or self.exact is None:
            raise ValueError("the first move must be a rapid")
        elif move.kind == "line":
            self.line(goal, self.feed(move))
        else:
            self.arc(move, goal, self.exact, self.here)
        self.exact = (move.x, move.y, move.z)
        self.here = goal

    def rapid(self, goal: Spot) -> None:
        here = self.here
        level = {"Z": goal[2]} if here is None or goal[2] != here[2] else {}
        travel = {name: goal[k] for k, name in enumerate("XY") if here is None or goal[k] != here[k]}
        first, second = (level, travel) if here is None or goal[2] >= here[2] else (travel, level)
        self.words += [("G0", p) for p in (first, second) if p]

    def line(self, goal: Spot, feed: float) -> None:
        here = self.here
        assert here is not None
        words = {name: goal[k] for k, name in enumerate("XYZ") if goal[k] != here[k]}
        if words:
            self.words.append(("G1", words | {"F": feed}))

    def arc(self, move: Move, goal: Spot, exact: Spot, here: Spot) -> None:
        """One arc or helix; more than three quarters of a turn is written in two halves."""
        centre = (exact[0] + move.i, exact[1] + move.j)
        turn = sweep(exact, move)
        if turn > 1.5 * math.pi:
            self.halves(move, exact, centre, turn)
            return
        i, j = self.centre(here, goal, centre)
        sagitta = math.hypot(i, j) * (1.0 - math.cos(turn / 2.0))
        if goal[:2] == here[:2] or sagitta < self.step / 2.0:
            self.line(goal, self.feed(move))
            return
        words = {"X": goal[0], "Y": goal[1], "Z": goal[2]}  # the host's simulators want Z in arcs
        name = "G3" if move.kind == "ccw" else "G2"
        self.words.append((name, words | {"I": i, "J": j, "F": self.feed(move)}))

    def centre(self, here: Spot, goal: Spot, c: tuple[float, float]) -> tuple[float, float]:
        """(I, J) of the point nearest c that is equally far from both ends on the grid."""
        ex, ey = goal[0] - here[0], goal[1] - here[1]
        chord2 = ex * ex + ey * ey
        cx, cy = c[0] - here[0], c[1] - here[1]
        if chord2 > 0.0:
            along = (cx * ex + cy * ey) / chord2 - 0.5
            cx, cy = cx - ex * along, cy - ey * along
        return self.grid(cx), self.grid(cy)

    def halves(self, move: Move, exact: Spot, c: tuple[float, float], turn: float) -> None:
        way = turn / 2.0 if move.kind == "ccw" else -turn / 2.0
        dx, dy = exact[0] - c[0], exact[1] - c[1]
        x = c[0] + dx * math.cos(way) - dy * math.sin(way)
        y = c[1] + dx * math.sin(way) + dy * math.cos(way)
        self.add(Move(move.kind, x, y, (exact[2] + move.z) / 2.0, move.feed, move.i, move.j))
        self.add(Move(move.kind, move.x, move.y, move.z, move.feed, c[0] - x, c[1] - y))


def clock(seconds: float) -> str:
    """HH:MM:SS, as the host adds it up.

    >>> clock(3725.4)
    '01:02:05'
    """
    whole = round(seconds)
    return f"{whole // 3600:02d}:{whole // 60 % 60:02d}:{whole % 60:02d}"


def check_operation(operation: Operation) -> None:
    """Raise UsageError unless the operation can be posted safely."""
    where = f"operation {operation.label!r}"
    if not operation.moves:
        raise UsageError(f"{where} has no moves; run Send to CAM again")
    if operation.moves[0].kind != "rapid":
        raise UsageError(f"{where} must start with a rapid at clear height")
    for m in operation.moves:
        if not all(math.isfinite(v) for v in (m.x, m.y, m.z, m.i, m.j)):
            raise UsageError(f"{where} has a move without a place: {m}")
        if m.kind != "rapid" and not (m.feed and math.isfinite(m.feed) and m.feed > 0.0):
            raise UsageError(f"{where} cuts without a feed; give bit {operation.bit} a feed above zero")


def to_json(
    operation: Operation, units: Units, rapid: float = RAPID, acceleration: float = ACCELERATION
) -> str:
    """The moves with every digit and the time that they take, as the host's operation keeps them."""
    data = {
        "version": 1,
        "units": units,
        "stops_spindle": operation.stops_spindle,
        "seconds": round(seconds(operation.moves, rapid, acceleration), 1),
        "moves": [_row(m) for m in operation.moves],
    }
    return json.dumps(data, separators=(",", ":"))


def from_json(text: str) -> tuple[tuple[Move, ...], Units, bool]:
    """(moves, units, stops_spindle) as `to_json` wrote them; ValueError for anything else."""
    data: Any = json.loads(text)
    try:
        if data["version"] != 1 or data["units"] not in SCALE:
            raise ValueError("its version or unit is unknown")
        return tuple(_moves(data["moves"])), data["units"], bool(data["stops_spindle"])
    except (KeyError, IndexError, TypeError) as e:
        raise ValueError(f"not a list of moves: {type(e).__name__} {e}") from e


def slower(moves: Sequence[Move], share: float) -> Sequence[Move]:
    """The moves at a share of their feeds, above 0 and at most 1."""
    if share == 1.0:
        return moves
    return [m if m.feed is None else replace(m, feed=m.feed * share) for m in moves]


def seconds_of(text: str, share: float = 1.0) -> float:
    """The time that `to_json` wrote, longer at a share of the feeds; reckoned anew for an older file."""
    told = json.loads(text).get("seconds")
    if told is not None and share == 1.0:
        return float(told)
    moves = from_json(text)[0]
    planned = seconds(moves, RAPID, ACCELERATION)
    longer = seconds(slower(moves, share), RAPID, ACCELERATION) - planned
    return longer + (planned if told is None else float(told))


def _row(m: Move) -> list[Any]:
    row: list[Any] = [_LETTERS[m.kind], m.x, m.y, m.z]
    if m.kind != "rapid":
        row.append(m.feed)
    if m.kind in ("cw", "ccw"):
        row += [m.i, m.j]
    return row


def _moves(rows: Iterable[Sequence[Any]]) -> Iterable[Move]:
    for r in rows:
        yield Move(_KINDS[r[0]], *r[1:])  # type: ignore[arg-type]
