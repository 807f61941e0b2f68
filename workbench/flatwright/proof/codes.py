# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What the proof can find: its entries in the catalogue of findings."""

from __future__ import annotations

from flatwright.findings import declare

declare(
    "error",
    proof__file_missing="a program that the plan names is not there",
    proof__file_changed="a program is not the one that the plan was written for",
    proof__reader="a program cannot be read",
    proof__assumed_state="a program leaves open what its numbers mean",
    proof__unplaced_move="a program moves to places or by offsets that its text does not settle",
    proof__bit="a program's bits are not those of the plan or of the preset",
    proof__outline="a part's outline is not the planned one",
    proof__hole="a planned hole is missing or not the planned one",
    proof__pocket="a planned pocket is missing or not the planned one",
    proof__depth="something is not cut to its planned depth",
    proof__missing_part="a planned part is not cut out",
    proof__unplanned_cut="something is cut that the plan does not know",
    proof__tab_missing="a planned tab is not there",
    proof__tab_size="a tab has not its planned length or height",
    proof__screw_hit="a bit touches the head of a hold-down screw",
    proof__spot_missing="a screw has no spot mark, or a mark has no screw",
    proof__spot_depth="a spot mark has not its planned depth",
    proof__rapid_in_wood="a rapid move goes through wood or too near above it",
    proof__overcut="a program cuts deeper into the spoilboard than the preset allows",
    proof__table_hit="a program reaches the machine's table",
    proof__spindle_off="a program cuts with the spindle stopped or turning backwards",
    proof__not_parked="a program does not end parked with the spindle stopped",
    proof__travel="a program leaves the machine's travel",
    proof__drilled_with="a bit that must not drill is plunged into solid wood",
    proof__interference="two assembled parts want the same place",
    proof__gap="a joint's gap is not that of its fit class",
)
declare(
    "warning",
    proof__ramp_across_grain="a straight ramp enters the wood across the grain",
    proof__radius_arc="an arc near half or full turn is given by its radius",
    proof__block_delete="lines of a program run only as the operator's block delete switch says",
    proof__nail_hit="a bit touches the head of a composite nail",
)
declare(
    "note",
    proof__gap_unmeasured="a gap of a joint could not be measured",
    proof__verdict="what the dry fit read, what it found, and what it did not check",
)
