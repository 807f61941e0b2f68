# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The add-in's settings, which the host keeps for the user."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import FreeCAD as App

from flatwright import resources

GROUP = "User parameter:BaseApp/Preferences/Mod/Flatwright"
PRESET_FILE = "PresetFile"
STARTER = "presets/metric.shop.json"


def preset_file() -> Path:
    """The shop preset that the user chose, else the metric starter."""
    chosen = _group().GetString(PRESET_FILE, "").strip()
    return Path(chosen) if chosen else resources.path(STARTER)


def set_preset_file(path: str | Path) -> None:
    """Keep the choice of a shop preset."""
    _group().SetString(PRESET_FILE, str(path))


def _group() -> Any:
    return App.ParamGet(GROUP)
