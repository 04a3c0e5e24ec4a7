"""How often each look, feel and code is wrong, held number by number.

Source of every number in these tables: common practice, no source. They are our own: the tables hold what was chosen,
so that no prior moves unseen.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from made_up_members import vehicle
from scipy import stats

from engcalc.diagnosis.evidence.codes import CODES
from engcalc.diagnosis.evidence.observations import FACTS
from engcalc.units import Array

CLOSE = 4e-6  # the product reads the normal distribution from a table, which a fact may read twice


def rises(x: Array | float, at: float, width: float, least: float, most: float) -> Array:
    """A probability that goes from ``least`` to ``most`` about ``at``, as a normal distribution of ``width`` does."""
    return np.atleast_1d(least + (most - least) * stats.norm.cdf(x, at, width))


# Of a fact or code: the state that it looks at, whether the fact is its presence (+) or its lack (-), where seeing
# begins and how blurred, how often it is seen where it is not and where it is.
BY_ONE_STATE = [
    ("thermostat_open_when_cold", "VALVE_COLD", +1, 0.04, 0.02, 0.02, 0.94),
    ("thermostat_missing", "VALVE_GONE", +1, 0.5, 0.1, 0.01, 0.98),
    ("fan_runs_when_hot", "FAN_RUNS", +1, 0.4, 0.2, 0.10, 0.93),
    ("fan_runs_always", "FAN_ALWAYS", +1, 0.5, 0.1, 0.03, 0.94),
    ("level_low", "LEVEL", +1, 0.07, 0.03, 0.04, 0.94),
    ("coolant_leak", "LEAK", +1, 0.5, 0.25, 0.05, 0.85),
    ("bubbles_when_running", "GAS", +1, 0.5, 0.1, 0.05, 0.80),
    ("belt_drives_pump", "PUMP", +1, 0.3, 0.3, 0.40, 0.99),
    ("face_dirty", "FACE", +1, 0.25, 0.1, 0.06, 0.94),
    ("shutter_closed", "SHUTTER", -1, 0.4, 0.1, 0.04, 0.94),
    ("lower_hose_collapses", "SUCTION", +1, 0.5, 0.1, 0.02, 0.85),
    ("combustion_gas_found", "GAS", +1, 0.5, 0.1, 0.03, 0.92),
    ("cap_holds_pressure", "CAP", +1, 0.7, 0.1, 0.03, 0.94),
    ("thermostat_opens_hot", "VALVE_HOT", +1, 0.6, 0.1, 0.03, 0.97),
    ("seals_missing", "SEALS_GONE", +1, 0.5, 0.1, 0.05, 0.90),
    ("fan_blows_backward", "FAN_BACKWARD", +1, 0.5, 0.1, 0.02, 0.90),
    ("fan_fuse_good", "FAN_RUNS", +1, 0.4, 0.2, 0.70, 0.99),
    ("fan_motor_runs", "FAN_RUNS", +1, 0.4, 0.2, 0.50, 0.99),
    ("heater_hoses_swapped", "HOSES_SWAPPED", +1, 0.5, 0.1, 0.03, 0.90),
    ("P0494", "FAN_RUNS", -1, 0.6, 0.15, 0.02, 0.50),
    ("P0495", "FAN_ALWAYS", +1, 0.5, 0.1, 0.02, 0.50),
    ("P0598", "VALVE_EARLY", +1, 3.0, 1.0, 0.02, 0.30),
    ("P0599", "VALVE_EARLY", +1, 3.0, 1.0, 0.02, 0.30),
    ("P2560", "LEVEL", +1, 0.15, 0.05, 0.02, 0.80),
    *((code, "PUMP", -1, 0.3, 0.15, 0.02, 0.60) for code in ("P00B7", "P2600", "P2601", "P2602", "P2603")),
]


@pytest.mark.parametrize("row", BY_ONE_STATE, ids=lambda row: row[0])
def test_a_look_at_one_state_errs_as_often_as_its_table_says(
    row: tuple[str, str, int, float, float, float, float],
) -> None:
    name, state, sign, at, width, least, most = row
    x = at + width * np.array([-10.0, -2.0, -1.0, 0.0, 0.7, 1.0, 2.0, 10.0])
    found = {**FACTS, **CODES}[name](vehicle(**{state: x}))
    assert found == pytest.approx(rises(sign * x, sign * at, width, least, most), abs=CLOSE)


def test_a_tester_on_the_cold_system_finds_leaks_and_some_of_the_gas() -> None:
    leak, gas = np.array([0.0, 0.5, 1.0, 0.0, 1.0, 0.6]), np.array([0.0, 0.0, 0.0, 1.0, 1.0, 0.2])
    falls = np.maximum(rises(leak, 0.5, 0.2, 0.03, 0.94), 0.4 * gas)
    assert FACTS["pressure_held_cold"](vehicle(LEAK=leak, GAS=gas)) == pytest.approx(1.0 - falls, abs=CLOSE)


@pytest.mark.parametrize("code", ["P0115", "P0116", "P0117", "P0118", "P0119"])
def test_a_code_of_the_sensors_circuit_comes_of_jumps_or_of_a_large_error(code: str) -> None:
    jumps, error = np.array([0.0, 0.5, 1.0, 0.0, 0.0, 0.0, 0.0]), np.array([0.0, 0.0, 0.0, 7.0, 15.0, 23.0, 40.0])
    wanted = np.maximum(rises(jumps, 0.5, 0.1, 0.01, 0.6), rises(error, 15.0, 8.0, 0.01, 0.4))
    assert CODES[code](vehicle(ERRATIC=jumps, SENSOR_ERROR=error)) == pytest.approx(wanted, abs=CLOSE)


@pytest.mark.parametrize("code", ["P0480", "P0481", "P0482", "P0483", "P0484", "P0485", "P0691", "P0692"])
def test_a_code_of_the_fans_circuit_comes_of_a_fan_that_stands_or_never_stops(code: str) -> None:
    runs, always = np.array([1.0, 0.4, 0.25, 0.0, 1.0, 1.0]), np.array([0.0, 0.0, 0.0, 0.0, 0.6, 1.0])
    wanted = rises(np.maximum(1.0 - runs, always), 0.6, 0.15, 0.02, 0.5)
    assert CODES[code](vehicle(FAN_RUNS=runs, FAN_ALWAYS=always)) == pytest.approx(wanted, abs=CLOSE)


@pytest.mark.parametrize("hottest", [70.0, 75.0, 79.0, 82.0, 90.0])
@pytest.mark.parametrize("code", ["P0125", "P0126", "P0128", "P2181"])
def test_the_code_of_a_slow_warm_up_comes_11_K_under_the_rating(code: str, hottest: float) -> None:
    # 11 K (20 degF) below the valve's rating: 13 CCR 1968.2 (e)(10.2.1); here the rating is 90 degC
    found = CODES[code](vehicle({"shown": [10.0, 10.0, hottest, hottest - 5.0]}))
    assert found == pytest.approx(rises(90.0 - 11.0 - hottest, 0.0, 4.0, 0.03, 0.7), abs=CLOSE)


@pytest.mark.parametrize("hottest", [100.0, 109.0, 115.0, 118.0, 130.0])
@pytest.mark.parametrize("code", ["P0217", "P2181"])
def test_the_code_of_hot_coolant_comes_at_115_degC(code: str, hottest: float) -> None:
    found = CODES[code](vehicle({"shown": [10.0, 10.0, hottest, hottest - 5.0]}))
    hot = rises(hottest, 115.0, 6.0, 0.02, 0.8)
    cold = rises(79.0 - hottest, 0.0, 4.0, 0.03, 0.7) if code == "P2181" else 0.0
    assert found == pytest.approx(np.maximum(hot, cold), abs=CLOSE)


@pytest.mark.parametrize("hottest", [120.0, 131.0, 135.0, 143.0, 160.0])
def test_the_code_of_hot_oil_comes_at_135_degC(hottest: float) -> None:
    found = CODES["P0298"](vehicle({"block": [10.0, 10.0, hottest, hottest - 5.0]}))
    assert found == pytest.approx(rises(hottest, 135.0, 8.0, 0.01, 0.5), abs=CLOSE)


@pytest.mark.parametrize("hose", [15.0, 27.0, 30.0, 34.0, 40.0, 44.0, 48.0])
@pytest.mark.parametrize("air", [-20.0, 10.0, 30.0])
def test_an_upper_hose_warms_early_where_a_hand_feels_it_and_it_is_half_way_to_the_coolant(
    hose: float, air: float
) -> None:
    members = replace(
        vehicle({"coolant": [10.0, 10.0, 50.0, 80.0], "upper_hose": [10.0, 10.0, hose, 70.0]}),
        ambient=np.full(1, air + 273.15),
    )
    share = (hose - air) / (50.0 - air)
    by_hand = (hose - (32.0 + 5.0)) / np.hypot(
        4.0, 5.0
    )  # rubber is 5 K colder than what it holds; the hose's model 5 K
    felt = max(min(by_hand, (share - 0.5) / 0.15), (share - 0.85) / 0.1)
    assert FACTS["upper_hose_warms_early"](members) == pytest.approx(rises(felt, 0.0, 1.0, 0.04, 0.94), abs=CLOSE)


def test_in_frost_a_hose_half_as_warm_as_the_coolant_still_feels_cold() -> None:
    cold = replace(
        vehicle({"coolant": [-20.0, 10.0, 50.0, 80.0], "upper_hose": [-20.0, -10.0, 18.0, 40.0]}),
        ambient=np.full(1, 253.15),
    )
    assert FACTS["upper_hose_warms_early"](cold)[0] < 0.1


@pytest.mark.parametrize("coolant", [10.5, 65.0, 75.0, 79.0, 95.0])
@pytest.mark.parametrize("hose", [15.0, 30.0, 41.0, 60.0])
def test_a_lower_hose_is_cold_at_a_third_of_the_way_and_tells_nothing_of_a_cold_engine(
    coolant: float, hose: float
) -> None:
    found = FACTS["lower_hose_cold_when_hot"](
        vehicle({"coolant": [10.0, 10.0, coolant, coolant], "lower_hose": [10.0, 10.0, hose, hose]})
    )
    warm = stats.norm.cdf(coolant, 75.0, 5.0)
    share = (hose - 10.0) / max(coolant - 10.0, 1.0)
    wanted = warm * rises(-share, -0.35, 0.12, 0.04, 0.94) + (1.0 - warm) * 0.5
    assert found == pytest.approx(wanted, abs=CLOSE)


@pytest.mark.parametrize(("inlet", "outlet"), [(80.0, 40.0), (80.0, 50.0), (58.0, 60.0), (44.0, 90.0)])
def test_both_heater_hoses_are_hot_where_the_cooler_one_has_50_degC(inlet: float, outlet: float) -> None:
    found = FACTS["heater_hoses_both_hot"](
        vehicle({"heater_in": [10.0, 10.0, 20.0, inlet], "heater_out": [10.0, 10.0, 20.0, outlet]})
    )
    assert found == pytest.approx(rises(min(inlet, outlet), 50.0, 6.0, 0.04, 0.94), abs=CLOSE)


@pytest.mark.parametrize("hottest", [80.0, 90.0, 92.0, 94.0, 110.0])
@pytest.mark.parametrize("runs", [0.0, 1.0])
def test_a_fan_that_stands_tells_little_of_coolant_in_which_none_would_run(runs: float, hottest: float) -> None:
    """Healthy fans of this vehicle switch off at 92 degC; two looks in five are with a tester's command."""
    members = vehicle({"coolant": [10.0, 10.0, hottest, 60.0]}, FAN_RUNS=runs)
    found = FACTS["fan_runs_when_hot"](replace(members, fan_wanted=np.full(1, 92.0 + 273.15)))
    hot = 0.4 + 0.6 * stats.norm.cdf(hottest, 92.0, 2.0)
    wanted = hot * rises(runs, 0.4, 0.2, 0.1, 0.93) + (1.0 - hot) * 0.5
    assert found == pytest.approx(wanted, abs=CLOSE)


