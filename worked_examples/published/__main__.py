"""Prints every published example as one Markdown table: the one in README.md of this folder."""

from worked_examples.published import (
    ashrae_glycol,
    boiling_under_cap,
    engine_trials,
    holman_10_9,
    holman_10_15,
    incropera_11_3,
    incropera_11_4,
    janna_9_7,
    jcgm_101,
    jcgm_101_9_5,
    kays_london_crossflow,
    road_load_r83,
    shah_london_ducts,
    standard_atmosphere,
    two_streams,
    water_saturation,
)
from worked_examples.published.comparison import Example, markdown

SCRIPTS = (
    ashrae_glycol,
    boiling_under_cap,
    engine_trials,
    holman_10_15,
    holman_10_9,
    incropera_11_3,
    incropera_11_4,
    janna_9_7,
    jcgm_101,
    jcgm_101_9_5,
    kays_london_crossflow,
    road_load_r83,
    shah_london_ducts,
    standard_atmosphere,
    two_streams,
    water_saturation,
)


def examples() -> dict[str, Example]:
    """Every example by the name of its script."""
    return {script.__name__.rpartition(".")[2]: script.compare() for script in SCRIPTS}


def problems() -> dict[str, str]:
    """Every published problem and where it stands: those of the cases and trials by name, each other script as one."""
    found = {problem.key: problem.source for problem in two_streams.PROBLEMS}
    found |= {trial.name: f"{_book(trial.name)}, heat balance of an engine trial" for trial in engine_trials.TRIALS}
    several = ("two_streams", "engine_trials")
    return found | {name: one.source for name, one in examples().items() if name not in several}


BOOKS = {
    "Rajput": "R. K. Rajput, A Textbook of Internal Combustion Engines",
    "Rayner Joel": "Rayner Joel, Basic Engineering Thermodynamics",
    "Mathur": "M. L. Mathur and R. P. Sharma, Internal Combustion Engine",
    "Keswani": "H. B. Keswani, Internal Combustion Engines",
    "Nag": "P. K. Nag, Power Plant Engineering",
    "Singh": "Onkar Singh, Engineering Thermodynamics",
}


def _book(trial: str) -> str:
    """Author and title of a trial's book, with the example's number."""
    author, _, number = trial.rpartition(" ")
    return f"{BOOKS[author]}, Example {number}"


def problem_list() -> str:
    """The published problems as the table of README.md, numbered; what is from memory is marked and not counted."""
    rows = ["| no. | problem | where it stands |", "| --- | --- | --- |"]
    count = 0
    for name, source in problems().items():
        counted = "from memory)" not in source
        count += counted
        rows.append(f"| {count if counted else 'not counted'} | {name} | {source} |")
    return "\n".join(rows)


if __name__ == "__main__":
    print(problem_list())
    print()
    print(markdown(examples()))
