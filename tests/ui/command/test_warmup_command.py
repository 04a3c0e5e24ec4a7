"""``heatdocket warmup``: the agreed keys, curves that hang together, the record beside them, and check with it."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from real_logs import real_log

SERIES = ("time_s", "coolant_degC", "radiator_degC", "heater_out_degC", "cabin_degC", "vent_degC", "thermostat_opening")
MINUTES = [
    ["0 min", "0 degC"],
    ["5 min", "22 degC"],
    ["10 min", "38 degC"],
    ["15 min", "46 degC"],
    ["20 min", "50 degC"],
    ["25 min", "52 degC"],
    ["30 min", "53 degC"],
    ["35 min", "53 degC"],
    ["40 min", "53 degC"],
]
COLD = {
    "vehicle": {"class": "family car"},
    "evidence": {
        "before": {
            "ambient": "0 degC",
            "start_temperature": "0 degC",
            "heater_setting": "low",
            "engine_off_phases": "no",
            "schedule": [{"vehicle_speed": "70 km/h", "heater": "low", "duration": "45 min"}],
            "curve": MINUTES,
        }
    },
}
# seconds from engine start to 60, 70 and 80 degC of four real trips of one healthy car, as the note beside their
# excerpts gives them: M. Weber, Automotive OBD-II Dataset, Karlsruhe Institute of Technology, DOI 10.35097/1130
TRIPS = {
    "winter-a": (391, 536, 702),
    "winter-b": (599, 699, 817),
    "summer-a": (266, 327, 359),
    "summer-b": (348, 438, 568),
}


def test_the_agreed_keys_are_there_and_hang_together(within, case_file):
    answered = within("warmup", case_file(**COLD), "--json")
    assert (answered.code, answered.err) == (0, "")
    found = answered.json
    assert len({len(found[key]) for key in SERIES}) == 1
    flows = ("radiator_flow_m3_s", "heater_flow_m3_s", "bypass_flow_m3_s", "fan_speed")
    assert {len(found[key]) for key in flows} == {len(found["time_s"])}
    assert min(found["heater_flow_m3_s"][1:]) > 0.0
    measured = found["measured"]
    assert {"time_to_s", "start_degC", "end_degC", "samples", "notes", "faults"} <= set(measured)
    assert (measured["start_degC"], measured["end_degC"], measured["samples"]) == pytest.approx((0.0, 53.0, 9))
    assert measured["time_to_s"] == {"60": None, "70": None, "80": None}
    assert found["fit_rms_K"] > 0.0
    assert found["heat_source"] == "the schedule"
    assert set(found["time_to_s"]) == {"60", "70", "80"}
    for T, time in found["time_to_s"].items():
        i = next(i for i, x in enumerate(found["sensor_degC"]) if x >= float(T))
        assert found["time_s"][i - 1] <= time <= found["time_s"][i]
    assert abs(found["energy_error"]) < 1e-4  # of the heat released
    # a family car's 45 min at 70 km/h take 5 to 8 L/100 km, common practice; 745 kg/m3
    assert 0.05 * 52.5 * 0.745 < found["fuel_used_kg"] < 0.08 * 52.5 * 0.745
    assert 0.0 < found["fuel_unburnt_J"] < 0.05 * found["fuel_used_kg"] * 43.4e6
    assert found["heat_exhaust_J"] > found["fuel_unburnt_J"]
    assert found["late_ignition_fuel_J"] == 0.0  # it drives off at once
    assert 0.05 < found["cold_extra_fuel_share"] < 0.2  # of a start at 0 degC, until it has 60 degC
    assert found["band"]["low_degC"][-1] < found["band"]["middle_degC"][-1] < found["band"]["high_degC"][-1]
    assert found["verdict"] == "overcooling"
    assert measured["settled_degC"] == pytest.approx(53.0, abs=1.5)
    assert measured["leaves_below"]


def test_a_cold_record_is_overcooling_in_the_check_and_in_words(within, case_file):
    case = case_file(**COLD)
    check = within("check", case, "--json").json
    assert check["verdict"] == "runs_cold"
    assert check["warmup"]["before"]["verdict"] == "overcooling"
    assert "settled at 53 °C" in within("warmup", case).out


def test_a_check_without_a_course_in_time_has_no_warm_up(within, case_file):
    assert within("check", case_file(vehicle={"class": "small car"}), "--json").json["warmup"] == {}


def test_a_log_that_is_not_there_is_a_fault_of_the_input(within, case_file):
    answered = within("warmup", case_file(evidence={"before": {"log": {"file": "nowhere.csv"}}}), "--json")
    assert answered.code == 2
    assert answered.json["faults"][0]["path"] == "evidence.before.log.file"


@pytest.mark.parametrize("name", TRIPS)
def test_real_trips_load_without_help_and_a_healthy_vehicle_explains_them(within, case_file, name):
    log = real_log(name)
    case = case_file(
        vehicle={"class": "family car"},
        engine={"fuel": "diesel"},
        thermostat={"rating": "unknown"},
        evidence={"before": {"log": {"file": f"{name}.csv"}}},
    )
    shutil.copy(log, Path(case).parent)
    found = within("warmup", case, "--json").json
    times = [found["measured"]["time_to_s"][T] for T in ("60", "70", "80")]
    assert times == pytest.approx(TRIPS[name], abs=1.35)  # s; one sample (0.85 s) and the table's rounding
    assert found["fit_rms_K"] < 5.5  # K; "a few": they come to 2.6, 4.9, 3.0 and 2.7 K
    assert found["verdict"] == "holds"  # no fault was reported: every trip counts as a healthy car
    assert found["measured"]["leaves_band_s"] is None
