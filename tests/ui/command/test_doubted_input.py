"""``heatdocket check`` on input that is to be doubted: what is said of it in words, and what is refused."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pypdfium2
import pytest


def test_an_uncertainty_of_one_fin_to_the_inch_is_no_inch(within, case_file) -> None:
    """It was taken as a pitch of one inch, ± 25 mm, and turned the verdict."""
    fins = {"value": "10 /in", "uncertainty": "1 /in"}
    climb = [
        {"name": "Climb", "vehicle_speed": "80 km/h", "grade": "6 %", "ambient": "35 degC"}
    ]  # no fan that switches
    found = within("check", case_file(duties=climb, radiator={"fin_pitch": fins}), "--json").json
    assert found["inputs"]["radiator.fin_pitch"]["uncertainty_si"] == pytest.approx(0.000254)
    stated = {"value": "2.54 mm", "uncertainty": "0.254 mm"}
    as_pitch = within("check", case_file(duties=climb, radiator={"fin_pitch": stated}), "--json").json
    odds = [[duty["holds_probability"] for duty in one["duties"]] for one in (found, as_pitch)]
    assert odds[0] == odds[1]


PUBLISHED_CORE = {"tube_height": "5 mm", "fin_height": "19 mm", "core_depth": "44 mm"}


def said(found: Any) -> dict[str, str]:
    """The text of each reason by its code."""
    return {reason["code"]: reason["text"] for reason in found["reasons"]}


@pytest.mark.parametrize(("pitch", "passage"), [("19.7 mm", "14.7 mm"), ("28 mm", "19 mm")])
def test_a_published_tube_pitch_that_is_not_the_sum_is_taken_and_told(within, case_file, pitch, passage) -> None:
    """It could not be entered."""
    answered = within("check", case_file(radiator={**PUBLISHED_CORE, "tube_pitch": pitch}), "--json")
    assert answered.code == 0
    text = said(answered.json)["pitch_differs"]
    assert f"The tube pitch is {pitch}, tube height and fin height together are 24 mm." in text
    assert f"Air passes through {passage}" in text


def test_a_tube_pitch_that_is_the_sum_is_not_spoken_of(within, case_file) -> None:
    core = {**PUBLISHED_CORE, "tube_pitch": "24 mm"}
    assert "pitch_differs" not in said(within("check", case_file(radiator=core), "--json").json)


V8 = {"rated_power": "271 kW", "aspiration": "natural"}
COOLED = {"class": "heavy truck"}  # holds such powers, so that its numbers are told


def test_more_power_than_the_engine_gives_is_told_and_not_computed_with(within, case_file) -> None:
    """600 hp were asked of 364 hp at 2000 m, and 337 kW given, without a word."""
    duty = {
        "name": "Pass",
        "brake_power": "600 hp",
        "vehicle_speed": "80 km/h",
        "altitude": "2000 m",
        "ambient": "25 degC",
    }
    found = within("check", case_file(vehicle=COOLED, engine=V8, duties=[duty]), "--json").json
    gives = 271e3 / 1.28953  # SAE J1349 from memory, 79,495 Pa at 2000 m (US Standard Atmosphere 1976)
    assert found["duties"][0]["brake_power_W"] == pytest.approx(gives, rel=1e-4)
    (reason,) = [r for r in found["reasons"] if r["code"] == "power_limited"]
    assert reason["severity"] == "fault"
    assert reason["text"].startswith(
        "Pass: 447 kW is asked of the engine, and 210 kW is the most that it gives in this air (rated 271 kW). "
        "It is computed with 210 kW. Correct the power asked, or enter the engine's own rated power"
    )


@pytest.mark.parametrize(
    ("engine", "asks", "severity", "told"),
    [
        (
            V8,
            "271 kW",
            "caution",
            "Pass: 271 kW is asked of the engine, and 210 kW is the most that it gives in this air "
            "(rated 271 kW). It is computed with 210 kW.",
        ),
        (
            {"rated_power": "271 kW", "aspiration": "turbo"},
            "272 kW",
            "fault",
            "computed with 271 kW. Correct the power",
        ),
        ({"aspiration": "turbo"}, "272 kW", "fault", "(rated 85 kW, typical of its class)"),
    ],
)
def test_what_the_air_takes_is_a_caution_and_what_no_air_gives_a_fault(
    within, case_file, engine, asks, severity, told
) -> None:
    duty = {"name": "Pass", "brake_power": asks, "altitude": "2000 m", "ambient": "25 degC"}
    found = within("check", case_file(engine=engine, duties=[duty]), "--json").json
    (reason,) = [r for r in found["reasons"] if r["code"] == "power_limited"]
    assert (reason["severity"], told in reason["text"]) == (severity, True), reason["text"]
    assert ("Correct" in reason["text"]) is (severity == "fault")


@pytest.mark.parametrize("engine", [V8, {"rated_power": "210.2 kW", "aspiration": "turbo"}])
def test_power_that_the_engine_gives_is_computed_without_a_word(within, case_file, engine) -> None:
    duty = {"brake_power": "210.1 kW", "vehicle_speed": "80 km/h", "altitude": "2000 m", "ambient": "25 degC"}
    found = within("check", case_file(vehicle=COOLED, engine=engine, duties=[duty]), "--json").json
    assert "power_limited" not in said(found)
    assert found["duties"][0]["brake_power_W"] == pytest.approx(210.1e3)


def test_power_at_the_wheels_counts_over_the_drivelines_efficiency_and_is_told(within, case_file) -> None:
    vehicle = {"class": "family car", "driveline_efficiency": "80 %"}
    duty = {"name": "Dyno", "wheel_power": "40 kW", "engine_speed": "4000 rpm"}
    found = within("check", case_file(vehicle=vehicle, duties=[duty]), "--json").json
    assert found["duties"][0]["brake_power_W"] == pytest.approx(50e3)
    assert said(found)["power_at_wheels"] == (
        "Dyno: 40 kW at the wheels is 50 kW at the crankshaft, by a driveline efficiency of 80 %."
    )
    assert found["inputs"]["duties[0].brake_power"]["source"] == "power at the wheels over driveline efficiency"


def test_power_at_the_crankshaft_beside_a_rating_at_the_wheels_is_told(within, case_file) -> None:
    """It was taken so without a word."""
    duty = {"name": "Lap", "brake_power": "40 kW"}
    wheel, crank = (
        within("check", case_file(engine={"power_at": at}, duties=[duty]), "--json").json for at in ("wheel", "crank")
    )
    assert said(wheel)["power_at_crank"].startswith("Lap: its power of 40 kW counts at the crankshaft, while")
    assert "power_at_crank" not in said(crank)


def test_power_at_both_places_is_refused(within, case_file) -> None:
    duty = {"brake_power": "50 kW", "wheel_power": "40 kW"}
    answered = within("check", case_file(duties=[duty]))
    assert answered.code == 2
    assert "duties[0].wheel_power" in answered.err
    assert "not both" in answered.err


POINT = {
    "hot_flow": "0.163 kg/s",
    "cold_flow": "0.24 kg/s",
    "hot_in": "62 degC",
    "hot_out": "54.2 degC",
    "cold_in": "21.3 degC",
    "cold_out": "43.3 degC",
}
BENCH, WATER = {"class": "bench rig"}, {"base": "water"}


@pytest.mark.parametrize(
    ("change", "path", "told"),
    [
        ({"cold_out": "62.0 degC"}, "rig[0].cold_out", "below hot_in would do: the cold stream leaves no hotter than"),
        ({"cold_out": "80 degC"}, "rig[0].cold_out", "below hot_in would do"),
        ({"hot_out": "21.3 degC"}, "rig[0].hot_out", "above cold_in would do: the hot stream leaves no colder than"),
        ({"hot_out": "15 degC"}, "rig[0].hot_out", "above cold_in would do"),
        # water 4.18 kJ/(kg K), air 1.007 kJ/(kg K): 90 kg/s over 7.8 K are 2937 kW;
        # the air can take 0.24 * 1007 * 40.7 W
        (
            {"hot_flow": "90 kg/s"},
            "rig[0].hot_flow",
            "the hot stream gives off 2937 kW and the cold one takes up 5.31 kW",
        ),
        ({"hot_flow": "90 kg/s"}, "rig[0].hot_flow", "no exchanger passes on more than 9.83 kW"),
        ({"cold_flow": "90 kg/s"}, "rig[0].cold_flow", "no exchanger passes on more than 27.8 kW"),
    ],
)
def test_what_no_exchanger_can_do_is_refused_and_what_would_do_is_said(within, case_file, change, path, told) -> None:
    """An effectiveness of 15,300 % and air hotter than the stream that heats it were computed."""
    answered = within("check", case_file(vehicle=BENCH, coolant=WATER, rig=[{**POINT, **change}]))
    assert answered.code == 2
    assert path in answered.err
    assert told in " ".join(answered.err.split())


@pytest.mark.parametrize(
    ("flow", "size", "code"),
    [("0.43 kg/s", "0 %", 0), ("0.46 kg/s", "0 %", 2), ("0.46 kg/s", "10 %", 0), ("0.46 kg/s", "2 %", 2)],
)
def test_heats_that_pass_the_most_within_their_uncertainty_are_computed(within, case_file, flow, size, code) -> None:
    """The mean of 15.0 kW (0.46 kg/s) and 5.3 kW is 103 % of what 9.8 kW allow, that of 14.0 and 5.3 kW 98 %."""
    point = {**POINT, "hot_flow": {"value": flow, "uncertainty": size}}
    assert within("check", case_file(vehicle=BENCH, coolant=WATER, rig=[point])).code == code


def test_a_point_that_can_be_is_computed_and_a_poor_balance_is_told(within, case_file) -> None:
    good, poor = (
        within("check", case_file(vehicle=BENCH, coolant=WATER, rig=[{**POINT, "cold_out": out}]), "--json")
        for out in ("43.3 degC", "42 degC")
    )
    assert (good.code, poor.code) == (0, 0)
    assert "rig_balance_poor" not in said(good.json)
    assert "more than the 3 % of SAE J1994" in said(poor.json)["rig_balance_poor"]


def test_a_makers_point_at_half_of_what_the_dimensions_give_is_asked_about(within, case_file) -> None:
    """It scaled the core by 0.45 without a word."""
    point = {
        "rated_heat": "20 kW",
        "rated_coolant_flow": "120 L/min",
        "rated_air_velocity": "5 m/s",
        "rated_inlet_difference": "60 K",
    }
    text = said(within("check", case_file(radiator=point), "--json").json)["rated_point_doubted"]
    assert text.startswith("The maker's point is to be doubted: it states 20 kW, where these dimensions give about ")
    assert "Are the dimensions this core's?" in text


@pytest.mark.parametrize("kind", ["customer", "sizing"])
def test_the_report_says_what_is_doubted(within, case_file, tmp_path: Path, kind: str) -> None:
    case = {
        "radiator": {**PUBLISHED_CORE, "tube_pitch": "28 mm"},
        "engine": V8,
        "vehicle": COOLED,
        "duties": [
            {"name": "Pass", "brake_power": "600 hp", "vehicle_speed": "80 km/h", "altitude": "2000 m"},
            {"name": "Dyno", "wheel_power": "40 kW", "engine_speed": "1500 rpm"},
        ],
    }
    path = tmp_path / "report.pdf"
    assert within("report", case_file(**case), "-o", path, "--kind", kind).code == 0
    with pypdfium2.PdfDocument(path) as document:
        text = " ".join(" ".join(page.get_textpage().get_text_range() for page in document).split())
    assert "447 kW is asked of the engine" in text
    assert "The tube pitch is 28 mm" in text
    assert "40 kW at the wheels is" in text
