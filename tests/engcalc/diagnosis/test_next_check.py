"""Information of a check against closed forms."""

from __future__ import annotations

import math
from statistics import variance

import numpy as np
import pytest
from scipy import stats

from engcalc.diagnosis.checks.hand_checks import PredictedReading
from engcalc.diagnosis.checks.next_check import _by_chance, _plugged_in, _results, information

CAUSE = np.repeat([0, 1], 500)
EVEN = np.full(1000, 1e-3)


def entropy(*p: float) -> float:
    return -sum(x * np.log2(x) for x in p if x > 0.0)


def test_a_sure_sight_between_two_even_causes_is_one_bit() -> None:
    assert information((np.where(CAUSE == 1, 1.0, 0.0),), CAUSE, EVEN) == pytest.approx(1.0)


def test_a_sight_that_does_not_depend_on_the_cause_is_worth_nothing() -> None:
    assert information((np.full(1000, 0.3),), CAUSE, EVEN) == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("error", [0.05, 0.2])
def test_a_sight_with_errors_is_a_binary_symmetric_channel(error: float) -> None:
    # Cover & Thomas, Elements of Information Theory, section 7.1.4: capacity 1 - H(error), at even odds
    p = np.where(CAUSE == 1, 1.0 - error, error)
    assert information((p,), CAUSE, EVEN) == pytest.approx(1.0 - entropy(error, 1.0 - error))


def test_unlike_odds_bound_the_information_by_their_entropy() -> None:
    weight = np.where(CAUSE == 1, 0.1, 0.9) / 500.0
    assert information((np.where(CAUSE == 1, 1.0, 0.0),), CAUSE, weight) == pytest.approx(entropy(0.1, 0.9))


def test_a_reading_tells_nearly_what_its_densities_tell() -> None:
    apart, noise = 10.0, 4.0
    reading = PredictedReading(np.where(CAUSE == 1, apart, 0.0), noise)
    x = np.linspace(-40.0, 50.0, 20001)
    a, b = stats.norm.pdf(x, 0.0, noise), stats.norm.pdf(x, apart, noise)
    mixed = 0.5 * (a + b)
    exact = float(np.trapezoid(0.5 * a * np.log2(a / mixed) + 0.5 * b * np.log2(b / mixed), x))
    found = information((reading,), CAUSE, EVEN)
    assert found <= exact + 1e-6  # sorting into bins never adds information
    spread = PredictedReading(reading.value + np.random.default_rng(1).normal(0.0, 1.0, 1000), noise)
    assert information((spread,), CAUSE, EVEN) > 0.8 * exact


def test_two_readings_are_worth_at_least_each() -> None:
    one, other = PredictedReading(np.where(CAUSE == 1, 5.0, 0.0), 4.0), np.where(CAUSE == 1, 0.7, 0.4)
    both = information((one, other), CAUSE, EVEN)
    assert both >= information((one,), CAUSE, EVEN)
    assert both >= information((other,), CAUSE, EVEN)


def by_definition(value: np.ndarray, noise: float, cause: np.ndarray, weight: np.ndarray) -> float:
    """Mutual information of cause and a reading sorted into eight bins that hold equal shares of the members.

    Cover & Thomas, Elements of Information Theory, eq. 2.28. The bins are our own.
    """
    order = np.argsort(value)
    edges = np.interp(np.arange(1, 8) / 8.0, np.cumsum(weight[order]), value[order])
    below = np.stack([stats.norm.cdf(edges, v, noise) for v in value])
    share = np.diff(below, axis=1, prepend=0.0, append=1.0)
    joint = np.stack([weight[cause == c] @ share[cause == c] for c in np.unique(cause)])
    apart = np.outer(joint.sum(axis=1), joint.sum(axis=0))
    return float((joint * np.log2(joint / apart)).sum())


