# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Draws the demo's two pieces of furniture with FreeCAD and stores them beside this script.

    /usr/bin/python3 resources/demo/draw.py [FOLDER]

The stored files are drawn on FreeCAD 0.20 so that every later version opens them.
"""

from __future__ import annotations

import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent.parent / "workbench"))
sys.path.insert(0, str(HERE))


def main(folder: Path) -> None:
    """Draw and store both pieces in the folder."""
    from flatwright.findings import UsageError
    from flatwright.host.bootstrap import freecad

    try:
        freecad()
    except UsageError as reason:
        sys.exit(str(reason))
    import book_trolley
    import drawing
    import puppet_stage

    for name, piece in (("book-trolley", book_trolley), ("puppet-stage", puppet_stage)):
        doc, boards = piece.draw()
        drawing.store(doc, boards, folder / name)
        print(f"{name}: {len(boards)} boards")


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else HERE)
