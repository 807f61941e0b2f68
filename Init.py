# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""FreeCAD runs this at its start, with and without a window: it makes `flatwright` importable.

Hosts up to 1.1 run this text inside a function of their own, without a file name, and have put
the add-on's folder on the import path; later ones import it as a module. Nothing but lines that
run one after the other works in both.
"""

import sys
from pathlib import Path

for _root in [str(Path(globals().get("__file__") or "/none").parent), *sys.path]:
    _place = Path(_root) / "workbench"
    if _root and (_place / "flatwright" / "__init__.py").is_file():
        if str(_place) not in sys.path:
            sys.path.insert(0, str(_place))
        break
