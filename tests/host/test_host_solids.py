# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Reading solids: every visible one exactly once, where it stands, in the order of the tree."""

from __future__ import annotations

from typing import Any

import pytest

from flatwright.findings import Finding, UsageError
from flatwright.panels.solid import Solid
from support.documents import body, bounds, box, feature, labels, turned, volume

# FreeCAD 1.0's own window library warns while it is imported, and ends the process if that is an error.
pytestmark = pytest.mark.filterwarnings("ignore::DeprecationWarning")


def read(doc: Any, recompute: bool = True) -> tuple[list[Solid], list[Finding]]:
    from flatwright.host.solids import read_solids

    if recompute:
        doc.recompute()
    return read_solids(doc)


def codes(findings: list[Finding]) -> list[str]:
    return [f.code for f in findings]


def test_part_boxes_in_the_order_of_the_tree(document: Any) -> None:
    box(document, "Side", at=(0, 0, 100))
    box(document, "Top")
    solids, findings = read(document)
    assert labels(solids) == ["Side", "Top"]
    assert bounds(solids[0]) == ([0, 0, 100], [100, 60, 118])
    assert findings == []


def test_a_cut_stands_for_what_it_used_up(document: Any) -> None:
    board, tool = box(document, "Board"), box(document, "Slot", (20, 18, 18), (10, 10, 0))
    cut = document.addObject("Part::Cut", "Cut")
    cut.Base, cut.Tool = board, tool
    solids, findings = read(document)  # without a window the host leaves both visible
    assert labels(solids) == ["Cut"]
    assert volume(solids[0]) == pytest.approx((100 * 60 - 20 * 18) * 18)
    assert codes(findings) == ["model.used-up"] * 2


def test_what_a_hidden_cut_is_made_of_counts_itself(document: Any) -> None:
    board, tool = box(document, "Board"), box(document, "Slot", (20, 18, 18), (200, 0, 0))
    cut = document.addObject("Part::Cut", "Cut")
    cut.Base, cut.Tool, cut.Visibility = board, tool, False
    assert labels(read(document)[0]) == ["Board", "Slot"]


def test_a_body_counts_and_its_features_do_not(document: Any) -> None:
    body(document, "Shelf")
    solids, _ = read(document)
    assert labels(solids) == ["Shelf"]
    assert [f.kind for f in solids[0].faces].count("cylinder") == 1


def test_parts_within_parts_carry_their_places(app: Any, document: Any) -> None:
    outer, inner = (document.addObject("App::Part", "Part") for _ in range(2))
    outer.Label, inner.Label = "Cabinet", "Drawer"
    outer.Placement = turned((0, 0, 1), 90, (1000, 0, 0))
    inner.Placement = turned((1, 0, 0), 90, (0, 0, 500))
    board = box(document, "Front", (100, 60, 18), (10, 20, 30))
    inner.addObject(board)
    outer.addObject(inner)
    solids, _ = read(document)
    assert [s.source for s in solids] == ["Cabinet/Drawer/Front"]
    # (x, y, z) goes to (x, -z, y + 500), then to (1000 + z, x, y + 500)
    assert bounds(solids[0]) == ([1030, 10, 520], [1048, 110, 580])


def test_groups_are_gone_through_and_do_not_count_twice(document: Any) -> None:
    part = document.addObject("App::Part", "Part")
    group = document.addObject("App::DocumentObjectGroup", "Group")
    part.Label, group.Label = "Stage", "Walls"
    part.addObject(group)
    group.addObject(box(document, "Wall"))  # the host now lists it in the part as well
    assert {o.Label for o in part.Group} >= {"Walls", "Wall"}
    part.addObject(box(document, "Floor"))
    assert [s.source for s in read(document)[0]] == ["Stage/Walls/Wall", "Stage/Floor"]


