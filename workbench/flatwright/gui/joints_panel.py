# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The task panel of Fit Joints: the joints of the selected panels, and the fit class of each."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

import FreeCADGui as Gui
from PySide import QtCore, QtGui

from flatwright.edits.model import JointRef, same_joint
from flatwright.edits.spots import JointSpot
from flatwright.findings import UsageError
from flatwright.gui.by_hand_panel import ByHandPanel
from flatwright.gui.units import says
from flatwright.host import edited, remembered
from flatwright.host.result import result_group
from flatwright.plan import Joint
from flatwright.presets.model import Fits
from flatwright.presets.reading import preset_of

BY_RULES = "by the rules"
INDEX = QtCore.Qt.UserRole


class JointsPanel(ByHandPanel):
    """Of all joints in which one of the panels has a part, or of all joints when there are no panels.
    Raises UsageError when none of them has a clearance."""

    def __init__(self, doc: Any, panels: Sequence[Any]) -> None:
        super().__init__(doc, "Fit Joints", "Mark one joint or several, then choose how tightly they fit.")
        self._fits: Fits = preset_of(json.loads(result_group(doc).PresetJson)).fits
        names = {p.PanelName for p in panels}
        plan = remembered.plan(doc)
        pairs = zip(plan.joints if plan else (), edited.joint_spots(doc), strict=False)
        self._joints: list[tuple[Joint, JointSpot]] = [
            (j, s)
            for j, s in pairs
            if s is not None and "class" in j.fit and (not names or names & set(j.panels))
        ]
        if not self._joints:
            which = "the selected panels have" if names else "the piece has"
            raise UsageError(f"{which} no joint with a clearance: nothing is let into another board")
        kept = edited.edits(doc).joints
        self._first: list[str | None] = [
            next((e.fit_class for e in kept if same_joint(e.joint, s.ref)), None) for _, s in self._joints
        ]
        self._now = list(self._first)
        self._pairs = {_sources(e.joint): e.fit_class for e in kept if e.joint[0].spot is None}
        self._build()

    def _build(self) -> None:
        self._list = QtGui.QTreeWidget()
        self._list.setObjectName("joints")
        self._list.setHeaderLabels(["Joint", "Fit"])
        self._list.setRootIsDecorated(False)
        self._list.setSelectionMode(QtGui.QAbstractItemView.ExtendedSelection)
        self._list.setMinimumHeight(260)
        for k, (joint, _) in enumerate(self._joints):
            item = QtGui.QTreeWidgetItem([f"{joint.panels[1]} in {joint.panels[0]}", ""])
            item.setToolTip(0, joint.kind)
            item.setData(0, INDEX, k)
            self._list.addTopLevelItem(item)
            self._write(item)
        self._list.itemSelectionChanged.connect(self._marked)
        self.layout.addWidget(self._list)
        self._choice = QtGui.QComboBox()
        self._choice.setObjectName("fit")
        self._choice.addItem(BY_RULES, None)
        for name, values in self._fits.classes.items():
            self._choice.addItem(name, name)
            tip = f"slots are {says(values.over_thickness)} wider than the board"
            self._choice.setItemData(self._choice.count() - 1, tip, QtCore.Qt.ToolTipRole)
        self._choice.activated.connect(self._choose)
        self._choice.setEnabled(False)
        row = QtGui.QFormLayout()
        row.addRow("Fit:", self._choice)
        self.layout.addLayout(row)
        self._list.resizeColumnToContents(0)

    def call(self) -> str:
        changed = [
            (*joint.panels, _middle(spot), now)
            for (joint, spot), first, now in zip(self._joints, self._first, self._now, strict=True)
            if now != first
        ]
        return f"fit_joints(joints={changed!r})" if changed else ""

    def _write(self, item: Any) -> None:
        k = item.data(0, INDEX)
        (joint, spot), now = self._joints[k], self._now[k]
        of_pair = self._pairs.get(_sources(spot.ref))
        by_rules = f"{self._fits.for_joint(joint.kind)[0]}, {BY_RULES}"
        item.setText(1, now or (f"{of_pair}, as between these two" if of_pair else by_rules))
        font = item.font(1)
        font.setBold(now is not None)
        item.setFont(1, font)

    def _marked(self) -> None:
        """Show in the view which boards meet there."""
        items = self._list.selectedItems()
        self._choice.setEnabled(bool(items))
        now = {self._now[i.data(0, INDEX)] for i in items}
        self._choice.setCurrentIndex(self._choice.findData(now.pop()) if len(now) == 1 else -1)
        names = {n for i in items for n in self._joints[i.data(0, INDEX)][0].panels}
        Gui.Selection.clearSelection()
        for panel in edited.fitted_panels(self.doc):
            if panel.PanelName in names:
                Gui.Selection.addSelection(self.doc.Name, panel.Name)

    def _choose(self, index: int) -> None:
        for item in self._list.selectedItems():
            self._now[item.data(0, INDEX)] = self._choice.itemData(index)
            self._write(item)


def _sources(joint: JointRef) -> frozenset[str]:
    return frozenset(end.panel.source for end in joint)


def _middle(spot: JointSpot) -> tuple[float, float, float]:
    x, y, z = (round((a + b) / 2, 3) for a, b in zip(spot.low, spot.high, strict=True))
    return x, y, z
