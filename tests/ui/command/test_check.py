"""``heatdocket check``: one JSON object with the agreed keys, numbers that hang together, words, exit codes."""

from __future__ import annotations

import json
import math
from typing import Any

import ht
import pytest

FROST_AND_SUMMER = {
    "vehicle": {"class": "family car"},
    "duties": [
        {"name": "Idle in frost", "ambient": "-15 degC", "heater": "high"},
        {"name": "Motorway in summer", "vehicle_speed": "130 km/h", "ambient": "35 degC"},
    ],
}
IMPOSSIBLE = {
    "name": "Impossible",
    "brake_power": "400 kW",
    "engine_speed": "5000 rpm",
    "ambient": "45 degC",
    "fan": "off",
}

TEMPERATURES = (
    "coolant_out_degC",
    "radiator_out_degC",
    "vent_degC",
    "boiling_degC",
    "air_to_boil_degC",
    "limiting_ambient_degC",
)
NUMBERS = (
    "fuel_power_W",
    "heat_to_coolant_W",
    "coolant_flow_kg_s",
    "radiator_flow_kg_s",
    "heater_flow_kg_s",
    "air_velocity_m_s",
    "coolant_rise_K",
    "thermostat_opening",
    "ntu",
    "capacity_ratio",
    "effectiveness",
    "ua_W_K",
    "radiator_heat_W",
    "heater_heat_W",
    "margin_K",
    "energy_residual_W",
    *TEMPERATURES,
)


@pytest.fixture
def found(within, case_file) -> dict[str, Any]:
    """The answer for the two duties above."""
    answered = within("check", case_file(**FROST_AND_SUMMER), "--json")
    assert (answered.code, answered.err) == (0, "")
    return answered.json


def numbers(node: Any) -> list[float]:
    """Every number in a JSON value."""
    if isinstance(node, dict | list):
        return [x for inner in (node.values() if isinstance(node, dict) else node) for x in numbers(inner)]
    return [node] if isinstance(node, int | float) and not isinstance(node, bool) else []


def test_the_agreed_keys_are_there(found):
    assert {"verdict", "reasons", "duties", "readings", "rig", "validity", "warnings", "inputs"} <= set(found)
    assert found["verdict"] in ("undersized", "overcooling", "marginal", "holds")
    assert [duty["name"] for duty in found["duties"]] == ["Idle in frost", "Motorway in summer"]
    for duty in found["duties"]:
        assert {"name", "status", "verdict", "regime", *NUMBERS} <= set(duty)
        assert duty["status"] == "solved"
        assert [key for key in NUMBERS if duty[key] is not None and not math.isfinite(duty[key])] == []
    assert all({"code", "severity", "text"} <= set(reason) for reason in found["reasons"])
    assert len(numbers(found)) > 50


def test_the_numbers_of_a_duty_hang_together(found):
    for duty in found["duties"]:
        heat = duty["heat_to_coolant_W"]
        out = duty["radiator_heat_W"] + duty["heater_heat_W"] + duty["hose_heat_W"]
        assert out == pytest.approx(heat, rel=1e-6)
        assert abs(duty["energy_residual_W"]) < 1e-6 * heat  # the project's own bound
        assert duty["radiator_flow_kg_s"] + duty["heater_flow_kg_s"] <= duty["coolant_flow_kg_s"] * (1 + 1e-9)
        assert 0 <= duty["thermostat_opening"] <= 1
        # ht's exact crossflow integral (Triboix 2009), both unmixed, is another road to the same effectiveness
        other = ht.effectiveness_from_NTU(duty["ntu"], max(duty["capacity_ratio"], 1e-9), "crossflow")
        assert duty["effectiveness"] == pytest.approx(other, rel=1e-6)
        # the limit or the boiling point, whichever is lower
        assert duty["margin_K"] <= duty["boiling_degC"] - duty["coolant_out_degC"] + 1e-9


def test_the_circuit_of_a_duty_is_the_one_of_its_results(found):
    for duty in found["duties"]:
        at = duty["circuit"]
        assert at["upper_hose_degC"] == at["engine_out_degC"] == duty["coolant_out_degC"]
        assert at["lower_hose_degC"] == duty["radiator_out_degC"]
        assert at["engine_out_degC"] - at["engine_in_degC"] == pytest.approx(duty["coolant_rise_K"], abs=1e-9)
        branches = [at[f"{name}_flow_m3_s"] for name in ("radiator", "heater", "bypass")]
        assert sum(branches) == pytest.approx(at["engine_flow_m3_s"], rel=1e-12)
        share = duty["radiator_flow_kg_s"] / duty["coolant_flow_kg_s"]
        assert branches[0] / at["engine_flow_m3_s"] == pytest.approx(share, rel=1e-9)


def test_a_duty_at_its_limiting_ambient_just_holds(within, case_file):
    def checked(ambient: float) -> dict[str, Any]:
        lap = {
            "brake_power": "60 kW",
            "engine_speed": "5200 rpm",
            "vehicle_speed": "90 km/h",
            "ambient": f"{ambient!r} degC",
        }
        return within("check", case_file(vehicle={"class": "sports car"}, duties=[lap]), "--json").json["duties"][0]

    first = checked(30.0)
    assert abs(first["margin_K"]) > 1.0
    assert abs(checked(first["limiting_ambient_degC"])["margin_K"]) < 0.1  # the project's own bound


