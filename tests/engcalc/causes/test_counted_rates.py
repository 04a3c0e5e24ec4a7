"""A workshop's own base rates: the Dirichlet update by hand, and what it learns of an invented workshop."""

from __future__ import annotations

import numpy as np
import pytest

from engcalc.causes.base_rates import PER_CENT, OtherRates, base_rates
from engcalc.causes.catalogue import CAUSES
from engcalc.causes.counted_rates import CLASS_ENOUGH, SHIPPED_WEIGHT, CountedJob, counted_rates, shipped_rates
from engcalc.words.texts import case_texts


def jobs(n: int, cause: str, reason: str = "no heat", vehicle_class: str = "van", weight: float = 1.0):
    return [CountedJob(reason, vehicle_class, cause, weight)] * n


def test_without_a_job_they_are_the_shipped_ones():
    found = counted_rates([], "no heat", "van")
    assert found.rates == pytest.approx(shipped_rates("no heat"))
    assert (found.weight, found.jobs, found.vehicle_class) == (0.0, 0.0, "")


def test_the_shipped_ones_are_those_of_the_records():
    total = sum(PER_CENT["no heat"].values())
    assert shipped_rates("no heat") == pytest.approx({key: w / total for key, w in PER_CENT["no heat"].items()})
    assert shipped_rates("lesson") == shipped_rates("screening")


def test_by_hand():
    """Ten jobs, seven of them low on coolant: (40 p + 7) / 50, all others (40 p) / 50 but for the three."""
    assert SHIPPED_WEIGHT == 40.0
    found = counted_rates(jobs(7, "low_coolant") + jobs(3, "healthy"), "no heat")
    p = shipped_rates("no heat")
    assert found.rates["low_coolant"] == pytest.approx((40.0 * p["low_coolant"] + 7.0) / 50.0)
    assert found.rates["healthy"] == pytest.approx((40.0 * p["healthy"] + 3.0) / 50.0)
    assert found.rates["thermostat_stuck_open"] == pytest.approx(0.8 * p["thermostat_stuck_open"])
    assert sum(found.rates.values()) == pytest.approx(1.0)
    assert found.weight == pytest.approx(0.2)
    assert (found.jobs, found.counts) == (10.0, {"low_coolant": 7.0, "healthy": 3.0})


def test_other_reasons_and_unknown_causes_do_not_count():
    found = counted_rates(jobs(9, "low_coolant", "hot at idle") + jobs(5, "gremlins"), "no heat")
    assert found.jobs == 0.0


def test_a_job_of_others_counts_by_its_weight():
    others = [CountedJob("no heat", "van", "low_coolant", 0.25, outside=True)] * 8
    found = counted_rates([*jobs(2, "healthy"), *others], "no heat")
    assert (found.jobs, found.outside) == (4.0, 2.0)
    assert found.rates["low_coolant"] == pytest.approx((40.0 * shipped_rates("no heat")["low_coolant"] + 2.0) / 44.0)


def test_a_class_has_rates_of_its_own_from_enough_jobs_on():
    enough = int(CLASS_ENOUGH)
    assert enough == 30
    cars = jobs(20, "healthy", vehicle_class="family car")
    few = counted_rates(jobs(enough - 1, "low_coolant") + cars, "no heat", "van")
    assert (few.vehicle_class, few.of_class, few.jobs) == ("", 0.0, enough + 19.0)
    found = counted_rates(jobs(enough, "low_coolant") + cars, "no heat", "van")
    assert (found.vehicle_class, found.of_class, found.jobs) == ("van", 30.0, 50.0)
    expected = (40.0 * shipped_rates("no heat")["low_coolant"]) / 60.0  # of all other classes
    assert found.rates["low_coolant"] == pytest.approx((40.0 * expected + 30.0) / 70.0)
    assert found.weight == pytest.approx(1.0 - (40.0 / 60.0) * (40.0 / 70.0))
    assert counted_rates(jobs(enough, "low_coolant") + cars, "no heat", "").vehicle_class == ""


def test_the_weight_is_what_is_left_of_the_shipped_rates():
    """Of a cause that was never met, exactly the part that does not rest on the jobs is left."""
    found = counted_rates(jobs(30, "low_coolant") + jobs(25, "healthy", vehicle_class="small car"), "no heat", "van")
    left = found.rates["thermostat_stuck_open"] / shipped_rates("no heat")["thermostat_stuck_open"]
    assert left == pytest.approx(1.0 - found.weight)


def test_it_learns_an_invented_workshop():
    """After 300 jobs drawn from other rates, the counted ones score better than the shipped, on jobs not counted."""
    rng = np.random.default_rng(4)
    keys = list(CAUSES)
    truth = rng.dirichlet(12.0 * np.array([shipped_rates("no heat")[key] for key in keys]) + 1e-3)
    drawn = [CountedJob("no heat", "van", keys[i]) for i in rng.choice(len(keys), 300, p=truth)]
    found = counted_rates(drawn, "no heat", "van").rates
    log_own = sum(t * np.log(found[key]) for t, key in zip(truth, keys, strict=True))
    log_shipped = sum(t * np.log(shipped_rates("no heat")[key]) for t, key in zip(truth, keys, strict=True))
    log_best = float(np.sum(truth * np.log(truth)))
    assert log_own - log_shipped > 0.8 * (log_best - log_shipped) > 0.1


def test_they_take_the_place_of_the_shipped_ones_and_say_so():
    counted = counted_rates(jobs(40, "low_coolant"), "no heat")
    other = OtherRates(counted.per_cent, "the job book")
    found = base_rates("no heat", list(CAUSES), instead=other)
    assert found.rates == pytest.approx(counted.rates)
    assert found.basis == "the job book"
    entered = base_rates("no heat", ["healthy", "low_coolant"], {"healthy": 0.0}, instead=other)
    assert entered.rates == {"healthy": 0.0, "low_coolant": 1.0}
    assert entered.basis == "1 of them as entered, else the job book"
    assert base_rates("no heat", list(CAUSES)).basis == case_texts.COMMON_PRACTICE_NO_SOURCE
