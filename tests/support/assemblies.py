# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Random assemblies for property tests: an upright board that meets others, each by a joint of its own.

What is drawn at random is a `Spec` of plain numbers; `build` draws it with any clearance. Sizes are
whole hundredths of a mm, as people draw.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

from hypothesis import strategies as st

from support.corpus import angled, keyed
from support.corpus.drawing import Board, Drawing, Model
from support.corpus.joints import blind, butt, cross_lap, fingers, housed, rabbet, slot, through
from support.corpus.parallel import glued, halving
from support.moving import Angles, turned

INCH = (3.175, 6.35, 9.525, 12.7, 19.05)
PITCH = 150.0  # mm from one station of the upright to the next: room for a key and its neighbours
LEAST = 2.0  # mm: the shallowest recess, twice what two boards may be drawn apart

THIN = 4.0  # mm: in thinner boards there are no recesses


@dataclass(frozen=True, slots=True)
class Station:
    """One joint on the upright: its kind, the other board's thickness, two numbers from 0 to 1 for
    where and how deep, and a small whole number."""

    kind: str
    t: float
    at: float
    deep: float
    count: int


@dataclass(frozen=True, slots=True)
class Spec:
    """A random assembly: the upright's thickness and height, its stations, clearance drawn, what the
    boards measure (a factor of their thickness), the place in space, and a seed for the order."""

    t: float
    height: float
    stations: tuple[Station, ...]
    c: float
    real: float
    turn: Angles
    order: int

    def boards(self, model: Model, more: float = 1.0) -> dict[float, float]:
        """Real thickness by nominal one."""
        return {t: round(t * self.real * more, 3) for t in {p.nominal for p in model.panels}}


def build(spec: Spec, c: float | None = None) -> Model:
    """The assembly, drawn with its own clearance or another."""
    d = Drawing(spec.c if c is None else c)
    first = spec.stations[0]
    if first.kind in _ALONE:
        model = _ALONE[first.kind](spec, first, d.c)
    else:
        length = 60 + PITCH * len(spec.stations)
        upright = d.board("upright", x=(0, length), y=(0, spec.t), z=(0, spec.height))
        for k, station in enumerate(spec.stations):
            kind = "through" if spec.t < THIN and station.kind in ("blind", "housed") else station.kind
            _AT_STATION[kind](d, upright, station, f"board {k}", 60 + PITCH * k)
        model = d.done("assembly")
    n = len(model.panels)
    order = [(k * (spec.order * 2 + 1) + spec.order) % n for k in range(n)]
    panels = model.panels if len(set(order)) < n else tuple(model.panels[k] for k in order)
    return turned(replace(model, panels=panels), spec.turn)


# -- joints at a station of the upright: x is where it begins ------------------------------------


def _standing(d: Drawing, up: Board, s: Station, name: str, x: float) -> Board:
    """A board square to the upright, in front of it, as high as it."""
    y0, h = up.span("y")[1], up.span("z")[1]
    return d.board(name, x=(x, x + s.t), y=(y0, y0 + 140), z=(0, h))


def _tenons(up: Board, s: Station) -> list[tuple[float, float]]:
    """One to three tenons in the upper three quarters of the height, never near an end."""
    h = up.span("z")[1]
    n = 1 + s.count % 3
    room = h * 0.8 / n
    wide = room * (0.3 + 0.3 * s.at)
    return [(h * 0.1 + k * room + 2, h * 0.1 + k * room + 2 + wide) for k in range(n)]


def _through(d: Drawing, up: Board, s: Station, name: str, x: float) -> None:
    board = _standing(d, up, s, name, x)
    proud = 14.0 * s.deep if s.deep > 0.8 else 0.0
    for at in _tenons(up, s):
        through(d, up, board, at, proud)


def _depth(d: Drawing, up: Board, s: Station) -> float:
    """Of a recess in the upright: at least `LEAST`, and wood left under it when it is fitted."""
    return min(up.t * 0.95 - 1.5, LEAST + s.deep * max(0.0, 0.7 * up.t - LEAST))


def _blind(d: Drawing, up: Board, s: Station, name: str, x: float) -> None:
    board = _standing(d, up, s, name, x)
    for at in _tenons(up, s):
        blind(d, up, board, at, _depth(d, up, s))


def _housed(d: Drawing, up: Board, s: Station, name: str, x: float) -> None:
    board = _standing(d, up, s, name, x)
    h, stop = up.span("z")[1], ("", "low", "high", "low high")[s.count % 4]
    low, high = (12 + 10 * s.at if "low" in stop else 0.0), (h - 12 - 10 * s.at if "high" in stop else h)
    housed(d, up, board, _depth(d, up, s), stop, (low, high) if stop else None)


def _slot(d: Drawing, up: Board, s: Station, name: str, x: float) -> None:
    h = up.span("z")[1]
    floor = h * (0.3 + 0.5 * s.at)
    y0, y1 = up.span("y")
    if s.count % 2:
        slot(d, up, d.board(name, x=(x, x + s.t), y=(y0 - 60, y1 + 80), z=(floor, h + 20)), floor, 1.0)
    else:
        slot(d, up, d.board(name, x=(x, x + s.t), y=(y0 - 60, y1 + 80), z=(-20, floor)), floor, -1.0)


