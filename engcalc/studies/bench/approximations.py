"""What common approximations make of a problem's heat, beside the exact one."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from engcalc.components.exchanger import Arrangement, effectiveness
from engcalc.components.two_streams import Passing
from engcalc.studies.bench.problem import ProblemAnswer, ProblemStatus
from engcalc.studies.bench.setup import BenchSetup

READ_F = 0.02  # -; to which a chart of F is read; common practice, no source


class Approximation(StrEnum):
    """A way that is shorter than the exact one."""

    ONE_TERM = "one_term"  # crossflow, both unmixed, by the formula with NTU^0.22
    INLET_PROPERTIES = "inlet_properties"  # specific heats at the inlets, no rounds of correction
    WITHOUT_F = "without_f"  # logarithmic mean temperature difference as in counterflow, uncorrected
    READ_F = "read_f"  # F as it is read from a chart, in place of the NTU


@dataclass(frozen=True)
class Approximated:
    """The heat [W] that an approximation gives at the same flows, inlets and conductance, and its error [-]."""

    by: Approximation
    heat: float
    error: float


def approximated(setup: BenchSetup, problem: ProblemAnswer) -> tuple[Approximated, ...]:
    """Every approximation that applies to a solved problem; none of an unsolved one.

    Without F, and with one read from a chart, the heat is UA times the mean difference of the exact outlets.
    """
    if problem.status is not ProblemStatus.SOLVED or problem.streams is None:
        return ()
    n = problem.numbers
    exact = problem.numbers["heat"]
    found = {Approximation.INLET_PROPERTIES: _at_inlets(setup, problem)}
    if setup.passing is Passing.BOTH_UNMIXED and setup.passes == 1:
        one_term = effectiveness(problem.NTU, problem.Cr, Arrangement.BOTH_UNMIXED_APPROXIMATION)
        found[Approximation.ONE_TERM] = exact * float(one_term[0]) / problem.effectiveness
    if setup.passing is not Passing.COUNTERFLOW:
        uncorrected = n["conductance"] * problem.mean_difference
        found[Approximation.WITHOUT_F] = uncorrected
        found[Approximation.READ_F] = uncorrected * READ_F * round(problem.F / READ_F)
    return tuple(Approximated(by, heat, heat / exact - 1.0) for by, heat in found.items())


def _at_inlets(setup: BenchSetup, problem: ProblemAnswer) -> float:
    n = problem.numbers
    C_hot, C_cold = (
        n[f"{side}_flow"] * state(np.array([n[f"{side}_in"]])).cp
        for side, state in (("hot", setup.hot), ("cold", setup.cold))
    )
    eps = setup.effectiveness(np.array([n["conductance"]]), C_hot, C_cold)
    return float((eps * np.minimum(C_hot, C_cold))[0]) * (n["hot_in"] - n["cold_in"])
