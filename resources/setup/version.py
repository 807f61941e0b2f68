# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Print the version that FreeCAD itself states, for example 1.0.0."""

import sys

sys.path.append("/usr/lib/freecad-python3/lib")

import FreeCAD

print(".".join(FreeCAD.Version()[:3]))
