# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""How our jobs show in the host's window: nested like the host's own, each cut with its icon.

Does nothing without a window. `flatwright.host.cam_views.OperationView` is written into
users' files: never rename it.
"""

from __future__ import annotations

from typing import Any

from flatwright.host.cam_modules import cam, icon
from flatwright.host.stateless import Stateless
from flatwright.host.views import label_set_aside

ICONS = {
    "spots": "Drilling",
    "pin": "Drilling",
    "hole": "Helix",
    "pocket": "Pocket",
    "inside": "Profile",
    "outside": "Profile",
    "park": "ToolController",
}


class OperationView(Stateless):
    """The icon of an operation; the path itself is drawn by the host."""

    def __init__(self, view: Any) -> None:
        view.Proxy = self
        self.attach(view)

    def attach(self, view: Any) -> None:
        """The host calls this when the object gets its view."""
        self.view = view
        self.object = view.Object

    def getIcon(self) -> str:
        """By kind; greyed when the operation is left out or refused."""
        if not self.object.Active or self.object.Refused:
            return icon("OpActive")
        return icon(ICONS.get(self.object.Kind, "Profile"))

    def setEdit(self, view: Any = None, mode: int = 0) -> bool:
        """There is nothing to edit by hand: the moves come from the plan."""
        return False

    def doubleClicked(self, view: Any) -> bool:
        """Take the double click, so that the host opens nothing."""
        return True

    def onDelete(self, view: Any, arguments: Any = None) -> bool:
        """The operation may be deleted."""
        return True


def show_job(job: Any) -> None:
    """Give a job and all that it owns the views that the window needs, where they are missing.

    A file that was made without a window has none: call this for its jobs once it is open.
    """
    if not _window_is_up() or job.ViewObject is None:
        return
    _show_resources(job)
    if not _has_proxy(job):
        with label_set_aside(job):
            _attach_job(job.ViewObject, job)
    for tc in job.Tools.Group:
        if not _has_proxy(tc):
            with label_set_aside(tc):
                cam("controller_gui").ViewProvider(tc.ViewObject).attach(tc.ViewObject)
    for obj in job.Operations.Group:
        show_operation(obj)


def _attach_job(view: Any, job: Any) -> None:
    proxy = cam("job_gui").ViewProvider(view)
    proxy.vobj, proxy.obj = view, job  # the host asks for them before it attaches
    view.Proxy = proxy
    if proxy.switch is None:  # a view that was restored from a file is not attached by itself
        proxy.attach(view)
    proxy.deleteOnReject = False  # else leaving the first dialog deletes the job
    view.addExtension("Gui::ViewProviderGroupExtensionPython")


def _show_resources(job: Any) -> None:
    """Icons of the stock, the clones, the setup sheet and the bits; the host edits the first two."""
    resources = [(job.Stock, "Stock", "onEdit"), (job.SetupSheet, "SetupSheet", "getIcon")]
    resources += [(o, "BaseGeometry", "onEdit") for o in job.Model.Group]
    resources += [(tc.Tool, "ToolBit", "getIcon") for tc in job.Tools.Group]
    for obj, name, wanted in resources:
        if not hasattr(obj.ViewObject.Proxy, wanted):
            with label_set_aside(obj):
                cam("icon_gui").Attach(obj.ViewObject, name)


def show_operation(obj: Any) -> None:
    """Give an operation its view where it has none."""
    if _window_is_up() and obj.ViewObject is not None and not _has_proxy(obj):
        with label_set_aside(obj):
            OperationView(obj.ViewObject)


def _has_proxy(obj: Any) -> bool:
    """A view restored from a file that was made without a window has a number for a proxy."""
    proxy = getattr(obj.ViewObject, "Proxy", None)
    return proxy is not None and not isinstance(proxy, int)


def _window_is_up() -> bool:
    import FreeCAD

    return bool(FreeCAD.GuiUp)
