# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Colours of words, legible on light and on dark windows."""

ERROR = "#c2413b"
WARNING = "#b0790f"
NOTE = "#7d8590"
BY_SEVERITY = {"error": ERROR, "warning": WARNING, "note": NOTE}
