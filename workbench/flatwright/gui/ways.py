# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Directions of the assembly in words."""

from __future__ import annotations

from collections.abc import Sequence

ALONG = 0.999  # cosine within which a direction follows an axis


def way_named(way: Sequence[float]) -> str:
    """`+x` to `-z` for a unit direction (3,) that follows an axis, else nothing.

    >>> way_named((0.0, -1.0, 0.0)), way_named((0.6, 0.8, 0.0))
    ('-y', '')
    """
    for axis, value in zip("xyz", way, strict=True):
        if abs(value) > ALONG:
            return f"+{axis}" if value > 0 else f"-{axis}"
    return ""
