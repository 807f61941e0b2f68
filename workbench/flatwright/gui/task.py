# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The host's task panel: opening one of ours, and whether it is there."""

from __future__ import annotations

from typing import Any

import FreeCADGui as Gui
from PySide import QtGui

from flatwright import resources

_shown: list[Any] = []


def show(panel: Any) -> None:
    """Open a panel in place of one of ours."""
    close_ours()
    _shown[:] = [panel]
    Gui.Control.showDialog(panel)


def is_open(panel: Any) -> bool:
    """True while the panel is there."""
    return _shown[:1] == [panel] and ours_is_open()


def ours_is_open() -> bool:
    """True while a panel of ours is there."""
    return bool(Gui.Control.activeDialog() and _shown and _alive(_shown[0].form))


def is_free() -> bool:
    """True when nothing else is being done in the task panel."""
    return not Gui.Control.activeDialog() or ours_is_open()


def close_ours() -> None:
    """Close a panel of ours."""
    if ours_is_open():
        Gui.Control.closeDialog()
    _shown.clear()


def buttons(*names: str) -> Any:
    """Standard buttons as the host's Qt wants them: a number with Qt 5, a flag with Qt 6."""
    flags = getattr(QtGui.QDialogButtonBox, names[0])
    for name in names[1:]:
        flags |= getattr(QtGui.QDialogButtonBox, name)
    try:
        return int(flags)
    except TypeError:
        return flags


def icon(name: str) -> Any:
    """An icon of ours, read by the host: a Qt without its SVG plugin does not."""
    return Gui.getIcon(str(resources.path(f"icons/{name}.svg")))


def _alive(widget: Any) -> bool:
    try:
        return bool(widget.isVisible())
    except RuntimeError:  # Qt has deleted it with its dialog
        return False
