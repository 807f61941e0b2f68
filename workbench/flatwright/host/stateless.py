# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What the host asks of a proxy when it writes and reads a document."""

from __future__ import annotations

from typing import Any


class Stateless:
    """A proxy that keeps nothing itself: everything is in its object's properties."""

    def dumps(self) -> None:
        """Nothing to keep."""

    def loads(self, state: Any) -> None:
        """Nothing was kept."""

    # 0.20 asks for these two; newer hosts for the two above
    def __getstate__(self) -> None:
        return None

    def __setstate__(self, state: Any) -> None:
        return None
