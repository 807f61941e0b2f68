# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Opening model files: what can't be read is said in one sentence, and no file is changed."""

from __future__ import annotations

import hashlib
import re
import shutil
import subprocess
import sys
import xml.etree.ElementTree as ET
import zipfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from flatwright.findings import UsageError
from support.documents import box, labels

EMPTY_STEP = """ISO-10303-21;
HEADER;
FILE_DESCRIPTION((''),'2;1');
FILE_NAME('','',(''),(''),'','','');
FILE_SCHEMA(('AUTOMOTIVE_DESIGN'));
ENDSEC;
DATA;
ENDSEC;
END-ISO-10303-21;
"""


@pytest.fixture(autouse=True)
def _closed(app: Any) -> Iterator[None]:
    yield
    for name in list(app.listDocuments()):
        app.closeDocument(name)


def open_model(path: Path) -> Any:
    from flatwright.host.open import open_model

    return open_model(path)


def read_solids(doc: Any) -> Any:
    from flatwright.host.solids import read_solids

    return read_solids(doc)


def saved(app: Any, path: Path, make: Callable[[Any], Any] = lambda doc: box(doc, "Side")) -> Path:
    """A document with what `make` puts into it, stored as `path`."""
    doc = app.newDocument(path.stem)
    make(doc)
    doc.recompute()
    doc.saveAs(str(path))
    app.closeDocument(doc.Name)
    return path


def rewritten(path: Path, changes: dict[str, Callable[[str], str]]) -> Path:
    """The stored document with some of its parts changed."""
    with zipfile.ZipFile(path) as archive:
        members = {n: archive.read(n) for n in archive.namelist()}
    for name, change in changes.items():
        members[name] = change(members.get(name, b"").decode()).encode()
    with zipfile.ZipFile(path, "w") as archive:
        for name, data in members.items():
            archive.writestr(name, data)
    return path


def complaint(path: Path) -> str:
    with pytest.raises(UsageError) as caught:
        open_model(path)
    text = str(caught.value)
    assert "\n" not in text
    assert path.name in text
    return text


@pytest.mark.parametrize(
    ("name", "content", "says"),
    [
        ("text.FCStd", "hello", "no FreeCAD document"),
        ("nothing.FCStd", "", "no FreeCAD document"),
        ("text.step", "hello", "no STEP file"),
        ("nothing.stp", "", "no STEP file"),
        ("short.step", EMPTY_STEP[:150], "cut short"),
        ("rubbish.step", "ISO-10303-21;\nrubbish\nEND-ISO-10303-21;\n", "STEP"),
        ("empty.step", EMPTY_STEP, "empty"),
        ("model.obj", "v 0 0 0", "neither"),
    ],
)
def test_a_file_that_is_no_model_is_refused(
    app: Any, tmp_path: Path, name: str, content: str, says: str
) -> None:
    file = tmp_path / name
    file.write_text(content)
    assert says in complaint(file)
    assert not app.listDocuments()


def test_a_missing_file_and_a_folder_are_refused(app: Any, tmp_path: Path) -> None:
    assert "there is no file" in complaint(tmp_path / "nowhere.FCStd")
    assert "is not a file" in complaint(tmp_path)


def test_a_truncated_document_is_refused(app: Any, tmp_path: Path) -> None:
    file = saved(app, tmp_path / "cut.FCStd")
    file.write_bytes(file.read_bytes()[:-200])  # the host itself opens some of these without a word
    assert "damaged" in complaint(file)


def test_a_document_with_a_damaged_part_is_refused(app: Any, tmp_path: Path) -> None:
    file = saved(app, tmp_path / "hurt.FCStd")
    data = bytearray(file.read_bytes())
    data[200:220] = bytes(20)
    file.write_bytes(data)
    assert "damaged" in complaint(file)


