"""Base rates: those of common practice, and a workshop's own, which its case keeps."""

from __future__ import annotations

from typing import Any

import pytest

from engcalc.case.case import Case
from engcalc.case.catalogue import DeclaredInput, members
from engcalc.case.cause_rates import BaseRateInputs, own_rates
from engcalc.case.resolve import Faults, resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.causes.base_rates import PER_CENT, REPAIRED, base_rates
from engcalc.causes.catalogue import CAUSES
from engcalc.errors import InputError
from engcalc.words.diagnosis.causes import cause_label
from engcalc.words.texts import case_texts


def resolved(rates: dict[str, Any]) -> Case | Faults:
    return resolve(CaseText({"format": FORMAT, "job": {"reason": "no heat"}, "base_rates": rates}))


def test_the_case_has_one_rate_for_each_cause_under_its_name() -> None:
    assert [m.key for m in members(BaseRateInputs)] == list(CAUSES)
    assert [m.input.label for m in members(BaseRateInputs) if isinstance(m, DeclaredInput)] == [
        c.label for c in CAUSES.values()
    ]
    assert cause_label("low_coolant") == "The coolant is low"


def test_after_a_repair_the_faults_keep_their_proportions_and_most_vehicles_have_none() -> None:
    usual, after = base_rates("no heat", CAUSES), base_rates("no heat", CAUSES, repaired=True)
    assert after.repaired
    assert not usual.repaired
    assert after.rates["healthy"] == pytest.approx(REPAIRED)
    assert sum(after.rates.values()) == pytest.approx(1.0)
    for fault in ("pump_weak", "cap_weak", "not_in_list"):
        assert after.rates[fault] / after.rates["thermostat_stuck_open"] == pytest.approx(
            usual.rates[fault] / usual.rates["thermostat_stuck_open"]
        )
    # a rate of one's own for a healthy vehicle is that of the visit before the repair
    own = base_rates("no heat", CAUSES, {"healthy": 50.0}, repaired=True)
    assert own.rates["healthy"] == pytest.approx(REPAIRED)


def test_a_cases_own_rates_take_the_place_of_common_practice() -> None:
    case = resolved({"thermostat_stuck_open": "13 %", "low_coolant": 0.4})
    assert isinstance(case, Case)
    own = own_rates(case.base_rates)
    assert own == pytest.approx({"thermostat_stuck_open": 13.0, "low_coolant": 40.0})
    found = base_rates("no heat", CAUSES, own)
    usual = base_rates("no heat", CAUSES)
    weights = PER_CENT["no heat"]
    total = sum(weights.values()) - weights["thermostat_stuck_open"] - weights["low_coolant"] + 13.0 + 40.0
    assert found.rates["thermostat_stuck_open"] == pytest.approx(13.0 / total)
    assert found.rates["heater_core_restricted"] / found.rates["healthy"] == pytest.approx(
        usual.rates["heater_core_restricted"] / usual.rates["healthy"]
    )
    assert sum(found.rates.values()) == pytest.approx(1.0)
    assert found.basis == f"2 of them as entered, else {case_texts.COMMON_PRACTICE_NO_SOURCE}"
    assert usual.basis == case_texts.COMMON_PRACTICE_NO_SOURCE


def test_a_rate_that_is_none_is_named_by_its_place() -> None:
    found = resolved({"low_coolant": "140 %", "healthy": "often"})
    assert isinstance(found, Faults)
    assert {fault.path for fault in found.faults} == {"base_rates.low_coolant", "base_rates.healthy"}


@pytest.mark.parametrize("reason", PER_CENT)
def test_base_rates_sum_to_one_and_can_be_replaced(reason: str) -> None:
    plain = base_rates(reason, CAUSES)
    assert sum(plain.rates.values()) == pytest.approx(1.0)
    own = base_rates(reason, CAUSES, {"thermostat_slow": 1000.0})
    assert own.rates["thermostat_slow"] > 0.8
    assert plain.basis != own.basis


def test_a_reason_without_rates_of_its_own_is_a_check_without_complaint() -> None:
    assert base_rates("sizing", CAUSES).rates == base_rates(None, CAUSES).rates == base_rates("screening", CAUSES).rates


def test_base_rates_refuse_what_is_none() -> None:
    with pytest.raises(InputError, match=r"base_rates.gremlins.*thermostat_stuck_open"):
        base_rates("no heat", CAUSES, {"gremlins": 3.0})
    with pytest.raises(InputError, match="0 or more"):
        base_rates("no heat", CAUSES, {"healthy": -3.0})
    with pytest.raises(InputError, match="above 0"):
        base_rates("no heat", ["healthy"], {"healthy": 0.0})
