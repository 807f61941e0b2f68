# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Running a public function as a line that the macro recorder keeps, and telling what went wrong."""

from __future__ import annotations

import FreeCAD as App
import FreeCADGui as Gui
from PySide import QtGui

from flatwright.api import Cancelled
from flatwright.findings import UsageError

TITLE = "Flatwright"


def run(call: str) -> bool:
    """Run `flatwright.api.<call>`; True when it was done.

    What the user can mend is told in one sentence. Anything else is a fault of ours: it goes on
    to the host, which writes it to the report view with all that is needed to find it.
    """
    try:
        Gui.addModule("flatwright.api")
        Gui.doCommand(f"flatwright.api.{call}")
    except UsageError as e:
        tell(str(e))
    except Cancelled:
        App.Console.PrintMessage("Flatwright: cancelled, nothing was changed\n")
    except Exception:
        tell("Something went wrong inside Flatwright. Nothing was changed; the report view has the details.")
        raise
    else:
        return True
    return False


def tell(sentence: str) -> None:
    """Say one sentence in the report view and in a dialog."""
    sentence = sentence[:1].upper() + sentence[1:]
    if sentence[-1:] not in ".?!":
        sentence += "."
    App.Console.PrintError(f"Flatwright: {sentence}\n")
    QtGui.QMessageBox.warning(Gui.getMainWindow(), TITLE, sentence)
