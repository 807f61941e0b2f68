# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Frames of boards in one plane, tops of several boards, and stacks glued broad to broad."""

from __future__ import annotations

from dataclasses import replace

from support.corpus.drawing import Board, Drawing, Model, Probe
from support.corpus.joints import along, blind, housed, place, slot, through
from support.corpus.parallel import edge_to_edge, glued, halving


def _lath(d: Drawing, name: str, t: float, x: tuple[float, float], y: tuple[float, float]) -> Board:
    return d.board(name, x=x, y=y, z=(0, t))


def door_frame(t: float, c: float) -> Model:
    """Four laths with half-laps at the corners."""
    d = Drawing(c)
    rails = [_lath(d, f"rail {k}", t, (0, 300), (y, y + 50)) for k, y in enumerate((0, 350))]
    for k, x in enumerate((0, 250)):
        stile = _lath(d, f"stile {k}", t, (x, x + 50), (0, 400))
        for rail in rails:
            halving(d, rail, stile, "half-lap")
    return d.done("door frame")


def crossing_laths(t: float, c: float) -> Model:
    """Two laths that cross in one plane, each halved: the cross-brace of a screen."""
    d = Drawing(c)
    a = _lath(d, "lath", t, (0, 400), (120, 170))
    b = _lath(d, "post", t, (170, 230), (0, 300))
    halving(d, a, b, "half-lap")
    return d.done("crossing laths")


def screen(t: float, c: float) -> Model:
    """The middle post of a screen ends in its two rails: T-halvings."""
    d = Drawing(c)
    rails = [_lath(d, f"rail {k}", t, (0, 500), (y, y + 60)) for k, y in enumerate((0, 440))]
    post = _lath(d, "post", t, (220, 270), (0, 500))
    for rail in rails:
        halving(d, rail, post, "T-halving")
    return d.done("screen")


def coat_hook(t: float, c: float) -> Model:
    """An upright arm ends in the middle of a bar."""
    d = Drawing(c)
    bar = d.board("bar", y=(0, t), x=(0, 260), z=(0, 70))
    arm = d.board("arm", y=(0, t), x=(100, 150), z=(0, 240))
    halving(d, arm, bar, "T-halving")
    return d.done("coat hook")


def wide_top(t: float, c: float) -> Model:
    """A top of two boards edge to edge, carried by two slotted rails."""
    d = Drawing(c)
    a = d.board("near", x=(0, 600), y=(0, 200), z=(200, 200 + t))
    b = d.board("far", x=(0, 600), y=(200, 400), z=(200, 200 + t))
    edge_to_edge(d, a, b)
    for k, x in enumerate((80, 500)):
        leg = d.board(f"leg {k}", x=(x, x + t), y=(20, 380), z=(0, 200))
        through(d, a, leg, (60, 120))
        through(d, b, leg, (280, 340))
    return d.done("wide top")


def split_back(t: float, c: float) -> Model:
    """A back of two boards edge to edge, each on a tenon through one foot."""
    d = Drawing(c)
    foot = d.board("foot", x=(-40, 440), y=(0, 100), z=(0, t))
    a = d.board("left", x=(0, 200), y=(40, 40 + t), z=(t, 300))
    b = d.board("right", x=(200, 400), y=(40, 40 + t), z=(t, 260))
    edge_to_edge(d, a, b)
    through(d, foot, a, (60, 140))
    through(d, foot, b, (260, 340))
    return d.done("split back")


def thick_post(t: float, c: float) -> Model:
    """Two boards glued to a post of double thickness, its tenon through a base."""
    d = Drawing(c)
    base = d.board("base", x=(0, 260), y=(0, 260), z=(0, t))
    a = d.board("post a", x=(120, 120 + t), y=(60, 200), z=(0, 400))
    b = d.board("post b", x=(120 + t, 120 + 2 * t), y=(60, 200), z=(0, 400))
    for post in (a, b):
        post.cut(y=(0, 100), z=(0, t)).cut(y=(160, 260), z=(0, t))
    base.cut(x=(120 - c / 2, 120 + 2 * t + c / 2), y=(100 - c / 2, 160 + c / 2))
    _through_stack(d, base, (a, b))
    glued(d, a, b)
    return d.done("thick post")


