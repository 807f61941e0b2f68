# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What each version of the host can do: the one table, asked of the host that runs."""

from __future__ import annotations

# feature: the first version that has it
SINCE: dict[str, tuple[int, int]] = {
    "cam_package": (0, 21),  # CAM modules live in the package `Path`, posts return their text
    "toolbit_assets": (1, 1),  # bits are made from a shape id and attached to a document
    "cam_icons": (1, 0),  # the CAM workbench's icons are named CAM_…, before that Path_…
}


def version() -> tuple[int, int, int]:
    """The running host's version, for example (1, 0, 0)."""
    import FreeCAD

    major, minor, patch = FreeCAD.Version()[:3]
    return int(major), int(minor), int(patch)


def version_text() -> str:
    """The running host's version as users know it, for example `0.20.2`."""
    return ".".join(str(n) for n in version())


def can(feature: str) -> bool:
    """True if the running host has that feature of `SINCE`; KeyError for an unknown one."""
    return version()[:2] >= SINCE[feature]
