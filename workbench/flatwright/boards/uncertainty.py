# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Uncertainty of measured means, by the Guide to the expression of uncertainty (JCGM 100:2008).

The t-factor is computed here, since scipy is no runtime dependency.
"""

from __future__ import annotations

import math


def standard_error(deviation: float, count: int) -> float:
    """Standard uncertainty of the mean of `count` readings (JCGM 100, 4.2.3)."""
    return deviation / math.sqrt(count)


def rectangular(half_width: float) -> float:
    """Standard uncertainty of a value known only to lie within ± half_width (JCGM 100, 4.3.7)."""
    return half_width / math.sqrt(3.0)


def of_resolution(step: float) -> float:
    """Standard uncertainty that an instrument's step gives a reading (JCGM 100, F.2.2.1): step/√12."""
    return rectangular(step / 2.0)


def combined(*parts: float) -> float:
    """Root of the sum of squares of independent standard uncertainties."""
    return math.hypot(*parts)


def expanded(standard: float, freedom: int, confidence: float = 0.95) -> float:
    """Half width of the interval that holds the value with the given confidence."""
    return t_factor(confidence, freedom) * standard


def t_factor(confidence: float, freedom: int) -> float:
    """Two-sided factor of Student's t for a whole number of degrees of freedom.

    Raises ValueError for a confidence outside 0 to 1 or no degree of freedom.

    >>> round(t_factor(0.95, 7), 4)
    2.3646
    """
    if not 0.0 < confidence < 1.0 or freedom < 1:
        raise ValueError("a t-factor needs a confidence between 0 and 1 and a degree of freedom")
    low, high = 0.0, math.pi / 2.0
    for _ in range(100):
        middle = (low + high) / 2.0
        low, high = (middle, high) if _within(middle, freedom) < confidence else (low, middle)
    return math.tan((low + high) / 2.0) * math.sqrt(freedom)


def _within(theta: float, freedom: int) -> float:
    """P(|t| < √freedom · tan θ): Abramowitz and Stegun, 26.7.3 and 26.7.4."""
    sine, cosine = math.sin(theta), math.cos(theta)
    odd = freedom % 2
    term = sine * (cosine if odd else 1.0)
    total = term if freedom > 1 else 0.0
    for k in range(2 + odd, freedom - 1, 2):
        term *= cosine * cosine * (k - 1) / k
        total += term
    return (theta + total) * 2.0 / math.pi if odd else total
