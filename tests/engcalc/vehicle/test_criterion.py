"""The regulation's criterion and the warm-up's verdict: what counts, and what excuses."""

from __future__ import annotations

import numpy as np
import pytest

from engcalc.case.case import Case
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.vehicle.criterion import WarmFacts, WarmupOutcome, criterion_of, judge_warm_up, target
from engcalc.vehicle.run import run_of
from engcalc.verdict import Verdict

RECORD = {"ambient": "0 degC", "engine_off_phases": "no", "curve": [["0 min", "0 degC"], ["20 min", "60 degC"]]}


def case_of(**record: str) -> Case:
    found = resolve(
        CaseText({"format": FORMAT, "thermostat": {"rating": "88 degC"}, "evidence": {"before": {**RECORD, **record}}})
    )
    assert isinstance(found, Case), found
    return found


def test_the_target_lies_20_degF_under_the_valve() -> None:
    # 13 CCR 1968.2 (2007), (e)(10.2.1)(A)(ii): within 20 degF of the nominal regulating temperature; 88 degC is
    # 190.4 degF, so that 170.4 degF is asked for, which is 76.9 degC
    assert target(case_of()) == pytest.approx((170.4 - 32.0) / 1.8 + 273.15)


HEALTHY = np.linspace(400.0, 800.0, 101)  # s; the 95th percentile is 780


@pytest.mark.parametrize(
    ("reached", "ends", "healthy", "outcome"),
    [
        (700.0, 1200.0, HEALTHY, WarmupOutcome.IN_TIME),
        (900.0, 1200.0, HEALTHY, WarmupOutcome.LATE),
        (None, 1200.0, HEALTHY, WarmupOutcome.LATE),
        (None, 600.0, HEALTHY, WarmupOutcome.NOT_YET),
        (None, 1200.0, np.full(9, np.inf), WarmupOutcome.NOT_IN_THIS_RUN),
        (900.0, 1200.0, np.full(9, np.inf), WarmupOutcome.IN_TIME),
    ],
)
def test_the_criterion(reached: float | None, ends: float, healthy: np.ndarray, outcome: WarmupOutcome) -> None:
    case = case_of()
    assert criterion_of(case, run_of(case, "before", {}), reached, ends, healthy).outcome is outcome


def test_start_stop_that_nobody_noted_excuses_a_late_one() -> None:
    case = case_of(engine_off_phases="unknown")
    run = run_of(case, "before", {})
    assert criterion_of(case, run, 900.0, 1200.0, HEALTHY).outcome is WarmupOutcome.UNANSWERED
    assert criterion_of(case, run, 700.0, 1200.0, HEALTHY).outcome is WarmupOutcome.IN_TIME


def test_a_monitor_may_be_off_below_20_degF() -> None:
    for ambient, off in (("-7 degC", True), ("-6 degC", False)):  # 13 CCR 1968.2 (10.3.1)(B); 20 degF = -6.67 degC
        case = case_of(ambient=ambient)
        assert criterion_of(case, run_of(case, "before", {}), 700.0, 1200.0, HEALTHY).may_be_off is off


def facts(**changed: object) -> WarmFacts:
    values: dict[str, object] = {
        "within": 1200.0,
        "reached": None,
        "ends": 1800.0,
        "healthy_share": 1.0,
        "settled": None,
        "healthy_end": 360.0,
        "healthy_low": 355.0,
        "excuses": (),
    }
    return WarmFacts(**{**values, **changed})


@pytest.mark.parametrize(
    ("changed", "verdict", "outcome"),
    [
        ({}, Verdict.OVERCOOLING, WarmupOutcome.LATE),
        ({"reached": 800.0}, Verdict.HOLDS, WarmupOutcome.IN_TIME),
        ({"healthy_share": 0.5}, None, WarmupOutcome.NOT_IN_THIS_RUN),  # heat-limited: no part is blamed
        ({"ends": 900.0}, None, WarmupOutcome.NOT_YET),  # still rising: never judged by its last value
        ({"excuses": ("start-stop?",)}, None, WarmupOutcome.UNANSWERED),
        ({"reached": 800.0, "settled": 348.0}, Verdict.OVERCOOLING, WarmupOutcome.SETTLED_COLD),
        ({"reached": 800.0, "settled": 350.0}, Verdict.HOLDS, WarmupOutcome.IN_TIME),  # 10 K under: within the 11
        ({"reached": 800.0, "boils": 1700.0, "peak": 400.0, "limit": 410.0}, Verdict.UNDERSIZED, WarmupOutcome.BOILS),
        ({"reached": 800.0, "peak": 390.1, "limit": 390.0}, Verdict.UNDERSIZED, WarmupOutcome.TOO_HOT),
        ({"reached": 800.0, "peak": 390.0, "limit": 390.0}, Verdict.HOLDS, WarmupOutcome.IN_TIME),
        ({"reached": 800.0, "freezing": 273.15}, Verdict.MARGINAL, WarmupOutcome.IN_TIME),
        ({"freezing": 273.15}, Verdict.OVERCOOLING, WarmupOutcome.LATE),
    ],
)
def test_the_warm_up_s_verdict(changed: dict[str, object], verdict: Verdict | None, outcome: WarmupOutcome) -> None:
    judged = judge_warm_up(facts(**changed))
    assert (judged.verdict, judged.outcome) == (verdict, outcome)
