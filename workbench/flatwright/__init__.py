# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Flatwright: fit, lay out, hold, cut and prove flat-pack pieces inside FreeCAD."""

__version__ = "0.1.0"
