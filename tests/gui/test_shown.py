# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""A window shows what a file with added view data says is visible."""

from __future__ import annotations

import json
import subprocess
import sys

import pytest

from flatwright.host.shown import add_view, visible_names

LOOK = """
import json, os, sys
from flatwright.host.bootstrap import freecad
App = freecad()
import FreeCADGui as Gui
Gui.showMainWindow()
import PartGui
doc = App.openDocument(sys.argv[1])
shown = {o.Name: bool(o.ViewObject.Visibility) for o in doc.Objects if o.isDerivedFrom("Part::Box")}
print("SHOWN", json.dumps(shown), flush=True)
os._exit(0)
"""


@pytest.mark.parametrize("with_view", [True, False], ids=["view data added", "saved without a window"])
def test_window_shows_what_the_file_says(app, document, tmp_path, with_view):
    path = tmp_path / "a.FCStd"
    document.addObject("Part::Box", "Shown")
    document.addObject("Part::Box", "Hidden").Visibility = False
    document.recompute()
    document.saveAs(str(path))
    if with_view:
        add_view(path, visible_names(document))
    run = subprocess.run([sys.executable, "-c", LOOK, str(path)], capture_output=True, text=True)
    line = next(line for line in run.stdout.splitlines() if line.startswith("SHOWN"))
    # the second case is why this exists: without view data every host opens the file with all hidden
    assert json.loads(line[6:]) == {"Shown": with_view, "Hidden": False}
