# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What the task panels of edits by hand share: the form, OK and Cancel, and following the selection."""

from __future__ import annotations

from typing import Any

import FreeCAD as App
import FreeCADGui as Gui
from PySide import QtCore, QtGui

from flatwright.gui import running, task
from flatwright.gui.stale import show_if_stale


class ByHandPanel:
    """A form with a title, which names its icon too, and a sentence that says what to do."""

    def __init__(self, doc: Any, title: str, intro: str) -> None:
        self.doc = doc
        self.form = QtGui.QWidget()
        self.form.setObjectName(f"Flatwright{title.replace(' ', '')}")
        self.form.setWindowTitle(title)
        self.form.setWindowIcon(task.icon(title.lower().replace(" ", "-")))
        self.layout = QtGui.QVBoxLayout(self.form)
        self.told(intro)

    def told(self, text: str = "", name: str = "") -> Any:
        """A label below what is there."""
        label = QtGui.QLabel(text)
        label.setObjectName(name)
        label.setWordWrap(True)
        self.layout.addWidget(label)
        return label

    def call(self) -> str:
        """The public function, with its arguments, that does what was chosen; "" for nothing."""
        return ""

    def getStandardButtons(self) -> Any:
        """OK and Cancel."""
        return task.buttons("Ok", "Cancel")

    def accept(self) -> bool:
        """Keep what was chosen in the document."""
        if not self.run(self.call()):
            return False
        self.close()
        show_if_stale(self.doc)
        return True

    def reject(self) -> bool:
        """Leave the document as it is."""
        self.close()
        return True

    def run(self, call: str) -> bool:
        """Run a public function on the panel's document; True when it was done, or there was none."""
        if not call:
            return True
        App.setActiveDocument(self.doc.Name)
        return running.run(call)

    def close(self) -> None:
        """Take the panel away."""
        Gui.Control.closeDialog()


class FollowingPanel(ByHandPanel):
    """A panel that follows what is selected: `look` is called whenever that changes."""

    def __init__(self, doc: Any, title: str, intro: str) -> None:
        super().__init__(doc, title, intro)
        self._following = True
        self._seen = False
        self._name = doc.Name  # the document may be gone before the panel is told so
        Gui.Selection.addObserver(self)

    def look(self, picked: tuple[str, Any] | None) -> None:
        """The selection is another one; `picked` is the object that was added, by name, and where it was
        clicked."""

    def isAllowedAlterSelection(self) -> bool:
        """It lives by what is selected."""
        return True

    isAllowedAlterView = isAllowedAlterSelection

    def addSelection(self, doc: str, obj: str, part: str, point: Any) -> None:
        """The host tells: something more is selected."""
        self._look((obj, point) if doc == self._name else None)

    def removeSelection(self, doc: str, obj: str, part: str) -> None:
        """The host tells: something is selected no longer."""
        self._look(None)

    def setSelection(self, doc: str) -> None:
        """The host tells: the selection is another one."""
        self._look(None)

    def clearSelection(self, doc: str) -> None:
        """The host tells: nothing is selected."""
        self._look(None)

    def close(self) -> None:
        """Take the panel away, and follow nothing any more."""
        self._stop()
        super().close()

    def _look(self, picked: tuple[str, Any] | None) -> None:
        """Look at what is selected now; once the panel is gone, never again."""
        if task.is_open(self):
            self._seen = True
            self.look(picked)
        elif self._seen:  # another command has closed it without a word
            QtCore.QTimer.singleShot(0, self._stop)

    def _stop(self) -> None:
        if self._following:
            self._following = False
            Gui.Selection.removeObserver(self)
