# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The published schema and our own reader say the same about a preset."""

from __future__ import annotations

import json
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from flatwright import resources
from flatwright.plan import JOINT_KINDS
from support.preset_documents import LEFT_OUT, STARTERS, changed, problems, starter

SCHEMA = json.loads(resources.path("schemas/shop-preset.schema.json").read_text("utf-8"))
VALIDATOR = Draft202012Validator(SCHEMA)

GOOD = [
    ("name", "Another"),
    ("name", {"value": "Another", "note": "for the stage"}),
    ("based_on", "Metric starter"),
    ("based_on", LEFT_OUT),
    ("boards", []),
    ("boards[0].plies", None),
    ("boards[0].plies", {"value": None, "note": "not counted yet"}),
    ("boards[0].grade", ""),
    ("boards[6].readings", ["17.7 mm", "0.7 in"]),
    ("boards[6].readings", {"value": ["17.7 mm"], "note": "new batch"}),
    ("boards[6].measured_at", {"temperature": "-5 degC", "humidity": "50 %"}),
    ("boards[6].measured_at", None),
    ("fits.classes.glue.tip", LEFT_OUT),
    ("fits.classes.very loose", {"over_thickness": "1 mm", "along": "1 mm", "floor": "0 mm"}),
    ("fits.by_joint", {"finger joint": {"value": "press", "note": "coupon"}}),
    ("fits.slot_for", "spread"),
    ("fits.spread_factor", {"value": 2.5, "note": "coupon"}),
    ("fits.used_at", {"temperature": "20 degC", "humidity": "35 %"}),
    ("fits.used_at", None),
    ("fits.classes.glue.tip_by", "1 mm"),
    ("fits.classes.glue.too_loose", "1/32 in"),
    ("fits.classes.glue.too_loose", None),
    ("bits[3].up_cut_length", {"value": "5 mm", "note": "measured"}),
    ("bits[0].flutes", 2.0),
    ("bits[0].diameter", "1/4 in"),
    ("layout.sheets[0].size", ["8.5 mm", "96 1/2 in"]),
    ("layout.sheets[0].cost", 41.5),
    ("layout.edge", "0 mm"),
    ("holding", LEFT_OUT),
    ("holding.fasteners", {}),
    ("holding.method", ["onion skin", "vacuum"]),
    ("holding.vacuum", {"pressure": {"value": "20 inHg", "note": "read at the gauge"}, "friction": 0.2}),
    ("holding.onion_skin", {"thickness": "0.5 mm"}),
    (
        "machine.keep_outs",
        [{"name": "rail", "kind": "dead area", "corners": ["0 mm", "0 mm", "9 mm", "2 in"]}],
    ),
    ("machine.acceleration", "20 in/s2"),
    ("entries.finish_allowance", "0.3 mm"),
    ("bits[0].stick_out", "35 mm"),
    ("bits[0].material", "steel"),
    ("machine", {"power": "0.5 W"}),
    ("entries.along_grain", False),
    ("flipping", {"enabled": {"value": True, "note": "dowels of 8 mm"}, "axis": "y", "pin_depth": "5 mm"}),
    ("flipping", LEFT_OUT),
    ("post.arguments", ""),
    ("report.units", ["in"]),
]

BAD = [
    ("format", "flatwright-plan"),
    ("version", 2),
    ("version", "1"),
    ("name", ""),
    ("name", 5),
    ("name", {"value": "Another"}),
    ("name", {"value": "Another", "note": ""}),
    ("name", {"value": "Another", "note": "x", "why": "y"}),
    ("extra", 1),
    ("boards", None),
    ("boards[0].plies", 0),
    ("boards[0].plies", 2.5),
    ("boards[0].nominal", 3),
    ("boards[0].nominal", "3"),
    ("boards[0].nominal", "0.0 mm"),
    ("boards[0].nominal", "-3 mm"),
    ("boards[0].thickness", "3 mm"),
    ("boards[0].face_grain", None),
    ("boards[6].readings", ["17.7 mm", {"value": "17.7 mm", "note": "bare only"}]),
    ("boards[6].measured_at", {"temperature": "20 degC"}),
    ("fits.classes", {}),
    ("fits.classes.glue.along", LEFT_OUT),
    ("fits.classes.glue.along", "-0.1 mm"),
    ("fits.classes. ", {"over_thickness": "1 mm", "along": "1 mm", "floor": "0 mm"}),
    ("fits.slot_for", "median"),
    ("fits.spread_factor", -1),
    ("fits.spread_factor", "2"),
    ("fits.used_at", {"temperature": "20 degC"}),
    ("fits.classes.glue.tip_by", "0 mm"),
    ("fits.classes.glue.too_loose", 1),
    ("fits.by_joint", {"dovetail": "glue"}),
    ("bits", []),
    ("bits[0].number", 0),
    ("bits[0].number", True),
    ("bits[0].kind", "Straight"),
    ("bits[0].up_cut_length", "5 mm"),
    ("bits[3].up_cut_length", None),
    ("bits[3].up_cut_length", LEFT_OUT),
    ("feeds", []),
    ("feeds[0].spindle", "0 1/min"),
    ("feeds[0].spindle", "18000 rpm"),
    ("feeds[0].plunge", "900 mm"),
    ("feeds[0].chip_load", "0/4 mm"),
    ("layout.sheets", []),
    ("layout.sheets[0].size", ["2440 mm"]),
    ("layout.sheets[0].count", 0),
    ("layout.seed", -1),
    ("layout.time", "0 s"),
    ("holding.method", []),
    ("holding.method", ["tabs", "tabs"]),
    ("holding.method", ["glue"]),
    ("holding.tabs.height", "0 mm"),
    ("holding.tabs.factor", 0.5),
    ("holding.vacuum", {"pressure": "0 kPa"}),
    ("machine.keep_outs", [{"name": "rail", "kind": "rail", "corners": ["0 mm", "0 mm", "9 mm", "9 mm"]}]),
    ("machine.keep_outs", [{"name": "rail", "kind": "clamp", "corners": ["0 mm", "0 mm"]}]),
    ("machine.acceleration", "500 mm"),
    ("bits[0].material", "glass"),
    ("machine.park", ["0 mm", "0 mm", "0 mm"]),
    ("machine.work_offset", "G60"),
    ("entries.along_grain", 1),
    ("flipping.axis", "z"),
    ("flipping.enabled", 1),
    ("flipping.pin_diameter", "0 mm"),
    ("post.processor", "a/b"),
    ("post.units", "cm"),
]


def valid(document: Any) -> bool:
    return bool(VALIDATOR.is_valid(document))


def test_the_schema_itself_is_sound() -> None:
    Draft202012Validator.check_schema(SCHEMA)


@pytest.mark.parametrize("name", STARTERS)
def test_the_starters_are_valid(name: str) -> None:
    assert [e.message for e in VALIDATOR.iter_errors(starter(name))] == []


def test_joints_have_the_kinds_that_the_plan_knows() -> None:
    assert SCHEMA["properties"]["fits"]["properties"]["by_joint"]["propertyNames"]["enum"] == list(
        JOINT_KINDS
    )


@pytest.mark.parametrize(("path", "value"), GOOD)
def test_both_accept(path: str, value: object) -> None:
    document = changed(path, value)
    if path in ("layout.sheets[0].size",):
        document["layout"]["edge"] = "1 mm"
    assert (valid(document), problems(document)) == (True, {})


@pytest.mark.parametrize(("path", "value"), BAD)
def test_both_refuse(path: str, value: object) -> None:
    document = changed(path, value)
    assert not valid(document)
    assert problems(document)
