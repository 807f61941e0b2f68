# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What the air that pieces are used in does to boards measured in other air."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from flatwright.boards.batch import Batch
from flatwright.boards.moisture import IN_PLANE_ACROSS, IN_PLANE_ALONG, change, movement
from flatwright.findings import Finding, declare, finding
from flatwright.presets.model import Climate

declare(
    "note",
    board__moisture="boards are measured in one air and used in another: how much they grow or shrink",
    board__air_unknown="the preset names the air that pieces are used in, but not that of a board's readings",
)

# Glass, Zelinka and Johnson 2014, FPL-GTR-229; the share of plywood is from memory.
CAVEAT = (
    "figures for practical use, not exact: they are those of solid wood, and plywood holds 1 to 3 % less "
    "moisture in the same air (FPL-GTR-229)"
)
NOTHING = 0.05  # % of moisture content: less is not told


def moisture_change(measured_at: Climate | None, used_at: Climate | None) -> float:
    """% of moisture content taken up from the one air to the other; 0 where either is not known."""
    if measured_at is None or used_at is None:
        return 0.0
    return round(change(measured_at, used_at), 6)


def tell_moisture(
    batch: Batch, panels: Sequence[str], measured_at: Climate | None, used_at: Climate | None
) -> Iterable[Finding]:
    """How a measured batch moves between the two airs."""
    if used_at is None:
        return
    if measured_at is None:
        yield finding(
            "board.air-unknown",
            batch.name,
            f"pieces are used at {air(used_at)}, but the preset does not say what air {batch.name} was "
            "measured in: no movement is reckoned with",
            "give the board in the preset the temperature and humidity of your shop (measured_at)",
            panels=panels,
        )
    elif abs(batch.moisture) >= NOTHING:
        along, across = (movement(1000.0, batch.moisture, c) for c in (IN_PLANE_ALONG, IN_PLANE_ACROSS))
        takes, grows = ("takes up", "grows") if batch.moisture > 0 else ("loses", "shrinks")
        yield finding(
            "board.moisture",
            batch.name,
            f"{batch.name} {takes} {abs(batch.moisture):.1f} % of moisture from {air(measured_at)}, where it "
            f"is measured, to {air(used_at)}, where it is used: it {grows} by {abs(batch.growth):.2f} mm in "
            f"thickness and, in every 1000 mm, by {abs(along):.2f} mm along the face grain and "
            f"{abs(across):.2f} mm across it",
            f"slots are cut for the thicker of the two; {CAVEAT}",
            panels=panels,
        )


def air(climate: Climate) -> str:
    """`20 °C and 50 %`."""
    return f"{round(climate.temperature, 1):g} °C and {round(100.0 * climate.humidity, 1):g} %"
