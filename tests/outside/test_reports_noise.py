# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Noise times printed on the operator sheet against the published table."""

from __future__ import annotations

import pytest

from flatwright.reports.cautions import NOISE_LEVELS, hours_of_noise, time_of_noise

# CHECKS SAF-1: NIOSH recommended exposure limit, table of the NIOSH noise page: dB(A) -> hours.
NIOSH = {85: 8.0, 88: 4.0, 91: 2.0, 94: 1.0, 97: 0.5, 100: 0.25}


@pytest.mark.parametrize("level", NIOSH)
def test_hours_are_those_of_niosh(level):
    assert hours_of_noise(level) == pytest.approx(NIOSH[level], rel=1e-12)


def test_printed_levels_are_those_of_the_table():
    assert tuple(NIOSH) == NOISE_LEVELS
    assert [time_of_noise(v) for v in NIOSH] == ["8 h", "4 h", "2 h", "1 h", "30 min", "15 min"]
