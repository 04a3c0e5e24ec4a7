"""A fan that blows backward against the ram: so little air is left that its warmth alone would turn it round."""

from __future__ import annotations

import numpy as np

import worked_examples
from engcalc.case.case import Case
from engcalc.case.file import read_case
from engcalc.case.resolve import resolve
from engcalc.causes.catalogue.fan import REVERSED
from engcalc.diagnosis.members.simulated import Hypothesis, problem_of, simulate
from engcalc.vehicle.run import runs_of

# standard deviations, two vehicles of a diagnosis whose air once ran below none
UNKNOWNS = {
    "heat": (-0.35, 0.77),
    "idle": (-0.72, 0.11),
    "capacity": (0.64, -0.25),
    "surface": (-0.44, 1.17),
    "air": (-1.8, -0.13),
    "pump": (-0.26, 0.62),
    "leak": (-0.99, -0.36),
    "lag": (0.73, 0.04),
    "friction": (1.85, 0.62),
    "radiator": (-1.29, -0.28),
    "heater_core": (0.0, 0.0),
    "opening": (1.65, -0.04),
    "sensor": (3.28, 2.38),
    "heater": (1.34, -0.3),
    "ambient": (2.69, 1.0),
}
SEVERITY = (-0.516, -0.435)


def test_air_behind_a_reversed_fan_never_runs_below_none() -> None:
    case = resolve(read_case(worked_examples.folder() / "van-no-heat.heatcase.json"))
    assert isinstance(case, Case), case
    problem = problem_of(case, *runs_of(case, "before", {}))
    z = np.array([*(UNKNOWNS[unknown.key] for unknown in problem.unknowns), SEVERITY]).T
    found = simulate(problem, [(Hypothesis((REVERSED,), 0), z)])[0]
    assert np.isfinite(found.shown).all()
    assert (found.coolant.min(axis=0) == found.coolant[0]).all()  # it gives heat to the air and takes none
