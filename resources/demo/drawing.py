# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Few words for drawing flat boards in FreeCAD: rounded outlines, sketches, boards, cuts, files.

Lengths are mm. A loop is a list of corners (x, y) or (x, y, radius): straight lines, each corner
rounded by its radius, so that curves run smoothly into each other.
"""

from __future__ import annotations

import math
import re
from pathlib import Path

import FreeCAD as App
import Import
import Part

from flatwright.host.shown import add_view, visible_names

Vector = App.Vector
BIRCH = (0.91, 0.81, 0.62)
LICENCE = ("CC-BY-SA-4.0", "https://creativecommons.org/licenses/by-sa/4.0/")

# How a sketch stands in space: its x and y become these directions.
FLAT = App.Rotation()  # x, y
SIDE = App.Rotation(Vector(1, 1, 1), 120)  # y, z; its normal is x
FRONT = App.Rotation(Vector(1, 0, 0), 90)  # x, z; its normal is -y


def document(name):
    """An empty document under the demo's licence that names nobody."""
    doc = App.newDocument(name)
    doc.License, doc.LicenseURL = LICENCE
    doc.Company = doc.CreatedBy = doc.LastModifiedBy = ""
    return doc


def rectangle(x0, y0, x1, y1, radius=0.0):
    return [(x0, y0, radius), (x1, y0, radius), (x1, y1, radius), (x0, y1, radius)]


def mirrored(half, middle):
    """A loop from its right half, given from the bottom upwards, mirrored about x = middle."""
    return half + [(2 * middle - x, *rest) for x, *rest in reversed(half)]


def curves(loop):
    """The loop as Part lines and arcs; raises ValueError where a rounding has no room."""
    cuts = [_rounding(loop[i - 1], loop[i], loop[(i + 1) % len(loop)]) for i in range(len(loop))]
    out = []
    for (start, middle, end), (following, *_) in zip(cuts, cuts[1:] + cuts[:1], strict=True):
        if middle is not None:
            out.append(Part.Arc(start, middle, end))
        if end.distanceToPoint(following) > 1e-6:
            out.append(Part.LineSegment(end, following))
    return out


def _rounding(before, corner, after):
    """(where the arc begins, its middle or None, where it ends) at one corner."""
    c = Vector(corner[0], corner[1], 0)
    a, b = Vector(before[0], before[1], 0) - c, Vector(after[0], after[1], 0) - c
    radius = corner[2] if len(corner) > 2 else 0.0
    if not radius:
        return c, None, c
    half = a.getAngle(b) / 2
    room = radius / math.tan(half)
    if room > min(a.Length, b.Length) + 1e-9:
        raise ValueError(f"a rounding of {radius} mm has no room at {corner[:2]}")
    bisector = (a.normalize() + b.normalize()).normalize()
    return c + a * room, c + bisector * (radius / math.sin(half) - radius), c + b * room


def circle(x, y, diameter):
    return Part.Circle(Vector(x, y, 0), Vector(0, 0, 1), diameter / 2)


def sketch(owner, name, loops, at=(0, 0, 0), turn=FLAT):
    """A sketch of loops (lists of corners) and circles; every curve is locked in place."""
    kind = "Sketcher::SketchObject"
    made = owner.newObject(kind, name) if hasattr(owner, "newObject") else owner.addObject(kind, name)
    for loop in loops:
        made.addGeometry(curves(loop) if isinstance(loop, list) else [loop], False)
    _lock(made)
    made.Placement = App.Placement(Vector(*at), turn)
    made.Visibility = False
    return made


def _lock(made):
    import Sketcher

    made.addConstraint([Sketcher.Constraint("Block", i) for i in range(made.GeometryCount)])


def board(doc, label, profile, thickness):
    """A board extruded from a sketch along its normal."""
    made = doc.addObject("Part::Extrusion", _name(label))
    made.Label = label
    made.Base, made.DirMode, made.LengthFwd, made.Solid = profile, "Normal", thickness, True
    made.FaceMakerClass = "Part::FaceMakerBullseye"
    return made


