"""Base rates: those of common practice, and a workshop's own, which its case keeps."""

from __future__ import annotations

from typing import Any

import pytest

from engcalc.case.case import Case
from engcalc.case.catalogue import members
from engcalc.case.cause_rates import BaseRateInputs
from engcalc.case.resolve import Faults, resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.causes.base_rates import BASIS, PER_CENT, REPAIRED, base_rates, own_rates
from engcalc.causes.causes import CauseKey
from engcalc.words.causes import CAUSES, cause_label


def resolved(rates: dict[str, Any]) -> Case | Faults:
    return resolve(CaseText({"format": FORMAT, "job": {"reason": "no heat"}, "base_rates": rates}))


def test_the_case_has_one_rate_for_each_cause_under_its_name() -> None:
    assert [m.key for m in members(BaseRateInputs)] == list(CAUSES)
    assert set(CAUSES) == {fault.value for fault in CauseKey}
    assert cause_label("low_coolant") == "Coolant is missing"


def test_after_a_repair_the_faults_keep_their_proportions_and_most_vehicles_have_none() -> None:
    usual, after = base_rates("no heat", CauseKey), base_rates("no heat", CauseKey, repaired=True)
    assert after.repaired
    assert not usual.repaired
    assert after.rates[CauseKey.HEALTHY] == pytest.approx(REPAIRED)
    assert sum(after.rates.values()) == pytest.approx(1.0)
    for fault in (CauseKey.PUMP_WEAK, CauseKey.CAP, CauseKey.NOT_IN_LIST):
        assert after.rates[fault] / after.rates[CauseKey.STUCK_OPEN] == pytest.approx(
            usual.rates[fault] / usual.rates[CauseKey.STUCK_OPEN]
        )
    # a rate of one's own for a healthy vehicle is that of the visit before the repair
    own = base_rates("no heat", CauseKey, {"healthy": 50.0}, repaired=True)
    assert own.rates[CauseKey.HEALTHY] == pytest.approx(REPAIRED)


def test_a_cases_own_rates_take_the_place_of_common_practice() -> None:
    case = resolved({"thermostat_stuck_open": "13 %", "low_coolant": 0.4})
    assert isinstance(case, Case)
    own = own_rates(case)
    assert own == pytest.approx({"thermostat_stuck_open": 13.0, "low_coolant": 40.0})
    found = base_rates("no heat", CauseKey, own)
    usual = base_rates("no heat", CauseKey)
    weights = PER_CENT["no heat"]
    total = sum(weights.values()) - weights[CauseKey.STUCK_OPEN] - weights[CauseKey.LOW_COOLANT] + 13.0 + 40.0
    assert found.rates[CauseKey.STUCK_OPEN] == pytest.approx(13.0 / total)
    assert found.rates[CauseKey.HEATER_CORE] / found.rates[CauseKey.HEALTHY] == pytest.approx(
        usual.rates[CauseKey.HEATER_CORE] / usual.rates[CauseKey.HEALTHY]
    )
    assert sum(found.rates.values()) == pytest.approx(1.0)
    assert found.basis == f"2 of them as entered, else {BASIS}"
    assert usual.basis == BASIS


def test_a_rate_that_is_none_is_named_by_its_place() -> None:
    found = resolved({"low_coolant": "140 %", "healthy": "often"})
    assert isinstance(found, Faults)
    assert {fault.path for fault in found.faults} == {"base_rates.low_coolant", "base_rates.healthy"}
