"""The pace of a warm-up as an unknown: its physics against runs of other vehicles, its integral against scipy."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import integrate, special

from engcalc.case.case import Case, value_at, with_values
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.diagnosis.evidence.pace import less_sure, whitened_of
from engcalc.system.in_time.warmup import warm_up
from engcalc.system.plant import prepare
from engcalc.vehicle.discrepancy import FORGOTTEN, not_forgotten
from engcalc.vehicle.run import run_of


def test_a_steady_rise_is_forgotten_as_the_balance_says() -> None:
    """scipy's solve_ivp on dS/dt = dT/dt - S/tau, for a temperature of straight lines between uneven samples."""
    time = np.array([0.0, 30.0, 60.0, 120.0, 400.0])
    T = np.array([280.0, 285.0, 300.0, 310.0, 305.0])
    slope = np.diff(T) / np.diff(time)

    def balance(t: float, S: np.ndarray) -> np.ndarray:
        return slope[min(np.searchsorted(time, t, side="right"), len(time) - 1) - 1] - S / FORGOTTEN

    found = not_forgotten(np.stack((T, T + 7.0), axis=1), time)
    exact = integrate.solve_ivp(balance, (0.0, 400.0), [0.0], t_eval=time, rtol=1e-8, max_step=5.0).y[0]
    assert found[:, 0] == pytest.approx(exact, abs=1e-3)
    assert found[:, 1] == pytest.approx(found[:, 0])  # only how it rises counts


def test_it_is_what_more_metal_and_coolant_do() -> None:
    """A vehicle with a tenth more of all that stores heat in its engine, run by the model."""
    record = {
        "ambient": "10 degC",
        "start_temperature": "10 degC",
        "schedule": [{"duration": "20 min", "driving": "town", "heater": "off"}],
    }
    case = resolve(CaseText({"format": FORMAT, "evidence": {"before": record}}))
    assert isinstance(case, Case)
    more = {path: 1.1 * value_at(case, path) for path in ("engine.metal_mass", "coolant.volume")}
    runs = [warm_up(prepare(c), run_of(case, "before", {}).drive, 30.0) for c in (case, with_values(case, more))]
    slower = runs[0].coolant - runs[1].coolant
    expected = np.log(1.1) * not_forgotten(runs[0].coolant, runs[0].time)
    before_the_valve_opens = runs[0].coolant[:, 0] < 350.0
    late = before_the_valve_opens & (runs[0].time > 120.0)
    ratio = slower[late] / expected[late]
    assert ratio == pytest.approx(1.0, abs=0.35)  # first order, and the losses differ from FORGOTTEN's


def test_the_integral_over_the_pace_is_in_closed_form() -> None:
    """Against Gauss and Hermite's rule with 60 points."""
    y, a = np.array([[0.3, 2.0], [-1.0, 1.5], [0.5, 0.0]]), np.array([[0.2, 1.0], [0.4, 0.5], [0.0, 1.0]])
    z, w = special.roots_hermitenorm(60)
    density = np.exp(-0.5 * ((y[..., None] - a[..., None] * z) ** 2).sum(axis=0))
    assert less_sure(y, a) == pytest.approx(np.log(density @ w / w.sum()))


def test_residuals_less_the_pace_have_the_squares_of_the_integral() -> None:
    y, a = np.array([[0.3, 2.0], [-1.0, 1.5]]), np.array([0.7, -0.4])
    with_it = less_sure(y, np.repeat(a[:, None], 2, axis=1)) + 0.5 * np.log1p(a @ a)
    assert -0.5 * (whitened_of(y, a) ** 2).sum(axis=0) == pytest.approx(with_it)
    assert whitened_of(y, np.zeros(2)) == pytest.approx(y)
