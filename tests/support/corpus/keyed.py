# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Tenons held by a key or a wedge: trestles and stools that come apart again."""

from __future__ import annotations

from support.corpus.drawing import AXES, Board, Drawing, Model, Probe
from support.corpus.joints import along, axes_of, cross_lap, place, through

SLOPE = 0.1  # of a wedge


def keyed(
    d: Drawing, r: Board, mate: Board, at: tuple[float, float], t: float, wedge: bool, name: str = ""
) -> None:  # fmt: skip
    """A tenon through `r` that stands out, and a board of thickness t through the tenon that bears on
    r's far face."""
    k, m, l = axes_of(r, mate)  # noqa: E741
    out = -1.0 if mate.middle(k) > r.middle(k) else 1.0
    face = r.span(k)[1 if out > 0 else 0]
    wide = max(24.0, 1.5 * t)  # of the key
    through(d, r, mate, at, proud=wide + 16)
    mid, c = sum(at) / 2, d.c / 2
    m0, m1 = mate.span(m)
    name = name or f"key {r.name}"
    key = d.board(
        name, **{l: (mid - t / 2, mid + t / 2), m: (m0 - 25, m1 + 25), k: _span(face, face + out * wide)}
    )
    end = face + out * wide
    if wedge:
        # the outer edge slopes along m; it is widest at m's high end
        drop = SLOPE * (m1 - m0 + 50)
        corners = [(end, m0 - 25), (end - out * drop, m0 - 25), (end, m1 + 25)]
        assert key.axis is not None
        swap = AXES[(key.axis + 1) % 3] != k
        key.shave([(y, x) if swap else (x, y) for x, y in corners])
        end -= out * SLOPE * 25  # where the edge leaves the tenon's upper face
    # the mortise begins inside the board: not near 1 mm, the most that counts as contact, which a board
    # that moves by a few hundredths would pass
    inside = min(t, r.t) / 4
    inside = 1.5 if 0.8 < inside < 1.5 else inside
    mate.cut(**{l: (mid - t / 2 - c, mid + t / 2 + c), k: _span(face - out * inside, end + out * c)})
    centre = place(**{k: face + out * wide / 2, m: mate.middle(m), l: mid})
    probes = [Probe("cheek", name, mate.name, centre, along(l, s)) for s in (1.0, -1.0)]
    if not wedge:
        probes.append(Probe("side", name, mate.name, centre, along(k, out)))
    bears = place(**{k: face + out * wide / 2, m: m0 - 10, l: mid})
    probes.append(Probe("key", name, r.name, bears, along(k, -out)))
    d.joint("wedged tenon" if wedge else "keyed tenon", mate, key, probes, along(m, -1.0))


def _span(a: float, b: float) -> tuple[float, float]:
    return (a, b) if a < b else (b, a)


def _trestle(name: str, t: float, c: float, wedge: bool) -> Model:
    d = Drawing(c)
    legs = [
        d.board("left", x=(0, t), y=(0, 260), z=(0, 400)),
        d.board("right", x=(600 - t, 600), y=(0, 260), z=(0, 400)),
    ]
    rail = d.board("rail", x=(t, 600 - t), y=(120, 120 + t), z=(160, 260))
    for leg in legs:
        keyed(d, leg, rail, (175, 245), t, wedge)
    return d.done(name)


def trestle(t: float, c: float) -> Model:
    """Two legs and a rail, held by keys."""
    return _trestle("trestle", t, c, False)


def wedged_trestle(t: float, c: float) -> Model:
    """The same with wedges."""
    return _trestle("wedged trestle", t, c, True)


def stool(t: float, c: float) -> Model:
    """Crossed legs under a seat, a stretcher with wedged tenons through two of the legs."""
    d = Drawing(c)
    seat = d.board("seat", x=(0, 320), y=(0, 320), z=(380, 380 + t))
    legs = [d.board(f"leg {k}", x=(x, x + t), y=(30, 290), z=(0, 380)) for k, x in ((0, 60), (1, 260 - t))]
    for leg in legs:
        for at in ((60, 110), (210, 260)):
            through(d, seat, leg, at)
    rail = d.board("stretcher", x=(60 + t, 260 - t), y=(160 - t / 2, 160 + t / 2), z=(100, 190))
    for leg in legs:
        keyed(d, leg, rail, (115, 175), t, True)
    return d.done("stool")


def keyed_bench(t: float, c: float) -> Model:
    """A puppet bench: keyed rail, a seat on tenons, feet crossed under the legs."""
    d = Drawing(c)
    legs = [d.board(f"leg {k}", x=(x, x + t), y=(0, 240), z=(0, 360)) for k, x in ((0, 80), (1, 620 - t))]
    rail = d.board("rail", x=(80 + t, 620 - t), y=(110, 110 + t), z=(120, 220))
    seat = d.board("seat", x=(0, 700), y=(0, 240), z=(360, 360 + t))
    for leg in legs:
        keyed(d, leg, rail, (140, 200), t, False)
        for at in ((30, 80), (160, 210)):
            through(d, seat, leg, at)
    foot = d.board("foot", x=(40, 200), y=(60, 60 + t), z=(0, 60))
    cross_lap(d, foot, legs[0], at=30)
    return d.done("keyed bench")
