# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""FreeCAD runs this at the start of its window: the workbench, its preferences page, its icons.

Hosts up to 1.1 run this text inside a function of their own: a method sees none of the names
above it, so each imports what it needs. Nothing slow is imported before the workbench is used.
"""

import FreeCADGui as Gui


class FlatwrightWorkbench(Gui.Workbench):
    """Fit flat-pack pieces to the boards in hand, and cut them."""

    MenuText = "Flatwright"
    ToolTip = "Fit flat-pack pieces to the boards in hand, and cut them"

    def __init__(self):
        from flatwright import resources

        self.__class__.Icon = str(resources.path("icons/flatwright.svg"))

    def Initialize(self):
        """The host calls this when the workbench is first used."""
        from flatwright.gui import commands

        names = commands.add_commands()
        self.appendToolbar("Flatwright", names)
        self.appendMenu("&Flatwright", names)

    def Activated(self):
        """The host calls this whenever the workbench is chosen."""
        from flatwright.gui import requirements

        requirements.tell_once()

    def Deactivated(self):
        """Nothing to put away."""

    def GetClassName(self):
        """The kind of workbench."""
        return "Gui::PythonWorkbench"


def _start():
    import FreeCADGui as Gui

    from flatwright import resources
    from flatwright.gui import moving, restoring

    Gui.addIconPath(str(resources.path("icons")))  # for preferences-flatwright.svg
    Gui.addPreferencePage(str(resources.path("ui/preferences.ui")), "Flatwright")
    restoring.watch()
    moving.watch()


Gui.addWorkbench(FlatwrightWorkbench())
_start()
