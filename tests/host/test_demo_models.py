# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The demo's furniture as stored: whole boards, right joints, the same in both formats and when redrawn."""

from __future__ import annotations

import itertools
import subprocess
import sys
from collections import Counter
from pathlib import Path

import pytest

pytestmark = pytest.mark.usefixtures("app")
DEMO = Path(__file__).parents[2] / "resources" / "demo"
PIECES = ("book-trolley", "puppet-stage")
THICKNESSES = {
    "book-trolley": {18.0: 10},
    "puppet-stage": {18.0: 5, 12.0: 6},
}
SIDES = ("Side left", "Side right")
TROLLEY = ["Bottom", "Lower shelf", "Upper shelf", "Cross rail"]
TROLLEY += [f"{where} rail {level}" for where in ("Front", "Back") for level in ("lower", "upper")]
LONG, SHORT = [
    [f"{kind} divider {at}" for at in ats]
    for kind, ats in (("Long", ("front", "back")), ("Short", ("left", "right")))
]
MEETING = {
    "book-trolley": list(itertools.product(SIDES, TROLLEY)),
    "puppet-stage": [
        *itertools.product(SIDES, ("Front", "Back", "Floor", "Playboard", "Backdrop")),
        *itertools.product(("Front", "Back", *LONG, *SHORT), ("Floor",)),
        *itertools.product(LONG, SHORT),
    ],
}


def boards(path):
    """{label: placed solid} of what the file shows."""
    import FreeCAD as App

    doc = App.openDocument(str(path))
    try:
        return {o.Label: _only_solid(_placed(o)) for o in doc.Objects if _is_board(o)}
    finally:
        App.closeDocument(doc.Name)


def step_boards(path):
    """{label: placed solid} of a STEP file."""
    import FreeCAD as App
    import Import

    doc = App.newDocument("step")
    try:
        Import.insert(name=str(path), docName=doc.Name, merge=False, useLinkGroup=False)
        return {o.Label: _only_solid(o.Shape) for o in doc.Objects if o.isDerivedFrom("Part::Feature")}
    finally:
        App.closeDocument(doc.Name)


def _is_board(o):
    group = o.getParentGeoFeatureGroup()
    inside_body = group is not None and group.isDerivedFrom("PartDesign::Body")
    kinds = ("Part::Feature", "App::Link")
    return o.Visibility and not inside_body and any(o.isDerivedFrom(k) for k in kinds)


def _placed(o):
    import Part

    group = o.getParentGeoFeatureGroup()
    return Part.getShape(o) if group is None else Part.getShape(group, f"{o.Name}.")


def _only_solid(shape):
    (solid,) = shape.Solids
    return solid.copy()


def _same(a, b):
    near = (a.CenterOfMass - b.CenterOfMass).Length < 1e-6
    return near and a.Volume == pytest.approx(b.Volume, rel=1e-9)


@pytest.fixture(scope="module", params=PIECES)
def piece(request):
    return request.param, boards(DEMO / f"{request.param}.FCStd")


def test_every_board_is_a_sound_solid_of_its_thickness(piece):
    name, found = piece
    assert all(solid.isValid() and solid.Volume > 0 for solid in found.values())
    boxes = [solid.BoundBox for solid in found.values()]  # all boards lie square to the axes
    count = Counter(round(min(b.XLength, b.YLength, b.ZLength), 4) for b in boxes)
    assert count == THICKNESSES[name]


def test_boards_meet_where_they_are_joined_and_nowhere_overlap(piece):
    name, found = piece
    meeting = set()
    for (a, s), (b, t) in itertools.combinations(found.items(), 2):
        box = s.BoundBox
        box.enlarge(1.0)
        if box.intersect(t.BoundBox) and s.distToShape(t)[0] < 1.0:
            meeting.add(frozenset((a, b)))
            assert s.common(t).Volume < 1e-6, (a, b)
    assert meeting == {frozenset(pair) for pair in MEETING[name]}


def test_piece_is_symmetric_about_its_middle(piece):
    import Part

    _, found = piece
    middle = Part.makeCompound(list(found.values())).BoundBox.Center.x
    moment = sum(s.Volume * (s.CenterOfMass.x - middle) for s in found.values())
    assert abs(moment / sum(s.Volume for s in found.values())) < 1e-6


def test_step_file_holds_the_same_boards(piece):
    name, found = piece
    read = step_boards(DEMO / f"{name}.step")
    assert sorted(read) == sorted(found)
    assert all(_same(read[label], solid) for label, solid in found.items())


def test_files_are_small_and_name_nobody(app, piece):
    name, _ = piece
    for end in ("FCStd", "step"):
        assert (DEMO / f"{name}.{end}").stat().st_size < 500_000
    doc = app.openDocument(str(DEMO / f"{name}.FCStd"))
    assert (doc.Company, doc.CreatedBy, doc.LastModifiedBy) == ("", "", "")
    assert doc.License == "CC-BY-SA-4.0"
    app.closeDocument(doc.Name)


def test_drawing_again_gives_the_same_boards(piece, tmp_path):
    name, found = piece
    run = subprocess.run(
        [sys.executable, str(DEMO / "draw.py"), str(tmp_path)], capture_output=True, text=True
    )
    assert run.returncode == 0, run.stderr
    again = boards(tmp_path / f"{name}.FCStd")
    assert list(again) == list(found)
    assert all(_same(again[label], solid) for label, solid in found.items())
