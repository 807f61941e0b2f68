# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Showing one thing at a time: the piece as drawn, as fitted, or one sheet with its programs.

All of them lie about the document's origin, one in another. What is drawn is only hidden and
shown again, never changed. Which of it was hidden here is kept with the result: that is read
anew all the same (see `host.skipping.stood_in_for`), what the user hid is not.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from flatwright.host import remembered
from flatwright.host.result import result_group
from flatwright.host.skipping import OURS

DRAWN, FITTED, FIRST_SIDE = "drawn", "fitted", "first side"


def show_only(doc: Any, what: str) -> None:
    """Show what is drawn, the fitted panels or a sheet by its name, and hide the rest of these."""
    kept = set(remembered.hidden(doc))
    drawn = [o for o in map(doc.getObject, remembered.sources(doc)) if o is not None]
    of_the_piece = [o for o in drawn if o.Visibility or o.Name in kept]
    # first, for a change of visibility alone opens no undo step in which it would be kept
    remembered.remember_hidden(doc, [] if what == DRAWN else [o.Name for o in of_the_piece])
    for obj in of_the_piece:
        obj.Visibility = what == DRAWN
    for obj, belongs_to in list(_shown_with(doc)):
        obj.Visibility = belongs_to == what


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
