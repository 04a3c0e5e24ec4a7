"""What the charts of a lesson are drawn from, held against the engine's own answer and closed formulas."""

from __future__ import annotations

import numpy as np
import pytest

import worked_examples
from engcalc.case.case import Case
from engcalc.case.file import read_case
from engcalc.case.resolve import resolve
from engcalc.studies.teaching import (
    Shortcut,
    TaughtDuty,
    along_core,
    fan_and_way,
    lumped_warmup,
    pump_and_circuit,
    shortcuts,
    taught,
)

HILL, CLIMB, DESCENT = 4, 5, 7


@pytest.fixture(scope="module")
def tow() -> dict[int, TaughtDuty]:
    case = resolve(read_case(worked_examples.folder() / "tow-and-track.heatcase.json"))
    assert isinstance(case, Case), case
    return {index: taught(case, index) for index in (HILL, CLIMB, DESCENT)}


@pytest.mark.parametrize("index", [HILL, CLIMB, DESCENT])
def test_pump_and_circuit_meet_where_the_engine_is(tow, index):
    """Both curves are straight lines between their points: some 0.1 % of the pressure."""
    curves = pump_and_circuit(tow[index])
    assert curves is not None
    flow, pressure = curves.point
    assert np.interp(flow, curves.flow, curves.machine) == pytest.approx(pressure, rel=1e-3)
    assert np.interp(flow, curves.way_flow, curves.way) == pytest.approx(pressure, rel=1e-3)


@pytest.mark.parametrize("index", [HILL, CLIMB, DESCENT])
def test_fan_and_way_meet_where_the_engine_is(tow, index):
    """The engine takes the air's warmth between two solved states by a straight line: 5 Pa of some 260 at no flow."""
    curves = fan_and_way(tow[index])
    assert curves is not None
    flow, pressure = curves.point
    assert np.interp(flow, curves.flow, curves.machine) == pytest.approx(pressure, abs=5.0)
    assert np.interp(flow, curves.way_flow, curves.way) == pytest.approx(pressure, abs=5.0)


@pytest.mark.parametrize("index", [HILL, CLIMB])
def test_temperatures_through_the_core_end_where_the_series_does(tow, index):
    """Nusselt's equations on a grid against the Bessel series, by the outlets of both streams."""
    found = tow[index]
    along = along_core(found)
    assert along is not None
    assert along.coolant[-1] == pytest.approx(float(found.core.T_coolant_out[0]), abs=0.01)
    mean_leaving = float(np.trapezoid(along.air_out, along.share))
    assert mean_leaving == pytest.approx(float(found.core.exchange.T_cold_out[0]), abs=0.02)
    assert (np.diff(along.coolant) < 0.0).all()


def test_a_lump_without_a_valve_s_say_warms_as_its_time_constant_tells(tow):
    """A settled duty with its valve fully open is close to linear there: the last 5 to 1 % take ln(5) constants."""
    warm = lumped_warmup(tow[CLIMB])
    assert warm is not None
    end = float(tow[CLIMB].duty.point.wax[0])
    left = (end - warm.T) / (end - warm.T[0])
    at = np.interp([0.05, 0.01], left[::-1], warm.seconds[::-1])
    assert at[1] - at[0] == pytest.approx(np.log(5.0) * warm.time_constant, rel=0.05)
    plant = tow[CLIMB].plant
    assert warm.capacity > float(plant.metal_capacity[0])


def test_each_short_way_costs_what_it_is_known_to(tow):
    costs = {cost.by: cost.error for cost in shortcuts(tow[HILL])}
    assert set(costs) == set(Shortcut)
    assert -0.038 <= costs[Shortcut.ONE_TERM] <= 0.011  # of the formula against the exact series, its whole range
    assert costs[Shortcut.WITHOUT_F] > 0.0  # F is below 1
    assert abs(costs[Shortcut.READ_F]) <= 0.5 * 0.02 / 0.9  # half a step of the reading
    assert costs[Shortcut.ROOM_PROPERTIES] < 0.0  # cold coolant is thicker