def test_an_archive_of_something_else_is_refused(app: Any, tmp_path: Path) -> None:
    file = tmp_path / "other.FCStd"
    with zipfile.ZipFile(file, "w") as archive:
        archive.writestr("notes.txt", "shelf")
    assert "Document.xml" in complaint(file)


def test_an_empty_document_is_refused(app: Any, tmp_path: Path) -> None:
    assert "empty" in complaint(saved(app, tmp_path / "bare.FCStd", lambda doc: None))
    assert not app.listDocuments()


def test_a_newer_file_format_is_refused(app: Any, tmp_path: Path) -> None:
    file = saved(app, tmp_path / "future.FCStd")
    rewritten(file, {"Document.xml": lambda t: re.sub(r'SchemaVersion="\d+"', 'SchemaVersion="5"', t)})
    assert "newer file format" in complaint(file)


@pytest.mark.parametrize(("kind", "name"), [("Part::Box", "Box"), ("App::Part", "Part")])
def test_an_object_of_a_type_that_came_later_is_named(app: Any, tmp_path: Path, kind: str, name: str) -> None:
    def make(doc: Any) -> None:
        doc.addObject("App::Part", "Part").addObject(box(doc, "Side"))

    file = saved(app, tmp_path / "later.FCStd", make)
    rewritten(file, {"Document.xml": lambda t: t.replace(f'"{kind}"', f'"{kind}Later"')})
    assert f"read its object {name}:" in complaint(file)


def test_files_of_before_0_19_keep_their_hidden_objects_hidden(app: Any, tmp_path: Path) -> None:
    """There only the view part says what is hidden; without a window the host ignores it."""

    def two(doc: Any) -> None:
        box(doc, "Shown")
        box(doc, "Construction")

    def without(text: str) -> str:
        return re.sub(r'<Property name="Visibility".*?</Property>', "", text, flags=re.DOTALL)

    def view(_: str) -> str:
        rows = "".join(
            f'<ViewProvider name="{name}"><Properties Count="1"><Property name="Visibility" '
            f'type="App::PropertyBool"><Bool value="{shown}"/></Property></Properties></ViewProvider>'
            for name, shown in (("Box", "true"), ("Box001", "false"))
        )
        return f'<Document SchemaVersion="1"><ViewProviderData Count="2">{rows}</ViewProviderData></Document>'

    file = saved(app, tmp_path / "old.FCStd", two)
    solids, _ = read_solids(open_model(rewritten(file, {"Document.xml": without, "GuiDocument.xml": view})))
    assert labels(solids) == ["Shown"]


def test_opening_changes_no_file(app: Any, tmp_path: Path) -> None:
    file = saved(app, tmp_path / "kept.FCStd")
    before = hashlib.sha256(file.read_bytes()).hexdigest()
    read_solids(open_model(file))
    assert hashlib.sha256(file.read_bytes()).hexdigest() == before
    assert [p.name for p in tmp_path.iterdir()] == ["kept.FCStd"]


def assembly_of_links(app: Any, folder: Path) -> Path:
    """An assembly whose two sides are links into another file."""
    parts = app.newDocument("parts")
    side = box(parts, "Side")
    parts.recompute()
    parts.saveAs(str(folder / "parts.FCStd"))
    doc = app.newDocument("assembly")
    doc.saveAs(str(folder / "assembly.FCStd"))
    for k in range(2):
        link = doc.addObject("App::Link", "Link")
        link.Label = f"Side {k + 1}"
        link.LinkedObject = side
        link.Placement.Base = app.Vector(0, 0, 100 * k)
    doc.recompute()
    doc.save()
    for d in (doc, parts):
        app.closeDocument(d.Name)
    return folder / "assembly.FCStd"


def test_links_lead_into_other_files(app: Any, tmp_path: Path) -> None:
    solids, _ = read_solids(open_model(assembly_of_links(app, tmp_path)))
    assert labels(solids) == ["Side 1", "Side 2"]


