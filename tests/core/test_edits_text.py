# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Edits by hand as a file: what is written is read again, and all that is wrong is told with its path."""

from __future__ import annotations

import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from flatwright import resources
from flatwright.edits.model import (
    CornerEdit,
    Edits,
    End,
    JointEdit,
    PanelEdit,
    PanelRef,
    Pose,
    Spot,
    TabsEdit,
    TabSpot,
)
from flatwright.edits.text import FORMAT, EditsError, dumps, load, loads

SCHEMA = Draft202012Validator(json.loads(resources.path("schemas/edits.schema.json").read_text("utf-8")))

names = st.text(min_size=1, max_size=12).filter(str.strip)
lengths = st.integers(-5_000_000, 5_000_000).map(lambda n: n / 1000)
sizes = st.integers(1, 5_000_000).map(lambda n: n / 1000)
points = st.tuples(lengths, lengths, lengths)
refs = st.builds(PanelRef, names, st.sampled_from(["", "Box", "Body001"]))
spots = st.builds(Spot, points, st.tuples(sizes, sizes, sizes))
ends = st.builds(End, refs, st.none() | spots)
joints = st.tuples(ends, ends)
kinds = st.sampled_from(["off", "dog-bone", "T-bone in", "T-bone out", "least visible"])
panel_edits = st.builds(
    PanelEdit,
    refs,
    st.none() | st.just("any") | st.integers(-180, 180).map(float),
    st.none() | points,
    st.none() | st.sampled_from(["+n", "-n", "both", "none"]),
    st.none() | st.sampled_from(["+n", "-n"]),
    st.none() | names,
)
corner_edits = st.builds(CornerEdit, st.builds(End, refs, spots), kinds, st.none(), st.none()) | st.builds(
    CornerEdit, ends, kinds, joints, points, st.none() | points
)
tab_spots = st.builds(TabSpot, spots, st.none() | sizes, st.none() | sizes)
tabs_edits = st.builds(TabsEdit, refs, st.lists(tab_spots, max_size=3).map(tuple), st.booleans())
documents = st.builds(
    Edits,
    st.lists(panel_edits, max_size=4).map(tuple),
    st.lists(st.builds(JointEdit, joints, names), max_size=4).map(tuple),
    st.lists(corner_edits, max_size=4).map(tuple),
    st.lists(tabs_edits, max_size=3).map(tuple),
    st.booleans(),
    st.lists(st.builds(Pose, refs, *[points] * 6), max_size=3).map(tuple),
)


@given(documents)
def test_what_is_written_is_read_again(edits: Edits) -> None:
    again = loads(dumps(edits))
    for part in ("panels", "joints", "corners", "tabs", "poses"):
        assert sorted(map(repr, getattr(again, part))) == sorted(map(repr, getattr(edits, part)))


@given(documents)
def test_what_is_written_is_as_published(edits: Edits) -> None:
    SCHEMA.validate(json.loads(dumps(edits)))


@given(documents)
def test_the_text_is_canonical(edits: Edits) -> None:
    text = dumps(edits)
    assert dumps(loads(text)) == text
    rows = (edits.panels, edits.joints, edits.corners, edits.tabs)
    turned = Edits(*(e[::-1] for e in rows), edits.cut_slots, edits.poses)
    assert dumps(turned) == text


def problems(**parts: Any) -> dict[str, str]:
    with pytest.raises(EditsError) as e:
        loads(json.dumps({"format": FORMAT, "version": 1, **parts}))
    return dict(e.value.problems)


PLACE = {"at_mm": [1, 2, 3], "of_mm": [18, 200, 300]}
END = {"panel": "side", "at_mm": [1, 2, 3], "of_mm": [18, 200, 300]}


