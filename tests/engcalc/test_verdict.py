"""The rules of the verdict, one by one."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engcalc.system.state import Regime, Status
from engcalc.verdict import DutyFacts, FindingCode, FindingLevel, InTime, Verdict, judge, worst

GOOD = DutyFacts(
    Status.SOLVED,
    Regime.REGULATING,
    settled=365.0,
    limit=388.15,
    boiling=401.0,
    wanted_margin=5.0,
    confidence=0.95,
    holds_probability=1.0,
    healthy=365.0,
    healthy_regime=Regime.REGULATING,
    opens_at=361.15,
)


def codes(facts: DutyFacts) -> set[FindingCode]:
    return {f.code for f in judge(facts).findings}


def test_a_healthy_duty_holds() -> None:
    assert judge(GOOD).verdict is Verdict.HOLDS
    assert codes(GOOD) == {FindingCode.HOLDS}


def test_over_the_limit_is_undersized_and_says_only_that() -> None:
    hot = replace(GOOD, settled=389.0, regime=Regime.FLOATING_ABOVE, holds_probability=0.3)
    assert judge(hot).verdict is Verdict.UNDERSIZED
    assert codes(hot) == {FindingCode.OVER_LIMIT}
    assert judge(hot).findings[0].numbers["margin"] == pytest.approx(-0.85)


def test_the_swing_of_a_fan_counts() -> None:
    facts = replace(GOOD, settled=386.0, cycle=(381.0, 388.5), regime=Regime.CYCLING)
    assert judge(facts).verdict is Verdict.UNDERSIZED
    assert judge(replace(facts, cycle=(381.0, 387.5))).verdict is Verdict.MARGINAL
    told = next(f for f in judge(replace(facts, cycle=(381.0, 387.5))).findings if f.code is FindingCode.FAN_SWITCHES)
    assert told.numbers == {"lowest": 381.0, "highest": 387.5}


def test_boiling_below_the_limit_counts() -> None:
    boils_first = replace(GOOD, settled=375.0, boiling=374.0)
    assert judge(boils_first).verdict is Verdict.UNDERSIZED
    assert FindingCode.LIMIT_IS_BOILING in codes(boils_first)


def test_no_steady_state_below_boiling_is_undersized() -> None:
    facts = replace(GOOD, status=Status.BOILS, time_to_boil=300.0)
    assert judge(facts).verdict is Verdict.UNDERSIZED
    assert judge(facts).findings[0].numbers["time_to_boil"] == 300.0


def test_a_duty_that_settles_but_boils_in_its_time_does_not_hold() -> None:
    """After a harder duty: it begins at boiling, where the margin to a limit set by boiling is 0 and no less."""
    from_above = InTime(start=380.0, peak=380.0, end=365.0, duration=600.0, to_limit=0.0, boils=True)
    facts = replace(GOOD, boiling=380.0, wanted_margin=0.0, in_time=from_above)
    judged = judge(facts)
    assert judged.verdict is Verdict.UNDERSIZED
    assert [f.code for f in judged.findings] == [FindingCode.BOILS]
    assert judge(replace(facts, in_time=replace(from_above, peak=379.0, boils=False))).verdict is Verdict.HOLDS


@pytest.mark.parametrize(
    ("ambient", "radiator_out", "where"),
    [
        (253.15, 300.0, "parked"),
        (253.15, 260.0, "running"),
        (273.14, None, "parked"),
        (273.15, 300.0, None),
        (273.15, 273.15, None),
    ],
)
def test_coolant_that_freezes_in_the_coldest_place_never_holds(
    ambient: float, radiator_out: float | None, where: str | None
) -> None:
    judged = judge(replace(GOOD, freezing=273.15, ambient=ambient, radiator_out=radiator_out))
    if where is None:
        assert judged.verdict is Verdict.HOLDS
        return
    assert judged.verdict is Verdict.MARGINAL
    assert judged.findings[0].code is FindingCode.FREEZES
    assert judged.findings[0].severity is FindingLevel.FAULT
    assert judged.findings[0].words["where"] == where
    assert FindingCode.HOLDS not in {f.code for f in judged.findings}


@pytest.mark.parametrize(
    ("changed", "verdict"),
    [
        ({"settled": 389.0}, Verdict.UNDERSIZED),
        ({"settled": 340.0}, Verdict.OVERCOOLING),
        ({"status": Status.OUTSIDE}, Verdict.MARGINAL),
    ],
)
def test_frost_leaves_a_worse_verdict_and_gives_one_where_there_is_none(
    changed: dict[str, Any], verdict: Verdict
) -> None:
    judged = judge(replace(GOOD, freezing=273.15, ambient=263.15, **changed))
    assert judged.verdict is verdict
    assert judged.findings[0].code is FindingCode.FREEZES


@pytest.mark.parametrize("status", [Status.NO_FLOW, Status.OUTSIDE])
def test_without_a_solution_there_is_no_verdict(status: Status) -> None:
    assert judge(replace(GOOD, status=status)).verdict is None


def test_little_margin_or_poor_odds_are_marginal() -> None:
    assert judge(replace(GOOD, settled=384.0)).verdict is Verdict.MARGINAL
    assert codes(replace(GOOD, settled=384.0)) == {FindingCode.MARGIN_SMALL}
    assert codes(replace(GOOD, holds_probability=0.94)) == {FindingCode.ODDS_SMALL}
    assert judge(replace(GOOD, holds_probability=None)).verdict is Verdict.HOLDS


def test_overcooling_begins_20_degrees_fahrenheit_under_the_healthy_vehicle() -> None:
    # 13 CCR 1968.2 (10.2.1)(A)(ii): within 20 degF of the regulating temperature; a maker's 2021 monitor: 11 degC
    assert judge(replace(GOOD, settled=365.0 - 10.9)).verdict is Verdict.HOLDS
    assert judge(replace(GOOD, settled=365.0 - 11.1)).verdict is Verdict.OVERCOOLING


def test_lack_of_heat_is_no_fault() -> None:
    cold = replace(GOOD, settled=336.0, healthy=338.0, healthy_regime=Regime.FLOATING_BELOW, opens_at=361.15)
    assert judge(cold).verdict is Verdict.HOLDS
    assert FindingCode.HEAT_LIMITED in codes(cold)


def test_lack_of_heat_and_a_valve_that_does_not_close_are_both_said() -> None:
    both = replace(GOOD, settled=315.0, healthy=338.0, healthy_regime=Regime.FLOATING_BELOW)
    assert judge(both).verdict is Verdict.OVERCOOLING
    assert {FindingCode.HEAT_LIMITED, FindingCode.OVERCOOLED} <= codes(both)


def test_where_no_valve_belongs_nothing_is_overcooled() -> None:
    assert judge(replace(GOOD, settled=300.0, healthy=None, opens_at=None)).verdict is Verdict.HOLDS


def test_the_worst_speaks_for_the_whole() -> None:
    assert worst([Verdict.HOLDS, None, Verdict.MARGINAL]) is Verdict.MARGINAL
    assert worst([Verdict.OVERCOOLING, Verdict.UNDERSIZED]) is Verdict.UNDERSIZED
    assert worst([None, None]) is None


@given(a=st.floats(300, 400), b=st.floats(300, 400), limit=st.floats(340, 400), boiling=st.floats(360, 410))
def test_hotter_is_never_judged_better_against_the_limit(a: float, b: float, limit: float, boiling: float) -> None:
    rank = {Verdict.HOLDS: 0, Verdict.MARGINAL: 1, Verdict.UNDERSIZED: 2}
    facts = [replace(GOOD, settled=t, healthy=None, limit=limit, boiling=boiling) for t in sorted((a, b))]
    cool, hot = (judge(f).verdict for f in facts)
    assert cool is not None
    assert hot is not None
    assert rank[cool] <= rank[hot]


def test_findings_carry_finite_numbers() -> None:
    for facts in (GOOD, replace(GOOD, settled=390.0), replace(GOOD, settled=330.0)):
        for finding in judge(facts).findings:
            assert all(math.isfinite(v) for v in finding.numbers.values())
