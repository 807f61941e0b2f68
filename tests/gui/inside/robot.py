# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Hands and eyes in FreeCAD's window: keys, clicks, dialogs that are answered, pictures."""

from __future__ import annotations

import json
import os
import time
import traceback
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import FreeCADGui as Gui
from PySide import QtCore, QtGui

TASK: dict[str, Any] = json.loads(os.environ["FLATWRIGHT_WALK"])
LONGEST = 90  # s that a step may take
TAB, ENTER = QtCore.Qt.Key_Tab, QtCore.Qt.Key_Return


def start(steps: list[Callable[[], Any]]) -> None:
    """Take the steps once the window is up, write down what each found, and end FreeCAD."""

    found: dict[str, Any] = {step.__name__: {"failed": "not reached"} for step in steps}

    def end() -> None:
        Path(TASK["answer"]).write_text(
            json.dumps(found, ensure_ascii=False, default=str).replace("\xa0", " ")
        )
        os._exit(0)  # no question about unsaved documents

    def hung(name: str) -> None:
        dialog = QtGui.QApplication.activeModalWidget()
        stack = "".join(traceback.format_stack())
        found[name] = {"failed": f"hung; {words(dialog) if dialog else 'no dialog'}\n{stack}"}
        picture(f"hung-{name}")
        end()

    def go() -> None:
        for step in steps:
            watch = QtCore.QTimer()
            watch.setSingleShot(True)
            watch.timeout.connect(lambda name=step.__name__: hung(name))
            watch.start(1000 * LONGEST)
            wake()
            try:
                found[step.__name__] = step()
            except BaseException:
                found[step.__name__] = {"failed": traceback.format_exc()}
                picture(f"failed-{step.__name__}")
            watch.stop()
        end()

    QtCore.QTimer.singleShot(1000, go)


@contextmanager
def desktop() -> Iterator[list[str]]:
    """Names of the files that are handed to the desktop meanwhile, which opens none of them."""
    opened: list[str] = []

    class Desktop(QtCore.QObject):
        @QtCore.Slot(QtCore.QUrl)
        def open(self, url: Any) -> None:
            opened.append(Path(url.toLocalFile()).name)

    handler = Desktop()
    QtGui.QDesktopServices.setUrlHandler("file", handler, "open")
    try:
        yield opened
    finally:
        QtGui.QDesktopServices.unsetUrlHandler("file")


def wake() -> None:
    """Give the main window the keys: without a window manager nobody does after a dialog."""
    Gui.getMainWindow().activateWindow()
    pump(0.1)


def pump(seconds: float = 0.2) -> None:
    """Let the window work."""
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        QtGui.QApplication.processEvents()
        time.sleep(0.01)


def until(true: Callable[[], Any], seconds: float = 20.0) -> Any:
    """Let the window work until something is so; raises TimeoutError."""
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        value = true()
        if value:
            return value
        pump(0.05)
    raise TimeoutError(f"not so after {seconds:g} s")


def key(code: Any, text: str = "") -> None:
    """Press and let go a key where the focus is."""
    for kind in (QtCore.QEvent.KeyPress, QtCore.QEvent.KeyRelease):
        target = QtGui.QApplication.focusWidget()
        if target is None:
            break
        event = QtGui.QKeyEvent(kind, code, QtCore.Qt.NoModifier, text)
        QtGui.QApplication.sendEvent(target, event)
    pump(0.05)


def write(text: str) -> None:
    """Type a text."""
    for c in text:
        key(ord(c.upper()), c)


@contextmanager
def answering(answer: Callable[[Any], None]) -> Iterator[list[str]]:
    """Answer each dialog that comes up; yields what they said."""
    said: list[str] = []
    done: list[Any] = []

    def look() -> None:
        dialog = QtGui.QApplication.activeModalWidget()
        if dialog is not None and not any(d is dialog for d in done):
            done.append(dialog)
            said.append(words(dialog))
            answer(dialog)

    timer = QtCore.QTimer()
    timer.timeout.connect(look)
    timer.start(50)
    try:
        yield said
    finally:
        timer.stop()


def words(dialog: Any) -> str:
    """What a dialog says."""
    if isinstance(dialog, QtGui.QMessageBox):
        return "\n".join(t for t in (dialog.text(), dialog.informativeText()) if t)
    return str(dialog.objectName() or type(dialog).__name__)


def press_ok(dialog: Any) -> None:
    """Enter on a dialog."""
    dialog.accept()


def panel(name: str) -> Any:
    """The open task panel of that name, or None."""
    found = Gui.getMainWindow().findChild(QtGui.QWidget, name)
    return found if found is not None and found.isVisible() else None


def texts(name: str) -> str:
    """What stands in a text window of the host: its report view or its Python console."""
    return "\n".join(
        w.toPlainText()
        for kind in (QtGui.QTextEdit, QtGui.QPlainTextEdit)
        for w in Gui.getMainWindow().findChildren(kind)
        if w.objectName() == name
    )


def picture(name: str) -> None:
    """Take a picture of the whole window, where pictures are wanted."""
    if TASK.get("shots"):
        pump(0.4)
        screen = QtGui.QApplication.primaryScreen()
        Path(TASK["shots"]).mkdir(parents=True, exist_ok=True)
        screen.grabWindow(0).save(f"{TASK['shots']}/{name}.png")
