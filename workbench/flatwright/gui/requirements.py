# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What FreeCAD's Python must have for the commands to work, and how to get it.

This module and those that import it at their top do without numpy and shapely.
"""

from __future__ import annotations

import functools
import importlib
import sys
from pathlib import Path
from types import ModuleType

import FreeCAD as App
import FreeCADGui as Gui
from PySide import QtCore, QtGui


@functools.cache
def missing() -> tuple[str, ...]:
    """What is not installed or too old, as pip names it."""
    numpy, shapely = _imported("numpy"), _imported("shapely")
    wanted = [] if numpy else ["numpy"]
    if not hasattr(shapely, "prepare"):  # 1.8 has no such function; some copies do not know their version
        old = numpy is not None and tuple(map(int, numpy.__version__.split(".")[:2])) < (1, 26)
        wanted.append("shapely>=2.0,<2.1" if old else "shapely>=2.0")
    return tuple(wanted)


def _imported(name: str) -> ModuleType | None:
    try:
        return importlib.import_module(name)
    except Exception:  # a package built for another Python or numpy fails in many ways
        return None


def how_to_install(wanted: tuple[str, ...]) -> str:
    """What to type to install packages for FreeCAD's own Python."""
    version = ".".join(str(n) for n in sys.version_info[:2])
    words = [f'"{_python(version)}"', "-m pip install --no-deps --target", f'"{_packages()}"']
    words += [f'"{w}"' for w in wanted]
    packages = " and ".join("python3-" + w.partition(">")[0] for w in wanted)
    return (
        f"{' '.join(words)}\n\n"
        f"or install {packages} of the distribution that FreeCAD came with, where it is new enough. "
        "Then start FreeCAD again. Until then the commands of Flatwright are off."
    )


def _name(wanted: str) -> str:
    """`shapely 2.0 or newer` for `shapely>=2.0,<2.1`."""
    name, _, version = wanted.partition(">=")
    return f"{name} {version.split(',')[0]} or newer" if version else name


def tell_once() -> None:
    """Say in the report view and in a window what is missing, the first time only."""
    if not missing() or _told:
        return
    _told.append(True)
    names = " and ".join(_name(w) for w in missing())
    text = f"Flatwright needs {names}. To install, type in a terminal:\n\n{how_to_install(missing())}"
    App.Console.PrintError(text + "\n")
    # once the event loop runs: at FreeCAD's start there is no window yet to stand before
    QtCore.QTimer.singleShot(0, lambda: QtGui.QMessageBox.warning(Gui.getMainWindow(), "Flatwright", text))


_told: list[bool] = []


def _python(version: str) -> Path:
    """The program that runs FreeCAD's Python, as far as it can be found."""
    places = [Path(sys.executable or ""), Path(sys.base_prefix) / "python.exe"]
    places += [Path(sys.base_prefix) / "bin" / name for name in (f"python{version}", "python3")]
    found = (p for p in places if p.name.lower().startswith("python") and p.is_file())
    return next(found, Path("python" + version))


def _packages() -> Path:
    """The folder where the host looks for packages that add-ons need."""
    folder = Path(App.getUserAppDataDir()) / "AdditionalPythonPackages"
    newer = tuple(int(n) for n in App.Version()[:2]) >= (0, 21)
    return folder / f"py{sys.version_info[0]}{sys.version_info[1]}" if newer else folder
