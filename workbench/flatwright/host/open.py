# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Opening a model file. The file itself is only read."""

from __future__ import annotations

import importlib.util
import re
import xml.etree.ElementTree as ET
import zipfile
import zlib
from pathlib import Path
from typing import Any

import FreeCAD as App

from flatwright.findings import UsageError
from flatwright.host.version import version_text

SCHEMA = 4  # of Document.xml, the same from FreeCAD 0.13 to 1.1
NATIVE = (".fcstd",)
STEP = (".step", ".stp")


def open_model(path: Path | str) -> Any:
    """The document that holds the model of an .FCStd, .step or .stp file.

    A STEP file becomes a new document with the part names of the file. Raises `UsageError`,
    one sentence, when the file can't be read or holds nothing.
    """
    file = Path(path)
    kind = file.suffix.lower()
    if not file.exists():
        raise UsageError(f"there is no file {file}")
    if not file.is_file():
        raise UsageError(f"{file} is not a file")
    if kind not in NATIVE + STEP:
        raise UsageError(f"{file.name} is neither a FreeCAD document (.FCStd) nor a STEP file (.step, .stp)")
    doc = _open_native(file) if kind in NATIVE else _import_step(file)
    if not doc.Objects:
        App.closeDocument(doc.Name)
        raise UsageError(f"{file.name} is empty: there is no object in it")
    return doc


def _open_native(file: Path) -> Any:
    members = _checked(file)
    _import_proxies(members["Document.xml"])
    try:
        doc = App.openDocument(str(file))
    except Exception as reason:
        raise UsageError(f"{file.name} can't be opened: {_words(reason)}") from reason
    tree = members["Document.xml"]
    lost = _lost_objects(doc, tree)
    if lost:
        App.closeDocument(doc.Name)
        raise UsageError(
            f"{file.name} was saved by FreeCAD {_program(tree)} and this is {version_text()}, which can't "
            f"read its object {lost[0]}: open it where it was made and export it as STEP"
        )
    _take_old_visibility(doc, tree, members.get("GuiDocument.xml"))
    return doc


def _import_proxies(tree: ET.Element) -> None:
    """Import the host's own modules that the document's Python objects name, as opening it will: in a plain
    Python the host fails at the first of them, and its object (an array of links, say) would come without
    shape. What else a file names is not imported for it: that may be anybody's code."""
    for module in dict.fromkeys(p.get("module", "") for p in tree.iter("Python")):
        try:
            if _of_the_host(module):
                importlib.import_module(module)
        except Exception:  # the host says what it cannot restore, and so do we where a shape is missing
            continue


def _of_the_host(module: str) -> bool:
    """Whether a module is one of those that FreeCAD brings in its own Mod folder."""
    spec = importlib.util.find_spec(module.partition(".")[0])
    mods = Path(App.getResourceDir(), "Mod").resolve()
    return spec is not None and spec.origin is not None and Path(spec.origin).resolve().is_relative_to(mods)


def _checked(file: Path) -> dict[str, ET.Element]:
    """The two XML parts of a FreeCAD document that is whole and not too new."""
    try:
        with zipfile.ZipFile(file) as archive:
            damaged = archive.testzip()
            names = archive.namelist()
            wanted = [n for n in ("Document.xml", "GuiDocument.xml") if n in names]
            members: dict[str, ET.Element] = {n: ET.fromstring(archive.read(n)) for n in wanted}
    except OSError as reason:
        raise UsageError(f"{file.name} can't be read: {reason.strerror or reason}") from reason
    except (zipfile.BadZipFile, zlib.error, EOFError, ET.ParseError) as reason:
        raise UsageError(f"{file.name} is damaged or no FreeCAD document: {_words(reason)}") from reason
    if damaged:
        raise UsageError(f"{file.name} is damaged: its part {damaged} can't be read")
    if "Document.xml" not in members:
        raise UsageError(f"{file.name} is no FreeCAD document: it has no Document.xml")
    schema = members["Document.xml"].get("SchemaVersion", "0")
    if not schema.isdigit() or int(schema) > SCHEMA:
        raise UsageError(
            f"{file.name} has a newer file format ({schema}) than FreeCAD {version_text()} reads ({SCHEMA})"
        )
    return members


def _program(tree: ET.Element) -> str:
    """Version of the FreeCAD that wrote the file, as far as it says."""
    found = re.match(r"[\d.]+", tree.get("ProgramVersion", ""))
    return found[0] if found else "of unknown version"


def _lost_objects(doc: Any, tree: ET.Element) -> list[str]:
    """Objects with a shape or with members that the host could not make: of a type that came after it."""
    marks = ("@type='Part::PropertyPartShape'", "@name='Group'")
    return [
        o.get("name", "")
        for o in tree.iterfind("ObjectData/Object")
        if any(o.find(f"Properties/Property[{mark}]") is not None for mark in marks)
        and doc.getObject(o.get("name", "")) is None
    ]


def _take_old_visibility(doc: Any, tree: ET.Element, view: ET.Element | None) -> None:
    """Up to FreeCAD 0.18 only the view part of the file says what is hidden."""
    if view is None:
        return
    known = {
        o.get("name")
        for o in tree.iterfind("ObjectData/Object")
        if o.find("Properties/Property[@name='Visibility']") is not None
    }
    for provider in view.iterfind("ViewProviderData/ViewProvider"):
        name = provider.get("name", "")
        shown = provider.find("Properties/Property[@name='Visibility']/Bool")
        obj = doc.getObject(name)
        if obj is not None and name not in known and shown is not None:
            obj.Visibility = shown.get("value") == "true"


def _import_step(file: Path) -> Any:
    """Read a STEP file part by part; equal part names stay equal (the reader numbers them)."""
    import Import

    _check_step_text(file)
    settings = App.ParamGet("User parameter:BaseApp/Preferences/Document")
    before = settings.GetBool("DuplicateLabels", False)
    active = App.ActiveDocument
    doc = App.newDocument(file.stem)
    settings.SetBool("DuplicateLabels", True)
    try:
        # FreeCAD 0.20 without a window dies on its default of merging compounds.
        Import.insert(name=str(file), docName=doc.Name, merge=False, useLinkGroup=False)
    except Exception as reason:
        App.closeDocument(doc.Name)
        raise UsageError(f"{file.name} can't be read as STEP: {_words(reason)}") from reason
    finally:
        settings.SetBool("DuplicateLabels", before)
        if active is not None:
            App.setActiveDocument(active.Name)
    return doc


def _check_step_text(file: Path) -> None:
    """Refuse what is no whole STEP file before the kernel sees it (ISO 10303-21 §5: first and last token)."""
    try:
        text = file.read_bytes()
    except OSError as reason:
        raise UsageError(f"{file.name} can't be read: {reason.strerror or reason}") from reason
    if not text.lstrip(b"\xef\xbb\xbf \t\r\n").startswith(b"ISO-10303-21"):
        raise UsageError(f"{file.name} is no STEP file: it does not begin with ISO-10303-21")
    if b"END-ISO-10303-21" not in text[-4096:]:
        raise UsageError(f"{file.name} is cut short: the end mark of a STEP file is missing")


def _words(reason: BaseException) -> str:
    return " ".join(str(reason).split()) or type(reason).__name__
