# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Which objects of a document are no part of the model: jobs, references, used-up shapes, our own."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

OURS = "FlatwrightKind"  # the property that marks everything that the add-in makes
SOURCES = "Sources"  # the property of a result that names what it was made of
HIDDEN = "Hidden"  # the property of a result that names what was hidden to show it

# Objects that never are a part of the piece of furniture, by type.
_NEVER = (
    "Path::",
    "TechDraw::",
    "Drawing::",
    "Spreadsheet::",
    "Image::",
    "Fem::",
    "App::Origin",
    "App::OriginFeature",
    "App::DatumElement",
    "App::LocalCoordinateSystem",
    "App::Placement",
    "App::Annotation",
    "Part::Part2DObject",
    "Part::Datum",
    "PartDesign::ShapeBinder",
    "PartDesign::SubShapeBinder",
)

# Features that use up other objects: type -> the properties that name them.
_USES: dict[str, tuple[str, ...]] = {
    "Part::Cut": ("Base", "Tool"),
    "Part::Fuse": ("Base", "Tool"),
    "Part::Common": ("Base", "Tool"),
    "Part::MultiFuse": ("Shapes",),
    "Part::MultiCommon": ("Shapes",),
    "Part::Compound": ("Links",),
    "Part::FilletBase": ("Base",),  # Fillet, Chamfer
    "Part::Thickness": ("Faces",),
    "Part::Offset": ("Source",),
    "Part::Refine": ("Source",),
    "Part::Reverse": ("Source",),
    "PartDesign::Boolean": ("Group",),
}

# Scripted features of the host that hide what they are made of, by the class of their proxy.
_SCRIPTED_USES: dict[str, tuple[str, ...]] = {
    "FeatureConnect": ("Objects",),
    "FeatureEmbed": ("Base", "Tool"),
    "FeatureCutout": ("Base", "Tool"),
    "FeatureBooleanFragments": ("Objects",),
    "FeatureSlice": ("Base", "Tools"),
    "FeatureXOR": ("Objects",),
    "_CompoundFilter": ("Base", "Stencil"),
    "Array": ("Base",),
    "PathArray": ("Base",),
    "PointArray": ("Base",),
    "PathTwistedArray": ("Base",),
}


def is_ours(obj: Any) -> bool:
    """True for an object that the add-in made."""
    return OURS in obj.PropertiesList


def stood_in_for(doc: Any) -> frozenset[str]:
    """Names of hidden objects that are read all the same: it was not the user who hid them, the result
    that was made of them is shown in their place."""
    results = (o for o in doc.Objects if getattr(o, OURS, "") == "result")
    return frozenset(name for result in results for name in getattr(result, HIDDEN, ()))


def is_no_part(obj: Any) -> bool:
    """True for references, drawings, sketches, paths and tool bits."""
    kind = obj.TypeId
    if any(kind.startswith(k) if k.endswith("::") else obj.isDerivedFrom(k) for k in _NEVER):
        return True
    return bool({"BitBody", "PathResource"} & set(obj.PropertiesList))


def of_jobs(doc: Any) -> set[str]:
    """Names of all objects that belong to the document's CAM jobs and tools: clones, stock, tool bodies."""
    names: set[str] = set()
    for obj in doc.Objects:
        properties = obj.PropertiesList
        if obj.TypeId.startswith("Path::") and {"Model", "Stock", "Tools"} <= set(properties):
            tops = (getattr(obj, p, None) for p in ("Model", "Stock", "Tools", "Operations", "SetupSheet"))
            names.update(o.Name for o in _with_members(t for t in tops if t is not None))
            names.add(obj.Name)
        body = getattr(obj, "BitBody", None)
        if body is not None:
            names.add(body.Name)
    return names


def used_up_by(obj: Any) -> Any | None:
    """The visible feature that was made out of this object and stands in its place, or None.

    The window hides what a feature uses up; a document made without a window may not.
    """
    for user in obj.InList:
        if any(_names(user, p, obj) for p in _used_properties(user)) and (
            user.Visibility or used_up_by(user) is not None
        ):
            return user
    return None


def _used_properties(user: Any) -> tuple[str, ...]:
    found: tuple[str, ...] = ()
    for kind, properties in _USES.items():
        if user.isDerivedFrom(kind):
            found += properties
    proxy = getattr(user, "Proxy", None)
    return found + _SCRIPTED_USES.get(type(proxy).__name__, ())


def _names(user: Any, name: str, obj: Any) -> bool:
    value = getattr(user, name, None)
    if value is None:
        return False
    members = value if isinstance(value, (list, tuple)) else [value]
    return any(m == obj or (isinstance(m, tuple) and m and m[0] == obj) for m in members)


def _with_members(tops: Iterable[Any]) -> list[Any]:
    found = []
    for top in tops:
        found.append(top)
        found.extend(_with_members(getattr(top, "Group", [])))
    return found