def _cross(d: Drawing, up: Board, s: Station, name: str, x: float) -> None:
    h = up.span("z")[1]
    y0, y1 = up.span("y")
    board = d.board(name, x=(x, x + s.t), y=(y0 - 70, y1 + 60), z=(0, h))
    a, b = (up, board) if s.count % 2 else (board, up)
    cross_lap(d, a, b, h * (0.3 + 0.4 * s.at))


def _butt(d: Drawing, up: Board, s: Station, name: str, x: float) -> None:
    butt(d, up, _standing(d, up, s, name, x))


def _glued(d: Drawing, up: Board, s: Station, name: str, x: float) -> None:
    h, y0 = up.span("z")[1], up.span("y")[0]
    glued(d, up, d.board(name, x=(x, x + 60), y=(y0 - s.t, y0), z=(h * 0.1, h * 0.9)))


def _keyed(d: Drawing, up: Board, s: Station, name: str, x: float) -> None:
    board = d.board(name, x=(x, x + s.t), y=(up.span("y")[1], up.span("y")[1] + 150), z=(0, up.span("z")[1]))
    h = up.span("z")[1]
    thick = 4 + 8 * s.deep  # of the key
    mid = h / 2
    keyed.keyed(d, up, board, (mid - 25, mid + 25), thick, s.count % 2 == 1, f"key {name}")


_AT_STATION: dict[str, Callable[[Drawing, Board, Station, str, float], None]] = {
    "through": _through,
    "blind": _blind,
    "housed": _housed,
    "slot": _slot,
    "cross-lap": _cross,
    "butt": _butt,
    "glued": _glued,
    "keyed": _keyed,
}


# -- assemblies of their own --------------------------------------------------------------------


def _corner(spec: Spec, s: Station, c: float) -> Model:
    d = Drawing(c)
    a = d.board("front", x=(0, 220), y=(0, spec.t), z=(0, spec.height))
    b = d.board("left", x=(0, s.t), y=(0, 180), z=(0, spec.height))
    fingers(d, a, b, 2 + s.count, a_first=s.at < 0.5)
    return d.done("corner")


def _rabbet(spec: Spec, s: Station, c: float) -> Model:
    d = Drawing(c)
    side = d.board("side", x=(0, spec.t), y=(0, 200), z=(0, spec.height))
    y = 0.0 if s.count % 2 else 200 - s.t
    front = d.board("front", x=(spec.t, 250), y=(y, y + s.t), z=(0, spec.height))
    rabbet(d, side, front, _depth(d, side, s))
    return d.done("step")


def _laps(spec: Spec, s: Station, c: float) -> Model:
    """Two laths in one plane: a corner, a cross, or one that ends in the other's edge."""
    d = Drawing(c)
    wide = 35 + 50 * s.at
    a = d.board("lath", x=(0, 300), y=(0, spec.t), z=(100, 100 + wide))
    how = s.count % 3
    x = (0.0, 120.0, 120.0)[how]
    z = ((0.0, 100 + wide), (0.0, 300.0), (0.0, 100 + wide))[how]
    b = d.board("post", x=(x, x + 35 + 60 * s.deep), y=(0, spec.t), z=z)
    halving(d, a, b, ("half-lap", "half-lap", "T-halving")[how])
    return d.done("laps")


def _angle(spec: Spec, s: Station, c: float) -> Model:
    """Two boards through each other at 45 to 135 degrees."""
    return angled.crossing("angle", spec.t, c, round(45 + 90 * s.at, 1), s.t)


def _tilted(spec: Spec, s: Station, c: float) -> Model:
    """A shelf that leans by 3 to 35 degrees through two upright sides."""
    degrees = round(3 + 32 * s.at, 1) * (1 if s.count % 2 else -1)
    return angled.tilted_shelf("tilted", spec.t, c, degrees, s.t)


_ALONE: dict[str, Callable[[Spec, Station, float], Model]] = {
    "fingers": _corner,
    "rabbet": _rabbet,
    "laps": _laps,
    "angle": _angle,
    "tilted": _tilted,
}


STATION_KINDS = (*sorted(_AT_STATION), *sorted(_ALONE))


# -- strategies ------------------------------------------------------------------------------------

thicknesses = st.one_of(st.sampled_from(INCH), st.integers(300, 3000).map(lambda n: n / 100))
parts = st.integers(0, 100).map(lambda n: n / 100)
angles = st.floats(-math.pi, math.pi).map(lambda a: round(a, 3))


def _stations(kinds: list[str]) -> st.SearchStrategy[Station]:
    return st.builds(Station, st.sampled_from(kinds), thicknesses, parts, parts, st.integers(0, 6))


def specs() -> st.SearchStrategy[Spec]:
    """Random assemblies of every kind of joint."""
    several = st.lists(_stations(sorted(_AT_STATION)), min_size=1, max_size=3).map(tuple)
    one = _stations(sorted(_ALONE)).map(lambda s: (s,))
    return st.builds(
        Spec,
        thicknesses,
        st.integers(110, 400).map(float),
        st.one_of(several, one),
        st.integers(0, 100).map(lambda n: n / 100),
        st.integers(950, 1030).map(lambda n: n / 1000),
        st.tuples(angles, angles, angles),
        st.integers(0, 7),
    )
