# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The edits by hand as the steps ask for them, one step after the other."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from flatwright.edits.model import Edits
from flatwright.edits.resolve import corner_edits, joint_edits, panel_edits
from flatwright.edits.said import Told
from flatwright.edits.spots import JointSpot, Panels, Place, joint_spot, places
from flatwright.edits.tabs import HandTabs, tab_edits
from flatwright.edits.turning import poses, turned
from flatwright.joints.model import FoundJoint
from flatwright.joints.relief_choice import CornerChoice
from flatwright.plan import Joint, Panel, Side
from flatwright.presets.model import Fits


class ByHand:
    """`drawn` are the panels in the order of the run, `objects` the host's names by source. `kept` grows
    into the edits to keep, `told` into what there is to say of those that cannot be followed."""

    def __init__(self, edits: Edits, drawn: Sequence[Panel], objects: Mapping[str, str]) -> None:
        self._panels = Panels(drawn, objects)
        self._places: list[Place] = []
        self.told = Told()
        edits = self._edits = replace(turned(edits, self._panels), poses=poses(self._panels))
        self._of, panels = panel_edits(edits.panels, self._panels, self.told)
        self.kept = replace(edits, panels=panels)

    def boards(self) -> dict[str, str]:
        """The board that was chosen, by panel name."""
        return {name: e.board for name, e in self._of.items() if e.board is not None}

    def shown(self, panels: Sequence[Panel]) -> list[Panel]:
        """The panels with the show faces that were chosen."""
        return [
            p if (e := self._of.get(p.name)) is None or e.show is None else replace(p, show=e.show)
            for p in panels
        ]

    def stays(self) -> dict[int, Side]:
        """Which broad face stays, by the panel's index."""
        return {
            i: e.stays
            for i, p in enumerate(self._panels.panels)
            if (e := self._of.get(p.name)) is not None and e.stays is not None
        }

    def classes(self, found: Sequence[FoundJoint], fits: Fits) -> dict[int, str]:
        """The fit class by the joint's index, of the joints that were found among the drawn panels."""
        self._places = places(found)
        known = list(fits.classes)
        chosen, kept = joint_edits(self._edits.joints, self._panels, self._places, known, self.told)
        self.kept = replace(self.kept, joints=kept)
        return chosen

    def grained(self, panels: Sequence[Panel]) -> list[Panel]:
        """The panels with the grain that was set."""
        out = []
        for panel in panels:
            edit = self._of.get(panel.name)
            if edit is not None and edit.grain is not None:
                panel = replace(panel, grain=None if edit.grain == "any" else float(edit.grain))
            out.append(panel)
        return out

    def corners(self, fitted: Sequence[Panel]) -> dict[str, list[CornerChoice]]:
        """What was chosen for corners, by panel name."""
        choices, kept = corner_edits(self._edits.corners, self._panels, self._places, fitted, self.told)
        self.kept = replace(self.kept, corners=kept)
        return choices

    def tabs(self, fitted: Sequence[Panel]) -> dict[str, HandTabs]:
        """The tabs that were put by hand, by panel name; `fitted` are the panels as they are cut."""
        out, kept = tab_edits(self._edits.tabs, self._panels, fitted, self.told)
        self.kept = replace(self.kept, tabs=kept)
        return out

    def spots(self, joints: Sequence[Joint]) -> tuple[JointSpot | None, ...]:
        """What to call each joint of the plan in an edit, and where it is; None for one without contacts."""
        known = {p.index: joint_spot(self._panels, p) for p in self._places}
        return tuple(known.get(k) for k in range(len(joints)))
