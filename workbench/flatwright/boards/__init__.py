# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Board batches: what the boards really measure, and which panel is cut from which."""
