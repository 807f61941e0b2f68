# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Reading the solids of a document: every visible one, once, where it stands in the assembly."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any

from flatwright.findings import Finding, UsageError, declare, finding
from flatwright.host import skipping
from flatwright.host.curves import read_loops
from flatwright.host.faces import read_face
from flatwright.host.tree import Leaf, leaves
from flatwright.panels.solid import Curve, Solid

declare(
    "warning",
    model__no_solid="A visible object holds surfaces or a mesh but no solid; it is left out",
)
declare("note", model__equal_labels="Several solids have the same label; they are numbered")

_TINY = 1e-6  # mm³


def read_solids(doc: Any) -> tuple[list[Solid], list[Finding]]:
    """The solids of a document in the order of its tree, and what was left out and why.

    Coordinates are mm in the assembly. Labels and sources are unique: equal ones are numbered.
    Raises `UsageError` if there is none. Nothing in the document is changed.
    """
    found, findings = leaves(doc)
    parts: list[tuple[Leaf, Any]] = []
    for leaf in found:
        solids = leaf.shape.Solids
        parts += [(leaf, s) for s in solids]
        if not solids and leaf.shape.Faces:
            findings.append(_not_solid("/".join(leaf.path), "surfaces that enclose nothing"))
    findings += [_not_solid(o.Label, "a mesh") for o in doc.Objects if _is_mesh(o) and o.Visibility]
    if not parts:
        raise UsageError(_why_none(doc, findings))
    labels = numbered([leaf.path[-1] for leaf, _ in parts])
    sources = numbered(["/".join(leaf.path) for leaf, _ in parts])
    objects = numbered(["/".join(leaf.names) for leaf, _ in parts])
    findings += _equal_labels([leaf.path[-1] for leaf, _ in parts], labels)
    checked = _Checked()
    solids = [
        replace(_read(solid, source, label, checked), object=name)
        for (_, solid), source, label, name in zip(parts, sources, labels, objects, strict=True)
    ]
    return solids, findings


def _read(raw: Any, source: str, label: str, checked: _Checked) -> Solid:
    faces = raw.Faces
    values = tuple(read_face(f) for f in faces)
    closed = all(shell.isClosed() for shell in raw.Shells)
    return Solid(source, label, values, _loops_of(faces), lambda: checked.problem(raw), closed)


class _Checked:
    """Solids checked so far: the kernel's check is slow, and links share one geometry."""

    def __init__(self) -> None:
        self._known: dict[int, list[tuple[Any, str]]] = {}

    def problem(self, raw: Any) -> str:
        alike = self._known.setdefault(len(raw.Faces), [])
        for other, problem in alike:
            if raw.isPartner(other):
                return problem
        alike.append((raw, problem_of(raw)))
        return alike[-1][1]


def _loops_of(faces: Sequence[Any]) -> Callable[[int], list[list[Curve]]]:
    return lambda i: read_loops(faces[i])


def problem_of(solid: Any) -> str:
    """Why the kernel finds a solid unusable, in plain words; "" if it is sound."""
    if not all(shell.isClosed() for shell in solid.Shells):
        return "its surface has a gap"
    volume = solid.Volume
    if abs(volume) < _TINY:
        return "it has no volume"
    if volume < 0:
        return "it is inside out"
    if not solid.isValid():
        return "its faces or edges do not fit together (the kernel's check of the shape fails)"
    return ""


def numbered(names: Sequence[str]) -> list[str]:
    """The names, later ones of equals with " (2)", " (3)"…, so that all differ.

    >>> numbered(["side", "top", "side", "side (2)"])
    ['side', 'top', 'side (3)', 'side (2)']
    """
    taken = set(names)
    used: set[str] = set()
    out = []
    for name in names:
        new, k = name, 1
        while new in used or (k > 1 and new in taken):
            k += 1
            new = f"{name} ({k})"
        used.add(new)
        out.append(new)
    return out


def _equal_labels(labels: Sequence[str], unique: Sequence[str]) -> list[Finding]:
    return [
        finding(
            "model.equal-labels",
            label,
            f"{count} solids are called {label}; they are numbered "
            + ", ".join(new for old, new in zip(labels, unique, strict=True) if old == label),
            "Nothing to do; give them labels of their own to tell them apart on the papers.",
        )
        for label, count in Counter(labels).items()
        if count > 1
    ]


def _not_solid(where: str, what: str) -> Finding:
    return finding(
        "model.no-solid",
        where,
        f"{where.rsplit('/', 1)[-1]} is {what}, not a solid",
        "Make a solid of it (Part workbench: Convert to Solid), or hide it if it is no part of the piece.",
    )


def _is_mesh(obj: Any) -> bool:
    return str(obj.TypeId).startswith("Mesh::") and not skipping.is_ours(obj)


def _why_none(doc: Any, findings: Sequence[Finding]) -> str:
    name = doc.Label
    for f in findings:
        if f.code == "model.missing-link":
            return f"no solids in {name}: {f.message}"
    hidden = [o for o in doc.Objects if not o.Visibility and getattr(o, "Shape", None) and o.Shape.Solids]
    if hidden:
        example = hidden[-1].Label
        return f"no solids are visible in {name}: show what belongs to the piece ({example} is hidden)"
    for f in findings:
        if f.code in ("model.no-solid", "model.null-shape"):
            return f"no solids in {name}: {f.message}"
    return f"no solids in {name}: draw or import the piece first"
