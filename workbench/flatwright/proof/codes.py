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
    proof__skin_missing="a skin that should hold a part is cut through",
    proof__screw_hit="a bit touches the head of a hold-down screw",
    proof__screw_in_part="a hold-down screw goes through the wood of a part",
    proof__spot_missing="a screw has no spot mark, or a mark has no screw",
    proof__spot_depth="a spot mark has not its planned depth",
    proof__pin="a registration pin's hole is missing, or not where, as wide or as deep as planned",
    proof__pin_hit="a bit runs into a registration pin",
    proof__rapid_in_wood="a rapid move goes through wood or too near above it",
    proof__overcut="a program cuts deeper into the spoilboard than the preset allows",
    proof__table_hit="a program reaches the machine's table",
    proof__spindle_off="a program cuts with the spindle stopped or turning backwards",
    proof__spindle_speed="a bit turns at a speed that the machine or the preset's cutting data do not allow",
    proof__feed="a program feeds a bit faster than the preset's cutting data",
    proof__pass_depth="a bit takes more wood in one pass than the preset's cutting data",
    proof__cutting_length="a bit goes deeper into the board than its edges are long",
    proof__holder_hit="the collet of a short bit may touch the head of a hold-down screw",
    proof__clamp_hit="a bit or its collet runs into a clamp",
    proof__loose_part="a part is cut on after nothing holds it any more",
    proof__not_parked="a program does not end parked with the spindle stopped",
    proof__travel="a program leaves the machine's travel",
    proof__drilled_with="a bit that must not drill is plunged into solid wood",
    proof__interference="two assembled parts want the same place",
    proof__gap="a joint's gap is not that of its fit class",
    proof__thickness="a sheet is planned of another thickness than its board measures",
    proof__insertion_path="a part cannot get into its joint: something is in its way",
    proof__closed_cycle="parts lock each other: no order of assembly puts them together",
)
declare(
    "warning",
    proof__ramp_across_grain="a straight ramp enters the wood across the grain",
    proof__radius_arc="an arc near half or full turn is given by its radius",
    proof__block_delete="lines of a program run only as the operator's block delete switch says",
    proof__nail_hit="a bit touches the head of a composite nail",
    proof__extreme="a joint does not go together with the thickest or thinnest board of its batch",
    proof__tab_on_joint="a tab stands where its part meets another: its stub must be trimmed",
    proof__loose_waste="a piece of waste comes loose: a bit may jam on it or throw it",
    proof__inside_after_outside="a part's inside is cut after its outline",
    proof__unmeasured="joints were tried at the mean thickness only: nobody measured the board",
    proof__feed_unlike_preset="a program without a plan feeds a bit faster than the preset's cutting data",
    proof__bit_unknown="a program without a plan uses a bit that the preset does not have",
    proof__unplanned_file="a file that the plan does not name: it was checked by itself",
)
declare(
    "note",
    proof__gap_unmeasured="a gap of a joint could not be measured",
    proof__verdict="what the dry fit read, what it found, and what it did not check",
)
