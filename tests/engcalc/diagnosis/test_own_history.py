"""A vehicle's own healthy record as what is expected of it: what may count as one, and what it changes."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest
from less_effort import FEW

import worked_examples
from engcalc.case.case import Case
from engcalc.case.file import SUFFIX, read_case
from engcalc.case.resolve import resolve
from engcalc.diagnosis.odds.diagnosis import Diagnosis, diagnose
from engcalc.diagnosis.odds.own_history import NoPrior, prior_from
from engcalc.vehicle.own_prior import OwnHistory, OwnPrior, Place
from engcalc.vehicle.unknowns import Effect, Unknown

UNKNOWNS = tuple(Unknown(key, key, 0.1, Effect.CASE, of_record=key == "ambient") for key in ("a", "b", "ambient"))


def draws(z: np.ndarray, side: int = 0, key: str = "healthy", evidence: float = -3.0) -> SimpleNamespace:
    hypothesis = SimpleNamespace(key=key, layout=side)
    weight = np.full(len(z), 1.0 / len(z))
    return SimpleNamespace(hypothesis=hypothesis, z=z, weights=lambda: weight, log_evidence=lambda: evidence)


def diagnosed(*every: SimpleNamespace, healthy: float = 0.9, enough: bool = True) -> SimpleNamespace:
    sides = [SimpleNamespace(thermostat=SimpleNamespace(side=side)) for side in ("outlet", "inlet")]
    problem = SimpleNamespace(unknowns=UNKNOWNS, layouts=sides, shares=(0.6, 0.4))
    kept = SimpleNamespace(problem=problem, draws=list(every))
    return SimpleNamespace(probability=lambda key: healthy if key == "healthy" else 0.0, enough=enough, kept=kept)


def cloud(n: int, mean: float = 0.5) -> np.ndarray:
    z = np.random.default_rng(3).normal(size=(n, 3))
    return (z - z.mean(axis=0)) * 0.5 + np.array([mean, 0.0, 9.0])  # what is the record's alone does not count


def test_the_prior_has_the_moments_of_the_healthy_draws_of_each_side():
    other = draws(cloud(40) + 50.0, key="pump_weak")
    found = prior_from(diagnosed(draws(cloud(40)), draws(-cloud(40), side=1), other), 0.25)
    assert isinstance(found, OwnPrior)
    assert (found.keys, found.changed, set(found.by_side)) == (("a", "b"), 0.25, {"outlet", "inlet"})
    np.testing.assert_allclose(found.by_side["outlet"].mean, [0.5, 0.0], atol=1e-12)
    np.testing.assert_allclose(found.by_side["inlet"].mean, [-0.5, 0.0], atol=1e-12)
    np.testing.assert_allclose(found.by_side["outlet"].covariance, np.cov(cloud(40)[:, :2].T, bias=True))


def test_two_ways_in_which_it_may_have_run_count_by_their_evidence():
    likely, unlikely = draws(cloud(40)), draws(cloud(40, mean=-0.5), evidence=-3.0 - np.log(3.0))
    found = prior_from(diagnosed(likely, unlikely), 0.25)
    assert found.by_side["outlet"].mean[0] == pytest.approx(0.75 * 0.5 - 0.25 * 0.5)


@pytest.mark.parametrize(
    ("found", "why"),
    [
        (diagnosed(draws(cloud(40)), healthy=0.799), NoPrior.NOT_HEALTHY),
        (diagnosed(draws(cloud(40)), enough=False), NoPrior.NOT_HEALTHY),
        (diagnosed(draws(cloud(40, mean=2.01))), NoPrior.FAR_OFF),
        (diagnosed(draws(cloud(40, mean=-2.01))), NoPrior.FAR_OFF),
        (diagnosed(draws(cloud(7))), NoPrior.TOO_FEW),
    ],
)
def test_what_does_not_count_as_a_healthy_record(found, why):
    assert prior_from(found, 0.25) is why


@pytest.mark.parametrize(
    "found",
    [
        diagnosed(draws(cloud(40)), healthy=0.801),
        diagnosed(draws(cloud(40, mean=1.99))),
        diagnosed(draws(cloud(8))),
    ],
)
def test_what_just_counts(found):
    assert isinstance(prior_from(found, 0.25), OwnPrior)


# ---- in a diagnosis -------------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def van() -> Case:
    found = resolve(read_case(worked_examples.folder() / f"van-no-heat{SUFFIX}"))
    assert isinstance(found, Case)
    return found


@pytest.fixture(scope="module")
def by_class(van) -> Diagnosis:
    return diagnose(van, {}, effort=FEW)


def history(found: Diagnosis, mean: float, changed: float) -> OwnHistory:
    own = [u for u in found.kept.problem.unknowns if not u.of_record]
    place = Place(np.full(len(own), mean), 0.04 * np.eye(len(own)))
    prior = OwnPrior(
        tuple(u.key for u in own), tuple(u.spread for u in own), {"outlet": place, "inlet": place}, changed
    )
    return OwnHistory(7, "2026-01-02", "after", 0.95, prior)


def test_a_history_of_which_nothing_is_left_changes_nothing(van, by_class):
    found = diagnose(van, {}, effort=FEW, own=history(by_class, 1.0, changed=1.0))
    assert [(c.fault, c.probability) for c in found.causes] == [(c.fault, c.probability) for c in by_class.causes]
    assert found.own.job == 7
    assert by_class.own is None
    assert by_class.by_class == {}
    assert found.by_class == pytest.approx({c.fault: c.probability for c in by_class.causes}, abs=0.02)


def test_a_record_of_a_fault_is_no_history_whoever_confirmed_it(by_class):
    assert by_class.best.fault == "thermostat_stuck_open"
    assert prior_from(by_class, 0.2) is NoPrior.NOT_HEALTHY


def test_a_history_moves_what_is_expected(van, by_class):
    """A vehicle that makes more heat and loses less would show more: what healthy shows moves, and the odds with it."""
    own = history(by_class, 0.9, changed=0.2)
    found = diagnose(van, {}, effort=FEW, own=own, earlier=by_class)
    assert not by_class.kept.fits(found.kept.problem, [])
    assert found.healthy_course.at(1800.0) != by_class.healthy_course.at(1800.0)
    assert found.best.fault == by_class.best.fault == "thermostat_stuck_open"  # a fault that is there stays there
    assert found.probability("healthy") < 0.05  # though the history expects a valve that leaks more than usual
    assert [c.probability for c in found.causes] != [c.probability for c in by_class.causes]
