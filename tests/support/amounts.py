# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""How many random cases a property test draws: most on the machine's own host, and far more when asked."""

from __future__ import annotations

import os

LONG = 10_000


def examples(native: int, other: int, long: int = LONG) -> int:
    """For the host of this run; `long` with `tests/run.sh --long`."""
    if os.environ.get("FLATWRIGHT_LONG"):
        return long
    return native if os.environ.get("FLATWRIGHT_HOST", "native") == "native" else other