@pytest.mark.parametrize("noise", [2.5, 6.0])
def test_a_reading_is_sorted_into_eight_bins_of_equal_shares(noise: float) -> None:
    rng = np.random.default_rng(3)
    cause = np.repeat([0, 1, 4], [30, 20, 50])  # numbers of causes that are named may have gaps
    value = rng.normal(0.0, 5.0, 100) + 4.0 * cause
    weight = rng.uniform(0.2, 1.0, 100)
    weight /= weight.sum()
    wanted = by_definition(value, noise, cause, weight)
    assert 0.1 < wanted < entropy(*(weight[cause == c].sum() for c in (0, 1, 4)))
    # the product reads the normal distribution from a table that is good to 1e-6
    joint = _results((PredictedReading(value, noise),), weight)
    assert _plugged_in(joint, cause, weight) == pytest.approx(wanted, abs=1e-4)


def test_information_is_never_below_none() -> None:
    same = PredictedReading(np.zeros(1000), 1.0)
    assert 0.0 <= information((same, np.full(1000, 1.0 / 3.0)), CAUSE, EVEN) < 1e-12


FEW = 24  # vehicles of each cause, as few as a diagnosis draws


def mean_information(apart: float, members: int, runs: int, corrected: bool = True) -> float:
    """Of a sharp reading that differs by ``apart`` spreads between neighbours among six causes, over many draws."""
    rng, found = np.random.default_rng(7), []
    cause, weight = np.repeat(np.arange(6), members), np.full(6 * members, 1.0 / (6 * members))
    for _ in range(runs):
        reading = PredictedReading(rng.normal(0.0, 1.0, len(cause)) + apart * cause, 0.05)
        joint = _results((reading,), weight)
        found.append(information((reading,), cause, weight) if corrected else _plugged_in(joint, cause, weight))
    return float(np.mean(found))


def test_a_worthless_check_is_worth_next_to_nothing_among_few_vehicles() -> None:
    """Miller's bias of six causes and eight results from 144 vehicles: 5 * 7/(2 * 144 ln 2) = 0.175 bits."""
    assert mean_information(0.0, FEW, 60, corrected=False) == pytest.approx(0.175, abs=0.03)
    assert mean_information(0.0, FEW, 60) < 0.03


def test_few_vehicles_tell_what_many_would() -> None:
    many = mean_information(0.7, 4000, 2)
    assert mean_information(0.7, FEW, 60, corrected=False) > many + 0.08
    assert mean_information(0.7, FEW, 60) == pytest.approx(many, abs=0.03)


def test_what_few_vehicles_raise_is_the_second_order_term_by_hand() -> None:
    """Panzeri & Treves, Network 7 (1996) 87, as the docstring of ``_by_chance`` states it, summed result by result.

    Two causes of unlike odds, so that P(c) - P(c)^2 differs from either alone; the variance of a mean is that of the
    sample (over n - 1) by n.
    """
    odds = (0.75, 0.25)
    seen = ((0.10, 0.30, 0.20, 0.25), (0.80, 0.60, 0.95))  # P(seen) in each vehicle of either cause
    shown = np.array([*seen[0], *seen[1]])
    weight = np.array([odds[0] / 4] * 4 + [odds[1] / 3] * 3)
    by_hand = 0.0
    for result in (lambda p: p, lambda p: 1.0 - p):
        of_all = sum(p * sum(map(result, own)) / len(own) for p, own in zip(odds, seen, strict=True))
        for p, own in zip(odds, seen, strict=True):
            by_hand += (p - p**2) * variance(map(result, own)) / len(own) / of_all
    joint = np.stack((shown, 1.0 - shown), axis=1)
    cause = np.array([0, 0, 0, 0, 1, 1, 1])
    assert _by_chance(joint, cause, weight) == pytest.approx(by_hand / (2.0 * math.log(2.0)), rel=1e-12)


def test_a_cause_with_one_vehicle_adds_nothing_by_chance() -> None:
    """Of one vehicle nothing is known of how vehicles differ: only the pair of the other cause counts."""
    joint = np.array([[0.8, 0.2], [0.6, 0.4], [0.2, 0.8]])
    weight = np.array([0.5, 0.25, 0.25])
    of_pair = np.array([0.2**2, 0.2**2])  # variance of the mean of 0.6 and 0.2: half of their sample variance 0.08
    by_hand = (0.5 * (1.0 - 0.5) * of_pair / (weight @ joint)).sum() / (2.0 * math.log(2.0))
    assert _by_chance(joint, np.array([0, 1, 1]), weight) == pytest.approx(by_hand, rel=1e-12)