def block(doc, label, low, high):
    """A box between two corners."""
    made = doc.addObject("Part::Box", _name(label))
    made.Label = label
    made.Length, made.Width, made.Height = (h - k for k, h in zip(low, high, strict=True))
    made.Placement.Base = Vector(*low)
    return made


def cut(doc, label, base, tools):
    """The base less the tools, which are hidden."""
    tool = tools[0]
    if len(tools) > 1:
        tool = doc.addObject("Part::MultiFuse", "Tools")
        tool.Label, tool.Shapes = f"{label}: cut away", tools
    made = doc.addObject("Part::Cut", _name(label))
    made.Label, made.Base, made.Tool = label, base, tool
    for hidden in (base, tool, *tools):
        hidden.Visibility = False
    return made


def body(doc, label, profile_loops, thickness, holes=(), at=(0, 0, 0), turn=FLAT):
    """A PartDesign body: one pad and, where holes are given, one pocket through it."""
    made = doc.addObject("PartDesign::Body", _name(label))
    made.Label = label
    pad = made.newObject("PartDesign::Pad", "Pad")
    pad.Profile = sketch(made, "Outline", profile_loops)
    pad.Length = thickness
    if holes:
        pocket = made.newObject("PartDesign::Pocket", "Holes")
        pocket.Profile = sketch(made, "HoleCircles", holes)
        pocket.Type, pocket.Reversed = "ThroughAll", True
        pad.Visibility = False
    made.Placement = App.Placement(Vector(*at), turn)
    return made


def part(doc, label, members, at=(0, 0, 0), turn=FLAT):
    """An App::Part that holds the members."""
    made = doc.addObject("App::Part", _name(label))
    made.Label = label
    made.addObjects(members)
    made.Placement = App.Placement(Vector(*at), turn)
    return made


def link(doc, label, target, at=(0, 0, 0), turn=FLAT):
    """A second instance of an object, at its own place."""
    made = doc.addObject("App::Link", _name(label))
    made.Label, made.LinkedObject = label, target
    made.Placement = App.Placement(Vector(*at), turn)
    return made


def store(doc, boards, path: Path):
    """Recompute, then write path.FCStd and path.step (placed boards, named by their labels)."""
    doc.recompute()
    wrong = [o.Label for o in doc.Objects if "Invalid" in o.State]
    if wrong:
        raise RuntimeError(f"could not be drawn: {', '.join(wrong)}")
    stored = path.with_suffix(".FCStd")
    doc.saveAs(str(stored))
    whole = Part.makeCompound([shape for _, shape in boards]).BoundBox
    names = visible_names(doc)
    add_view(
        stored,
        names,
        colours=dict.fromkeys(names, BIRCH),
        centre=whole.Center,
        size=1.1 * whole.DiagonalLength,
    )
    flat = App.newDocument(path.stem.replace("-", "_"))  # the name of the whole in the STEP file
    for label, shape in boards:
        made = flat.addObject("Part::Feature", "Board")
        made.Label, made.Shape = label, shape.copy()  # a shared shape would bring the first one's name
    step = path.with_suffix(".step")
    Part.setStaticValue("write.surfacecurve.mode", 0)  # curves on faces would double the file's size
    Import.export(flat.Objects, str(step))
    App.closeDocument(flat.Name)
    step.write_text(_tidied(step.read_text(), step.name))
    for extra in path.parent.glob(path.name + ".*Std?"):
        extra.unlink()


def _tidied(text, name):
    """STEP text without the day, the folder and the user, and without its line folding (a tenth of it)."""
    text = re.sub(
        r"FILE_NAME\(.*?\);", f"FILE_NAME('{name}','',(''),(''),'','','');", text, count=1, flags=re.DOTALL
    )
    return text.replace("\n  ", "").replace(" = ", "=")


def placed(root, sub=""):
    """The shape of an object, or of what `sub` names inside it, at its place in the document."""
    return Part.getShape(root, sub, needSubElement=False, transform=True)


def _name(label):
    return "".join(word.capitalize() for word in re.split(r"\W+", label))
