# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Pictures of a run's result: `pictures.py FOLDER` makes fitted.png and sheet-1.png from fitted.FCStd.

Without a display it starts one of its own (xvfb-run).
"""

from __future__ import annotations

import contextlib
import os
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from flatwright.host.bootstrap import freecad

SIZE = (1200, 800)


def main(folder: Path) -> int:
    """Make both pictures; the exit code."""
    app = freecad()
    import FreeCADGui

    FreeCADGui.showMainWindow()
    import PartGui  # noqa: F401  0.20 draws no parts without it

    with quiet():
        doc = app.openDocument(str(folder / "fitted.FCStd"))
    kinds = {o.Name: getattr(o, "FlatwrightKind", "") for o in doc.Objects}
    shoot(
        FreeCADGui, doc, {n for n, k in kinds.items() if k == "panel"}, "viewIsometric", folder / "fitted.png"
    )
    first = next((o for o in doc.Objects if kinds[o.Name] == "sheet"), None)
    if first is not None:
        members = {o.Name for o in first.Group if kinds[o.Name] in ("board", "layout", "zones", "heads")}
        shoot(FreeCADGui, doc, members, "viewTop", folder / f"{first.SheetName}.png")
    return 0


def shoot(gui: Any, doc: Any, names: set[str], view: str, file: Path) -> None:
    """Show only these objects, look from there, and save what is seen."""
    for o in doc.Objects:
        if o.ViewObject is not None:
            holds = {x.Name for x in getattr(o, "Group", ())} & names
            o.ViewObject.Visibility = o.Name in names or bool(holds)
    active = gui.getDocument(doc.Name).ActiveView
    getattr(active, view)()
    active.fitAll()
    for _ in range(20):
        gui.updateGui()
        time.sleep(0.02)
    active.saveImage(str(file), *SIZE, "White")


@contextlib.contextmanager
def quiet() -> Iterator[None]:
    """Without what the host itself writes: 0.20 says "setAttr failed" of every tool controller it opens."""
    kept = [os.dup(n) for n in (1, 2)]
    nothing = os.open(os.devnull, os.O_WRONLY)
    for n in (1, 2):
        os.dup2(nothing, n)
    try:
        yield
    finally:
        for n, fd in zip((1, 2), kept, strict=True):
            os.dup2(fd, n)


if __name__ == "__main__":
    if not os.environ.get("DISPLAY"):
        os.execvp("xvfb-run", ["xvfb-run", "-a", sys.executable, *sys.argv])
    code = main(Path(sys.argv[1]))
    os._exit(code)  # the window's own end may wait for an event loop that never runs
