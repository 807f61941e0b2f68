# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Getting FreeCAD in a plain Python: the command line and the tests start here.

FreeCAD's own programs set up the import path by themselves. A plain `python3` only finds the
compiled modules once their folder is on `sys.path`, and then misses every module that is
written in Python, because FreeCAD takes the library folder for its home.
"""

from __future__ import annotations

import importlib
import sys
from pathlib import Path
from typing import Any

from flatwright.findings import UsageError

LIBRARY = Path("/usr/lib/freecad-python3/lib")  # Debian's layout, the same for 0.20, 1.0 and 1.1
HOME = Path("/usr/share/freecad")


def freecad() -> Any:
    """The module FreeCAD, with all its other modules importable.

    Raises `UsageError` when this Python can't load FreeCAD.
    """
    if "FreeCAD" in sys.modules:
        return sys.modules["FreeCAD"]
    for folder in _folders():
        if folder not in sys.path:
            sys.path.append(folder)
    try:
        app: Any = importlib.import_module("FreeCAD")
    except ImportError as reason:
        raise UsageError(_why_not(reason)) from reason
    if not (Path(app.getHomePath()) / "Mod").is_dir():
        # Posts and tool shapes are looked up below this folder.
        app.getHomePath = lambda: f"{HOME}/"
    return app


def _folders() -> list[str]:
    """What FreeCAD's own start adds to the import path, in a repeatable order."""
    found = [LIBRARY, HOME / "Ext", *sorted((HOME / "Mod").glob("*")), HOME / "Mod"]
    return [str(p) for p in found if p.is_dir()]


def _why_not(reason: ImportError) -> str:
    version = ".".join(str(n) for n in sys.version_info[:2])
    if not LIBRARY.is_dir():
        return f"FreeCAD is not installed here ({LIBRARY} is missing): apt-get install freecad"
    return (
        f"Python {version} ({sys.executable}) can't load FreeCAD: {reason}. "
        "FreeCAD is built for the system's own interpreter: use /usr/bin/python3"
    )
