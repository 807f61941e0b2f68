# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Moisture: what boards take up from the air, and how they move by it.

The equilibrium is that of solid wood; plywood lies one to three per cent of moisture content
lower, and the historic data behind it are for practical use, not exact (FPL-GTR-229).
"""

from __future__ import annotations

from flatwright.presets.model import Climate

# Movement of plywood in its plane per 1 % of moisture content: 22 species, three plies,
# 7 to 20 %: 0.18 % along and 0.27 % across the face grain (Forest Products Research Laboratory).
IN_PLANE_ALONG = 0.0018 / 13.0
IN_PLANE_ACROSS = 0.0027 / 13.0

# In thickness peeled veneer moves as solid wood does radially: yellow and sweet birch,
# C_R of Wood Handbook Table 13-5, per 1 % of moisture content.
THICKNESS_BIRCH = 0.00256


def equilibrium(temperature: float, humidity: float) -> float:
    """Equilibrium moisture content of wood in % at a temperature in °C and a relative humidity 0 to 1.

    Wood Handbook (FPL-GTR-282) chapter 4, equation of Simpson, FPL-RN-0268, in °C. Raises ValueError
    for a humidity outside 0 to 1.

    >>> round(equilibrium(20, 0.65), 2)
    12.0
    """
    if not 0.0 <= humidity <= 1.0:
        raise ValueError("a relative humidity lies between 0 and 1")
    t = temperature
    w = 349.0 + 1.29 * t + 0.0135 * t * t
    k = 0.805 + 0.000736 * t - 0.00000273 * t * t
    k1 = 6.27 - 0.00938 * t - 0.000303 * t * t
    k2 = 1.91 + 0.0407 * t - 0.000293 * t * t
    kh = k * humidity
    bound = k1 * kh + 2.0 * k1 * k2 * kh * kh
    return 1800.0 / w * (kh / (1.0 - kh) + bound / (1.0 + k1 * kh + k1 * k2 * kh * kh))


def change(measured_at: Climate, used_at: Climate) -> float:
    """Moisture content that wood takes up from one air to another, %; negative where it dries.

    Plywood lies lower than solid wood in both airs, so that much of the error cancels out.
    """
    before = equilibrium(measured_at.temperature, measured_at.humidity)
    return equilibrium(used_at.temperature, used_at.humidity) - before


def movement(length: float, change: float, coefficient: float) -> float:
    """Growth in mm of a length for a change of moisture content in %, by one of the coefficients above.

    >>> round(movement(1200, 4, IN_PLANE_ACROSS), 2)
    1.0
    """
    return length * coefficient * change
