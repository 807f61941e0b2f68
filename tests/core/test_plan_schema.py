# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""plan.json and findings.json are what their published schemas say."""

from __future__ import annotations

import copy
import json
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from flatwright import resources
from flatwright.boards.assigning import assign_boards
from flatwright.boards.batch import measured, unmeasured
from flatwright.geometry.frame import Frame
from flatwright.geometry.outline import circle, rectangle
from flatwright.plan import (
    Joint,
    Panel,
    Placement,
    Plan,
    Pocket,
    Program,
    ProgramBit,
    Relief,
    Screw,
    Sheet,
    Tab,
)
from flatwright.plan_json import from_json, to_json

FRAME = Frame.of((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0))
SHELF = Panel(
    name="shelf",
    source="Shelf",
    frame=FRAME,
    nominal=18.0,
    thickness=17.7,
    outline=rectangle(0, 0, 600, 300),
    holes=(circle((50, 50), 10).cw(),),
    pockets=(Pocket(rectangle(200, 50, 300, 100).cw(), 6.0, "-n"),),
    board="birch 18",
    show="+n",
    grain=0.0,
    shape="a",
)
SHEET = Sheet(
    name="sheet-1",
    board="birch 18",
    thickness=17.7,
    size=(2440.0, 1220.0),
    placements=(Placement("shelf", 25.0, 25.0, 90.0, True),),
    tabs=(Tab("shelf", 325.0, 25.0, 0.0, 10.0, 5.9),),
    screws=(Screw(12.0, 12.0),),
    programs=(Program("spots", "sheets/sheet-1.spots.nc", "0" * 64, (ProgramBit(1, "straight", 6.0),)),),
)
PLAN = Plan(
    panels=(SHELF,),
    joints=(
        Joint(
            "housing",
            ("side", "shelf"),
            {
                "across_mm": 0.25,
                "class": "glue",
                "p_assembles": 0.9873,
                "p_too_loose": 0.0127,
                "clearance_wanted_mm": 0.18,
            },
        ),
    ),
    reliefs=(Relief("shelf", "dog-bone", (0.0, 0.0), (2.1, 2.1), 3.0, 5.137),),
    sheets=(SHEET,),
    boards=(
        measured("birch 18", 18.0, [17.68, 17.72], moisture=2.0).as_planned(),
        unmeasured("birch 12", 12.0, 12.0).as_planned(),
    ),
)


def schema(name: str) -> dict[str, Any]:
    loaded: dict[str, Any] = json.loads(resources.path(f"schemas/{name}.schema.json").read_text("utf-8"))
    return loaded


def validator(name: str) -> Any:
    Draft202012Validator.check_schema(schema(name))
    return Draft202012Validator(schema(name))


def test_a_plan_with_everything_in_it_is_valid() -> None:
    assert [e.message for e in validator("plan").iter_errors(to_json(PLAN))] == []


def test_an_empty_plan_is_valid() -> None:
    assert validator("plan").is_valid(to_json(Plan()))


def objects(node: Any, path: str = "") -> list[tuple[str, dict[str, Any]]]:
    """Every object in a JSON value, with where it stands."""
    if isinstance(node, list):
        return [o for i, item in enumerate(node) for o in objects(item, f"{path}[{i}]")]
    if not isinstance(node, dict):
        return []
    return [(path, node), *[o for k, v in node.items() for o in objects(v, f"{path}.{k}")]]


PLACES = [path for path, _ in objects(to_json(PLAN)) if not path.endswith(".fit")]


@pytest.mark.parametrize("place", PLACES)
def test_every_object_is_described_to_the_last_key(place: str) -> None:
    """Each key is required and no other is allowed, in every object but the open `fit`."""
    check = validator("plan")
    for key in dict(objects(to_json(PLAN)))[place]:
        data = to_json(PLAN)
        del dict(objects(data))[place][key]
        assert not check.is_valid(data), f"{place}.{key} may be missing"
    data = to_json(PLAN)
    dict(objects(data))[place]["more"] = 1
    assert not check.is_valid(data)


@pytest.mark.parametrize(
    ("place", "key", "value"),
    [
        ("", "version", 2),
        ("", "units", "in"),
        (".panels[0]", "show", "up"),
        (".panels[0]", "thickness_mm", 0),
        (".panels[0].pockets[0]", "side", "n"),
        (".panels[0].outline", "points", [[0, 0]]),
        (".joints[0]", "panels", ["shelf"]),
        (".sheets[0].programs[0]", "kind", "drill"),
        (".sheets[0].programs[0]", "file", "/tmp/x.nc"),
        (".sheets[0].programs[0]", "file", "../x.nc"),
        (".sheets[0].programs[0]", "sha256", "abc"),
    ],
)
def test_a_damaged_plan_is_refused(place: str, key: str, value: object) -> None:
    data = copy.deepcopy(to_json(PLAN))
    dict(objects(data))[place][key] = value
    assert not validator("plan").is_valid(data)


def test_a_panel_without_grain_or_board_is_valid_and_reads_back() -> None:
    data = to_json(PLAN)
    data["panels"][0].update(grain_deg=None, board=None)
    assert validator("plan").is_valid(data)
    assert to_json(from_json(data)) == data


def test_findings_are_valid() -> None:
    _, [one] = assign_boards({"shelf": 18.0}, (), ())
    assert validator("findings").is_valid([one.as_json()])
    assert validator("findings").is_valid([])
    assert not validator("findings").is_valid([one.as_json() | {"severity": "fatal"}])
    assert not validator("findings").is_valid([one.as_json() | {"code": "Not a code"}])
