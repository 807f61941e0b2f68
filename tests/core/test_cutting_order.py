# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The running order: few bit changes, nothing before what it depends on, short travel."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from flatwright.cutting.cut import Cut
from flatwright.cutting.moves import Move, OperationKind
from flatwright.cutting.order import ordered
from flatwright.cutting.pen import Chain
from flatwright.cutting.travel import short_tour, tour_length
from flatwright.geometry.outline import circle, rectangle
from flatwright.plan import Placement
from flatwright.presets.model import Machine, Post
from support.shopwork import BITS, panel, sheet, shop, trolley, work

HOME = (0.0, 0.0)


def cut(kind: OperationKind, part: str, bit: int, x: float = 0.0, area: float = 1e5, after: str = "") -> Cut:
    chain = Chain(x, 0.0, 20.0, (Move("line", x, 0.0, 0.0, 900.0),))
    return Cut(kind, part, BITS[bit - 1], ((chain,),), area, frozenset([after] if after else []))


def plain(groups: list[tuple[int, list[Cut]]]) -> list[tuple[int, list[tuple[str, str]]]]:
    return [(n, [(c.kind, c.panel) for c in members]) for n, members in groups]


def test_the_stages_follow_each_other_and_small_parts_come_before_large() -> None:
    cuts = [
        cut("outside", "large", 1, area=9e5),
        cut("outside", "small", 1, x=900, area=1e4),
        cut("inside", "large", 1),
        cut("pocket", "large", 1),
        cut("hole", "small", 1),
    ]
    assert plain(ordered(cuts, HOME)) == [
        (
            1,
            [
                ("hole", "small"),
                ("pocket", "large"),
                ("inside", "large"),
                ("outside", "small"),
                ("outside", "large"),
            ],
        )
    ]


def test_one_change_where_one_is_enough() -> None:
    """Strict stages would ask for bit 1, 3, 1, 3."""
    cuts = [cut("hole", "a", 1), cut("pocket", "a", 3), cut("inside", "a", 1), cut("outside", "a", 3)]
    assert [n for n, _ in ordered(cuts, HOME)] == [1, 3]


def test_the_first_cut_goes_to_a_bit_that_may_drill() -> None:
    cuts = [cut("outside", "a", 3), cut("outside", "b", 1), cut("pocket", "b", 3)]
    assert [n for n, _ in ordered(cuts, HOME)] == [3, 1], "b's pocket comes before its outline"
    assert [n for n, _ in ordered(cuts[:2], HOME)] == [1, 3]


def test_a_part_is_done_inside_before_its_outline_even_if_that_costs_a_change() -> None:
    cuts = [cut("outside", "a", 1), cut("inside", "a", 3), cut("outside", "b", 3), cut("inside", "b", 1)]
    order = [(c.kind, c.panel) for _, members in ordered(cuts, HOME) for c in members]
    for part in "ab":
        assert order.index(("inside", part)) < order.index(("outside", part))


def test_parts_in_an_opening_come_before_it() -> None:
    cuts = [
        cut("inside", "frame", 1, after="guest"),
        cut("outside", "frame", 1, after="guest"),
        cut("outside", "guest", 1),
    ]
    (_, members), *rest = plain(ordered(cuts, HOME))
    assert rest == []
    assert members == [("outside", "guest"), ("inside", "frame"), ("outside", "frame")]


spots = st.lists(st.tuples(st.integers(0, 99), st.integers(0, 99)), min_size=1, max_size=6)


@given(spots)
def test_short_tours_are_never_longer_than_nearest_neighbour_and_visit_all(at: list[tuple[int, int]]) -> None:
    stops = [((float(x), float(y)), (float(x), float(y))) for x, y in at]
    order = short_tour(stops, HOME)
    assert sorted(order) == list(range(len(at)))
    best = min(tour_length(p, stops, HOME) for p in itertools.permutations(range(len(at))))
    assert tour_length(order, stops, HOME) <= 1.35 * best + 1e-9


def test_tours_over_a_sheet_are_a_tenth_shorter_than_nearest_neighbour() -> None:
    """50 cuts scattered over a sheet of 2440 by 1220 mm, a dozen times: the mean of the ratios."""
    ratios = []
    for seed in range(12):
        random = np.random.default_rng(seed)
        starts = random.uniform((0, 0), (2440, 1220), (50, 2))
        ends = starts + random.uniform(-40, 40, (50, 2))
        stops = [((a, b), (c, d)) for (a, b), (c, d) in zip(starts.tolist(), ends.tolist(), strict=True)]
        left, at, plain = list(range(50)), HOME, 0.0
        while left:  # nearest neighbour, written out once more
            k = min(left, key=lambda i: math.dist(at, stops[i][0]))
            plain += math.dist(at, stops[k][0])
            at = stops[k][1]
            left.remove(k)
        ratios.append(tour_length(short_tour(stops, HOME), stops, HOME) / plain)
    assert sum(ratios) / len(ratios) < 0.9
    assert max(ratios) <= 1.0


def test_one_file_for_each_bit_by_hand_and_one_for_all_where_the_machine_changes() -> None:
    stems = [p.stem for p in work(*trolley(), shop()).programs]
    assert stems == ["sheet-1.spots", "sheet-1.cut-1", "sheet-1.cut-2"]
    automatic = replace(shop(), machine=Machine(park=(0, 700), bit_change="automatic"))
    assert [p.stem for p in work(*trolley(), automatic).programs] == ["sheet-1.spots", "sheet-1.cut"]
    by_post = replace(automatic, post=Post(processor="grbl"))
    assert [p.stem for p in work(*trolley(), by_post).programs] == stems


def test_every_file_by_hand_has_one_bit_and_spots_use_the_first() -> None:
    spots_file, first, second = work(*trolley(), shop()).programs
    assert [len(p.bits) for p in (spots_file, first, second)] == [1, 1, 1]
    assert spots_file.bits == first.bits == (1,)
    assert second.bits == (3,)


def test_a_guest_in_a_frame_is_cut_first() -> None:
    frame = panel(
        "frame", rectangle(0, 0, 500, 400), holes=(rectangle(100, 100, 400, 300).cw(),), show="none"
    )
    guest = panel("guest", rectangle(0, 0, 150, 100), holes=(circle((75, 50), 4).cw(),), show="none")
    laid = sheet(Placement("frame", 50, 50, 0, False), Placement("guest", 225, 200, 0, False))
    done = work(laid, {p.name: p for p in (frame, guest)}, shop())
    labels = [o.label for o in done.programs[-1].operations]
    assert labels == ["guest: holes", "guest: outline", "frame: openings", "frame: outline", "Park"]


def test_a_program_beyond_the_machines_travel_is_an_error() -> None:
    small = replace(shop(), machine=Machine(park=(0, 700), travel=(1200.0, 800.0, 150.0)))
    done = work(*trolley(), small)
    found = [f for f in done.findings if f.code == "cutting.beyond-travel"]
    assert found
    assert all(f.severity == "error" and f.sheet == "sheet-1" for f in found)


def test_every_fastener_has_one_spot_mark_of_its_depth() -> None:
    done = work(*trolley(), shop())
    marks = [m for m in done.programs[0].operations[0].moves if m.z < 17.7]
    assert {(m.x, m.y) for m in marks} == {(s.x, s.y) for s in done.sheet.screws}
    assert {(m.kind, m.z, m.feed) for m in marks} == {("line", round(17.62 - 0.6, 4), 900.0)}


def test_an_empty_sheet_has_no_programs() -> None:
    assert work(sheet(), {}, shop()).programs == ()
