# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Why a solid is not a panel, and how exact a drawing has to be to be one."""

from __future__ import annotations

SQUARE = 1e-4  # sine of the angle at which a face counts as square or parallel
LEVEL = 1e-3  # mm: faces within this height are one level


class NotAPanel(ValueError):
    """Why a solid is not a panel, in the user's words: the end of "Side is left out: it …"."""
