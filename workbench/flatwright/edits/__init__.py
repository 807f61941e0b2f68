# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What the user decided by hand, kept by references that outlive changes of the model."""
