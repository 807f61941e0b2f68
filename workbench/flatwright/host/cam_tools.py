# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Router bits and their controllers in a host job, made in the document and never from a library."""

from __future__ import annotations

import contextlib
import functools
import math
from collections.abc import Iterator
from typing import Any

from flatwright.findings import UsageError
from flatwright.host.cam_modules import cam
from flatwright.host.version import can
from flatwright.presets.model import Bit, Feed, Preset

SHAPE = "endmill.fcstd"  # the host's flat-bottomed cutter
SHANK = 25.0  # mm above the flutes, so that the host can draw the bit


def bit_name(bit: Bit, units: str) -> str:
    """What the trade calls the bit, by its nominal diameter.

    >>> bit_name(Bit(3, "down-cut", 6.35, 2, 25.0), "in")
    '0.25 in down-cut'
    """
    size = f"{bit.diameter / 25.4:.4g} in" if units == "in" else f"{bit.diameter:.4g} mm"
    return f"{size} {bit.kind}"


def bit_and_feed(preset: Preset, number: int, board: str | None) -> tuple[Bit, Feed]:
    """A bit and its cutting data. Raises UsageError when either is missing or not above zero."""
    try:
        bit, feed = preset.bit(number), preset.feed(number, board)
    except KeyError as e:
        raise UsageError(f"preset {preset.name!r} has no bit {number} or no feeds for it") from e
    values = {
        "diameter": bit.cut,
        "cutting length": bit.cutting_length,
        "spindle speed": feed.spindle,
        "feed": feed.cutting_feed(bit.flutes),
        "plunge feed": feed.plunge,
    }
    for name, value in values.items():
        if not (math.isfinite(value) and value > 0.0):
            raise UsageError(
                f"the {name} of bit {number} is {value:g}; give it a value above zero in the preset"
            )
    return bit, feed


def make_controller(job: Any, bit: Bit, feed: Feed, units: str) -> Any:
    """Add a bit and its controller to the job; speeds as the preset says."""
    name = bit_name(bit, units)
    tool = _make_tool(job.Document, bit, f"{name}, {job.Label}")
    label = f"bit {bit.number}, {name}, {job.Label}"
    tc = cam("controller").Create("ToolController", tool=tool, toolNumber=bit.number)
    tc.Label = label
    tc.HorizFeed = f"{feed.cutting_feed(bit.flutes):.6f} mm/min"
    tc.VertFeed = f"{feed.plunge:.6f} mm/min"
    tc.SpindleSpeed = feed.spindle
    tc.SpindleDir = "Forward"
    job.Proxy.addToolController(tc)
    return tc


def _make_tool(doc: Any, bit: Bit, label: str) -> Any:
    sizes = {
        "Diameter": bit.cut,
        "CuttingEdgeHeight": bit.cutting_length,
        "ShankDiameter": bit.diameter,
        "Length": bit.cutting_length + SHANK,
    }
    parameters = {k: f"{v:.6f} mm" for k, v in sizes.items()} | {"Flutes": str(bit.flutes)}
    shape = {"name": "ToolBit", "shape": SHAPE, "parameter": parameters, "attribute": {}}
    if can("toolbit_assets"):
        tool = _drawn_tool(doc, shape)
    else:
        tool = cam("bit").Factory.CreateFromAttrs(shape, name="ToolBit")
    tool.Label = label
    tool.Visibility = False
    return tool


def _drawn_tool(doc: Any, shape: dict[str, Any]) -> Any:
    """A bit of 1.1 whose shape is drawn here instead of being copied from the host's shape file.

    To copy it the host opens and closes that file, which ends the caller's transaction (one
    undo step would become several), and leaves a dozen objects in the document for every bit.
    """
    bit = cam("toolbit").ToolBit.from_dict(shape, shallow=True)
    bit._update_visual_representation = lambda: _draw(bit.obj)
    return bit.attach_to_doc(doc=doc)


def _draw(tool: Any) -> None:
    import FreeCAD
    import Part

    def at(radius: float, z: float) -> Any:
        return FreeCAD.Vector(radius, 0, z)

    cut, shank = tool.Diameter.Value / 2, tool.ShankDiameter.Value / 2
    flutes, top = tool.CuttingEdgeHeight.Value, tool.Length.Value
    corners = [at(0, 0), at(cut, 0), at(cut, flutes), at(shank, flutes), at(shank, top), at(0, top)]
    if cut == shank:
        del corners[2:4]
    outline = Part.Face(Part.makePolygon([*corners, corners[0]]))
    tool.Shape = outline.revolve(FreeCAD.Vector(0, 0, 0), FreeCAD.Vector(0, 0, 1), 360)


def remove_controller(tc: Any) -> None:
    """Take a controller and everything of its bit out of the document."""
    doc: Any = tc.Document
    tool: Any = getattr(tc, "Tool", None)
    doc.removeObject(tc.Name)
    if not hasattr(tool, "Document"):  # none, or 0.20 is set to keep tools that are no objects
        return
    body = getattr(tool, "BitBody", None)
    if body is not None:
        body.removeObjectsFromDocument()
        doc.removeObject(body.Name)
    doc.removeObject(tool.Name)


@contextlib.contextmanager
def no_default_bit() -> Iterator[None]:
    """Let the host make a job's default controller without a bit: it goes away at once."""
    module = cam("controller")
    kept = module.Create
    module.Create = functools.partial(kept, assignTool=False, assignViewProvider=False)
    try:
        yield
    finally:
        module.Create = kept


@contextlib.contextmanager
def plain_bits() -> Iterator[None]:
    """Keep the window of 0.20 and 1.0 from opening a transaction of its own for every bit."""
    if can("toolbit_assets"):
        yield
        return
    module = cam("bit")
    kept = module.Factory
    module.Factory = module.ToolBitFactory()
    try:
        yield
    finally:
        module.Factory = kept