def test_a_link_stands_at_its_own_place_even_if_its_target_is_hidden(document: Any) -> None:
    side = box(document, "Side", at=(5, 5, 5))
    side.Visibility = False
    link = document.addObject("App::Link", "Link")
    link.Label, link.LinkedObject = "Right side", side
    link.Placement = turned((0, 0, 1), 180, (300, 0, 0))
    solids, _ = read(document)
    assert labels(solids) == ["Right side"]
    assert bounds(solids[0]) == ([200, -60, 0], [300, 0, 18])


def test_a_link_may_keep_its_targets_place(document: Any) -> None:
    side = box(document, "Side", at=(5, 6, 7))
    link = document.addObject("App::Link", "Link")
    link.LinkedObject, link.LinkTransform = side, True
    link.Placement = turned((0, 0, 1), 0, (0, 0, 100))
    assert [bounds(s)[0] for s in read(document)[0]] == [[5, 6, 7], [5, 6, 107]]


def test_links_to_parts_give_every_board_a_source_of_its_own(document: Any) -> None:
    drawer = document.addObject("App::Part", "Part")
    drawer.Label = "Drawer"
    drawer.addObject(box(document, "Front"))
    drawer.addObject(box(document, "Back", at=(0, 0, 100)))
    link = document.addObject("App::Link", "Link")
    link.Label, link.LinkedObject = "Second drawer", drawer
    link.Placement = turned((0, 0, 1), 0, (0, 0, 1000))
    solids, findings = read(document)
    drawers = ("Drawer", "Second drawer")
    assert [s.source for s in solids] == [f"{d}/{board}" for d in drawers for board in ("Front", "Back")]
    assert labels(solids) == ["Front", "Back", "Front (2)", "Back (2)"]
    assert bounds(solids[3])[0] == [0, 0, 1100]
    assert codes(findings) == ["model.equal-labels"] * 2


@pytest.mark.parametrize("as_objects", [False, True])
def test_a_link_array_gives_its_elements(app: Any, document: Any, as_objects: bool) -> None:
    shelf = box(document, "Shelf")
    shelf.Visibility = False
    array = document.addObject("App::Link", "Link")
    array.Label, array.LinkedObject, array.ShowElement, array.ElementCount = "Shelves", shelf, as_objects, 3
    places = [turned((0, 0, 1), 90 * k, (0, 0, 300 * k)) for k in range(3)]
    if as_objects:
        for element, place in zip(array.ElementList, places, strict=True):
            element.Placement = place
    else:
        array.PlacementList = places
    solids, _ = read(document)
    assert labels(solids) == ["Shelves", "Shelves (2)", "Shelves (3)"]
    assert [bounds(s)[0] for s in solids] == [[0, 0, 0], [-60, 0, 300], [-100, -60, 600]]


def test_a_hidden_element_of_an_array_is_left_out(document: Any) -> None:
    array = document.addObject("App::Link", "Link")
    array.LinkedObject, array.ShowElement, array.ElementCount = box(document, "Shelf"), False, 3
    array.setElementVisible("1", False)
    assert len(read(document)[0]) == 1 + 2


def test_a_mirrored_link_keeps_its_faces_flat_and_outward(app: Any, document: Any) -> None:
    shape = feature(document, "Side", _wedge(app))
    link = document.addObject("App::Link", "Link")
    link.Label, link.LinkedObject, link.ScaleVector = "Mirrored side", shape, app.Vector(-1, 1, 1)
    drawn, mirrored = read(document)[0]
    assert bounds(mirrored) == ([-80, 0, 0], [0, 40, 18])
    assert volume(mirrored) == pytest.approx(volume(drawn))
    assert volume(mirrored) > 0


def _wedge(app: Any) -> Any:
    """A five-cornered board, so that its mirror image differs from it."""
    import Part

    points = [app.Vector(x, y, 0) for x, y in ((0, 0), (80, 0), (80, 20), (30, 40), (0, 40), (0, 0))]
    return Part.Face(Part.makePolygon(points)).extrude(app.Vector(0, 0, 18))


def test_a_scaled_link(document: Any) -> None:
    side, link = box(document, "Side"), document.addObject("App::Link", "Link")
    link.LinkedObject, link.Scale = side, 2
    assert volume(read(document)[0][1]) == pytest.approx(8 * 100 * 60 * 18)


