"""What each hand check is predicted to show, in two made-up vehicles that differ in one place alone.

The bits that a check is worth tell which place it reads, when, and how well. All noises and times here are common
practice, no source; minutes of work stand in test_hand_checks.py.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from made_up_members import vehicle
from numpy.typing import ArrayLike

from engcalc.diagnosis.checks.hand_checks import COME_FIRST, FIRST_OF_ALL
from engcalc.diagnosis.checks.next_check import CheckValue, PredictedReading, check_values, information
from engcalc.diagnosis.checks.run_of_checks import CheckedVehicles
from engcalc.diagnosis.evidence.observations import FACTS
from engcalc.units import Array

CAUSE = np.repeat([0, 1], 12)
SAME = np.full(24, 1.0 / 24.0)
SPREAD = np.linspace(-4.0, 4.0, 12)  # of each cause's members
OTHER = np.concatenate((SPREAD, SPREAD + 9.0))  # K; the second cause's are 9 K hotter
HOSE, VENT, NECK, POT = 6.0, 6.0, 2.5, 2.0  # K; standard uncertainties


def watched(
    record: dict[str, Sequence[ArrayLike]], hot: dict[str, Sequence[ArrayLike]], **states: ArrayLike
) -> CheckedVehicles:
    every = np.zeros(24)  # gives each run its 24 members
    course = {"opening": [every - 273.15] * 4}
    return CheckedVehicles(vehicle({**course, **record}, **states), vehicle({**course, **hot}, **states), CAUSE, SAME)


def worth(
    seen: CheckedVehicles, done: Sequence[str] = (), side: str = "outlet", first: Sequence[str] = FIRST_OF_ALL
) -> dict[str, CheckValue]:
    return {value.key: value for value in check_values(seen, done, side, first)}


def reading(value: Array, noise: float) -> float:
    return information((PredictedReading(value, noise),), CAUSE, SAME)


def only(seen: CheckedVehicles, expected: dict[str, float], side: str = "outlet") -> None:
    """Those checks are worth what was expected, and all others nothing."""
    found = {key: value.information_bits for key, value in worth(seen, side=side).items()}
    wanted = {key: expected.get(key, 0.0) for key in found}
    assert set(expected) <= set(found)
    assert found == pytest.approx(wanted, abs=1e-9)
    assert all(bits > 0.05 for bits in expected.values())


WARMING = [10.0, 54.9, 55.0, 80.0]  # degC: a gauge passes 55 degC, the middle of the 50 to 60 degC of the check


@pytest.mark.parametrize(("side", "hose"), [("outlet", "upper_hose"), ("inlet", "lower_hose")])
def test_a_hose_is_felt_when_the_gauge_passes_55_degC_on_the_valves_side(side: str, hose: str) -> None:
    at_once = watched({"coolant": WARMING, hose: [20.0, 20.0, 20.0 + OTHER, 20.0]}, {})
    only(at_once, {f"{hose}_while_warming": reading(OTHER, HOSE)}, side)
    for late in ([20.0, 20.0 + OTHER, 20.0, 20.0], [20.0 + OTHER, 20.0, 20.0, 20.0]):
        only(watched({"coolant": WARMING, hose: late}, {}), {}, side)


def test_the_neck_is_held_against_what_the_sensor_shows_at_the_end() -> None:
    shown = watched({"coolant": [10.0, 90.0, 90.0, 90.0], "shown": [10.0, 90.0, 90.0, 90.0 + OTHER]}, {})
    only(shown, {"thermometer_at_outlet_neck": reading(-OTHER, NECK)})
    both = watched({"coolant": [10.0, 90.0, 90.0, 90.0 + OTHER], "shown": [10.0, 90.0, 90.0, 90.0 + OTHER]}, {})
    only(both, {})


def test_the_heaters_drop_is_read_after_ten_minutes_and_its_outlet_after_fifteen() -> None:
    """Of the run of the checks: ten minutes of idle, then five at 2,500 rpm."""
    for hot, drop, outlet in (
        ({"heater_in": [70.0, 70.0 + OTHER, 70.0, 70.0], "heater_out": [60.0] * 4}, OTHER, 0.0 * OTHER),
        ({"heater_out": [60.0, 60.0, 60.0 + OTHER, 60.0]}, 0.0 * OTHER, OTHER),
        ({"heater_out": [60.0, 60.0 - OTHER, 60.0, 60.0]}, OTHER, 0.0 * OTHER),
    ):
        expected = information((PredictedReading(drop, HOSE), PredictedReading(outlet, HOSE)), CAUSE, SAME)
        only(watched({}, hot), {"heater_hose_pair": expected})
    only(watched({}, {"heater_in": [70.0, 70.0, 70.0 + OTHER, 70.0 + OTHER]}), {})


def test_the_vent_is_read_after_fifteen_minutes() -> None:
    only(watched({}, {"vent": [20.0, 20.0, 40.0 + OTHER, 20.0]}), {"vent_at_full_hot": reading(OTHER, VENT)})
    only(watched({}, {"vent": [20.0, 20.0 + OTHER, 20.0, 20.0 + OTHER]}), {})


@pytest.mark.parametrize("hose", ["upper_hose", "lower_hose"])
def test_the_radiators_hoses_are_read_at_the_end_over_the_outside_air(hose: str) -> None:
    only(watched({}, {hose: [20.0, 20.0, 20.0, 60.0 + OTHER]}), {"radiator_hose_pair_hot": reading(OTHER, HOSE)})
    only(watched({}, {hose: [20.0, 60.0 + OTHER, 60.0 + OTHER, 20.0]}), {})


def test_a_hose_that_is_warmer_by_the_air_alone_tells_nothing() -> None:
    even = {hose: [20.0, 20.0, 20.0, 60.0 + OTHER] for hose in ("upper_hose", "lower_hose")}
    seen = watched({}, even)
    warmer = replace(seen, hot=replace(seen.hot, ambient=seen.hot.ambient + OTHER))
    assert worth(seen)["radiator_hose_pair_hot"].information_bits > 0.05
    assert worth(warmer)["radiator_hose_pair_hot"].information_bits == pytest.approx(0.0, abs=1e-9)


def test_a_refractometer_reads_the_mixture_as_well_as_a_vehicle_is_filled() -> None:
    off = OTHER / 100.0  # -, by volume
    noise = np.hypot(0.02, 0.05)  # of the reading and of a healthy filling
    only(watched({}, {}, MIXTURE=off), {"refractometer": reading(off, noise)})


def test_a_pot_of_water_tells_when_a_valve_opens_and_whether_one_is_there() -> None:
    seen = watched({}, {})
    gone = np.where(CAUSE == 1, 1.0, 0.0)
    without = watched({}, {}, VALVE_GONE=gone)
    half = watched({}, {}, VALVE_GONE=0.52 * gone)  # more likely gone than there
    early = PredictedReading(np.where(gone > 0.5, 60.0, 2.0), POT)  # 60 K: none opens so early
    looked = information((FACTS["thermostat_missing"](without.record),), CAUSE, SAME)
    assert worth(seen)["valve_in_a_pot_of_water"].information_bits == pytest.approx(0.0, abs=1e-9)
    found = {key: value.information_bits for key, value in worth(without).items()}
    assert found["valve_in_a_pot_of_water"] == pytest.approx(information((early,), CAUSE, SAME))
    assert worth(half)["valve_in_a_pot_of_water"].information_bits == pytest.approx(found["valve_in_a_pot_of_water"])
    assert found["valve_out_and_looked_at_cold"] == pytest.approx(looked)


def test_a_pot_of_water_reads_the_opening_under_the_rating_to_2_K() -> None:
    seen = watched({}, {})
    early = replace(seen, record=replace(seen.record, opens=seen.record.opens - OTHER))
    told = worth(early)["valve_in_a_pot_of_water"].information_bits
    assert told == pytest.approx(reading(OTHER, POT))
    other_valve = replace(seen.record, opens=seen.record.opens + OTHER, rating=seen.record.rating + OTHER)
    found = worth(replace(seen, record=other_valve))
    assert found["valve_in_a_pot_of_water"].information_bits == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize(
    ("state", "away", "checks"),
    [
        ("LEVEL", 0.3, {"level_and_bubbles": "level_low"}),
        ("GAS", 1.0, {"combustion_gas_test": "combustion_gas_found", "level_and_bubbles": "bubbles_when_running"}),
        ("LEAK", 1.0, {}),
        ("CAP", 0.4, {"cap_test": "cap_holds_pressure"}),
        ("PUMP", 0.0, {"belt_and_pump_drive": "belt_drives_pump"}),
        ("FAN_RUNS", 0.0, {"fan_commanded": "fan_runs_when_hot"}),
        ("FAN_ALWAYS", 1.0, {"fan_commanded": "fan_runs_always"}),
        ("FAN_BACKWARD", 1.0, {"fan_commanded": "fan_blows_backward"}),
        ("FACE", 0.6, {"radiator_face_and_shutter": "face_dirty"}),
        ("SHUTTER", 0.0, {"radiator_face_and_shutter": "shutter_closed"}),
        ("SEALS_GONE", 1.0, {"radiator_face_and_shutter": "seals_missing"}),
        ("HOSES_SWAPPED", 1.0, {"heater_hoses_followed": "heater_hoses_swapped"}),
        ("VALVE_HOT", 0.0, {"valve_in_a_pot_of_water": "thermostat_opens_hot"}),
    ],
)
def test_a_look_is_worth_what_its_fact_tells(state: str, away: float, checks: dict[str, str]) -> None:
    healthy = 1.0 if state in ("CAP", "PUMP", "FAN_RUNS", "SHUTTER", "VALVE_HOT") else 0.0
    seen = watched({}, {}, **{state: np.where(CAUSE == 1, away, healthy)})
    found = worth(seen)
    for key, fact in checks.items():
        assert found[key].information_bits == pytest.approx(information((FACTS[fact](seen.record),), CAUSE, SAME))
    silent = {key for key, value in found.items() if value.information_bits < 1e-9}
    also = {"cold_pressure_test"} if state in ("GAS", "LEAK") else set()
    assert silent == set(found) - set(checks) - also


def test_a_cold_pressure_test_sees_the_drop_and_the_leak() -> None:
    seen = watched({}, {}, LEAK=np.where(CAUSE == 1, 1.0, 0.0))
    facts = (FACTS["pressure_held_cold"](seen.record), FACTS["coolant_leak"](seen.record))
    assert worth(seen)["cold_pressure_test"].information_bits == pytest.approx(information(facts, CAUSE, SAME))


def test_a_valve_looked_at_cold_and_one_in_a_pot_are_seen_to_stand_open() -> None:
    seen = watched({}, {}, VALVE_COLD=np.where(CAUSE == 1, 0.2, 0.0))
    told = information((FACTS["thermostat_open_when_cold"](seen.record),), CAUSE, SAME)
    for key in ("valve_out_and_looked_at_cold", "valve_in_a_pot_of_water"):
        assert worth(seen)[key].information_bits == pytest.approx(told)


@pytest.mark.parametrize("first", [FIRST_OF_ALL, *COME_FIRST.values()])
def test_what_comes_first_whatever_the_odds_and_then_bits_for_a_minute(first: tuple[str, ...]) -> None:
    gas = np.where(CAUSE == 1, 1.0, 0.0)
    values = check_values(
        watched({}, {"vent": [20.0, 20.0, 40.0 + OTHER, 20.0]}, GAS=gas, CAP=1.0 - gas), (), "outlet", first
    )
    assert tuple(value.key for value in values if value.first) == first
    assert tuple(value.key for value in values[: len(first)]) == first
    rates = [value.information_bits / value.minutes for value in values[len(first) :]]
    assert rates == sorted(rates, reverse=True)
    assert [value.rate for value in values[len(first) :]] == pytest.approx(rates)
    assert values[len(first)].rate > 0.0


@pytest.mark.parametrize(
    ("done", "gone"),
    [
        (("level_low",), {"level_and_bubbles"}),
        (("bubbles_when_running",), set()),
        (("pressure_held_cold",), {"cold_pressure_test"}),
        (("coolant_leak",), set()),
        (("cap_opens",), {"cap_test"}),
        (("concentration",), {"refractometer"}),
        (("freezing_point",), {"refractometer"}),
        (("upper_hose",), {"upper_hose_while_warming"}),
        (("upper_hose_warms_early",), {"upper_hose_while_warming"}),
        (("outlet_neck",), {"thermometer_at_outlet_neck"}),
        (("heater_inlet_hose",), {"heater_hose_pair"}),
        (("heater_outlet_hose",), {"heater_hose_pair"}),
        (("heater_hoses_both_hot",), {"heater_hose_pair"}),
        (("vent",), {"vent_at_full_hot"}),
        (("vent_cold",), {"vent_at_full_hot"}),
        (("lower_hose",), {"radiator_hose_pair_hot"}),
        (("lower_hose_cold_when_hot",), {"radiator_hose_pair_hot"}),
        (("fan_runs_when_hot",), {"fan_commanded"}),
        (("fan_runs_always", "fan_blows_backward"), set()),
        (("face_dirty",), {"radiator_face_and_shutter"}),
        (("shutter_closed", "seals_missing"), set()),
        (("heater_hoses_swapped",), {"heater_hoses_followed"}),
        (("thermostat_open_when_cold",), {"valve_out_and_looked_at_cold"}),
        (("thermostat_opens_hot",), {"valve_in_a_pot_of_water"}),
        (("valve_starts",), {"valve_in_a_pot_of_water"}),
        (("valve_open",), {"valve_in_a_pot_of_water"}),
        (("combustion_gas_found", "belt_drives_pump"), {"combustion_gas_test", "belt_and_pump_drive"}),
    ],
)
def test_a_check_is_done_by_the_fact_that_it_is_made_for_or_by_any_of_its_readings(
    done: tuple[str, ...], gone: set[str]
) -> None:
    seen = watched({}, {})
    assert set(worth(seen)) - set(worth(seen, done)) == gone


def test_vehicles_of_some_causes_keep_their_shares() -> None:
    seen = CheckedVehicles(
        vehicle(GAS=np.arange(4.0)), vehicle(GAS=np.arange(4.0)), np.array([0, 1, 2, 1]), np.full(4, 0.25)
    )
    two = seen.of([1, 2])
    assert two.cause.tolist() == [1, 2, 1]
    assert two.weight == pytest.approx(np.full(3, 1.0 / 3.0))
    assert two.record.members == two.hot.members == 3
