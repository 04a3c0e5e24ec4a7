"""Curves through a maker's points, and how many fans fit a face."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq, curve_fit

import worked_examples
from engcalc.case.case import Case
from engcalc.case.file import read_case
from engcalc.case.resolve import resolve
from engcalc.case.text import CaseText
from engcalc.case.whole import fans_that_fit
from engcalc.errors import InputError
from engcalc.properties.coolant import Base, CoolantMixture
from engcalc.studies.choice.part_curves import fan_curve, pump_curve, pump_inputs
from engcalc.studies.members import varied
from engcalc.system.circuit import circuit_flows
from engcalc.system.plant import prepare


def case_of(name: str = "track-day-car") -> Case:
    case = resolve(read_case(worked_examples.folder() / f"{name}.heatcase.json"))
    assert isinstance(case, Case)
    return case


def test_a_fan_whose_points_lie_on_a_parabola_is_that_parabola():
    flows = np.array([0.0, 900.0, 1800.0, 2400.0])  # m3/h
    cell = "; ".join(f"{v} m3/h@{240.0 * (1.0 - (v / 2700.0) ** 2)} Pa" for v in flows)
    fit = fan_curve(cell, "here")
    assert fit.at_no_flow == pytest.approx(240.0)
    assert fit.free_flow == pytest.approx(2700.0 / 3600.0)
    assert fit.worst < 1e-9


def test_scattered_points_are_fitted_by_least_squares():
    # second opinion: scipy's curve_fit, another algorithm (Levenberg and Marquardt), same sum of squares
    flow, pressure = np.array([0.1, 0.25, 0.4, 0.55, 0.6]), np.array([230.0, 190.0, 150.0, 60.0, 45.0])
    fit = fan_curve("|".join(f"{v} m3/s@{p} Pa" for v, p in zip(flow, pressure, strict=True)), "here")
    (a, c), _ = curve_fit(lambda v, a, c: a - c * v**2, flow, pressure, p0=(200.0, 100.0))
    assert (fit.at_no_flow, fit.fall) == (pytest.approx(a, rel=1e-6), pytest.approx(c, rel=1e-6))
    left = pressure - (a - c * flow**2)
    assert fit.rms == pytest.approx(np.sqrt(np.mean(left**2)), rel=1e-6)
    assert fit.worst == pytest.approx(np.abs(left).max(), rel=1e-6)


def test_points_of_a_pump_at_several_speeds_are_one_curve_by_the_affinity_laws():
    # AMCA 211 / ISO 5801 for fans and the same for pumps: flow with speed, pressure with its square
    at = "; ".join(
        f"{q * n / 6000.0} L/min@{(150.0 - 0.003 * q**2) * (n / 6000.0) ** 2} kPa@{n} rpm"
        for q, n in ((0.0, 6000.0), (100.0, 6000.0), (150.0, 3000.0), (200.0, 4000.0))
    )
    fit = pump_curve(at, "here")
    assert fit.speed == pytest.approx(100.0)
    assert fit.at_no_flow == pytest.approx(150e3)
    assert fit.worst < 1e-6


def test_a_pump_is_put_where_its_curve_meets_the_circuit():
    """Solved independently: the flow at which the maker's curve gives what the circuit takes, at half the speed too."""
    case = case_of()
    fit = pump_curve("0 L/min@180 kPa@6000 rpm; 150 L/min@120 kPa@6000 rpm", "here")
    old, new = prepare(case), prepare(varied(case, {k: np.full(1, v) for k, v in pump_inputs(case, fit).items()}))
    hot = CoolantMixture(Base.ETHYLENE, np.full(1, 0.5)).state(np.full(1, 363.15))
    for share in (1.0, 0.5):
        speed = share * 100.0 / float(case.circuit.pump_ratio[0])

        def taken(engine_speed: float) -> tuple[float, float]:
            at = circuit_flows(old.circuit, np.ones(1), np.full(1, engine_speed), hot.rho, hot.mu)
            return float(at.engine[0]), float(at.head[0])

        def over(engine_speed: float, share: float = share) -> float:
            flow, head = taken(engine_speed)
            return share**2 * fit.at_no_flow - fit.fall * flow**2 - head

        meets, _ = taken(brentq(over, 1.0, 400.0))
        ours = circuit_flows(new.circuit, np.ones(1), np.full(1, speed), hot.rho, hot.mu)
        assert float(ours.engine[0]) == pytest.approx(meets, rel=0.01)  # laminar parts do not go with the square