@pytest.mark.parametrize(
    ("parts", "path", "says"),
    [
        ({"panel": []}, "panel", 'did you mean "panels"'),
        ({"panels": [{"panel": "side", "grian": 0}]}, "panels[0].grian", 'did you mean "grain"'),
        ({"panels": [{"grain": 0}]}, "panels[0].panel", "is missing"),
        ({"panels": [{"panel": "side", "grain": "up"}]}, "panels[0].grain", "degrees"),
        ({"panels": [{"panel": "side", "grain": 400}]}, "panels[0].grain", "400"),
        ({"panels": [{"panel": "side", "show": "top"}]}, "panels[0].show", '"top" is not known'),
        ({"panels": [{"panel": "side", "stays": "both"}]}, "panels[0].stays", "not known"),
        ({"joints": [{"between": [END], "class": "slip"}]}, "joints[0].between", "names 1 panels"),
        ({"joints": [{"between": [END, END]}]}, "joints[0].class", "is missing"),
        ({"corners": [{**END, "kind": "round"}]}, "corners[0].kind", '"round" is not known'),
        ({"corners": [{"panel": "side", "kind": "off"}]}, "corners[0]", "where it is"),
        ({"corners": [{**END, "kind": "off", "joint": [END, END]}]}, "corners[0]", "go together"),
        ({"corners": [{**END, "kind": "off", "at_mm": [1, 2]}]}, "corners[0].at_mm", "three numbers"),
        ({"corners": [{**END, "kind": "off", "of_mm": [0, 2, 3]}]}, "corners[0].of_mm", "longer than 0"),
        ({"tabs": [{"panel": "side"}]}, "tabs[0].places", "is missing"),
        (
            {"tabs": [{"panel": "side", "places": [{"at_mm": [1, 2, 3]}]}]},
            "tabs[0].places[0].of_mm",
            "missing",
        ),
        (
            {"tabs": [{"panel": "side", "places": [{**PLACE, "length_mm": 0}]}]},
            "tabs[0].places[0].length_mm",
            "more than 0",
        ),
        (
            {"tabs": [{"panel": "side", "places": [{**PLACE, "height_mm": "6 mm"}]}]},
            "tabs[0].places[0].height_mm",
            "write mm",
        ),
        ({"tabs": [{"panel": "side", "places": [], "only": 1}]}, "tabs[0].only", "neither true nor false"),
        ({"panels": [{"panel": "side", "grain": {"value": 0, "note": "x"}}]}, "panels[0].grain", "no notes"),
    ],
)
def test_every_mistake_is_told_with_its_path(parts: dict[str, Any], path: str, says: str) -> None:
    found = problems(**parts)
    assert says in found[path]
    assert not SCHEMA.is_valid({"format": FORMAT, "version": 1, **parts})


def test_all_mistakes_are_told_at_once() -> None:
    assert len(problems(panels=[{"grian": 0}], joints=[{}], edges=[])) == 5


@pytest.mark.parametrize(
    "text", ["", "[]", "{}", '{"format": "flatwright-plan", "version": 1}', '{"a": NaN}']
)
def test_what_is_no_such_file_is_told(text: str) -> None:
    with pytest.raises(EditsError, match="cannot be used"):
        loads(text)


def test_another_version_is_told() -> None:
    with pytest.raises(EditsError, match="version 1 is read here"):
        loads(json.dumps({"format": FORMAT, "version": 2}))


def test_a_file_that_is_not_there_is_told() -> None:
    with pytest.raises(EditsError, match="there is no such file"):
        load("/nowhere/edits.json")


def test_later_edits_win_and_the_rest_stays() -> None:
    side, shelf = PanelRef("side"), PanelRef("shelf")
    ends = (End(side, Spot((9, 40, 109), (18, 200, 300))), End(shelf, Spot((9, 40, 9), (400, 200, 18))))
    first = Edits((PanelEdit(side, grain=90.0), PanelEdit(shelf, show="-n")), (JointEdit(ends, "slip"),))
    more = Edits((PanelEdit(side, show="+n"),), (JointEdit(ends[::-1], "press"),))
    both = first.under(more)
    assert set(both.panels) == {PanelEdit(side, grain=90.0, show="+n"), PanelEdit(shelf, show="-n")}
    assert [e.fit_class for e in both.joints] == ["press"]
    assert both.with_joint(None, ends).joints == ()
    assert [e.panel.source for e in both.with_panel(PanelEdit(side)).panels] == ["shelf"]


def test_lost_tabs_are_forgotten_and_the_others_stay() -> None:
    side = PanelRef("side")
    a, b = (TabSpot(Spot((9.0, y, 0.0), (18.0, 200.0, 300.0))) for y in (40.0, 160.0))
    edits = Edits(tabs=(TabsEdit(side, (a, b), True),))
    assert edits.without(Edits(tabs=(TabsEdit(side, (a,), True),))).tabs == (TabsEdit(side, (b,), True),)
    assert edits.without(edits).tabs == (), "all lost: back to the rules, not to a part without tabs"
    none = Edits(tabs=(TabsEdit(side, (), True),))
    assert none.without(Edits()).tabs == none.tabs
    assert edits.under(none).tabs == none.tabs
    assert edits.with_tabs(None, side).tabs == ()
