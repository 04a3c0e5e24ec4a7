"""Worked examples of textbooks on the lag of a small body, done with the wax of the warm-up's valve.

The wax follows what it feels as a body of one temperature does: d(wax)/dt = (felt - wax)/tau. The examples' bodies are
spheres, with tau = rho c d/(6 h). Their numbers are put into the steps that the warm-up takes.
"""

from __future__ import annotations

import numpy as np
import pytest

from engcalc.case.case import Case
from engcalc.case.conditions import conditions_of
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.system.in_time.drive import steady_drive
from engcalc.system.in_time.step_fixed import fix
from engcalc.system.in_time.step_state import begin
from engcalc.system.in_time.valve_steps import warm_wax
from engcalc.system.plant import prepare


def sphere(rho: float, c: float, diameter: float, h: float) -> float:
    """Time constant [s] of a sphere: rho c (pi d^3/6)/(h pi d^2)."""
    return rho * c * diameter / (6.0 * h)


def time_to(share: float, tau: float, step: float) -> float:
    """When the wax has covered a share of the way from 0 to 1 K that a sudden change asks of it [s]."""
    case = resolve(CaseText({"format": FORMAT, "thermostat": {"time_constant": f"{tau!r} s"}}))
    assert isinstance(case, Case), case
    conditions = conditions_of(case.duties[:1])
    fixed = fix(prepare(case), steady_drive(conditions, np.ones(1), step, step), 1)
    state = begin(fixed)
    state.wax = 0.0
    time, before = 0.0, 0.0
    while state.wax < share:
        time, before = time + step, state.wax
        warm_wax(state, 1.0)
    return time - step * (state.wax - share) / (state.wax - before)


def test_the_junction_of_a_thermocouple() -> None:
    # Incropera, DeWitt, Bergman, Lavine, Fundamentals of Heat and Mass Transfer, Ex. 5.1, p. 261: 8,500 kg/m3, 400
    # J/(kg K), 400 W/(m2 K). Printed: 7.06e-4 m for 1 s; 5.16 s (the book's text: 5.2) from 25 to 199 degC in 200 degC.
    tau = sphere(8500.0, 400.0, 7.06e-4, 400.0)
    assert tau == pytest.approx(1.0, abs=1e-3)
    assert time_to(174.0 / 175.0, tau, 0.01) == pytest.approx(5.16, abs=0.01)


def test_a_bead_in_an_air_stream() -> None:
    # S. K. Som, Introduction to Heat Transfer, Ex. 4.2, p. 138: 1.5 mm, 8,000 kg/m3, 300 J/(kg K), 75 W/(m2 K).
    # Printed: 8.0 s; 36.84 s until 1 % of the difference is left.
    tau = sphere(8000.0, 300.0, 1.5e-3, 75.0)
    assert tau == pytest.approx(8.0, rel=1e-12)
    assert time_to(0.99, tau, 0.05) == pytest.approx(36.8413614879, abs=0.01)
    # the warm-up's own step of 1 s is a trapezoid: it ends within a tenth of a second of that
    assert time_to(0.99, tau, 1.0) == pytest.approx(36.8413614879, abs=0.15)


@pytest.mark.parametrize("tau", [1.0, 8.0])
def test_after_one_time_constant_63_per_cent_are_covered(tau: float) -> None:
    assert time_to(1.0 - np.exp(-1.0), tau, 0.01 * tau) == pytest.approx(tau, rel=1e-4)
