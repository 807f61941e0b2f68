# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The task panel that a run ends with: its findings, and a way from each to what it is about."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import FreeCAD as App
import FreeCADGui as Gui
from PySide import QtCore, QtGui

from flatwright.gui import running, task, where
from flatwright.gui.summary_text import Now, summary_text
from flatwright.host import edited, outdated, remembered
from flatwright.plan import Plan


class SummaryPanel:
    """Of the result that stands in a document."""

    def __init__(self, doc: Any) -> None:
        self.doc = doc
        self._findings = remembered.findings(doc)
        self._folder = remembered.output_folder(doc) or Path()
        self.form = QtGui.QTextBrowser()
        self.form.setObjectName("FlatwrightSummary")
        self.form.setWindowTitle("Findings")
        self.form.setWindowIcon(task.icon("findings"))
        self.form.setFrameShape(QtGui.QFrame.NoFrame)
        self.form.setMinimumHeight(440)
        self.form.setOpenLinks(False)
        self.form.anchorClicked.connect(self._follow)
        palette = self.form.palette()
        ink, paper = palette.color(QtGui.QPalette.Text), palette.color(QtGui.QPalette.Base)
        self._ink, self._pale = ink.name(), _between(ink, paper)
        self._write()

    def _write(self) -> None:
        plan, stale = remembered.plan(self.doc) or Plan(), remembered.stale(self.doc)
        lost = edited.lost_edits(self.doc)
        count = len(lost.panels) + len(lost.joints) + len(lost.corners) + sum(len(e.tabs) for e in lost.tabs)
        now = Now(stale, outdated.wrong_by_hand(self.doc) if stale else {}, count)
        self.form.setHtml(summary_text(plan, self._findings, self._folder, now, self._ink, self._pale))

    def getStandardButtons(self) -> Any:
        """Only a way out."""
        return task.buttons("Close")

    def reject(self) -> bool:
        """Close."""
        Gui.Control.closeDialog()
        return True

    def isAllowedAlterDocument(self) -> bool:
        """All commands stay: it only tells."""
        return True

    isAllowedAlterView = isAllowedAlterSelection = isAllowedAlterDocument

    def _follow(self, link: Any) -> None:
        if self.doc not in App.listDocuments().values():  # closed since
            self.reject()
            return
        kind, _, what = link.toString().partition(":")
        if kind == "finding":
            where.show(self.doc, self._findings[int(what)])
        elif kind == "show":
            where.show_only(self.doc, what)
        elif kind == "folder":
            QtGui.QDesktopServices.openUrl(QtCore.QUrl.fromLocalFile(str(self._folder)))
        elif kind == "forget":
            App.setActiveDocument(self.doc.Name)
            if running.run("forget_lost_edits()"):
                self._write()
        elif kind == "slots":
            App.setActiveDocument(self.doc.Name)
            if running.run("cut_missing_slots()"):
                QtCore.QTimer.singleShot(0, lambda: Gui.runCommand("Flatwright_ApplyShopRules"))
        elif kind == "apply":
            QtCore.QTimer.singleShot(0, lambda: Gui.runCommand("Flatwright_ApplyShopRules"))


def _between(ink: Any, paper: Any) -> str:
    """A colour of text that stands back."""
    both = zip(ink.getRgb()[:3], paper.getRgb()[:3], strict=True)
    return "#" + "".join(f"{round(a + 0.4 * (b - a)):02x}" for a, b in both)