def _through_stack(d: Drawing, base: Board, boards: tuple[Board, Board]) -> None:
    """What is measured where a stack of two goes through a base: the outer cheeks, all the sides."""
    probes = []
    for board, outer in zip(boards, (-1.0, 1.0), strict=True):
        centre = place(x=board.middle("x"), y=130.0, z=base.middle("z"))
        probes.append(Probe("cheek", board.name, base.name, centre, along("x", outer)))
        probes += [Probe("side", board.name, base.name, centre, along("y", s)) for s in (1.0, -1.0)]
        start = place(x=board.middle("x"), y=80.0, z=base.span("z")[1] + 4)
        probes.append(Probe("shoulder", board.name, base.name, start, along("z", -1.0)))
        probes.append(Probe("tip", board.name, base.name, centre, along("z", -1.0)))
    d.joint("mortise and tenon", base, boards[0], probes, along("z", -1.0))


def double_top(t: float, c: float) -> Model:
    """A top of two boards glued broad to broad; legs with blind tenons go up into the lower one."""
    d = Drawing(c)
    lower = d.board("lower", x=(0, 400), y=(0, 300), z=(300, 300 + t))
    upper = d.board("upper", x=(0, 400), y=(0, 300), z=(300 + t, 300 + 2 * t))
    for k, x in enumerate((60, 300)):
        leg = d.board(f"leg {k}", x=(x, x + t), y=(40, 260), z=(0, 300))
        for at in ((70, 120), (180, 230)):
            blind(d, lower, leg, at, t / 2)
    glued(d, lower, upper)
    return d.done("double top")


def double_side(t: float, c: float) -> Model:
    """A tenon that passes two boards glued to one side of double thickness."""
    d = Drawing(c)
    inner = d.board("inner", x=(0, t), y=(0, 200), z=(0, 300))
    outer = d.board("outer", x=(-t, 0), y=(0, 200), z=(0, 300))
    shelf = d.board("shelf", x=(t, 300), y=(0, 200), z=(140, 140 + t))
    through(d, inner, shelf, (60, 140), tip=False)
    through(d, outer, shelf, (60, 140))
    glued(d, inner, outer)
    return d.done("double side")


def lined_shelf(t: float, c: float) -> Model:
    """A shelf with a thin lining glued on it, both let into one housing of a side."""
    d = Drawing(c)
    top = 140 + t + t / 3
    left = d.board("left", x=(0, t), y=(0, 200), z=(0, 300))
    shelf = d.board("shelf", x=(t, 400), y=(0, 200), z=(140, 140 + t))
    lining = d.board("lining", x=(t - t / 3, 400), y=(0, 200), z=(140 + t, top))
    glued(d, shelf, lining)
    housed(d, left, shelf, t / 3)
    left.pockets.clear()  # one recess over both
    left.pocket(x=(t - t / 3 - c / 2, t), y=(0, 200), z=(140 - c / 2, top + c / 2))
    at = place(x=t - t / 6, y=100.0, z=top - t / 6)
    upper = Probe("cheek", "lining", "left", at, along("z"))
    own = d.truths.pop()
    d.truths.append(replace(own, probes=(*(p for p in own.probes if p.way[2] <= 0), upper)))
    return d.done("lined shelf")


def stacked_rail(t: float, c: float) -> Model:
    """A rail of two boards in notches of two uprights: the notch takes both."""
    d = Drawing(c)
    a = d.board("rail a", x=(0, 500), y=(80, 80 + t), z=(200, 280))
    b = d.board("rail b", x=(0, 500), y=(80 + t, 80 + 2 * t), z=(200, 280))
    for k, x in enumerate((50, 430)):
        upright = d.board(f"upright {k}", x=(x, x + t), y=(0, 220), z=(0, 280))
        slot(d, upright, a, 200, 1.0)
        slot(d, upright, b, 200, 1.0)
        other, one = d.truths.pop(), d.truths.pop()
        probes = [p for p in one.probes if p.way[1] <= 0] + [p for p in other.probes if p.way[1] >= 0]
        d.truths.append(replace(one, probes=tuple(probes)))
    glued(d, a, b)
    return d.done("stacked rail")


def backed_post(t: float, c: float) -> Model:
    """A post of two boards glued together; a brace crosses the front one and an arm ends in it, halved: where
    the front board goes with the back, they go too."""
    d = Drawing(c)
    front = d.board("front", x=(200, 280), y=(0, t), z=(0, 400))
    back = d.board("back", x=(200, 280), y=(t, 2 * t), z=(0, 400))
    halving(d, d.board("brace", x=(0, 480), y=(0, t), z=(280, 340)), front, "half-lap")
    halving(d, d.board("arm", x=(0, 280), y=(0, t), z=(80, 140)), front, "T-halving")
    glued(d, front, back)
    return d.done("backed post")
