# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The task panel of Place Tabs: the tabs of a part on its sheet, moved, added, removed and resized.

Each change is kept at once, as one step that can be undone, and what there is to say of it is shown.
"""

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from typing import Any

from PySide import QtCore, QtGui

from flatwright.findings import UsageError
from flatwright.gui import where
from flatwright.gui.by_hand_panel import FollowingPanel
from flatwright.gui.colours import BY_SEVERITY
from flatwright.gui.tab_fields import TabFields
from flatwright.gui.units import says, unit
from flatwright.host import tabs
from flatwright.host.skipping import OURS

INTRO = (
    "Click a part on its sheet, or one of its tabs. Then add a tab, or mark one to move it, to remove it "
    "or to change its size."
)
ADD, MOVE = "add", "move"
NEAR = 40.0  # mm: how far from the part's edge a click may be
Row = tuple[float, float, float | None, float | None]


class TabsPanel(FollowingPanel):
    """Raises UsageError for a result without tabs."""

    def __init__(self, doc: Any, panels: Sequence[Any]) -> None:
        laid = tabs.laid_parts(doc)
        if not laid:
            raise UsageError(
                "no sheet of the result is held by tabs: ask for them in the preset's holding.method, "
                "and apply the shop rules again"
            )
        super().__init__(doc, "Place Tabs", INTRO)
        self._part = ""
        self._rows: list[Row] = []
        self._title = self.told(name="part")
        self._list = QtGui.QTreeWidget()
        self._list.setObjectName("tabs")
        self._list.setHeaderLabels([f"On the sheet, {unit()}", "Length", "Height"])
        self._list.setRootIsDecorated(False)
        self._list.setMinimumHeight(150)
        self._list.itemSelectionChanged.connect(self._marked)
        self.layout.addWidget(self._list)
        self._buttons: dict[str, Any] = {}
        row = QtGui.QHBoxLayout()
        for key, text, checkable in (
            (ADD, "Add", True), (MOVE, "Move", True), ("remove", "Remove", False),
        ):  # fmt: skip
            button = QtGui.QPushButton(text)
            button.setObjectName(key)
            button.setCheckable(checkable)
            button.clicked.connect(lambda checked=False, k=key: self._pressed(k))
            row.addWidget(button)
            self._buttons[key] = button
        self.layout.addLayout(row)
        self._fields = TabFields(self._resize)
        self.layout.addWidget(self._fields)
        rules = self._buttons["rules"] = QtGui.QPushButton("By the Rules")
        rules.setObjectName("rules")
        rules.clicked.connect(lambda checked=False: self._keep(None))
        self.layout.addWidget(rules)
        self._said = self.told(name="said")
        self._said.setTextFormat(QtCore.Qt.RichText)
        self.layout.addStretch()
        names = [p.PanelName for p in panels]
        chosen = next((p for p in laid if p.panel.name in names), None)
        looked_at = chosen or next((p for p in laid if p.shown.Visibility), laid[0])
        if not looked_at.shown.Visibility:
            where.show_only(doc, looked_at.sheet.name)
        self._choose(chosen.panel.name if chosen is not None else "")

    def getStandardButtons(self) -> Any:
        """Only a way out: all is kept at once."""
        from flatwright.gui import task

        return task.buttons("Close")

    def reject(self) -> bool:
        """Close, and say that the result is stale if it is."""
        return self.accept()

    def look(self, picked: tuple[str, Any] | None) -> None:
        """Something was clicked: after the host is done with it, see what."""
        if picked is not None and picked[1] is not None:
            QtCore.QTimer.singleShot(0, lambda: self._clicked(*picked))

    # -- what was clicked ---------------------------------------------------------------------

    def _clicked(self, name: str, point: Any) -> None:
        obj = self.doc.getObject(name)
        here = [p for p in tabs.laid_parts(self.doc) if obj is not None and _sheet_of(obj) == p.sheet.name]
        at = (float(point[0]), float(point[1]))
        armed = self._armed()
        if not here:
            return
        if armed and self._part in (p.panel.name for p in here):
            self._place(armed, next(p for p in here if p.panel.name == self._part), at)
            return
        if getattr(obj, OURS, "") == "tabs":
            near = min(here[0].sheet.tabs, key=lambda t: round(_apart((t.x, t.y), at), 3), default=None)
            if near is not None:
                part = next(p for p in here if p.panel.name == near.panel)
                self._choose(near.panel, part.tabs().index(near))
        else:
            self._choose(min(here, key=lambda p: round(p.away(at), 3)).panel.name)

    def _place(self, armed: str, part: tabs.Laid, at: tuple[float, float]) -> None:
        """Put a new tab, or the marked one, where it was clicked."""
        edge, away = part.on_edge(at)
        if away > NEAR:
            self._say(
                f"That is {says(away)} from the nearest edge of {escape(self._part)}: click closer to it."
            )
            return
        u, v = part.to_panel(edge)
        marked = self._mark()
        rows = list(self._rows)
        if armed == ADD:
            rows.append((u, v, None, None))
        elif marked is not None:
            rows[marked] = (u, v, *rows[marked][2:])
        self._buttons[armed].setChecked(False)
        self._keep(rows, len(rows) - 1 if armed == ADD else marked)

    # -- what was pressed ---------------------------------------------------------------------

    def _pressed(self, key: str) -> None:
        marked = self._mark()
        if key == "remove" and marked is not None:
            self._keep([r for k, r in enumerate(self._rows) if k != marked])
            return
        other = MOVE if key == ADD else ADD
        self._buttons[other].setChecked(False)
        if self._armed():
            self._say("Click the part's edge where it is to stand.")

    def _resize(self, length: float | None, height: float | None) -> None:
        marked = self._mark()
        if marked is not None:
            rows = list(self._rows)
            rows[marked] = (*rows[marked][:2], length, height)
            self._keep(rows, marked)

    def _keep(self, rows: Sequence[Row] | None, mark: int | None = None) -> None:
        """Keep the part's tabs as they are to be."""
        given = None if rows is None else [_short(r) for r in rows]
        if self.run(f"place_tabs(panel={self._part!r}, tabs={given!r})"):
            self._choose(self._part, mark)

    # -- what is shown ------------------------------------------------------------------------

    def _choose(self, part: str, mark: int | None = None) -> None:
        """Show a part's tabs, one of them marked."""
        self._part, self._rows = part, []
        self._list.blockSignals(True)
        self._list.clear()
        self._title.setText(f"<b>{escape(part)}</b>" if part else "")
        if part:
            laid = tabs.laid_part(self.doc, part)
            self._rows = tabs.given(laid)
            for tab, row in zip(laid.tabs(), self._rows, strict=True):
                at = ", ".join(says(c).split()[0] for c in (tab.x, tab.y))
                item = QtGui.QTreeWidgetItem([at, says(tab.length), says(tab.height)])
                for column, own in ((1, row[2]), (2, row[3])):
                    font = item.font(column)
                    font.setBold(own is not None)
                    item.setFont(column, font)
                self._list.addTopLevelItem(item)
            if mark is not None and mark < len(self._rows):
                self._list.setCurrentItem(self._list.topLevelItem(mark))
            self._list.resizeColumnToContents(0)
        self._list.blockSignals(False)
        self._say(_told(self.doc, part) if part else "")
        self._marked()

    def _marked(self) -> None:
        marked = self._mark()
        for key in (MOVE, "remove"):
            self._buttons[key].setEnabled(marked is not None)
        for key in (ADD, "rules"):
            self._buttons[key].setEnabled(bool(self._part))
        self._fields.show_sizes(None if marked is None else self._rows[marked][2:])

    def _mark(self) -> int | None:
        items = self._list.selectedItems()
        return self._list.indexOfTopLevelItem(items[0]) if items else None

    def _armed(self) -> str:
        return next((k for k in (ADD, MOVE) if self._buttons[k].isChecked()), "")

    def _say(self, text: str) -> None:
        self._said.setText(text)


def _told(doc: Any, part: str) -> str:
    """What there is to say of a part's tabs, as rich text."""
    found = tabs.findings_of(doc, part)
    return "<br>".join(
        f'<span style="color:{BY_SEVERITY[f.severity]}">{escape(f.message)}</span> {escape(f.remedy)}'
        for f in found
    )


def _short(row: Row) -> tuple[float | None, ...]:
    """A tab as the public function takes it, sizes left out where they are by the rules."""
    u, v, length, height = row
    place = (round(u, 3) + 0.0, round(v, 3) + 0.0)
    return place if length is None and height is None else (*place, length, height)


def _sheet_of(obj: Any) -> str:
    """The sheet whose group an object is in."""
    groups = [g for g in obj.InList if getattr(g, OURS, "") == "sheet"]
    return groups[0].SheetName if groups else ""


def _apart(a: tuple[float, float], b: tuple[float, float]) -> float:
    return abs(a[0] - b[0]) + abs(a[1] - b[1])
