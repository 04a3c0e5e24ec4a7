"""Mapped thermostats, warmers and exhaust heat where a duty settles."""

from __future__ import annotations

from dataclasses import fields
from typing import Any

import numpy as np
import pytest

from engcalc.case.case import Case, with_values
from engcalc.case.conditions import conditions_of
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.studies.members import member
from engcalc.system.operating_point import solve
from engcalc.system.plant import prepare
from engcalc.system.state import REGIMES, STATUSES, OperatingPoint, Regime, Status

LIGHT = {"vehicle_speed": "50 km/h", "ambient": "0 degC"}
FULL = {"brake_power": "84 kW", "engine_speed": "5500 rpm", "vehicle_speed": "150 km/h", "ambient": "0 degC"}
FROST = {"ambient": "-30 degC", "heater": "high"}


def case_of(**sections: Any) -> Case:
    found = resolve(CaseText({"format": FORMAT, **sections}))
    assert isinstance(found, Case), found
    return found


def point_of(case: Case) -> OperatingPoint:
    return solve(prepare(case), conditions_of(case.duties))


@pytest.mark.parametrize("side", ["outlet", "inlet"])
@pytest.mark.parametrize("kind", ["heated wax", "valve"])
def test_a_mapped_valve_opens_lower_under_load_alone(kind: str, side: str) -> None:
    valve = {"kind": kind, "side": side, "mapped_shift": "20 K", "rating": "103 degC"}
    mapped = point_of(case_of(thermostat=valve, duties=[LIGHT, FULL]))
    plain = point_of(case_of(thermostat={"kind": "wax", "side": side, "rating": "103 degC"}, duties=[LIGHT, FULL]))
    lower = point_of(case_of(thermostat={"kind": "wax", "side": side, "rating": "83 degC"}, duties=[LIGHT, FULL]))
    assert mapped.opens_at - 273.15 == pytest.approx([103.0, 83.0])
    # light running as plain wax, full load as a plain valve that opens so much lower
    assert mapped.coolant_out[0] == pytest.approx(plain.coolant_out[0], abs=1e-6)
    assert mapped.coolant_out[1] == pytest.approx(lower.coolant_out[1], abs=0.05)  # air's properties count at T_full
    assert plain.coolant_out[1] - mapped.coolant_out[1] > 10.0
    assert [REGIMES[int(i)] for i in mapped.regime] == [Regime.REGULATING, Regime.REGULATING]


def test_idle_and_steady_road_running_are_light() -> None:
    road = [{"vehicle_speed": f"{v} km/h"} for v in (0, 50, 90)]
    point = point_of(case_of(thermostat={"kind": "heated wax"}, duties=road))
    assert point.opens_at - 273.15 == pytest.approx([88.0] * 3)


@pytest.mark.parametrize("side", ["outlet", "inlet"])
def test_a_gearbox_gives_under_load_and_takes_at_idle(side: str) -> None:
    duties = [FROST, {"vehicle_speed": "70 km/h", "grade": "8 %", "ambient": "30 degC", "fan": "on"}]
    case = case_of(thermostat={"side": side}, duties=duties, circuit={"extra": [{"kind": "gearbox warmer"}]})
    without = point_of(case_of(thermostat={"side": side}, duties=duties))
    point = point_of(case)
    assert point.extra_heat[0] < -100.0
    assert point.extra_heat[1] > 500.0
    assert point.coolant_out[0] < without.coolant_out[0]
    assert point.coolant_out[1] > without.coolant_out[1]
    # it balances: its loss goes to the coolant and to the air
    box = prepare(case).equipment
    T_gear = point.coolant_out + point.extra_heat / box.gear_UA
    loss = box.gear_loss * (point.brake_power - point.accessory_power)
    ambient = np.array([243.15, 303.15])
    assert point.extra_heat + box.gear_to_air * (T_gear - ambient) == pytest.approx(loss, abs=1e-6)
    assert (np.abs(point.energy_residual) <= 1e-6 * point.heat_to_metal).all()
    felt = point.coolant_in if side == "inlet" else point.coolant_out  # the flows' own balance gives the same
    assert felt == pytest.approx(point.wax, abs=1e-3)


