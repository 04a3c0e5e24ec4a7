"""The rules of the verdict, one by one."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engcalc.system.state import Regime, Status
from engcalc.verdict import (
    ORDER,
    DutyFacts,
    FindingCode,
    FindingLevel,
    InTime,
    Verdict,
    freezes,
    heat_limited,
    judge,
    worst,
)

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


# The boundaries of every rule: at the bound itself, and next to it on either side. Equal counts as held: a limit is the
# highest temperature that is allowed, a margin or a confidence wanted is enough where it is met (our own reading).
@pytest.mark.parametrize(
    ("changed", "verdict", "told"),
    [
        # margin 5 K wanted under 388.15 K
        ({"settled": 383.15}, Verdict.HOLDS, {FindingCode.HOLDS}),
        ({"settled": 383.16}, Verdict.MARGINAL, {FindingCode.MARGIN_SMALL}),
        ({"settled": 388.15}, Verdict.MARGINAL, {FindingCode.MARGIN_SMALL}),
        ({"settled": 388.16}, Verdict.UNDERSIZED, {FindingCode.OVER_LIMIT}),
        ({"settled": 388.15, "wanted_margin": 0.0}, Verdict.HOLDS, {FindingCode.HOLDS}),
        # confidence 0.95 wanted
        ({"holds_probability": 0.95}, Verdict.HOLDS, {FindingCode.HOLDS}),
        ({"holds_probability": 0.9499}, Verdict.MARGINAL, {FindingCode.ODDS_SMALL}),
        ({"holds_probability": 0.0}, Verdict.MARGINAL, {FindingCode.ODDS_SMALL}),
        # 11 K under the healthy vehicle's 365 K
        ({"settled": 354.0}, Verdict.HOLDS, {FindingCode.HOLDS}),
        ({"settled": 353.99}, Verdict.OVERCOOLING, {FindingCode.OVERCOOLED}),
        # the boiling point is said to be the limit only where it lies under the stated one
        ({"boiling": 388.15}, Verdict.HOLDS, {FindingCode.HOLDS}),
        ({"boiling": 388.14}, Verdict.HOLDS, {FindingCode.HOLDS, FindingCode.LIMIT_IS_BOILING}),
        # the top of a swing is what counts
        (
            {"cycle": (360.0, 388.15), "wanted_margin": 0.0},
            Verdict.HOLDS,
            {FindingCode.HOLDS, FindingCode.FAN_SWITCHES},
        ),
        ({"cycle": (360.0, 383.15), "hunts": True}, Verdict.HOLDS, {FindingCode.HOLDS, FindingCode.VALVE_HUNTS}),
    ],
)
def test_at_its_bound_a_rule_still_holds_and_beyond_it_speaks(
    changed: dict[str, Any], verdict: Verdict, told: set[FindingCode]
) -> None:
    facts = replace(GOOD, **changed)
    assert judge(facts).verdict is verdict
    assert codes(facts) == told


@pytest.mark.parametrize(("healthy", "limited"), [(350.15, False), (350.14, True), (372.2, False)])
def test_heat_is_what_lacks_more_than_11_K_under_the_opening(healthy: float, limited: bool) -> None:
    # 20 degF as of a monitor, 13 CCR 1968.2 (e)(10.2.1); here the valve opens at 361.15 K
    cold = replace(GOOD, settled=healthy, healthy=healthy, healthy_regime=Regime.FLOATING_BELOW, opens_at=361.15)
    found = heat_limited(cold)
    assert (found is not None) is limited
    assert (FindingCode.HEAT_LIMITED in codes(cold)) is limited
    if found is not None:
        assert found.severity is FindingLevel.NOTE
        assert found.numbers == {
            "healthy": healthy,
            "settled": healthy,
            "opens_at": 361.15,
            "short_by": pytest.approx(361.15 - healthy),
        }


@pytest.mark.parametrize("lacks", [{"healthy": None}, {"opens_at": None}, {"healthy_regime": Regime.REGULATING}])
def test_without_a_valve_or_with_one_that_regulates_heat_does_not_lack(lacks: dict[str, Any]) -> None:
    cold = replace(GOOD, settled=336.0, healthy=338.0, healthy_regime=Regime.FLOATING_BELOW)
    assert heat_limited(cold) is not None
    assert heat_limited(replace(cold, **lacks)) is None


IN_TIME = InTime(start=350.0, peak=380.0, end=379.0, duration=600.0, to_limit=900.0, boils=False)


def test_a_duty_with_a_time_is_judged_by_its_peak_in_that_time() -> None:
    """It would settle over the limit, but its time ends before: it holds, and that is said with the time left."""
    facts = replace(GOOD, settled=395.0, in_time=IN_TIME)
    judged = judge(facts)
    assert judged.verdict is Verdict.HOLDS
    assert codes(facts) == {FindingCode.HOLDS, FindingCode.HOLDS_IN_TIME}
    numbers = next(f for f in judged.findings if f.code is FindingCode.HOLDS_IN_TIME).numbers
    assert numbers == {
        "peak": 380.0,
        "limit": 388.15,
        "margin": pytest.approx(8.15),
        "boiling": 401.0,
        "coolant_limit": 388.15,
        "wanted_margin": 5.0,
        "confidence": 0.95,
        "probability": 1.0,
        "settled": 395.0,
        "start": 350.0,
        "end": 379.0,
        "duration": 600.0,
        "to_limit": 900.0,
    }
    never = replace(facts, settled=388.15, in_time=replace(IN_TIME, to_limit=math.inf))
    assert codes(never) == {FindingCode.HOLDS}, "at the limit itself it settles"
    assert "to_limit" not in judge(never).findings[0].numbers


def test_a_duty_that_would_boil_later_is_answered_by_its_time() -> None:
    later = replace(GOOD, status=Status.BOILS, in_time=IN_TIME)
    assert (later.answered, later.boils, later.settles) == (True, False, False)
    judged = judge(later)
    assert judged.verdict is Verdict.HOLDS
    assert FindingCode.HOLDS_IN_TIME in codes(later)
    assert "settled" not in judged.findings[0].numbers, "nothing settles"


@pytest.mark.parametrize(
    ("status", "in_time", "told"),
    [
        (Status.BOILS, None, {"boiling": 401.0, "time_to_boil": 300.0, "missing": 9e3}),
        (Status.BOILS, replace(IN_TIME, boils=True), {"boiling": 401.0, "time_to_boil": 300.0, "missing": 9e3}),
        (
            Status.SOLVED,
            replace(IN_TIME, boils=True),
            {"boiling": 401.0, "time_to_boil": 300.0, "missing": 9e3, "duration": 600.0, "start": IN_TIME.start},
        ),
    ],
)
def test_what_boils_says_where_and_when(status: Status, in_time: InTime | None, told: dict[str, float]) -> None:
    (found,) = judge(replace(GOOD, status=status, in_time=in_time, time_to_boil=300.0, missing=9e3)).findings
    assert (found.code, found.severity, found.numbers) == (FindingCode.BOILS, FindingLevel.FAULT, told)


@pytest.mark.parametrize("status", [Status.NO_FLOW, Status.OUTSIDE])
def test_without_a_solution_the_reason_is_told_and_a_time_changes_nothing(status: Status) -> None:
    code = FindingCode.NO_FLOW if status is Status.NO_FLOW else FindingCode.OUTSIDE_MODEL
    for in_time in (None, IN_TIME):
        judged = judge(replace(GOOD, status=status, in_time=in_time))
        assert judged.verdict is None
        assert [(f.code, f.severity) for f in judged.findings] == [(code, FindingLevel.FAULT)]


def test_what_hunts_says_its_mean_too() -> None:
    swing = replace(GOOD, settled=365.0, cycle=(360.0, 370.0))
    fan, valve = (judge(replace(swing, hunts=hunts)).findings[-1] for hunts in (False, True))
    assert fan.numbers == {"lowest": 360.0, "highest": 370.0}
    assert valve.numbers == {"lowest": 360.0, "highest": 370.0, "mean": 365.0}


def test_over_cooling_says_by_how_much() -> None:
    found = judge(replace(GOOD, settled=350.0)).findings[0]
    assert (found.severity, found.numbers) == (
        FindingLevel.FAULT,
        {"settled": 350.0, "healthy": 365.0, "short_by": 15.0},
    )


def test_each_finding_of_a_duty_weighs_as_it_is_shown() -> None:
    seen = {}
    for changed in (
        {"settled": 389.0},
        {"settled": 386.0},
        {"holds_probability": 0.5},
        {"settled": 350.0},
        {"boiling": 388.0},
        {"cycle": (360.0, 370.0)},
        {"cycle": (360.0, 370.0), "hunts": True},
        {"settled": 395.0, "in_time": IN_TIME},
        {},
    ):
        seen |= {f.code: f.severity for f in judge(replace(GOOD, **changed)).findings}
    assert seen == {
        FindingCode.OVER_LIMIT: FindingLevel.FAULT,
        FindingCode.OVERCOOLED: FindingLevel.FAULT,
        FindingCode.MARGIN_SMALL: FindingLevel.CAUTION,
        FindingCode.ODDS_SMALL: FindingLevel.CAUTION,
        FindingCode.LIMIT_IS_BOILING: FindingLevel.CAUTION,
        FindingCode.HOLDS_IN_TIME: FindingLevel.CAUTION,
        FindingCode.HOLDS: FindingLevel.NOTE,
        FindingCode.FAN_SWITCHES: FindingLevel.NOTE,
        FindingCode.VALVE_HUNTS: FindingLevel.NOTE,
    }


def test_frost_is_asked_about_only_where_both_temperatures_are_known() -> None:
    for unknown in ({"freezing": None, "ambient": 200.0}, {"freezing": 273.15, "ambient": None, "radiator_out": 200.0}):
        assert judge(replace(GOOD, **unknown)).verdict is Verdict.HOLDS


def test_frost_keeps_what_else_was_found_but_that_it_holds() -> None:
    cold = replace(GOOD, settled=336.0, healthy=338.0, healthy_regime=Regime.FLOATING_BELOW)
    judged = judge(replace(cold, freezing=273.15, ambient=263.15))
    assert [f.code for f in judged.findings] == [FindingCode.FREEZES, FindingCode.HEAT_LIMITED]
    assert judged.findings[0].numbers == {"freezing": 273.15, "ambient": 263.15}
    running = freezes(273.15, 263.15, 270.0)
    assert running is not None
    assert running.numbers == {"freezing": 273.15, "ambient": 263.15, "radiator_out": 270.0}


def test_the_order_of_verdicts() -> None:
    assert tuple(Verdict) == ORDER
    assert ORDER == (Verdict.UNDERSIZED, Verdict.OVERCOOLING, Verdict.MARGINAL, Verdict.HOLDS)


def test_facts_not_given_claim_nothing() -> None:
    bare = DutyFacts(Status.SOLVED, Regime.REGULATING, 365.0, 388.15, 401.0, 5.0, 0.95)
    assert judge(bare).verdict is Verdict.HOLDS
    assert [f.code for f in judge(bare).findings] == [FindingCode.HOLDS]
    assert bare.time_to_boil == math.inf
    assert bare.missing == 0.0
    assert not bare.hunts
