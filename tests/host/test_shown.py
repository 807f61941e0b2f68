# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""View data for files that were saved without a window."""

from __future__ import annotations

import shutil
import xml.etree.ElementTree as ET
import zipfile

from flatwright.host.shown import VIEW_FILE, add_view, visible_names


def saved(document, path):
    """A file with a shown and a hidden box and a Part; the names that a window should show."""
    box = document.addObject("Part::Box", "Shown")
    document.addObject("Part::Box", "Hidden").Visibility = False
    document.addObject("App::Part", "Group").addObject(box)
    document.recompute()
    document.saveAs(str(path))
    return visible_names(document)


def test_shown_are_the_visible_objects_without_origins(document, tmp_path):
    assert saved(document, tmp_path / "a.FCStd") == ["Shown", "Group"]


def test_view_data_comes_last_and_once(document, tmp_path):
    path = tmp_path / "a.FCStd"
    names = saved(document, path)
    for colour in ((1.0, 0.5, 0.0), (0.0, 0.0, 0.0)):  # the second call finds view data and adds nothing
        add_view(path, names, colours={"Shown": colour})
    with zipfile.ZipFile(path) as archive:
        assert archive.namelist()[-1] == VIEW_FILE
        assert archive.namelist().count(VIEW_FILE) == 1
        view = ET.fromstring(archive.read(VIEW_FILE))
    assert [p.get("name") for p in view.iter("ViewProvider")] == names
    assert next(view.iter("PropertyColor")).get("value") == str(0xFF800000)


def test_file_still_opens(app, document, tmp_path):
    path = tmp_path / "a.FCStd"
    add_view(path, saved(document, path))
    again = app.openDocument(
        str(shutil.copy(path, tmp_path / "b.FCStd"))
    )  # a file of its own: a.FCStd is open
    assert again.getObject("Shown").Shape.Volume == document.getObject("Shown").Shape.Volume
    app.closeDocument(again.Name)
