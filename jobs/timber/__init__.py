"""Timber: what it measures, how it shrinks and dries, and what it weighs. Numbers in, numbers out."""

from jobs.timber.air import equilibrium_moisture, humidity_for
from jobs.timber.board_measure import (
    Board,
    Tallied,
    board_feet,
    board_feet_to_m3,
    cubic_metres,
    export_tally,
    graded_board_feet,
    hoppus_feet,
    hoppus_to_m3,
    hoppus_tons,
    surface_measure,
)
from jobs.timber.dryness import Limit, Verdict, judge, limit_given, limit_of_air, months_by_the_rule_of_thumb
from jobs.timber.refusals import TimberError
from jobs.timber.shrinking import (
    Change,
    Grain,
    Hub,
    Section,
    change,
    change_from_6_to_14,
    change_over_a_wide_range,
    hub_change,
    run_change_nm,
    section_change,
)
from jobs.timber.species import SPECIES, Basis, Gravity, Species, species_of
from jobs.timber.weight import density_kg_m3, species_density_kg_m3

__all__ = [
    "SPECIES",
    "Basis",
    "Board",
    "Change",
    "Grain",
    "Gravity",
    "Hub",
    "Limit",
    "Section",
    "Species",
    "Tallied",
    "TimberError",
    "Verdict",
    "board_feet",
    "board_feet_to_m3",
    "change",
    "change_from_6_to_14",
    "change_over_a_wide_range",
    "cubic_metres",
    "density_kg_m3",
    "equilibrium_moisture",
    "export_tally",
    "graded_board_feet",
    "hoppus_feet",
    "hoppus_to_m3",
    "hoppus_tons",
    "hub_change",
    "humidity_for",
    "judge",
    "limit_given",
    "limit_of_air",
    "months_by_the_rule_of_thumb",
    "run_change_nm",
    "section_change",
    "species_density_kg_m3",
    "species_of",
    "surface_measure",
]