def test_inputs_tell_where_they_come_from(within, case_file):
    case = case_file(
        **FROST_AND_SUMMER, thermostat={"rating": {"value": "88 degC", "basis": "published", "uncertainty": "2 K"}}
    )
    inputs = within("check", case, "--json").json["inputs"]
    rating = inputs["thermostat.rating"]
    assert (rating["text"], rating["basis"], rating["uncertainty_si"]) == ("88 degC", "published", 2.0)
    assert inputs["vehicle.mass"]["basis"] == "typical"
    assert inputs["vehicle.mass"]["source"].startswith("typical")


def test_an_unknown_key_is_a_warning_not_a_fault(within, case_file):
    answered = within("check", case_file(**FROST_AND_SUMMER, vehicel={"mass": "1 t"}), "--json")
    assert answered.code == 0
    assert any("vehicel" in warning for warning in answered.json["warnings"])


def test_a_duty_without_a_solution_says_why_and_its_numbers_are_null(within, case_file):
    duties = [FROST_AND_SUMMER["duties"][1], IMPOSSIBLE]
    answered = within("check", case_file(vehicle={"class": "family car"}, duties=duties), "--json")
    assert answered.code == 0
    good, bad = answered.json["duties"]
    assert good["status"] == "solved"
    assert bad["status"] != "solved"
    assert bad["reason"]
    assert bad["coolant_out_degC"] is None
    assert bad["margin_K"] is None


def test_no_duty_with_a_solution_is_exit_3_with_the_reason(heatdocket, case_file):
    case = case_file(vehicle={"class": "family car"}, duties=[IMPOSSIBLE])
    answered = heatdocket("check", case, "--json")
    assert (answered.code, answered.err) == (3, "")
    assert answered.json["status"] == "no solution"
    assert answered.json["reason"]
    assert answered.json["duties"][0]["coolant_out_degC"] is None
    said = heatdocket("check", case)
    assert (said.code, said.out) == (3, "")
    assert said.err.strip()


def test_the_check_needs_no_qt_and_prints_one_object_only(heatdocket, case_file):
    case = case_file(**FROST_AND_SUMMER)
    before = case.read_bytes()
    answered = heatdocket("check", case, "--json", qt=False)
    assert (answered.code, answered.err) == (0, "")
    text, end = json.JSONDecoder().raw_decode(answered.out)
    assert (type(text), answered.out[end:]) == (dict, "\n")
    assert case.read_bytes() == before


def test_words_follow_the_system_and_numbers_do_not(within, case_file):
    case = case_file(**FROST_AND_SUMMER)
    si, us = within("check", case), within("check", case, "--units", "US")
    assert (si.code, si.err, us.code, us.err) == (0, "", 0, "")
    assert "115 °C" in si.out  # the coolant limit of the class, 239 degF by definition of the scales
    assert "239 °F" in us.out
    assert "115 °C" not in us.out
    as_si, as_us = (within("check", case, "--json", "--units", system).json for system in ("SI", "US"))
    assert numbers(as_si["duties"]) == numbers(as_us["duties"])


def test_a_reading_and_a_rig_point_are_answered(within, case_file):
    before = {
        "ambient": "-10 degC",
        "heater_setting": "high",
        "spots": [{"what": "coolant", "at": "30 min", "value": "35 degC", "instrument": "scan_tool"}],
    }
    [reading] = within("check", case_file(**FROST_AND_SUMMER, evidence={"before": before}), "--json").json["readings"]
    assert (reading["path"], reading["at_s"], reading["as_read_degC"]) == (
        "evidence.before.spots[0]",
        1800.0,
        pytest.approx(35.0),
    )
    assert reading["expected_low_degC"] <= reading["expected_healthy_degC"] <= reading["expected_high_degC"]
    point = {
        "hot_flow": "0.2 kg/s",
        "hot_in": "70 degC",
        "hot_out": "64 degC",
        "cold_flow": "0.25 kg/s",
        "cold_in": "20 degC",
        "cold_out": "40 degC",
    }
    duty = {"coolant_flow": "12 L/min", "air_velocity": "3 m/s", "brake_power": "0 kW"}
    rig = within(
        "check",
        case_file(
            vehicle={"class": "bench rig"},
            coolant={"base": "water", "concentration": "0 %"},
            duties=[duty],
            rig=[point],
        ),
        "--json",
    ).json["rig"]
    # by hand: 0.2 x 4187 x 6 = 5.02 kW (water at 67 degC, cp 4.187 kJ/(kg K)), 0.25 x 1.007 x 20 = 5.03 kW
    assert rig[0]["heat_hot_W"]["measured"] == pytest.approx(5024, rel=2e-3)
    assert rig[0]["heat_cold_W"]["measured"] == pytest.approx(5035, rel=5e-3)
    assert rig[0]["hot_out"]["measured_degC"] == pytest.approx(64.0)
