# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The dry fit: what the posted text leaves on each sheet, and whether the parts assemble."""
