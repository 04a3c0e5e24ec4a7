"""Every input of a duty is changed on every path that answers it: each answer moves, or a reason says why it stays.

The paths are the settled point, the duty in its time, a lap, the warm-up, the uncertainty, the limiting ambient and the
vehicle parked under a block heater.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pytest

from engcalc.case.case import Case
from engcalc.case.catalogue import DeclaredInput, members
from engcalc.case.declare import FileShape
from engcalc.case.records import Duty
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.studies.check import check
from engcalc.studies.checked import DutyCheck
from engcalc.studies.duties.course import DutiesInTime, TimedDuties, timed
from engcalc.studies.limits import CLOSE
from engcalc.studies.members import every_duty, solve_duties
from engcalc.system.in_time.warmup import warm_up
from engcalc.system.plant import prepare
from engcalc.vehicle.run import duty_run, run_of

MEMBERS = 16
WARM_UP = 600  # s of it, by when the valve is open
MOVES = 1e-3  # K, and as much of a probability: an answer that moves by less has not heard the input
STAYS = 1e-9  # the same: what moves by no more has not moved

VEHICLE: dict[str, Any] = {
    "vehicle": {"class": "family car"},
    "engine": {"block_heater_power": "600 W"},
    "radiator": {"core_height": "240 mm"},  # so small that no valve hides what a duty asks
    "airflow": {"upstream": [{"name": "condenser", "kind": "condenser", "heat": "5 kW", "flow_resistance": "3"}]},
}
CLIMB = {
    "name": "climb",
    "vehicle_speed": "80 km/h",
    "grade": "4 %",
    "trailer_mass": "500 kg",
    "ambient": "33 degC",
    "fan": "on",
    "heater": "low",
    "engine_speed": "3200 rpm",
    "limit": "125 degC",
}
BEFORE = {"brake_power": "12 kW", "vehicle_speed": "50 km/h", "ambient": "33 degC", "fan": "on", "duration": "3 min"}
REST = {"brake_power": "8 kW", "vehicle_speed": "60 km/h", "ambient": "33 degC", "fan": "on"}

# what the climb has besides, then the input in two ways
CHANGES: Mapping[str, tuple[dict[str, Any], Any, Any]] = {
    "name": ({}, "climb", "hill"),
    "brake_power": ({}, "35 kW", "42 kW"),
    "wheel_power": ({}, "32 kW", "38 kW"),
    "vehicle_speed": ({}, "75 km/h", "85 km/h"),
    "headwind": ({}, "0 km/h", "25 km/h"),
    "grade": ({}, "4 %", "5 %"),
    "trailer_mass": ({}, "500 kg", "900 kg"),
    "trailer_frontal_area": ({}, "3 m2", "5 m2"),
    "trailer_drag_coefficient": ({}, "0.3", "0.5"),
    "engine_speed": ({}, "2800 rpm", "3500 rpm"),
    "fuel_flow": ({"brake_power": "35 kW"}, "10 kg/h", "12 kg/h"),
    "log_time": ({}, "5 min", "9 min"),
    "ambient": ({}, "31 degC", "35 degC"),
    "altitude": ({}, "0 m", "900 m"),
    "relative_humidity": ({}, "10 %", "100 %"),
    "fan": ({}, "off", "on"),
    "heater": ({}, "off", "high"),
    "air_conditioning": ({}, "off", "on"),
    "duration": ({"limit": "112 degC"}, "1 min", "3 min"),
    "start": ({"limit": "112 degC", "duration": "2 min"}, "warm", "round"),
    "limit": ({}, "112 degC", "118 degC"),
    "coolant_flow": ({}, "70 L/min", "50 L/min"),
    "air_velocity": ({}, "4 m/s", "3.5 m/s"),
}

_LABEL = "only words for the reader"
_BY_LOG = "the other inputs are filled from the log at that time; without a log it asks for nothing"
_SETTLED = "what it comes to in the end hangs neither on where it began nor on how long it goes on"
_OWN_TIME = "the path sets the duty's start and duration itself"
_JUDGES = "a limit judges the answer and does not move it"
_RESTS = "in a parked vehicle engine, pump, fan, blower and air conditioning rest and no air passes the radiator"
_NOT_SOUGHT = "it is what is looked for"
_NO_AIR = "the air's humidity and density do not reach a radiator through which nothing flows"

REASONS: Mapping[str, Mapping[str, str]] = {
    "settled": {"name": _LABEL, "log_time": _BY_LOG, "duration": _SETTLED, "start": _SETTLED, "limit": _JUDGES},
    "in its time": {"name": _LABEL, "log_time": _BY_LOG, "limit": _JUDGES},
    "lap": {"name": _LABEL, "log_time": _BY_LOG, "start": _OWN_TIME, "limit": _JUDGES},
    "warm-up": {"name": _LABEL, "log_time": _BY_LOG, "duration": _OWN_TIME, "start": _OWN_TIME, "limit": _JUDGES},
    "uncertainty": {"name": _LABEL, "log_time": _BY_LOG},
    "limiting ambient": {"name": _LABEL, "log_time": _BY_LOG, "ambient": _NOT_SOUGHT},
    "parked": {
        "name": _LABEL,
        "log_time": _BY_LOG,
        "duration": _OWN_TIME,
        "start": _OWN_TIME,
        "limit": _JUDGES,
        "altitude": _NO_AIR,
        "relative_humidity": _NO_AIR,
        **dict.fromkeys(
            (
                "brake_power",
                "wheel_power",
                "vehicle_speed",
                "headwind",
                "grade",
                "trailer_mass",
                "trailer_frontal_area",
                "trailer_drag_coefficient",
                "engine_speed",
                "fuel_flow",
                "fan",
                "heater",
                "air_conditioning",
                "coolant_flow",
                "air_velocity",
            ),
            _RESTS,
        ),
    },
}


def case_of(*duties: dict[str, Any], **sections: Any) -> Case:
    found = resolve(CaseText({"format": FORMAT, **VEHICLE, **sections, "duties": list(duties)}))
    assert isinstance(found, Case), found
    return found


def checked(*duties: dict[str, Any]) -> DutyCheck:
    """The last of the duties; two paths look at it, and one check is done for both."""
    return check(case_of(*duties), members=MEMBERS).duties[-1]


def settled(duty: dict[str, Any]) -> list[float]:
    found = solve_duties(case_of(duty))
    assert found.solved[0]
    return [float(found.coolant_out[0])]


def in_time(*duties: dict[str, Any]) -> TimedDuties:
    """The last of the duties over its time."""
    case = case_of(*duties)
    plant, conditions = every_duty(case)
    never = np.full(len(duties), np.inf)
    return timed(DutiesInTime(case.duties, conditions, 1, never, lambda _: plant), (len(duties) - 1,))


def in_its_time(duty: dict[str, Any]) -> list[float]:
    found = in_time(BEFORE, {"duration": "2 min", **duty})
    return [float(found.peak[0]), float(found.end[0])]


def lap(duty: dict[str, Any]) -> list[float]:
    """Where the stretch behind it begins, gone round until it closes."""
    round_of = {"duration": "10 min", **duty, "start": "round"}
    return list(in_time(round_of, {**REST, "duration": "20 min", "start": "above"}).start)


def warmed_up(duty: dict[str, Any]) -> list[float]:
    case = case_of(duty)
    drive = duty_run(case).drive
    begun = replace(drive, which=drive.which[:WARM_UP])
    return list(warm_up(prepare(case), begun, 60.0).coolant[:, 0])


def uncertain(duty: dict[str, Any]) -> list[float]:
    found = checked(BEFORE, duty)
    assert found.spread_low is not None
    assert found.spread_high is not None
    assert found.holds_probability is not None
    return [found.spread_low, found.spread_high, found.holds_probability]


def limiting(duty: dict[str, Any]) -> list[float]:
    found = checked(BEFORE, duty).limiting_ambient
    assert found is not None
    return [found]


def parked(duty: dict[str, Any]) -> list[float]:
    record = {"block_heater": "yes", "block_heater_time": "1 h", "driving": "idling"}
    case = case_of(duty, evidence={"before": record})
    drive = run_of(case, "before", {}).drive
    begun = replace(drive, which=drive.which[:1])
    return list(warm_up(prepare(case), begun).coolant[0])


PATHS: Mapping[str, Callable[[dict[str, Any]], list[float]]] = {
    "settled": settled,
    "in its time": in_its_time,
    "lap": lap,
    "warm-up": warmed_up,
    "uncertainty": uncertain,
    "limiting ambient": limiting,
    "parked": parked,
}


@cache
def moved(path: str, name: str) -> float:
    """The most that an answer of a path moves by when an input changes."""
    besides, one, other = CHANGES[name]
    first, second = (np.array(PATHS[path]({**CLIMB, **besides, name: value})) for value in (one, other))
    return float(np.abs(first - second).max())


def inputs() -> list[DeclaredInput]:
    return [leaf for leaf in members(Duty) if isinstance(leaf, DeclaredInput)]


def test_every_input_of_a_duty_is_changed_here() -> None:
    assert set(CHANGES) == {leaf.key for leaf in inputs()}


@pytest.mark.parametrize("name", CHANGES)
@pytest.mark.parametrize("path", PATHS)
def test_an_input_of_a_duty_moves_the_answer_or_a_reason_says_why_not(path: str, name: str) -> None:
    sought = path == "limiting ambient"  # is found to within CLOSE only
    if name in REASONS[path]:
        assert moved(path, name) < (CLOSE if sought else STAYS), "it is heard: the reason no longer holds"
    else:
        assert moved(path, name) > (CLOSE if sought else MOVES)


UNCERTAIN: Mapping[str, str] = {
    "brake_power": "5 kW",
    "wheel_power": "5 kW",
    "vehicle_speed": "5 km/h",
    "headwind": "10 km/h",
    "grade": "1 %",
    "trailer_mass": "150 kg",
    "trailer_frontal_area": "1 m2",
    "trailer_drag_coefficient": "0.15",
    "engine_speed": "400 rpm",
    "fuel_flow": "2 kg/h",
    "ambient": "3 K",
    "altitude": "500 m",
    "relative_humidity": "20 %",
    "coolant_flow": "12 L/min",
    "air_velocity": "0.8 m/s",
}
NOT_DRAWN: Mapping[str, str] = {
    "log_time": _BY_LOG,
    "duration": "how long a duty lasts is what is asked, as is its limit; neither is drawn",
    "limit": "how long a duty lasts is what is asked, as is its limit; neither is drawn",
}


@pytest.mark.parametrize("name", UNCERTAIN)
def test_the_stated_uncertainty_of_an_input_widens_what_the_peak_may_be(name: str) -> None:
    besides, value, _ = CHANGES[name]
    width = []
    for uncertainty in ("0", UNCERTAIN[name]):
        unit = UNCERTAIN[name].partition(" ")[2]
        stated = {"value": value, "uncertainty": f"0 {unit}" if uncertainty == "0" else uncertainty}
        low, high, _ = uncertain({**CLIMB, **besides, name: stated})
        width.append(high - low)
    assert abs(width[1] - width[0]) > MOVES


def test_every_number_of_a_duty_is_drawn_or_a_reason_says_why_not() -> None:
    numbers = {leaf.key for leaf in inputs() if leaf.input.shape is FileShape.NUMBER}
    assert numbers == {*UNCERTAIN, *NOT_DRAWN}
