# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Posted programs as canonical moves, for comparing hosts, posts and units with each other.

Reads only what our programs hold (RS274/NGC words as in NIST's version 3, §3.3 to §3.6) and
refuses everything else, so that a word nobody expects cannot slip by.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from flatwright.cutting.moves import Move, SheetProgram

IDLE = {"G17", "G40", "G49", "G80", "G90", "G54", "G55", "M2"}  # nothing moves


@dataclass(frozen=True, slots=True)
class Canonical:
    """One motion in mm and mm/min, from where the bit was to where it goes."""

    kind: str  # rapid, line, cw or ccw
    start: tuple[float | None, ...]
    end: tuple[float | None, ...]
    feed: float | None = None
    centre: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class Event:
    """Something other than a motion: `M3` with its speed, `M5`, `M6` with its bit."""

    name: str
    value: float | None = None


def read(text: str) -> list[Canonical | Event]:
    """Everything that a program does, in order."""
    out: list[Canonical | Event] = []
    unit, at, motion = 0.0, (None, None, None), ""
    for line in re.sub(r"\([^()]*\)", "", text).splitlines():
        words = re.findall(r"([A-Z])\s*([-+]?[\d.]+)", line)
        assert re.sub(r"[A-Z]\s*[-+]?[\d.]+|\s", "", line) == "", f"cannot read {line!r}"
        codes = [f"{k}{float(v):g}" for k, v in words if k in "GM"]
        values = {k: float(v) for k, v in words if k not in "GM"}
        for code in codes:
            if code in ("G20", "G21"):
                unit = 25.4 if code == "G20" else 1.0
            elif code in ("M3", "M5", "M6"):
                out.append(Event(code, values.get("S", values.get("T"))))
            elif code in ("G0", "G1", "G2", "G3"):
                motion = {"G0": "rapid", "G1": "line", "G2": "cw", "G3": "ccw"}[code]
            else:
                assert code in IDLE | {"G43"}, f"unexpected {code} in {line!r}"
        if {"X", "Y", "Z"} & values.keys():
            end = tuple(values[k] * unit if k in values else at[n] for n, k in enumerate("XYZ"))
            centre = None
            if motion in ("cw", "ccw"):
                centre = (at[0] + values["I"] * unit, at[1] + values["J"] * unit)  # type: ignore[operator]
            feed = values["F"] * unit if motion != "rapid" else None
            out.append(Canonical(motion, at, end, feed, centre))
            at = end
    return out


def running(text: str) -> list[Canonical | Event]:
    """The same from the first spindle start on: what comes before differs between hosts."""
    done = read(text)
    return done[next(n for n, d in enumerate(done) if d == Event("M3", getattr(d, "value", None))) :]


def planned(program: SheetProgram) -> list[Canonical]:
    """The motions that the plan asks for: rapids in two legs, as a router must make them."""
    out: list[Canonical] = []
    at: tuple[float | None, ...] = (None, None, None)
    for move in (m for o in program.operations for m in o.moves):
        out += [leg for leg in _legs(at, move) if leg.end != leg.start]
        at = (move.x, move.y, move.z)
    return out


def _legs(at: tuple[float | None, ...], move: Move) -> list[Canonical]:
    end = (move.x, move.y, move.z)
    if move.kind == "rapid":
        rising = at[2] is None or move.z >= at[2]
        middle = (at[0], at[1], move.z) if rising else (move.x, move.y, at[2])
        return [Canonical("rapid", at, middle), Canonical("rapid", middle, end)]
    centre = (at[0] + move.i, at[1] + move.j) if move.kind != "line" else None  # type: ignore[operator]
    return [Canonical(move.kind, at, end, move.feed, centre)]


def motions(done: list[Canonical | Event]) -> list[Canonical]:
    """Only the motions that go anywhere; each operation may repeat where it stands."""
    return [d for d in done if isinstance(d, Canonical) and d.start != d.end]


def same(a: list[Canonical], b: list[Canonical], tolerance: float = 0.001, feed: float = 0.03) -> None:
    """Assert that two lists of motions agree within mm and mm/min."""
    assert [m.kind for m in a] == [m.kind for m in b]
    for n, (p, q) in enumerate(zip(a, b, strict=True)):
        for u, v in zip((*p.end, *(p.centre or ())), (*q.end, *(q.centre or ())), strict=True):
            assert (u is None) == (v is None), f"motion {n}: {p} and {q}"
            assert u is None or v is None or abs(u - v) <= tolerance, f"motion {n}: {p} and {q}"
        assert (p.feed is None) == (q.feed is None)
        assert p.feed is None or q.feed is None or abs(p.feed - q.feed) <= feed, f"motion {n}: {p} and {q}"


def radius_errors(done: list[Canonical | Event]) -> list[float]:
    """For every arc how far its two radii differ, mm (RS274/NGC v3 §3.5.3)."""
    return [
        abs(math.dist(m.start[:2], m.centre) - math.dist(m.end[:2], m.centre))  # type: ignore[arg-type]
        for m in motions(done)
        if m.centre is not None
    ]
