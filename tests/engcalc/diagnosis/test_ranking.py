"""Vehicles in order, and the drift of each against scipy's Theil-Sen and Kendall."""

from __future__ import annotations

from math import sqrt

import numpy as np
import pytest
from scipy.stats import kendalltau, theilslopes

from engcalc.case.text import FORMAT, CaseText
from engcalc.diagnosis.grounds import Danger, VehicleState
from engcalc.diagnosis.ranking import LATEST, LOOK_FIRST, drift, ranked
from engcalc.diagnosis.screening import LogJudged, screening_case


def judged(fault: float = 0.1, deviation: float | None = 0.0, danger=Danger.NONE, state=VehicleState.HEALTHY):
    return LogJudged(state, danger, fault, "low_coolant", 0.5 * fault, "level_and_bubbles", deviation, 900.0, True)


@pytest.mark.parametrize("n", [4, 7, 20, 61])
@pytest.mark.parametrize("slope", [-1.0, 0.0, 0.4])
def test_the_drift_is_that_of_scipy(n, slope):
    rng = np.random.default_rng(n)
    y = slope * np.arange(n) + rng.normal(0.0, 2.0, n)
    found = drift(y.tolist())
    assert found.total == pytest.approx(theilslopes(y).slope * (n - 1))
    tau = kendalltau(np.arange(n), y).statistic
    z = tau * 0.5 * n * (n - 1) / sqrt(n * (n - 1) * (2 * n + 5) / 18.0)
    assert found.shown is bool(abs(z) > 1.959964 and abs(found.total) >= 2.0)


def test_a_few_odd_days_do_not_move_it():
    days = [0.0, -1.0, -2.0, 40.0, -4.0, -5.0, -6.0, -50.0, -8.0, -9.0]
    assert drift(days).total == pytest.approx(-9.0)


def test_three_logs_are_no_drift_and_a_small_one_is_not_shown():
    assert drift([0.0, 5.0, 9.0]) is None
    assert drift([0.0, 5.0, 9.0, 12.0]).shown
    assert not drift([0.0, 0.6, 1.2, 1.8]).shown
    assert drift([0.0, 0.7, 1.4, 2.1]).shown


def test_chance_is_seldom_taken_for_drift():
    rng = np.random.default_rng(2)
    shown = sum(drift(rng.normal(0.0, 5.0, 12).tolist()).shown for _ in range(1000))
    assert 20 <= shown <= 80  # 5 %, less the small ones; of 1000, within four standard deviations


def test_danger_comes_first_then_what_stands_out_then_the_odds():
    found = ranked(
        {
            "quiet": [judged(0.45)],
            "cold": [judged(0.2, state=VehicleState.RUNS_COLD)],
            "faulty": [judged(0.8)],
            "stop": [judged(0.1, danger=Danger.STOP), judged(0.1)],
            "care": [judged(0.3, danger=Danger.CARE)],
            "drifts": [judged(0.1, -2.0 * day) for day in range(6)],
        }
    )
    assert [one.vehicle for one in found] == ["stop", "care", "faulty", "cold", "drifts", "quiet"]
    assert [one.look_first for one in found] == [True, True, True, True, True, False]
    assert found[4].drift.total == pytest.approx(-10.0)


def test_the_odds_are_those_of_the_latest_logs():
    assert LATEST == 3
    days = [judged(p) for p in (0.9, 0.9, 0.9, 0.1, 0.3, 0.2)]
    (one,) = ranked({"van": days})
    assert (one.fault, one.logs, one.last) == (0.2, 6, days[-1])


def test_the_bound_of_a_look():
    assert LOOK_FIRST == 0.5
    assert [one.look_first for one in ranked({"a": [judged(0.5)], "b": [judged(0.499)]})] == [True, False]
    assert ranked({"a": []}) == []


def test_a_log_without_a_deviation_is_left_out_of_the_drift():
    days = [judged(deviation=d) for d in (0.0, None, 3.0, None, 6.0)]
    assert ranked({"van": days})[0].drift is None


def test_of_a_case_only_the_vehicle_is_taken():
    text = CaseText(
        {
            "format": FORMAT,
            "job": {"customer": "Ada", "reason": "no heat", "complaint": "cold"},
            "vehicle": {"class": "delivery van"},
            "thermostat": {"rating": "88 degC"},
            "duties": [{"name": "x"}],
            "base_rates": {"low_coolant": "90 %"},
            "evidence": {"before": {"seen": {"level_low": True}, "log": {"file": "a.csv"}}},
        }
    )
    assert screening_case(text).tree == {
        "format": FORMAT,
        "job": {"reason": "screening"},
        "vehicle": {"class": "delivery van"},
        "thermostat": {"rating": "88 degC"},
        "evidence": {"before": {"log": {"file": "log.csv"}}},
    }
    assert "customer" in text.tree["job"]
