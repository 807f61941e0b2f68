# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""FreeCAD: reading solids, writing objects, CAM jobs, posts. The only room that imports it."""
