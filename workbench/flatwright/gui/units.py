# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Lengths in the unit that the host shows: of the open document, else of the user's settings."""

from __future__ import annotations

import re

import FreeCAD as App

from flatwright.reports.lengths import Lengths

_BARE = re.compile(r"[0-9]+(?:[.,][0-9]*)?|[.,][0-9]+|[0-9]+ +[0-9]+/[0-9]+|[0-9]+/[0-9]+")


def unit() -> str:
    """`mm` or `in`: asked of how the host writes an inch, for the numbers of its schemes change."""
    written = App.Units.Quantity(25.4, App.Units.Length).UserString
    return "in" if re.search(r"""["']|in|ft""", written) else "mm"


def says(mm: float) -> str:
    """A length with enough decimals to measure by: `17.72 mm`, `0.698 in`."""
    return Lengths((unit(),)).says(mm)


def fine(mm: float) -> str:
    """A small length, a spread, with one more decimal: `0.033 mm`, `0.0013 in`."""
    return Lengths((unit(),)).fine(mm)


def with_unit(text: str) -> str:
    """What was typed, with its unit: a bare number gets the host's.

    A comma between two figures is a decimal comma, as many keyboards have it.
    """
    text = text.strip()
    if _BARE.fullmatch(text):
        text = f"{text} {unit()}"
    return re.sub(r"(?<=[0-9]),(?=[0-9])|^,(?=[0-9])", ".", text)
