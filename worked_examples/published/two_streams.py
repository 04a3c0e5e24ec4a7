"""Exchangers of textbooks as cases: each is a problem of known and unknown on a bench, solved as the program solves it.

The books' numbers are those of the worked examples as their readers transcribed them for the Python Textbook Companion.
Fluids are entered by the properties that the book prints, so that the difference is the book's rounding or its chart;
that is said beside the answer. ``case_of`` gives the case, which the program opens and prints like any other.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from engcalc.case.case import Case
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.errors import InputError
from engcalc.studies.bench.check import check_bench
from engcalc.studies.bench.problem import ProblemAnswer
from worked_examples.published.comparison import Answer, Example, show


@dataclass(frozen=True)
class Printed:
    """One printed answer: which of ours it is (:func:`_ours`), unit and spelling, and why it may be less sharp."""

    what: str
    unit: str
    published: str
    within: float | None = None
    why: str = ""
    times: float = 1.0  # ours is multiplied by this: a conductance becomes an area, say


@dataclass(frozen=True)
class BookProblem:
    """A problem of a book: where it stands, its case, and what is printed. A fluid is its specific heat, or a name."""

    key: str
    source: str
    arrangement: str
    hot: str
    cold: str
    known: Mapping[str, str]
    printed: tuple[Printed, ...]


CENGEL = "Cengel, Heat and Mass Transfer: A Practical Approach"
INCROPERA = "Incropera, DeWitt, Bergman and Lavine, Fundamentals of Heat and Mass Transfer"
SACHDEVA = "Sachdeva, Fundamentals of Engineering Heat and Mass Transfer"
SOM = "Som, Introduction to Heat Transfer"
UNMIXED = "crossflow, both unmixed"

PROBLEMS = (
    BookProblem(
        "Cengel 11-6",
        f"{CENGEL}, Example 11-6: radiator of a car, 40 tubes of 5 mm by 0.65 m",
        UNMIXED,
        "4195",
        "1007",
        {
            "hot_flow": "0.6 kg/s",
            "hot_in": "90 degC",
            "hot_out": "65 degC",
            "cold_in": "20 degC",
            "cold_out": "40 degC",
        },
        (
            Printed("heat", "kW", "62.93"),
            Printed(
                "U",
                "W/(m2 K)",
                "3347",
                33.5,
                "its F = 0.97 off a chart stands for 0.965 to 0.975",
                1.0 / (40 * math.pi * 0.005 * 0.65),
            ),
        ),
    ),
    BookProblem(
        "Cengel 11-8",
        f"{CENGEL}, Example 11-8: water warmed by brine in a double pipe of 15 mm",
        "counterflow",
        "4310",
        "4180",
        {
            "hot_flow": "2 kg/s",
            "hot_in": "160 degC",
            "cold_flow": "1.2 kg/s",
            "cold_in": "20 degC",
            "cold_out": "80 degC",
        },
        (
            Printed("effectiveness", "", "0.4286"),
            Printed("NTU", "", "0.652"),
            Printed("area", "m2", "5.11", times=1.0 / 640.0),
            Printed("length", "m", "108", 0.6, "108.5, printed without its decimals", 1.0 / (640.0 * math.pi * 0.015)),
        ),
    ),
    BookProblem(
        "Incropera 11.6",
        f"{INCROPERA}, Example 11.6, page 702: compact core between gas and water",
        UNMIXED,
        "1075",
        "4184",
        {"hot_flow": "1.25 kg/s", "hot_in": "825 K", "cold_flow": "1 kg/s", "cold_in": "290 K", "cold_out": "370 K"},
        (
            Printed("effectiveness", "", "0.47", 0.005, "0.4656 printed as 0.47"),
            Printed("NTU", "", "0.65", 0.05, "read 0.05 low off its chart: the exact one is 0.699"),
        ),
    ),
    BookProblem(
        "Holman 10-11",
        "Holman, Heat Transfer, Example 10-11: finned coil of a duct, 227 W/(m2 K) on 9.29 m2",
        UNMIXED,
        "4180",
        "1005",
        {
            "hot_flow": f"{660.0 / 4180.0:.9f} kg/s",
            "hot_in": "82.22 degC",
            "cold_flow": f"{40330.0 / (29.44 - 15.55) / 1005.0:.9f} kg/s",
            "cold_in": "15.55 degC",
            "conductance": f"{227.0 * 9.29:.4f} W/K",
        },
        (
            Printed("effectiveness", "", "0.92", 0.015, "its chart is read 0.014 high: the exact one is 0.906"),
            Printed("hot outlet", "degC", "21.1", 1.0, "the same reading times 66.67 K"),
        ),
    ),
    BookProblem(
        "Sachdeva 12.12",
        f"{SACHDEVA}, Example 12.12, page 524: two liquids in parallel flow",
        "parallel flow",
        "3350",
        "4186",
        {
            "hot_flow": "250 kg/h",
            "hot_in": "120 degC",
            "cold_flow": "1000 kg/h",
            "cold_in": "10 degC",
            "conductance": "290 W/K",
        },
        (
            Printed("effectiveness", "", "0.647"),
            Printed("cold outlet", "degC", "24.23", 0.01, "from the effectiveness as rounded"),
            Printed("hot outlet", "degC", "48.87", 0.06, "from the effectiveness as rounded"),
        ),
    ),
    BookProblem(
        "Sachdeva 12.15",
        f"{SACHDEVA}, Example 12.15, page 530: air cooled by water",
        UNMIXED,
        "1010",
        "4180",
        {
            "hot_flow": "4000 kg/h",
            "hot_in": "40 degC",
            "cold_flow": "4600 kg/h",
            "cold_in": "5 degC",
            "conductance": "3750 W/K",
        },
        (
            Printed("cold outlet", "degC", "11.8", 0.124, "effectiveness 0.92 off its chart, to 0.01"),
            Printed("hot outlet", "degC", "7.8", 0.4, "effectiveness 0.92 off its chart, to 0.01"),
        ),
    ),
    BookProblem(
        "Lienhard 3.5",
        "Lienhard, A Heat Transfer Textbook, Example 3.5, page 112: parallel flow, 500 W/(m2 K) on 30 m2",
        "parallel flow",
        "4000",
        "4000",
        {
            "hot_flow": "2.5 kg/s",
            "hot_in": "150 degC",
            "cold_flow": "5 kg/s",
            "cold_in": "40 degC",
            "conductance": "15000 W/K",
        },
        (
            Printed("effectiveness", "", "0.596"),
            Printed("heat", "kW", "655.6", 0.55, "from the effectiveness as rounded"),
            Printed("hot outlet", "degC", "84.44", 0.06, "from the effectiveness as rounded"),
            Printed("cold outlet", "degC", "72.78", 0.03, "from the effectiveness as rounded"),
        ),
    ),
    *(
        BookProblem(
            f"Som 10.1 {letter}",
            f"{SOM}, Example 10.1, page 415: water cooled by water, 800 W/(m2 K), {arrangement}",
            arrangement,
            "4180",
            "4180",
            {
                "hot_flow": "0.18 kg/s",
                "hot_in": "55 degC",
                "hot_out": "40 degC",
                "cold_in": "8 degC",
                "cold_out": "14 degC",
            },
            (Printed("area", "m2", area, 3e-7, "its logarithm is good to 3e-7", 1.0 / 800.0),),
        )
        for letter, arrangement, area in (
            ("a", "parallel flow", "0.397731567932"),
            ("b", "counterflow", "0.38848330532"),
        )
    ),
    BookProblem(
        "Sukhatme 7.4",
        "Sukhatme, A Textbook on Heat Transfer, Example 7.4 a, page 302: parallel flow, 1,600 W/(m2 K) on either side",
        "parallel flow",
        "water",
        "water",
        {
            "hot_flow": f"{10.0 / 60.0:.9f} kg/s",
            "hot_in": "70 degC",
            "hot_out": "50 degC",
            "cold_flow": f"{25.0 / 60.0:.9f} kg/s",
            "cold_in": "25 degC",
        },
        (Printed("area", "m2", "0.6055", 0.0012, "tables of steam agree to 0.1 % in specific heat", 1.0 / 800.0),),
    ),
    BookProblem(
        "Kreith 8.3",
        "Kreith, Manglik and Bohn, Principles of Heat Transfer, Example 8.3, page 511: air heater of a gas turbine",
        UNMIXED,
        "1101",
        "1047",
        {
            "hot_flow": "0.6 kg/s",
            "hot_in": "1150 K",
            "cold_flow": "0.75 kg/s",
            "cold_in": "290 K",
            "heat": f"{0.13 * 0.6 * 1101.0 * 860.0:.4f} W",
        },
        (
            Printed("hot outlet", "K", "1038"),
            Printed("cold outlet", "K", "384"),
        ),
    ),
)


def case_of(problem: BookProblem) -> Case:
    """The problem as a case. Raises InputError where it is none."""
    found = resolve(CaseText(tree_of(problem)))
    if not isinstance(found, Case):
        raise InputError(found.faults)
    return found


def tree_of(problem: BookProblem) -> dict[str, object]:
    """The problem as it stands in a case file."""
    return {
        "format": FORMAT,
        "job": {"title": problem.key, "complaint": problem.source, "reason": "lesson"},
        "vehicle": {"class": "bench rig"},
        "hot_stream": _fluid(problem.hot),
        "cold_stream": _fluid(problem.cold),
        "exchanger": {"arrangement": problem.arrangement},
        "problems": [{"name": problem.key, **problem.known}],
    }


def _fluid(what: str) -> dict[str, str]:
    if what.isalpha():
        return {"fluid": what}
    return {"fluid": "stated properties", "specific_heat": f"{what} J/(kg K)"}


def _ours(answer: ProblemAnswer, printed: Printed) -> float:
    n = answer.numbers
    values = {
        "heat": n["heat"] / 1e3,
        "effectiveness": answer.effectiveness,
        "NTU": answer.NTU,
        "U": n["conductance"] * printed.times,
        "area": n["conductance"] * printed.times,
        "length": n["conductance"] * printed.times,
        "hot outlet": n["hot_out"] - (273.15 if printed.unit == "degC" else 0.0),
        "cold outlet": n["cold_out"] - (273.15 if printed.unit == "degC" else 0.0),
    }
    return values[printed.what]


def _compared(problem: BookProblem) -> tuple[Answer, ...]:
    bench = check_bench(case_of(problem))
    assert bench is not None  # both fluids and the arrangement are named
    (answer,) = bench.problems
    return tuple(
        Answer(f"{problem.key}, {p.what}", p.unit, p.published, _ours(answer, p), p.within, p.why)
        for p in problem.printed
    )


def compare() -> Example:
    """Every problem, its printed answers beside ours."""
    return Example(
        "Exchangers of textbooks as cases",
        "; ".join(problem.source for problem in PROBLEMS)
        + ". Numbers as readers transcribed them for the Python Textbook Companion",
        tuple(answer for problem in PROBLEMS for answer in _compared(problem)),
    )


if __name__ == "__main__":
    show(compare())