@pytest.mark.parametrize(("runs", "always", "works"), [(1.0, 0.0, 0.99), (0.0, 0.0, 0.70), (1.0, 1.0, 0.70)])
def test_a_relay_may_be_behind_a_fan_that_stands_and_one_that_never_stops(
    runs: float, always: float, works: float
) -> None:
    found = FACTS["fan_relay_works"](vehicle(FAN_RUNS=runs, FAN_ALWAYS=always))
    assert found == pytest.approx(works, abs=0.01)
    stands = rises(-runs, -0.4, 0.2, 0.0, 1.0)
    sticks = rises(always, 0.5, 0.1, 0.0, 1.0)
    assert found == pytest.approx(0.99 - 0.29 * np.maximum(stands, sticks), abs=CLOSE)


@pytest.mark.parametrize("vent", [20.0, 30.0, 35.0, 38.0, 55.0])
def test_a_vent_is_cold_under_35_degC(vent: float) -> None:
    found = FACTS["vent_cold"](vehicle({"vent": [10.0, 10.0, 20.0, vent]}))
    assert found == pytest.approx(rises(-vent, -35.0, 5.0, 0.04, 0.94), abs=CLOSE)


def test_no_fact_and_no_code_is_left_over() -> None:
    by_temperature = {"upper_hose_warms_early", "lower_hose_cold_when_hot", "heater_hoses_both_hot", "vent_cold"}
    by_two_states = {"pressure_held_cold", "fan_relay_works"}
    assert {row[0] for row in BY_ONE_STATE} & set(FACTS) == set(FACTS) - by_temperature - by_two_states
    circuits = ("P011", "P048", "P069")
    others = {"P0125", "P0126", "P0128", "P0217", "P2181", "P0298"}
    assert {code for code in CODES if not code.startswith(circuits)} - {row[0] for row in BY_ONE_STATE} == others
