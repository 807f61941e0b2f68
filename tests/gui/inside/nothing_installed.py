# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The workbench where shapely is not installed."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import FreeCAD as App
import FreeCADGui as Gui

sys.path.insert(0, str(Path(__file__).parent))
from look import buttons, host_errors
from robot import answering, picture, press_ok, pump, start, texts


def workbench() -> Any:
    """Choosing it twice: it says once what to install."""

    def answer(dialog: Any) -> None:
        picture("without-shapely")
        press_ok(dialog)

    with answering(answer) as said:
        Gui.activateWorkbench("FlatwrightWorkbench")
        pump(0.5)
        Gui.activateWorkbench("PartWorkbench")
        Gui.activateWorkbench("FlatwrightWorkbench")
        pump(0.5)
    App.newDocument("Any")
    pump()
    report = [x for x in texts("Report view").splitlines() if "Flatwright needs" in x]
    return {"said": said, "report": report, "buttons": buttons(), "errors": host_errors()}


start([workbench])
