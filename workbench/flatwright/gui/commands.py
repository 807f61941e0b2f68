# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The commands of toolbar and menu. What each does lies in `actions`, which needs numpy and shapely."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import FreeCADGui as Gui

from flatwright import resources
from flatwright.gui import requirements


@dataclass(frozen=True, slots=True)
class Command:
    """A command as the host wants it. By `key` go its icon and its two functions in `actions`."""

    verb: str
    key: str
    text: str
    tip: str

    @property
    def name(self) -> str:
        return f"Flatwright_{self.verb}"

    def GetResources(self) -> dict[str, str]:
        """What the host shows of it."""
        pixmap = str(resources.path(f"icons/{self.key.replace('_', '-')}.svg"))
        return {"Pixmap": pixmap, "MenuText": self.text, "ToolTip": self.tip}

    def IsActive(self) -> bool:
        """Asked by the host again and again."""
        return not requirements.missing() and self._action("can")()

    def Activated(self) -> None:
        """Chosen by the user."""
        self._action("do")()

    def _action(self, what: str) -> Callable[[], bool]:
        from flatwright.gui import actions

        return getattr(actions, f"{what}_{self.key}")


COMMANDS = (
    Command(
        "MeasureBoards",
        "measure_boards",
        "Measure Boards",
        "Type the caliper readings of the boards in hand",
    ),
    Command(
        "ApplyShopRules",
        "apply_shop_rules",
        "Apply Shop Rules",
        "Fit the model to the boards and the bits, lay it out on sheets and write the programs",
    ),
    Command(
        "ShowFindings",
        "findings",
        "Findings",
        "Show what the last Apply Shop Rules found",
    ),
    Command(
        "FitJoints",
        "fit_joints",
        "Fit Joints",
        "Choose by hand how tightly joints of the selected panels fit",
    ),
    Command(
        "RelieveCorners",
        "relieve_corners",
        "Relieve Corners",
        "Choose by hand how inside corners are relieved",
    ),
    Command(
        "ChooseShowFace",
        "choose_show_face",
        "Choose Show Face",
        "Choose by hand which face of the selected panels is seen",
    ),
    Command(
        "SetGrain",
        "set_grain",
        "Set Grain",
        "Set by hand which way the face grain of the selected panels runs",
    ),
    Command(
        "KeepFaceInPlace",
        "keep_face_in_place",
        "Keep Face in Place",
        "Choose by hand which face keeps its place when the board of the selected panels is not as drawn",
    ),
    Command(
        "ChooseBoard",
        "choose_board",
        "Choose Board",
        "Choose by hand the board that the selected panels are cut from",
    ),
    Command(
        "PlaceTabs",
        "place_tabs",
        "Place Tabs",
        "Move, add, remove and resize by hand the tabs that hold a part",
    ),
    Command(
        "ChooseShopPreset",
        "shop_preset",
        "Shop Preset",
        "Choose the file that holds the shop's rules",
    ),
    Command(
        "OpenOperatorSheet",
        "operator_sheet",
        "Operator Sheet",
        "Open the sheet to take to the machine",
    ),
)


def add_commands() -> list[str]:
    """Make the commands known to the host; their names in the order of toolbar and menu."""
    for command in COMMANDS:
        Gui.addCommand(command.name, command)
    return [command.name for command in COMMANDS]