def test_a_link_group(document: Any) -> None:
    group = document.addObject("App::LinkGroup", "LinkGroup")
    group.Label, group.ElementList = "Pair", [box(document, "A"), box(document, "B", at=(0, 0, 50))]
    group.Placement = turned((0, 0, 1), 0, (7, 0, 0))
    solids, _ = read(document)
    assert [s.source for s in solids] == ["Pair/A", "Pair/B"]
    assert bounds(solids[1])[0] == [7, 0, 50]


def test_an_assembly_of_the_hosts_own(document: Any) -> None:
    """FreeCAD 1.0 brought assemblies with joints; they are parts with links in them."""
    try:
        assembly = document.addObject("Assembly::AssemblyObject", "Assembly")
    except ModuleNotFoundError:
        pytest.skip("this host has no assemblies of its own")
    assembly.Label = "Trolley"
    assembly.newObject("Assembly::JointGroup", "Joints")
    side = box(document, "Side")
    side.Visibility = False
    link = assembly.newObject("App::Link", "Link")
    link.Label, link.LinkedObject = "Left side", side
    link.Placement = turned((0, 0, 1), 0, (0, 9, 0))
    assembly.Placement = turned((0, 0, 1), 90, (0, 0, 5))
    solids, _ = read(document)
    assert [s.source for s in solids] == ["Trolley/Left side"]
    assert bounds(solids[0])[0] == [-69, 0, 5]


def test_solids_of_a_compound_count_one_by_one(app: Any, document: Any) -> None:
    import Part

    shapes = [Part.makeBox(100, 60, 18, app.Vector(0, 0, 50 * k)) for k in range(2)]
    feature(document, "Panels", Part.makeCompound([shapes[0], Part.makeCompound(shapes[1:])]))
    assert labels(read(document)[0]) == ["Panels", "Panels (2)"]


def test_scripted_features_count(document: Any) -> None:
    import Part

    obj = document.addObject("Part::FeaturePython", "Scripted")
    obj.Shape = Part.makeBox(10, 20, 3)
    assert labels(read(document)[0]) == ["Scripted"]


def test_clones_and_arrays_of_the_draft_workbench(app: Any, document: Any) -> None:
    import Draft

    shelf = box(document, "Shelf")
    document.recompute()
    clone = Draft.make_clone(shelf)
    clone.Label, clone.Placement.Base = "Clone", app.Vector(0, 0, 200)
    leg = box(document, "Leg", (40, 40, 300), (500, 0, 0))
    document.recompute()
    array = Draft.make_ortho_array(leg, v_x=app.Vector(100, 0, 0), n_x=3, n_y=1, n_z=1, use_link=False)
    array.Label = "Legs"
    solids, findings = read(document)
    # the array stands for the leg that it repeats
    assert labels(solids) == ["Shelf", "Clone", "Legs", "Legs (2)", "Legs (3)"]
    assert bounds(solids[1])[0] == [0, 0, 200]
    assert codes(findings) == ["model.used-up", "model.equal-labels"]


def test_hidden_objects_and_members_of_hidden_parts_are_left_out(document: Any) -> None:
    box(document, "Shown")
    box(document, "Hidden").Visibility = False
    part = document.addObject("App::Part", "Part")
    part.addObject(box(document, "In a hidden part"))
    part.Visibility = False
    assert labels(read(document)[0]) == ["Shown"]


def test_a_visible_member_of_a_hidden_group_is_named(document: Any) -> None:
    box(document, "Shown")
    group = document.addObject("App::DocumentObjectGroup", "Group")
    group.Label = "Spares"
    group.addObject(box(document, "Spare"))
    group.Visibility = False
    solids, findings = read(document)
    assert labels(solids) == ["Shown"]
    assert [(f.code, f.where) for f in findings] == [("model.hidden-group", "Spares")]