def test_an_oil_warmer_changes_nothing_that_settles() -> None:
    duties = [LIGHT, FULL, FROST]
    with_it = point_of(case_of(duties=duties, circuit={"extra": [{"kind": "oil warmer"}]}))
    assert with_it.coolant_out.tolist() == point_of(case_of(duties=duties)).coolant_out.tolist()


@pytest.mark.parametrize("side", ["outlet", "inlet"])
def test_exhaust_heat_helps_in_frost_and_is_led_past_when_warm(side: str) -> None:
    without = point_of(case_of(thermostat={"side": side}, duties=[FROST, FULL]))
    stops = float(without.coolant_out[0]) + 4.0  # within the flap's last five kelvins over where it would settle
    extra = {"extra": [{"kind": "exhaust heat", "recovery": "30 %", "stops": f"{stops - 273.15} degC"}]}
    with_it = point_of(case_of(thermostat={"side": side}, duties=[FROST, FULL], circuit=extra))
    assert stops - 4.0 < with_it.coolant_out[0] < stops
    assert with_it.extra_heat[1] == 0.0
    assert with_it.coolant_out[1] == pytest.approx(without.coolant_out[1], abs=1e-6)
    flap = (stops - with_it.coolant_out[0]) / 5.0
    assert with_it.extra_heat[0] == pytest.approx(0.3 * with_it.heat_exhaust[0] * flap, rel=1e-6)
    assert np.abs(with_it.energy_residual[0]) <= 1e-6 * with_it.heat_to_metal[0]
    always = point_of(
        case_of(
            thermostat={"side": side},
            duties=[FROST],
            circuit={"extra": [{"kind": "exhaust heat", "recovery": "30 %", "stops": "120 degC"}]},
        )
    )
    assert always.extra_heat[0] == pytest.approx(0.3 * always.heat_exhaust[0], rel=1e-6)
    assert always.coolant_out[0] > with_it.coolant_out[0]
    for point in (with_it, always):
        felt = point.coolant_in if side == "inlet" else point.coolant_out
        assert felt == pytest.approx(point.wax, abs=1e-3)


def test_a_pump_that_stands_cold_turns_where_things_settle() -> None:
    stands = point_of(case_of(duties=[LIGHT, FULL], circuit={"pump_cold": "stands when cold"}))
    assert stands.coolant_out.tolist() == point_of(case_of(duties=[LIGHT, FULL])).coolant_out.tolist()


def test_three_unlike_members_answer_as_three_single_runs() -> None:
    case = case_of(
        thermostat={"kind": "heated wax", "side": "inlet"},
        duties=[FULL],
        coolant={"cap_pressure": "0 bar"},
        circuit={"extra": [{"kind": "gearbox warmer"}, {"kind": "exhaust heat", "stops": "120 degC"}]},
    )
    three = {
        "thermostat.mapped_shift": np.array([0.0, 12.0, 25.0]),
        "circuit.extra[0].conductance": np.array([50.0, 150.0, 400.0]),
        "circuit.extra[1].recovery": np.array([0.1, 0.12, 0.2]),
        "radiator.blocked_face": np.array([0.0, 0.1, 0.99]),
    }  # the last one boils
    together = point_of(with_values(case, three))
    assert STATUSES[int(together.status[2])] is Status.BOILS
    assert together.solved.tolist() == [True, True, False]
    for i in range(3):
        alone = point_of(with_values(case, {path: values[i : i + 1] for path, values in three.items()}))
        one = member(together, i)
        for f in fields(OperatingPoint):
            if isinstance(getattr(one, f.name), np.ndarray):
                assert getattr(alone, f.name) == pytest.approx(getattr(one, f.name), rel=1e-6, abs=2e-6), f.name
