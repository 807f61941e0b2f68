# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Seeded faults on planned work; `FAULTS` has them all."""

from __future__ import annotations

from support.faults import depths as depths
from support.faults import loose as loose
from support.faults import machine as machine
from support.faults import motion as motion
from support.faults import shapes as shapes
from support.faults import slips as slips
from support.faults import turning as turning
from support.faults.registry import FAULTS as FAULTS
