"""Claims against outcomes: the interval against scipy and print, the scores by hand, a liar found out."""

from __future__ import annotations

from math import log

import numpy as np
import pytest
from scipy.stats import binomtest

from engcalc.diagnosis.odds.honesty import FEW, Claim, honesty, wilson
from engcalc.words.workshop.book_words import honesty_said

SHIPPED = {"a": 0.5, "b": 0.3, "c": 0.2}


def claim(p: float, truth: str, job: int = 1) -> Claim:
    rest = 1.0 - p
    return Claim(job, {"a": p, "b": 0.75 * rest, "c": 0.25 * rest}, SHIPPED, truth)


@pytest.mark.parametrize(("true", "n"), [(0, 1), (1, 1), (0, 20), (7, 10), (75, 100), (299, 300), (15, 148)])
def test_the_interval_is_that_of_scipy(true, n):
    other = binomtest(true, n).proportion_ci(confidence_level=0.95, method="wilson")
    assert wilson(true, n) == pytest.approx((other.low, other.high), abs=1e-6)


def test_the_interval_as_printed():
    """Newcombe, Statistics in Medicine 17 (1998) 857, table I, method 3, to its four places; from memory."""
    assert wilson(81, 263) == pytest.approx((0.2553, 0.3662), abs=5e-5)
    assert wilson(15, 148) == pytest.approx((0.0624, 0.1605), abs=5e-5)


def test_of_no_claim_nothing_is_known():
    found = honesty([])
    assert wilson(0, 0) == (0.0, 1.0)
    assert (found.claims, found.interval, found.score, found.few) == (0, (0.0, 1.0), 0.0, True)


def test_scores_by_hand():
    found = honesty([claim(0.8, "a"), claim(0.8, "b")])
    assert found.score == pytest.approx((log(0.8) + log(0.15)) / 2.0)
    assert found.shipped_score == pytest.approx((log(0.5) + log(0.3)) / 2.0)
    first, second = log(0.8 / 0.5), log(0.15 / 0.3)
    assert found.gain == pytest.approx((first + second) / 2.0)
    assert found.gain_error == pytest.approx(abs(first - second) / 2.0)  # of two: the standard deviation over root 2
    assert (found.claims, found.true, found.claimed) == (2, 1, 0.8)


def test_the_odds_are_said_to_be_ahead_or_behind():
    """By hand: ln(0.8/0.5) = 0.47, ln(0.15/0.3) = -0.69; of one job there is no standard error."""
    assert honesty_said(honesty([claim(0.8, "a")]), 1, 1)[-1].endswith("Ahead by 0.47.")
    assert honesty_said(honesty([claim(0.8, "b")]), 1, 1)[-1].endswith("Behind by 0.69.")
    assert honesty_said(honesty([claim(0.8, "a"), claim(0.8, "b")]), 2, 2)[-1].endswith(
        "Behind by 0.11, standard error 0.58."
    )


def test_what_was_held_impossible_counts_as_one_in_a_thousand():
    assert honesty([Claim(1, {"a": 1.0}, SHIPPED, "z")]).score == pytest.approx(log(1e-3))


@pytest.mark.parametrize(("p", "low"), [(0.7, 0.7), (0.7999, 0.7), (0.8, 0.8), (1.0, 0.9), (0.29, 0.0), (0.3, 0.3)])
def test_a_claim_belongs_to_one_band(p, low):
    odds = {"a": p, **dict.fromkeys("bcde", (1.0 - p) / 4.0)}
    found = honesty([Claim(1, odds, SHIPPED, "a")])
    assert [band.low for band in found.bands if band.claims] == [low]


def test_the_misses_with_the_most_confident_first():
    found = honesty([claim(0.7, "b", 4), claim(0.9, "c", 5), claim(0.9, "a", 6), claim(0.9, "b", 3)])
    assert [(miss.job, miss.named, miss.truth) for miss in found.misses] == [
        (3, "a", "b"),
        (5, "a", "c"),
        (4, "a", "b"),
    ]
    assert found.misses[0].truth_probability == pytest.approx(0.075)


def test_few_outcomes_conclude_nothing():
    assert FEW == 20
    assert honesty([claim(0.8, "a")] * 19).few
    assert not honesty([claim(0.8, "a")] * 20).few


def test_an_honest_program_agrees_and_a_liar_does_not():
    rng = np.random.default_rng(8)
    honest = [claim(0.75, "a" if rng.random() < 0.75 else "b") for _ in range(400)]
    liar = [claim(0.75, "a" if rng.random() < 0.55 else "b") for _ in range(400)]
    band = next(band for band in honesty(honest).bands if band.low == 0.7)
    assert (band.claims, band.agrees) == (400, True)
    assert not next(band for band in honesty(liar).bands if band.low == 0.7).agrees
    assert honesty(honest).gain > 2.0 * honesty(honest).gain_error
    assert honesty(liar).gain < honesty(honest).gain
