"""Prints every published example as one Markdown table: the one in README.md of this folder."""

from worked_examples.published import (
    ashrae_glycol,
    boiling_under_cap,
    holman_10_9,
    holman_10_15,
    incropera_11_3,
    incropera_11_4,
    janna_9_7,
    jcgm_101_9_2_2,
    kays_london_crossflow,
    road_load_r83,
    shah_london_ducts,
    standard_atmosphere,
    water_saturation,
)
from worked_examples.published.comparison import Example, markdown

SCRIPTS = (
    ashrae_glycol,
    boiling_under_cap,
    holman_10_15,
    holman_10_9,
    incropera_11_3,
    incropera_11_4,
    janna_9_7,
    jcgm_101_9_2_2,
    kays_london_crossflow,
    road_load_r83,
    shah_london_ducts,
    standard_atmosphere,
    water_saturation,
)


def examples() -> dict[str, Example]:
    """Every example by the name of its script."""
    return {script.__name__.rpartition(".")[2]: script.compare() for script in SCRIPTS}


if __name__ == "__main__":
    print(markdown(examples()))