def test_a_missing_linked_file_is_named(app: Any, tmp_path: Path) -> None:
    file = assembly_of_links(app, tmp_path)
    (tmp_path / "parts.FCStd").unlink()
    with pytest.raises(UsageError, match=r"no solids.*parts\.FCStd"):
        read_solids(open_model(file))


def test_a_missing_linked_file_is_a_warning_if_there_is_more(app: Any, tmp_path: Path) -> None:
    file = assembly_of_links(app, tmp_path)
    doc = open_model(file)
    box(doc, "Shelf")
    doc.recompute()
    doc.save()
    for name in list(app.listDocuments()):
        app.closeDocument(name)
    (tmp_path / "parts.FCStd").unlink()
    solids, findings = read_solids(open_model(file))
    assert labels(solids) == ["Shelf"]
    missing = [f for f in findings if f.code == "model.missing-link"]
    assert [f.where for f in missing] == ["Side 1", "Side 2"]
    assert all(f.severity == "warning" and "parts.FCStd" in f.message for f in missing)


def test_step_part_names_are_those_of_the_file(app: Any, tmp_path: Path) -> None:
    """Also equal ones, also on 0.20, whose own default import dies on files of several parts."""
    import Import

    doc = app.newDocument("named")
    for k, name in enumerate(("Seat", "Leg", "Rail ä/1")):
        box(doc, name, at=(0, 0, 50 * k))
    doc.recompute()
    file = tmp_path / "named.step"
    Import.export(doc.Objects, str(file))
    file.write_text(file.read_text().replace("'Leg'", "'Seat'"))
    solids, findings = read_solids(open_model(file))
    assert labels(solids) == ["Seat", "Seat (2)", "Rail ä/1"]
    assert [f.code for f in findings] == ["model.equal-labels"]


def test_a_copied_folder_is_enough(app: Any, tmp_path: Path, shared_models: Path) -> None:
    """The open assembly by links opens where it was copied to, and says what is missing where it was not."""
    whole, half = tmp_path / "whole", tmp_path / "half"
    shutil.copytree(shared_models / "mobile-base", whole)
    half.mkdir()
    shutil.copy(next(whole.glob("*assembly*")), half)
    assert len(read_solids(open_model(next(whole.glob("*assembly*"))))[0]) == 30
    for name in list(app.listDocuments()):
        app.closeDocument(name)
    with pytest.raises(UsageError, match=r"no solids.*\.FCStd, which is not there"):
        read_solids(open_model(next(half.glob("*assembly*"))))


def test_an_array_of_links_is_whole_in_a_python_that_has_not_loaded_its_module(
    app: Any, tmp_path: Path
) -> None:
    import Draft

    doc = app.newDocument("slats")
    slat = doc.addObject("Part::Box", "Slat")
    doc.recompute()
    Draft.make_ortho_array(slat, v_x=app.Vector(0, 100, 0), n_x=4, n_y=1, n_z=1, use_link=True)
    doc.recompute()
    doc.saveAs(str(tmp_path / "slats.FCStd"))
    script = (
        "from flatwright.host.bootstrap import freecad; freecad()\n"
        "from flatwright.host.open import open_model\n"
        "from flatwright.host.solids import read_solids\n"
        f"print('solids', len(read_solids(open_model({str(tmp_path / 'slats.FCStd')!r}))[0]))"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert "solids 4" in done.stdout


def test_a_files_own_modules_are_not_imported_for_it(
    app: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from flatwright.host import open as opening

    (tmp_path / "stranger.py").write_text("")
    monkeypatch.syspath_prepend(tmp_path)
    names = ("stranger", "stranger.inner", "no_such_module", "", "draftobjects.clone")
    tree = ET.fromstring(f"<Document>{''.join(f'<Python module={n!r}/>' for n in names)}</Document>")
    opening._import_proxies(tree)
    assert "stranger" not in sys.modules
    assert "draftobjects.clone" in sys.modules
