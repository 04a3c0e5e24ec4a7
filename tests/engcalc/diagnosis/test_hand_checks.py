"""The hand checks: what each costs, when it comes first, and that it tells what the causes say of it."""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np
import pytest

from engcalc.case.case import Case
from engcalc.case.records import SEEN_FACTS, SPOT_PLACES
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.causes.catalogue import CAUSES
from engcalc.causes.record import RARE
from engcalc.diagnosis.checks import hand_checks
from engcalc.diagnosis.checks.hand_checks import AT_THE_NECK, CHECKS, FIRST_OF_ALL, first_checks
from engcalc.diagnosis.checks.next_check import check_values, information
from engcalc.diagnosis.checks.run_of_checks import CheckedVehicles, run_of_checks
from engcalc.diagnosis.members.faulty_vehicle import can_have
from engcalc.diagnosis.members.simulated import Hypothesis, joined, problem_of, simulate
from engcalc.vehicle.run import run_of
from engcalc.words.page.cautions import CAUTION_TEXTS

# Minutes of work. Common practice, no source: for a part that is in easy reach.
MINUTES = {
    "level_and_bubbles": 2.0,
    "cold_pressure_test": 12.0,
    "combustion_gas_test": 10.0,
    "cap_test": 4.0,
    "refractometer": 3.0,
    "belt_and_pump_drive": 3.0,
    "upper_hose_while_warming": 4.0,
    "lower_hose_while_warming": 4.0,
    "thermometer_at_outlet_neck": 4.0,
    "heater_hose_pair": 6.0,
    "vent_at_full_hot": 3.0,
    "radiator_hose_pair_hot": 5.0,
    "fan_commanded": 4.0,
    "lower_hose_at_speed": 3.0,
    "radiator_face_and_shutter": 3.0,
    "heater_hoses_followed": 3.0,
    "valve_out_and_looked_at_cold": 35.0,
    "valve_in_a_pot_of_water": 55.0,
}
# Standard uncertainties [K] and temperatures [K] of the readings. Common practice, no source.
NUMBERS = {"HOSE": 6.0, "VENT": 6.0, "NECK": 2.5, "OPENING_SEEN": 2.0, "NO_VALVE_OPENS": 60.0, "GAUGE_PASSES": 328.15}
TELLS = 0.1  # bits of the one that would settle it, from which a check counts as telling a cause from health
MEMBERS = 24

RECORD: dict[str, Any] = {
    "heater_setting": "high",
    "engine_off_phases": "no",
    "schedule": [{"vehicle_speed": "60 km/h", "duration": "25 min", "heater": "high"}],
}
VEHICLES: tuple[dict[str, Any], ...] = (
    {"airflow": {"fan_drive": "electric"}, "record": {"ambient": "-5 degC", "start_temperature": "-5 degC"}},
    {
        "airflow": {"fan_drive": "viscous clutch"},
        "circuit": {"pump_drive": "electric"},
        "record": {"ambient": "30 degC", "start_temperature": "30 degC"},
    },
)


def test_minutes_and_noises_are_those_of_the_tables() -> None:
    assert {check.key: check.minutes for check in CHECKS.values()} == MINUTES
    assert {name: getattr(hand_checks, name) for name in NUMBERS} == NUMBERS


def test_what_comes_first_whatever_the_odds() -> None:
    car = resolve(CaseText({"format": FORMAT, "airflow": {"fan_drive": "electric"}}))
    assert isinstance(car, Case)
    first = {reason: first_checks(reason, car) for reason in RARE}
    assert first["screening"] == first["no heat"] == first["slow warm-up"] == ("level_and_bubbles",)
    assert first["hot at idle"] == ("fan_commanded", "level_and_bubbles", "combustion_gas_test")
    assert first["hot at speed"] == ("level_and_bubbles", "combustion_gas_test")
    assert first["loss of coolant"] == ("level_and_bubbles", "cold_pressure_test", "combustion_gas_test")
    without = resolve(CaseText({"format": FORMAT, "airflow": {"fan_drive": "none"}}))
    assert isinstance(without, Case)
    assert first_checks("hot at idle", without) == ("level_and_bubbles", "combustion_gas_test")


