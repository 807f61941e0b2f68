# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Where the host keeps its CAM modules: the one table of names that depend on its version.

FreeCAD 0.20 has them as `PathScripts.Path…`; from 0.21 on they live in the package `Path`.
The window's modules (roles that end in `_gui`) import only where the window is up.
"""

from __future__ import annotations

from importlib import import_module
from typing import Any

from flatwright.host.version import can

# role: (from 0.21 on, 0.20)
MODULES: dict[str, tuple[str, str]] = {
    "job": ("Path.Main.Job", "PathScripts.PathJob"),
    "stock": ("Path.Main.Stock", "PathScripts.PathStock"),
    "controller": ("Path.Tool.Controller", "PathScripts.PathToolController"),
    "bit": ("Path.Tool.Bit", "PathScripts.PathToolBit"),  # up to 1.0; then `toolbit`
    "toolbit": ("Path.Tool.toolbit", ""),  # from 1.1 on
    "preferences": ("Path.Preferences", "PathScripts.PathPreferences"),
    "post": ("Path.Post.Processor", "PathScripts.PathPost"),
    "post_script": ("", "PathScripts.PathPostProcessor"),
    "job_gui": ("Path.Main.Gui.Job", "PathScripts.PathJobGui"),
    "controller_gui": ("Path.Tool.Gui.Controller", "PathScripts.PathToolControllerGui"),
    "icon_gui": ("Path.Base.Gui.IconViewProvider", "PathScripts.PathIconViewProvider"),
}


def cam(role: str) -> Any:
    """The host's module for a role of `MODULES`; KeyError for an unknown role."""
    new, old = MODULES[role]
    return import_module(new if can("cam_package") else old)


def icon(name: str) -> str:
    """The resource path of one of the host's CAM icons, for example `Profile`."""
    return f":/icons/{'CAM' if can('cam_icons') else 'Path'}_{name}.svg"
