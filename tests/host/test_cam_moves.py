# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Plain moves become path words that any control reads the same way."""

from __future__ import annotations

import json
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from flatwright.cutting.moves import Move, Operation
from flatwright.cutting.times import seconds
from flatwright.findings import UsageError
from flatwright.host import cam_moves
from flatwright.host.cam_moves import Units, Word, moves_to_words
from support.sheet_programs import cut, park

START = Move("rapid", 0, 0, 30)
coordinate = st.floats(-3000, 3000)


def after_start(*moves: Move, units: Units = "mm") -> list[Word]:
    """The words after the first rapid, which is made in two legs."""
    return moves_to_words((START, *moves), units)[2:]


def test_a_program_rises_before_it_travels_from_wherever_the_bit_was() -> None:
    assert moves_to_words([Move("rapid", 5, 7, 30)]) == [("G0", {"Z": 30}), ("G0", {"X": 5, "Y": 7})]


def test_rapids_rise_first_and_sink_last() -> None:
    words = moves_to_words([Move("rapid", 0, 0, 10), Move("rapid", 5, 0, 30), Move("rapid", 9, 0, 10)])
    assert words[2:] == [("G0", {"Z": 30}), ("G0", {"X": 5}), ("G0", {"X": 9}), ("G0", {"Z": 10})]


def test_feeds_become_mm_per_second() -> None:
    assert after_start(Move("line", 1, 0, 30, 3600)) == [("G1", {"X": 1, "F": 60})]


def test_moves_that_vanish_on_the_posted_grid_are_left_out() -> None:
    assert after_start(Move("line", 0.00004, 0, 30, 100), Move("cw", 0, 0.00004, 30, 100, 0, 0.00002)) == []


def test_an_arc_too_flat_for_the_grid_is_a_line() -> None:
    flat = Move("ccw", 1, 0, 30, 600, 0.5, 5000)  # rises 1/40 000 mm
    assert [name for name, _ in after_start(flat)] == ["G1"]


def test_a_full_circle_is_written_in_two_halves() -> None:
    circle = after_start(Move("cw", 0, 0, 28, 600, 10, 0))
    assert circle == [
        ("G2", {"X": 20, "Y": 0, "Z": 29, "I": 10, "J": 0, "F": 10}),
        ("G2", {"X": 0, "Y": 0, "Z": 28, "I": -10, "J": 0, "F": 10}),
    ]


def test_parking_ends_with_the_spindle_stopped() -> None:
    assert moves_to_words(park().moves, stops_spindle=True)[-1] == ("M5", {})


@pytest.mark.parametrize(("units", "unit", "limit"), [("mm", 1.0, 0.002), ("in", 25.4, 0.0002)])
@given(coordinate, coordinate, st.floats(0.01, 3000), st.floats(-7, 7), st.floats(-6.2, 6.2))
def test_arcs_end_on_their_circle(
    units: Units, unit: float, limit: float, x: float, y: float, radius: float, angle: float, sweep: float
) -> None:
    """GCD-2: the two radii of a posted arc differ by no more than 0.002 mm or 0.0002 in
    (NIST RS274/NGC v3, §3.5.3), although every word is rounded to four decimals."""
    cx, cy = x - radius * math.cos(angle), y - radius * math.sin(angle)
    ex, ey = cx + radius * math.cos(angle + sweep), cy + radius * math.sin(angle + sweep)
    kind = "ccw" if sweep > 0 else "cw"
    arc = Move(kind, ex, ey, 0, 600, cx - x, cy - y)
    words = moves_to_words([Move("rapid", x, y, 0), arc], units)
    here = {"X": 0.0, "Y": 0.0}
    for name, w in words:
        written = {k: round(v / unit, 4) for k, v in w.items()}
        end = here | {k: v for k, v in written.items() if k in "XY"}
        if name in ("G2", "G3"):
            c = (here["X"] + written["I"], here["Y"] + written["J"])
            radii = math.dist(c, (here["X"], here["Y"])), math.dist(c, (end["X"], end["Y"]))
            assert abs(radii[0] - radii[1]) <= limit
            assert abs(radii[0] * unit - radius) <= 0.02 + radius / 100
            assert name == ("G3" if kind == "ccw" else "G2")
        here = end
    assert math.dist((here["X"] * unit, here["Y"] * unit), (ex, ey)) <= 0.001 * unit


def test_the_time_of_a_helix_is_its_length_over_the_feed() -> None:
    """MAC-11: radius 2, pitch 1, three turns are 37.8183 mm long (geometry: turns·√((2πr)²+p²))."""
    turns = [Move("ccw", 0, 0, -k, 60, 2, 0) for k in (1, 2, 3)]
    quick = seconds([Move("rapid", 0, 0, 0), *turns], rapid=6000, acceleration=1e9)
    assert quick == pytest.approx(37.8183, abs=1e-4)


def test_moves_survive_their_text_with_every_digit() -> None:
    operation = cut("side: outside", at=math.pi)
    moves, units, stops = cam_moves.from_json(cam_moves.to_json(operation, "in"))
    assert (moves, units, stops) == (operation.moves, "in", False)


def test_the_time_is_kept_with_the_moves_and_reckoned_for_older_files() -> None:
    text = cam_moves.to_json(cut("side: outside"), "mm", rapid=3000, acceleration=100)
    told = json.loads(text)
    assert cam_moves.seconds_of(text) == told["seconds"] > 0
    del told["seconds"]
    assert 0 < cam_moves.seconds_of(json.dumps(told)) < cam_moves.seconds_of(text)


@pytest.mark.parametrize("text", ["", "[]", '{"version":2}', '{"version":1,"units":"mm","moves":[["x"]]}'])
def test_text_that_is_no_list_of_moves_is_refused(text: str) -> None:
    with pytest.raises(ValueError):
        cam_moves.from_json(text)


@pytest.mark.parametrize(
    ("moves", "why"),
    [
        ((), "no moves"),
        ((Move("line", 0, 0, 0, 600),), "must start with a rapid"),
        ((START, Move("line", 1, 0, 0)), "cuts without a feed"),
        ((START, Move("line", 1, 0, 0, 0.0)), "cuts without a feed"),
        ((START, Move("line", math.nan, 0, 0, 600)), "without a place"),
    ],
)
def test_an_operation_that_cannot_be_posted_safely_is_named(moves: tuple[Move, ...], why: str) -> None:
    with pytest.raises(UsageError, match=f"'side'.*{why}"):
        cam_moves.check_operation(Operation("outside", "side", 1, moves))
