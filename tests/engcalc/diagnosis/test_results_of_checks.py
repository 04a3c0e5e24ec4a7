"""Each result that a check can give moves the odds of the cause that it speaks of, and its words say what was read."""

from __future__ import annotations

from functools import cache
from typing import Any

import pytest

from engcalc.case.case import Case
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.causes.base_rates import PER_CENT
from engcalc.diagnosis.checks.hand_checks import CHECKS
from engcalc.diagnosis.odds.diagnosis import Diagnosis, diagnose
from engcalc.diagnosis.odds.sampler import Effort
from engcalc.words.diagnosis.causes import evidence_sentence
from engcalc.words.diagnosis.causes_told import diagnosis_lines

RECORD = {
    "ambient": "10 degC",
    "start_temperature": "10 degC",
    "heater_setting": "off",
    "engine_off_phases": "no",
    "schedule": [{"vehicle_speed": "60 km/h", "duration": "13 min", "heater": "off"}],
    "spots": [{"what": "coolant", "at": "13 min", "value": "88 degC"}],
}
FEW = {
    "healthy": 40.0,
    "thermostat_opens_early": 10.0,
    "thermostat_stuck_shut": 10.0,
    "cap_weak": 10.0,
    "wrong_mixture": 10.0,
    "gas_in_coolant": 10.0,
    "external_leak": 10.0,
}
RATES = {**dict.fromkeys(PER_CENT["hot at idle"], 0.0), **FEW}
LITTLE = Effort(prior=32, steps=1, first=24, round=200, rounds=2)


@cache
def found(*seen: tuple[str, bool], spot: tuple[tuple[str, str], ...] = ()) -> Diagnosis:
    record: dict[str, Any] = {**RECORD, "seen": dict(seen)}
    if spot:
        record["spots"] = [*RECORD["spots"], dict(spot)]
    case = resolve(CaseText({"format": FORMAT, "job": {"reason": "hot at idle"}, "evidence": {"before": record}}))
    assert isinstance(case, Case), case
    return diagnose(case, {}, base_rates=RATES, effort=LITTLE)


@pytest.mark.parametrize(
    ("fact", "seen", "cause"),
    [
        ("combustion_gas_found", True, "gas_in_coolant"),
        ("cap_holds_pressure", False, "cap_weak"),
        ("pressure_held_cold", False, "external_leak"),
        ("thermostat_opens_hot", False, "thermostat_stuck_shut"),
    ],
)
def test_a_fact_moves_its_cause_both_ways(fact: str, seen: bool, cause: str) -> None:
    before = found().probability(cause)
    assert found((fact, seen)).probability(cause) > 3.0 * before
    assert found((fact, not seen)).probability(cause) < 0.5 * before


@pytest.mark.parametrize(
    ("spot", "cause", "said"),
    [
        (
            (("what", "freezing_point"), ("value", "-10 degC"), ("instrument", "ethylene_scale")),
            "wrong_mixture",
            "Share of glycol by refractometer: ",
        ),
        (
            (("what", "cap_opens"), ("value", "0.3 bar"), ("instrument", "pressure_gauge")),
            "cap_weak",
            "Pressure at which the cap opens on the tester: 0.3 bar; the nearest healthy vehicle would show about 1.1",
        ),
        (
            (("what", "pressure"), ("at", "1 min"), ("value", "0.9 bar"), ("instrument", "pressure_gauge")),
            "gas_in_coolant",
            "Pressure in the system: 0.9 bar; the nearest healthy vehicle",
        ),
        (
            (("what", "valve_starts"), ("value", "70 degC"), ("instrument", "immersed")),
            "thermostat_opens_early",
            "Thermostat in a pot of water: starts to open at: 70",
        ),
    ],
)
def test_a_number_moves_its_cause_and_is_told(spot: tuple[tuple[str, str], ...], cause: str, said: str) -> None:
    before, d = found(), found(spot=spot)
    assert d.probability(cause) > 3.0 * before.probability(cause)
    told = [evidence_sentence(item, d.best.fault) for item in d.evidence]
    assert any(text.startswith(said) for text in told), told
    assert any(said in line for line in diagnosis_lines(d))


def test_a_check_whose_result_stands_is_not_offered_again() -> None:
    done = found(spot=(("what", "cap_opens"), ("value", "0.3 bar"), ("instrument", "pressure_gauge")))
    assert "cap_test" in [c.key for c in found().next_checks]
    assert "cap_test" not in [c.key for c in done.next_checks]
    assert "combustion_gas_test" not in [c.key for c in found(("combustion_gas_found", True)).next_checks]


def test_every_check_has_an_entry_for_its_result() -> None:
    assert all(check.answers or check.spots for check in CHECKS.values())
    assert "gas_positive" in CHECKS["combustion_gas_test"].cautions
    assert "colour" in CHECKS["refractometer"].cautions