@pytest.mark.parametrize(
    ("read", "cell", "said"),
    [
        (fan_curve, "0 m3/h@200 Pa", "2 to 40 points"),
        (fan_curve, "0 m3/h@200 Pa; 2000 m3/h", "a point as in"),
        (fan_curve, "0 m3/h@200 Pa; 2000 m3/h@250 Pa", "falls as the flow rises"),
        (fan_curve, "500 m3/h@200 Pa; 500 m3/h@150 Pa", "at least two flows"),
        (fan_curve, "-500 m3/h@200 Pa; 500 m3/h@150 Pa", "none below 0"),
        (fan_curve, "0@200 Pa; 500 m3/h@150 Pa", "needs a unit"),
        (pump_curve, "0 L/min@90 kPa@0 rpm; 100 L/min@50 kPa@5000 rpm", "speeds above 0"),
        (pump_curve, "0 L/min@90 kPa; 100 L/min@50 kPa", "a point as in"),
    ],
)
def test_points_that_are_no_curve_are_refused_in_words(read, cell, said):
    with pytest.raises(InputError, match=said):
        read(cell, "fans.csv line 2, fan_points")


def fit_of(diameter: float, height: float, width: float) -> int:
    return int(fans_that_fit(*(np.full(1, x) for x in (diameter, height, width)))[0])


@pytest.mark.parametrize(
    ("diameter", "height", "width", "most"),
    [
        (0.38, 0.36, 0.65, 0),  # higher than the face
        (0.36, 0.36, 0.72, 2),
        (0.36, 0.36, 0.719, 1),
        (0.30, 0.40, 0.95, 3),
        (0.30, 0.60, 0.60, 4),
        (1.0, 1.7072, 1.7072, 2),  # corner to corner: side 1 + 1/sqrt(2), the known optimum for two circles in a square
        (1.0, 1.70, 1.70, 1),
        (1.0, 1.0 + 2.0 * 0.75**0.5 + 0.001, 2.0, 5),  # three rows of 2, 1, 2 staggered
    ],
)
def test_how_many_fans_fit_a_face(diameter, height, width, most):
    assert fit_of(diameter, height, width) == most


@given(st.floats(0.1, 0.9), st.floats(0.1, 2.0), st.floats(0.1, 2.0))
def test_no_more_fans_than_area_and_a_face_turned_takes_as_many(diameter, height, width):
    most = fit_of(diameter, height, width)
    assert most == fit_of(diameter, width, height)
    assert most * diameter**2 * np.pi / 4.0 <= 0.9069 * 1.001 * height * width + 1e-9 or most <= 2  # hexagonal packing


def test_no_fan_is_counted_that_does_not_fit():
    tree = {
        "format": "heatdocket-case/1",
        "vehicle": {"class": "family car"},
        "radiator": {"core_height": "360 mm", "core_width": "660 mm"},
        "airflow": {"fan_count": "2", "fan_diameter": "340 mm"},
    }
    refused = resolve(CaseText(tree))
    assert not isinstance(refused, Case)
    (fault,) = refused.faults
    assert fault.path == "airflow.fan_count"
    assert fault.wanted.startswith("at most 1 would do")
    tree["airflow"] = {"fan_count": "2", "fan_diameter": "330 mm"}
    assert isinstance(resolve(CaseText(tree)), Case)
