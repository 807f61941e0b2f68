# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The one question before the first run on a document: where its programs go."""

from __future__ import annotations

from pathlib import Path

import FreeCADGui as Gui
from PySide import QtGui


def ask_folder(default: Path) -> Path | None:
    """The folder that the user chose, or None."""
    dialog = QtGui.QDialog(Gui.getMainWindow())
    dialog.setObjectName("FlatwrightFolder")
    dialog.setWindowTitle("Where do the programs go?")
    text = QtGui.QLabel("Programs, the operator sheet and the plan are written into this folder:")
    field = QtGui.QLineEdit(str(default))
    field.setObjectName("folder")
    field.setMinimumWidth(420)
    browse = QtGui.QPushButton("Browse...")
    browse.setAutoDefault(False)

    def choose() -> None:
        chosen = QtGui.QFileDialog.getExistingDirectory(dialog, dialog.windowTitle(), str(default.parent))
        if chosen:
            field.setText(chosen)

    browse.clicked.connect(choose)
    box = QtGui.QDialogButtonBox(QtGui.QDialogButtonBox.Ok | QtGui.QDialogButtonBox.Cancel)
    box.accepted.connect(dialog.accept)
    box.rejected.connect(dialog.reject)
    row = QtGui.QHBoxLayout()
    row.addWidget(field)
    row.addWidget(browse)
    layout = QtGui.QVBoxLayout(dialog)
    layout.addWidget(text)
    layout.addLayout(row)
    layout.addWidget(box)
    run = getattr(dialog, "exec_", None) or dialog.exec  # the first with Qt 5, the second with Qt 6
    if not run() or not field.text().strip():
        return None
    return Path(field.text().strip()).expanduser()