def test_a_check_names_facts_places_and_cautions_that_exist() -> None:
    for key, check in CHECKS.items():
        assert check.key == key
        assert set(check.answers) <= set(SEEN_FACTS), key
        assert set(check.spots) <= {*SPOT_PLACES, AT_THE_NECK}, key
        assert set(check.cautions) <= set(CAUTION_TEXTS), key
        assert check.answers or check.reads is not None, key
        assert check.how.endswith("."), key
        assert check.tools.endswith("."), key
        assert check.tells.endswith("."), key
        assert not check.title.endswith("."), key


@cache
def watched(which: int) -> tuple[list[str], CheckedVehicles]:
    """Every cause that a vehicle can have, each with as many members, none read yet."""
    sections = {key: value for key, value in VEHICLES[which].items() if key != "record"}
    record = {**RECORD, **VEHICLES[which]["record"]}
    case = resolve(CaseText({"format": FORMAT, **sections, "evidence": {"before": record}}))
    assert isinstance(case, Case), case
    run = run_of(case, "before", {})
    problem = problem_of(case, (run, 1.0))
    causes = [cause for cause in CAUSES.values() if can_have(problem.layouts[0], cause)]
    rng = np.random.default_rng(1)
    batch = []
    for cause in causes:
        hypothesis = Hypothesis((cause,), 0)
        batch.append((hypothesis, rng.normal(size=(MEMBERS, len(problem.unknowns) + hypothesis.severities))))
    ran = joined(simulate(problem, batch))
    drive = run_of_checks(
        problem.layouts[0], run.record, run.drive.conditions.ambient, float(np.median(ran.coolant[-1]))
    )
    hot = joined(simulate(problem, batch, None, drive))
    numbers = np.repeat(np.arange(len(causes)), MEMBERS)
    return [cause.key for cause in causes], CheckedVehicles(
        ran, hot, numbers, np.full(len(numbers), 1.0 / len(numbers))
    )


def bits(cause: str) -> dict[str, float]:
    """How much of one bit each check tells of a cause against health; the most in any vehicle."""
    most = dict.fromkeys(CHECKS, 0.0)
    for which in range(len(VEHICLES)):
        keys, seen = watched(which)
        if cause in keys:
            two = seen.of([keys.index("healthy"), keys.index(cause)])
            for key, check in CHECKS.items():
                most[key] = max(most[key], information(check.outcome(two), two.cause, two.weight))
    return most


@pytest.mark.parametrize("cause", [key for key in CAUSES if key != "healthy"])
def test_the_checks_that_a_cause_names_tell_it_from_health(cause: str) -> None:
    told = bits(cause)
    named = CAUSES[cause].checks
    assert all(told[check] > TELLS for check in named), told
    assert named or max(told.values()) < TELLS, told


def test_every_check_speaks_to_some_cause() -> None:
    assert {check for cause in CAUSES.values() for check in cause.checks} == set(CHECKS)


def offered(done: tuple[str, ...] = (), side: str = "outlet") -> list[str]:
    return [value.key for value in check_values(watched(0)[1], done, side, FIRST_OF_ALL)]


def test_a_check_is_done_by_what_it_is_made_for_or_by_any_of_its_readings() -> None:
    everything = offered()
    assert set(everything) == set(CHECKS) - {"lower_hose_while_warming"}
    assert set(offered(side="inlet")) == set(CHECKS) - {"upper_hose_while_warming"}
    assert set(everything) - set(offered(("level_low",))) == {"level_and_bubbles"}
    assert offered(("bubbles_when_running",)) == everything  # the level was not looked at
    assert set(everything) - set(offered(("heater_outlet_hose",))) == {"heater_hose_pair"}
    assert set(everything) - set(offered(("outlet_neck",))) == {"thermometer_at_outlet_neck"}


def test_checks_come_by_bits_for_a_minute_after_those_that_come_first() -> None:
    first = ("level_and_bubbles", "cold_pressure_test", "combustion_gas_test")
    values = check_values(watched(0)[1], (), "outlet", first)
    assert tuple(value.key for value in values[:3]) == first
    assert tuple(value.key for value in values if value.first) == first
    rates = [value.information_bits / value.minutes for value in values[3:]]
    assert rates == sorted(rates, reverse=True)
    assert all(value.rate == pytest.approx(value.information_bits / value.minutes) for value in values)
