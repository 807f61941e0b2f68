# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Our operation in the host's job: it holds plain moves and shows them as the host's path.

`flatwright.host.operation.OperationProxy` is written into users' files: never rename it.
"""

from __future__ import annotations

from typing import Any

from flatwright.cutting.moves import Operation
from flatwright.findings import UsageError
from flatwright.host import cam_moves
from flatwright.host.stateless import Stateless
from flatwright.presets.model import Preset

SCHEMA = 1
SLOWEST = 10  # % of the planned feeds: below, a bit only rubs

# name, type, group, meaning, editor mode (0 free, 1 read-only, 2 hidden)
PROPERTIES: tuple[tuple[str, str, str, str, int], ...] = (
    ("Active", "Bool", "Path", "Make False to leave this operation out", 0),
    ("ToolController", "Link", "Path", "The bit, its speed and its feeds", 0),
    ("CoolantMode", "Enumeration", "Path", "Coolant; wood is cut dry", 2),
    ("Comment", "String", "Path", "A note of yours", 0),
    ("CycleTime", "String", "Path", "Estimated time", 1),
    ("FeedOverride", "Percent", "Path", "Share of the planned feeds, 10 to 100 %, until the next Apply", 0),
    ("Kind", "String", "Flatwright", "What the operation cuts", 1),
    ("PanelName", "String", "Flatwright", "The panel that it cuts", 1),
    ("Refused", "String", "Flatwright", "Why nothing is cut; empty when all is well", 1),
    ("MovesJson", "String", "Flatwright", "The moves, with every digit", 2),
    ("SchemaVersion", "Integer", "Flatwright", "Version of these properties", 2),
)


class RefusedError(UsageError):
    """An operation that must not cut; the message is the reason."""


class OperationProxy(Stateless):
    """Keeps the path in step with the moves; an operation that is refused has an empty path."""

    def __init__(self, obj: Any) -> None:
        obj.Proxy = self
        init_properties(obj)

    def execute(self, obj: Any) -> None:
        """Build the path anew. Raises RefusedError, with the path emptied, when refused."""
        import Path

        if obj.Refused:
            _empty(obj)
            raise RefusedError(f"{obj.Label} is not cut: {obj.Refused}")
        if not obj.Active:
            obj.Path = Path.Path([Path.Command("(inactive operation)")])
            obj.CycleTime = cam_moves.clock(0.0)
            return
        try:
            moves, units, stops = cam_moves.from_json(obj.MovesJson)
        except ValueError:
            _empty(obj)
            raise
        share = min(100, max(SLOWEST, obj.FeedOverride)) / 100
        obj.Path = moves_to_path(cam_moves.moves_to_words(cam_moves.slower(moves, share), units, stops))
        obj.CycleTime = cam_moves.clock(cam_moves.seconds_of(obj.MovesJson, share))

    def onDocumentRestored(self, obj: Any) -> None:
        """Bring an older file's properties up to date and its place in the tree back."""
        init_properties(obj)
        from flatwright.host import cam_views

        cam_views.show_operation(obj)


def init_properties(obj: Any) -> None:
    """Add what is missing; on a new object and on one from an older file alike."""
    for name, kind, group, meaning, mode in PROPERTIES:
        if name not in obj.PropertiesList:
            obj.addProperty(f"App::Property{kind}", name, group, meaning)
            if name == "Active":
                obj.Active = True
            elif name == "CoolantMode":
                obj.CoolantMode = ["None", "Flood", "Mist"]
            elif name == "FeedOverride":
                obj.FeedOverride = 100
            elif name == "SchemaVersion":
                obj.SchemaVersion = SCHEMA
        obj.setEditorMode(name, mode)


def add_operation(job: Any, operation: Operation, controller: Any, preset: Preset, label: str) -> None:
    """Make the host's object for one operation and append it to the job."""
    obj = job.Document.addObject("Path::FeaturePython", "Cut")
    OperationProxy(obj)
    obj.Label = label
    obj.ToolController = controller
    obj.Kind = operation.kind
    obj.PanelName = operation.panel or ""
    machine = preset.machine
    obj.MovesJson = cam_moves.to_json(operation, preset.post.units, machine.rapid, machine.acceleration)
    job.Proxy.addOperation(obj)


def refuse(obj: Any, reason: str) -> None:
    """Empty the operation's path at once and keep it empty.

    Whenever the host computes the operation it raises and says why. That is only once something
    touches it, since the host writes a traceback each time; until then its icon in the tree says it.
    """
    obj.Refused = reason
    _empty(obj)
    obj.purgeTouched()


def allow(obj: Any) -> None:
    """Give an operation that was refused its path again."""
    obj.Refused = ""
    obj.Proxy.execute(obj)
    obj.purgeTouched()


def is_ours(obj: Any) -> bool:
    """True for an operation that this module made."""
    return isinstance(getattr(obj, "Proxy", None), OperationProxy)


def moves_to_path(words: list[cam_moves.Word]) -> Any:
    """The host's path of some words."""
    import Path

    return Path.Path([Path.Command(name, parameters) for name, parameters in words])


def _empty(obj: Any) -> None:
    import Path

    obj.Path = Path.Path()
    obj.CycleTime = cam_moves.clock(0.0)
