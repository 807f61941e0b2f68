# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""A walk down the document's tree: every visible object with a shape, once, where it stands.

The order is that of the tree: objects without a parent in the document's order, each
followed by its children. Groups and App::Part have a shape of their own (a compound of their
children); the walk goes down instead.
"""

from __future__ import annotations

import io
import xml.etree.ElementTree as ET
import zipfile
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

import FreeCAD as App

from flatwright.findings import Finding, declare, finding
from flatwright.host import skipping
from flatwright.host.transform import moved, scaling

declare(
    "warning",
    model__missing_link="A link leads to a file or an object that is not there, so its parts are missing",
    model__null_shape="A visible object has no shape; it is left out",
)
declare(
    "note",
    model__used_up="A visible object was used up by a feature that stands in its place; it is left out",
    model__hidden_group="A visible object stands in a hidden group; it is left out",
)


@dataclass(frozen=True, slots=True)
class Leaf:
    """An object's shape, placed in the assembly; `path` are the labels from the root down to it, `names`
    the host's own names of the same, which never change."""

    object: Any
    shape: Any
    path: tuple[str, ...]
    names: tuple[str, ...] = ()


def leaves(doc: Any) -> tuple[list[Leaf], list[Finding]]:
    """All visible shapes of a document in the order of its tree, and what was left out."""
    walk = _Walk(skipping.stood_in_for(doc))
    seen: set[str] = set()
    for root in doc.Objects:
        if _parent(root) is None:
            walk.visit(root, App.Matrix(), (), seen)
    return walk.leaves, walk.findings


def tops(doc: Any) -> list[str]:
    """Names of the objects that `leaves` goes into: at the top of the tree, and in its plain groups, whose
    members the window hides with them."""
    hidden, jobs = skipping.stood_in_for(doc), skipping.of_jobs(doc)

    def counted(objects: Iterable[Any]) -> Iterator[str]:
        for obj in objects:
            if skipping.is_ours(obj) or skipping.is_no_part(obj) or obj.Name in jobs:
                continue
            if not obj.Visibility and obj.Name not in hidden:
                continue
            if _is_plain_group(obj) and (obj.Group or not hasattr(obj, "Shape")):
                yield from counted(obj.Group)
            else:
                yield obj.Name

    return list(dict.fromkeys(counted(o for o in doc.Objects if _parent(o) is None)))


class _Walk:
    """The state of one walk. `seen` holds what was visited within one coordinate system."""

    def __init__(self, stood_in_for: frozenset[str]) -> None:
        self._stood_in_for = stood_in_for
        self.leaves: list[Leaf] = []
        self.findings: list[Finding] = []
        self._jobs: dict[str, set[str]] = {}

    def visit(self, obj: Any, parent: Any, path: tuple[Any, ...], seen: set[str]) -> None:
        """Visit an object of the tree and all below it; `parent` maps its space to the assembly's."""
        key = f"{obj.Document.Name}#{obj.Name}"
        if key in seen or skipping.is_ours(obj) or self._is_no_part(obj):
            return
        seen.add(key)
        if not obj.Visibility and obj.Name not in self._stood_in_for:
            self._note_hidden_group(obj)
            return
        user = skipping.used_up_by(obj)
        if user is not None:
            self._note(
                "model.used-up",
                obj.Label,
                f"{obj.Label} was used up by {user.Label}, which stands in its place",
                "Nothing to do; hide it to make this note go away.",
            )
            return
        self.enter(obj, parent, (*path, obj), seen)

    def enter(self, obj: Any, outside: Any, path: tuple[Any, ...], seen: set[str]) -> None:
        """Go into an object; `outside` maps the space that its placement counts in to the assembly's."""
        if obj.isDerivedFrom("PartDesign::Body"):
            self._leaf(obj, outside, path)
        elif obj.isDerivedFrom("App::LinkGroup"):
            for i, child in enumerate(obj.ElementList):
                if _element_visible(obj, i):
                    self.visit(child, outside * obj.Placement.toMatrix(), path, seen)
        elif obj.isDerivedFrom("App::Link") or obj.isDerivedFrom("App::LinkElement"):
            self._link(obj, outside, path)
        elif obj.hasExtension("App::GeoFeatureGroupExtension"):
            self._members(obj, outside * obj.Placement.toMatrix(), path, set())
        elif obj.hasExtension("App::GroupExtension") and (obj.Group or not hasattr(obj, "Shape")):
            self._members(obj, outside, path, seen)  # a plain group does not move its members
        elif hasattr(obj, "Shape"):
            self._leaf(obj, outside, path)

    def _members(self, group: Any, space: Any, path: tuple[Any, ...], seen: set[str]) -> None:
        members = list(group.Group)
        inner = {m.Name for g in members if _is_plain_group(g) for m in g.Group}
        for member in members:
            if member.Name not in inner:  # a Part also lists the members of its groups
                self.visit(member, space, path, seen)

    def _link(self, link: Any, outside: Any, path: tuple[Any, ...]) -> None:
        target, chain = _target(link)
        if target is None:
            self._note_missing(link)
            return
        base = outside * link.Placement.toMatrix() * scaling(link.ScaleVector)
        if not getattr(link, "ElementCount", 0):
            self._enter_target(target, base * chain, bool(link.LinkTransform), path)
            return
        for i in range(link.ElementCount):
            if not _element_visible(link, i):
                continue
            at = base * _element_matrix(link, i) * chain
            self._enter_target(target, at, bool(link.LinkTransform), path)

    def _enter_target(self, target: Any, at: Any, on_top: bool, path: tuple[Any, ...]) -> None:
        """A link shows its target even if that is hidden, and at its own place unless `on_top`."""
        if self._is_no_part(target):
            return
        self.enter(target, at if on_top else at * _inverse_placement(target), path, set())

    def _leaf(self, obj: Any, outside: Any, path: tuple[Any, ...]) -> None:
        shape = _shape(obj)
        labels = tuple(str(o.Label) for o in path)
        if shape is None:
            self._note(
                "model.null-shape",
                "/".join(labels),
                f"{labels[-1]} has no shape",
                "Recompute the model in FreeCAD and look at what its feature reports, or hide the object.",
            )
            return
        placed = shape if outside.isUnity() else moved(shape, outside)
        self.leaves.append(Leaf(obj, placed, labels, tuple(str(o.Name) for o in path)))

    def _is_no_part(self, obj: Any) -> bool:
        doc = obj.Document
        if doc.Name not in self._jobs:
            self._jobs[doc.Name] = skipping.of_jobs(doc)
        return obj.Name in self._jobs[doc.Name] or skipping.is_no_part(obj)

    def _note_hidden_group(self, obj: Any) -> None:
        if not _is_plain_group(obj):
            return
        shown = [m.Label for m in obj.Group if m.Visibility and hasattr(m, "Shape")]
        if shown:
            self._note(
                "model.hidden-group",
                obj.Label,
                f"the group {obj.Label} is hidden, so {_listed(shown)} in it was left out",
                "Show the group if its members belong to the piece, or hide them too.",
            )

    def _note_missing(self, link: Any) -> None:
        file, name = _lost_target(link)
        what = f"the file {file}, which is not there" if file else "an object that is not there"
        self.findings.append(
            finding(
                "model.missing-link",
                link.Label,
                f"the link {link.Label} leads to {what}" + (f" (object {name})" if file and name else ""),
                "Put the file back beside this one and open the model again, or remove the link.",
            )
        )

    def _note(self, code: str, where: str, message: str, remedy: str) -> None:
        self.findings.append(finding(code, where, message, remedy))


