# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Showing one thing at a time: the piece as drawn, as fitted, or one sheet with its programs.

All of them lie about the document's origin, one in another. What is drawn is only hidden and
shown again, never changed; a result is read anew from what it was made of, also while that is
hidden (see `host.skipping.stood_in_for`).
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from flatwright.host import remembered
from flatwright.host.result import result_group
from flatwright.host.skipping import OURS

DRAWN, FITTED, FIRST_SIDE = "drawn", "fitted", "first side"


def show_result(doc: Any, what: str) -> None:
    """Of the result show the fitted panels, or a sheet by its name; what is drawn stays as it is."""
    for obj, belongs_to in list(_shown_with(doc)):
        obj.Visibility = belongs_to == what


def show_only(doc: Any, what: str) -> None:
    """Show what is drawn, the fitted panels or a sheet, and hide the rest of these."""
    for name in remembered.sources(doc):
        obj = doc.getObject(name)
        if obj is not None:
            obj.Visibility = what == DRAWN
    show_result(doc, what)


def _shown_with(doc: Any) -> Iterator[tuple[Any, str]]:
    """Objects of the result and what they belong to, groups before their members."""
    group = result_group(doc)
    for part in group.Group if group is not None else ():
        belongs_to = part.SheetName if getattr(part, OURS, "") == "sheet" else FITTED
        yield part, belongs_to
        for obj in part.Group:
            first = getattr(obj, OURS, "") == "first side"  # lies where the layout lies: shown by itself only
            yield obj, FIRST_SIDE if first else belongs_to
            operations = getattr(obj, "Operations", None)  # a job's
            for operation in operations.Group if operations is not None else ():
                yield operation, belongs_to