def test_references_and_our_own_objects_are_no_parts(app: Any, document: Any) -> None:
    side = body(document, "Side")
    binder = document.addObject("PartDesign::SubShapeBinder", "Binder")
    binder.Support = [(side, ("",))]
    ours = document.addObject("App::DocumentObjectGroup", "Group")
    ours.addProperty("App::PropertyString", "FlatwrightKind")
    ours.addObject(box(document, "Fitted"))
    sketch = document.addObject("Sketcher::SketchObject", "Sketch")
    assert sketch.Visibility
    assert labels(read(document)[0]) == ["Side"]


def test_a_cam_job_adds_nothing(app: Any, document: Any) -> None:
    """Its model clone, stock, tool bits and (1.1) the bits' bodies are all visible solids."""
    from flatwright.host.cam_modules import cam

    side = box(document, "Side")
    document.recompute()
    cam("job").Create("Job", [side], None)
    assert sum(hasattr(o, "Shape") for o in document.Objects) >= 4
    assert labels(read(document)[0]) == ["Side"]


def test_null_shapes_are_survived_and_named(document: Any) -> None:
    box(document, "Side")
    document.addObject("PartDesign::Body", "Body").Label = "Empty body"
    document.addObject("Part::Feature", "Feature").Label = "Lost import"
    solids, findings = read(document)
    assert labels(solids) == ["Side"]
    assert [(f.code, f.where) for f in findings] == [
        ("model.null-shape", "Empty body"),
        ("model.null-shape", "Lost import"),
    ]


def test_surfaces_and_meshes_are_named(document: Any) -> None:
    import Mesh
    import Part

    box(document, "Side")
    feature(document, "Skin", Part.makeBox(10, 10, 10).Shells[0])
    document.addObject("Mesh::Feature", "Mesh").Mesh = Mesh.createBox(10, 10, 10)
    findings = read(document)[1]
    assert [(f.code, f.severity, f.where) for f in findings] == [
        ("model.no-solid", "warning", "Skin"),
        ("model.no-solid", "warning", "Mesh"),
    ]


@pytest.mark.parametrize(
    ("make", "says"),
    [
        (lambda doc: doc.addObject("Sketcher::SketchObject", "Sketch"), "draw or import"),
        (lambda doc: setattr(box(doc, "Side"), "Visibility", False), "are visible.*Side is hidden"),
        (lambda doc: setattr(doc.addObject("PartDesign::Body", "B"), "Label", "Empty"), "Empty has no shape"),
    ],
)
def test_no_solids_is_said_with_the_reason(document: Any, make: Any, says: str) -> None:
    make(document)
    with pytest.raises(UsageError, match=rf"^no solids.*{says}"):
        read(document)


def test_unusable_solids_say_why(app: Any, document: Any) -> None:
    import Part

    good = Part.makeBox(100, 60, 18)
    open_shell = Part.Solid(Part.Shell(good.Faces[:5]))
    inside_out = good.copy()
    inside_out.reverse()
    bow_tie = Part.makePolygon([app.Vector(*p, 0) for p in ((0, 0), (90, 60), (90, 0), (0, 40), (0, 0))])
    crossed = Part.Face(bow_tie).extrude(app.Vector(0, 0, 18))
    for label, shape in (("good", good), ("gap", open_shell), ("turned", inside_out), ("crossed", crossed)):
        feature(document, label, shape)
    problems = {s.label: s.problem() for s in read(document)[0]}
    assert problems["good"] == ""
    assert "gap" in problems["gap"]
    assert "inside out" in problems["turned"]
    assert "do not fit" in problems["crossed"] or "inside out" in problems["crossed"]


def test_reading_changes_nothing(document: Any) -> None:
    link = document.addObject("App::Link", "Link")
    link.LinkedObject = body(document, "Side")
    link.Placement = turned((1, 0, 0), 90, (0, 0, 9))
    document.recompute()
    before = [(o.Name, o.Label, o.State, o.Visibility) for o in document.Objects]
    read(document, recompute=False)
    assert [(o.Name, o.Label, o.State, o.Visibility) for o in document.Objects] == before
