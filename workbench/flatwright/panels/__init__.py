# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What a panel is: outline, pockets, holes and a frame in space; what is not one, and why."""
