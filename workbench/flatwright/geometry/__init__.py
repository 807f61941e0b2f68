# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Plane and space geometry: outlines with arcs, offsets, corners, frames. Knows no wood and no host."""