def _listed(labels: list[str]) -> str:
    return ", ".join(labels[:3]) + (f" and {len(labels) - 3} more" if len(labels) > 3 else "")


def _parent(obj: Any) -> Any | None:
    """The object of the same document that lists this one as its child."""
    for user in obj.InList:
        if user.Document == obj.Document and (
            obj in getattr(user, "Group", ()) or obj in (getattr(user, "ElementList", None) or ())
        ):
            return user
        if getattr(user, "LinkCopyOnChangeGroup", None) == obj:
            return user
    return None


def _is_plain_group(obj: Any) -> bool:
    return bool(
        obj.hasExtension("App::GroupExtension") and not obj.hasExtension("App::GeoFeatureGroupExtension")
    )


def _shape(obj: Any) -> Any | None:
    try:
        shape = obj.Shape
    except Exception:  # the host raises all kinds of errors for a broken feature
        return None
    return None if shape is None or shape.isNull() else shape


def _inverse_placement(obj: Any) -> Any:
    return obj.Placement.inverse().toMatrix() if hasattr(obj, "Placement") else App.Matrix()


def _element_visible(link: Any, i: int) -> bool:
    shown = getattr(link, "VisibilityList", ())
    return i >= len(shown) or bool(shown[i])


def _element_matrix(link: Any, i: int) -> Any:
    """Where element i of a link array stands in the link's space."""
    elements = link.ElementList
    if i < len(elements):
        return elements[i].Placement.toMatrix() * scaling(elements[i].ScaleVector)
    m = link.PlacementList[i].toMatrix() if i < len(link.PlacementList) else App.Matrix()
    scales = link.ScaleList
    return m * scaling(scales[i]) if i < len(scales) else m


def _target(link: Any) -> tuple[Any | None, Any]:
    """What a link shows, and the matrix from the object that it names down to it (for `Part.Child.`)."""
    linked = link.LinkedObject
    if not isinstance(linked, (tuple, list)):
        return linked, App.Matrix()
    owner, below = linked[0], linked[1]
    name = below if isinstance(below, str) else (below[0] if below else "")
    if owner is None or not name:
        return owner, App.Matrix()
    found = owner.getSubObject(name, retType=1)
    if found is None:
        return None, App.Matrix()
    place = owner.getSubObject(name, retType=4)
    return found, _inverse_placement(owner) * place * _inverse_placement(found)


def _lost_target(link: Any) -> tuple[str, str]:
    """(file, object name) that a broken link stores."""
    try:
        with zipfile.ZipFile(io.BytesIO(bytes(link.dumpPropertyContent("LinkedObject")))) as archive:
            stored = ET.fromstring(archive.read(archive.namelist()[0]))
    except Exception:  # the message then does without
        return "", ""
    entry = next(iter(stored.iter("XLink")), None)
    return ("", "") if entry is None else (entry.get("file", ""), entry.get("name", ""))
