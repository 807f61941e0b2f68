# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What an operator must mind, and how long noise may be borne without protection.

The list holds every point of the project's safety check; a test reads each of them back.
"""

from __future__ import annotations

FIRST = (
    "The machine's manual, your local codes and the licensed or trained people who answer for this "
    "workshop come before this paper. Where they ask for more or "
    "say otherwise, do as they say."
)

# (short name, what to do)
CAUTIONS: tuple[tuple[str, str], ...] = (
    ("Eyes", "Wear eye protection from the first start of the spindle to the last cut tab."),
    ("Ears", "Wear ear protection while the spindle or the extraction runs."),
    (
        "Dust mask",
        "Wear a dust mask while cutting and while cleaning. Hardwood dust, birch and beech among it, "
        "can cause cancer.",
    ),
    ("Extraction on", "Switch the dust extraction on before the spindle and leave it on for a while after."),
    ("No gloves", "No gloves at the spindle, no loose sleeves, cords or rings; long hair tied back."),
    (
        "Hand near the stop",
        "Keep a hand near the stop while a program runs, and know what it does on this machine.",
    ),
    ("Never leave it running", "Never leave the machine while it runs, not even for a moment."),
    ("Check Z zero", "Check Z zero after every bit change: a wrong zero drives the bit into the table."),
    ("Dry run", "Run every program once above the board, in the air, before it cuts."),
    (
        "Screws out of the path",
        "Put screws only into the marks. Keep screws, clamps and tools out of the bit's path.",
    ),
    (
        "Stop for the screws",
        "Stop the spindle and hold the motion, so that nothing can start, before you reach in to "
        "drive screws, change a bit or clear parts.",
    ),
    (
        "Light or bowed sheets",
        "A sheet too light or too bowed to lie still is clamped or pressed flat while it is "
        "spotted. Do not hold it by hand.",
    ),
    ("Tabs", "Cut tabs with the spindle stopped, and away from the hand that holds the part."),
    (
        "Fire watch",
        "Keep a fire watch after cutting: stay until neither the bed, the chips nor the dust "
        "container can still be smouldering. A dull bit or one that stands still in the wood burns it.",
    ),
)

NOISE_LEVELS = (85, 88, 91, 94, 97, 100)  # dB(A)


def hours_of_noise(level: float) -> float:
    """Hours a day at a level in dB(A) that NIOSH recommends as the most: 8 / 2^((L − 85) / 3).

    Source: NIOSH recommended exposure limit, 85 dB(A) over 8 h with a 3 dB exchange rate.

    >>> hours_of_noise(94)
    1.0
    """
    return float(8.0 / 2.0 ** ((level - 85.0) / 3.0))


def time_of_noise(level: float) -> str:
    """The same in words, whole minutes below an hour."""
    hours = hours_of_noise(level)
    return f"{hours:g} h" if hours >= 1.0 else f"{hours * 60.0:.0f} min"
