# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Where presets, schemas and icons lie.

In a checkout or an add-on folder they lie in `resources/` beside `workbench/`. A copy
installed by pip carries `presets/` and `schemas/` in the package itself (pyproject.toml).
"""

from __future__ import annotations

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent
_PLACES = (_PACKAGE / "_resources", _PACKAGE.parents[1] / "resources")


def path(name: str) -> Path:
    """The file or folder `name`, for example `presets/metric.shop.json`.

    Raises `FileNotFoundError` naming what is missing when no place has it.

    >>> path("schemas").name
    'schemas'
    """
    for place in _PLACES:
        if (place / name).exists():
            return place / name
    raise FileNotFoundError(f"Flatwright's own file {name} is missing; install Flatwright again")
