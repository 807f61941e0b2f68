# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The host's simulator, in its window, on one of our jobs."""

from __future__ import annotations

from typing import Any

import FreeCAD as App
import FreeCADGui as Gui
from PySide import QtGui
from robot import TASK, panel, picture, pump, start, until

NEW = "CAMWorkbench" in Gui.listWorkbenches()
FORM = "TaskPathSimulator"


def simulate() -> dict[str, Any]:
    """Run a job from its first move to its last and keep what is left."""
    App.ParamGet("User parameter:BaseApp/Preferences/Mod/Path").SetBool("WarningSuppressVelocity", True)
    doc = App.openDocument(TASK["model"])
    Gui.activateWorkbench("CAMWorkbench" if NEW else "PathWorkbench")
    jobs = [o for o in doc.Objects if o.Name.startswith("Job")]
    Gui.Selection.clearSelection()
    Gui.Selection.addSelection(jobs[-1])
    Gui.activeDocument().activeView().viewTop()
    Gui.SendMsgToActiveView("ViewFit")
    Gui.runCommand("CAM_Simulator" if NEW else "Path_Simulator")
    form = until(lambda: panel(FORM))
    listed = form.findChild(QtGui.QListWidget, "listOperations")
    operations = [listed.item(k).text() for k in range(listed.count())]
    accuracy = form.findChild(QtGui.QSlider, "sliderAccuracy")
    accuracy.setValue(accuracy.minimum())
    pump(0.5)
    form.findChild(QtGui.QToolButton, "toolButtonFF").click()
    bar = form.findChild(QtGui.QProgressBar, "progressBar")
    until(lambda: bar.value() >= bar.maximum(), 60.0)
    pump(1.0)
    picture("simulated-top")
    Gui.activeDocument().activeView().viewIsometric()
    Gui.SendMsgToActiveView("ViewFit")
    picture("simulated")
    material = [o for o in doc.Objects if o.Name.startswith("CutMaterial")]
    facets = {o.Name: o.Mesh.CountFacets for o in material}
    low = min(o.Mesh.BoundBox.ZMin for o in material)
    Gui.Control.closeDialog()
    return {"operations": operations, "facets": facets, "low": low, "job": jobs[-1].Label}


start([simulate])
