"""Propagation of laws against JCGM 101's worked examples, closed forms and scipy's Sobol points."""

from __future__ import annotations

import time

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from engcalc.case.declare import SpreadLaw
from engcalc.errors import InputError
from engcalc.studies.spread.laws import correlated, normal_quantile, normal_share, quantile
from engcalc.studies.spread.propagation import propagate, variance_shares
from engcalc.studies.spread.sobol import most_dimensions, scrambled_sobol, sobol


def shortest_interval(values, share=0.95):
    """The shortest interval that covers a share of the values (JCGM 101:2008, 7.7)."""
    ordered = np.sort(values)
    inside = int(share * ordered.size)
    widths = ordered[inside:] - ordered[: ordered.size - inside]
    k = int(np.argmin(widths))
    return float(ordered[k]), float(ordered[k + inside])


def drawn(model, inputs, points=65_536, seed=1):
    """The model's answers to scrambled points."""
    return model(scrambled_sobol(inputs, points, seed))


def law(name, value, u, p):
    return quantile(SpreadLaw(name), value, u, p)


# ---- Sobol points ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("dimensions", [1, 2, 7, 40, 160])
def test_the_sequence_is_that_of_joe_and_kuo_as_scipy_has_it(dimensions):
    second = stats.qmc.Sobol(dimensions, scramble=False, bits=30).random(512).T
    assert np.array_equal(sobol(dimensions, 512), second)


def test_scrambled_points_are_even_in_every_dimension_and_evener_than_random_ones():
    u = scrambled_sobol(12, 1024, 3)
    strata = np.sort(np.floor(u * 1024), axis=1)
    assert (strata == np.arange(1024)).all()
    assert u.min() > 0.0
    assert u.max() < 1.0
    random = np.random.default_rng(1).random((1024, 5))
    assert stats.qmc.discrepancy(u[:5].T) < 0.1 * stats.qmc.discrepancy(random)


def test_the_same_seed_goes_on_with_the_same_points_and_another_has_others():
    whole = scrambled_sobol(5, 256, 9)
    parts = np.concatenate([scrambled_sobol(5, 64, 9), scrambled_sobol(5, 192, 9, 64)], axis=1)
    assert np.array_equal(whole, parts)
    assert not np.array_equal(whole, scrambled_sobol(5, 256, 10))


def test_more_inputs_than_direction_numbers_are_still_unlike_one_another():
    u = scrambled_sobol(most_dimensions() + 3, 512, 1)
    assert np.array_equal(u[:, 100:], scrambled_sobol(most_dimensions() + 3, 412, 1, 100))
    assert abs(np.corrcoef(u[:3], u[-3:])[:3, 3:]).max() < 0.2


# ---- laws -----------------------------------------------------------------------------------------------------------


def test_the_normal_deviates_are_scipys():
    p = np.concatenate([np.geomspace(1e-15, 0.5, 200), 1.0 - np.geomspace(1e-12, 0.5, 200)])
    assert normal_quantile(p) == pytest.approx(stats.norm.ppf(p), rel=1e-12, abs=1e-14)
    z = np.linspace(-7.0, 7.0, 101)
    assert normal_share(z) == pytest.approx(stats.norm.cdf(z), rel=1e-12)


@pytest.mark.parametrize(
    ("name", "second"),
    [
        ("normal", stats.norm(3.0, 0.5)),
        ("rectangular", stats.uniform(3.0 - 0.5 * 3**0.5, 3**0.5)),
        ("triangular", stats.triang(0.5, 3.0 - 0.5 * 6**0.5, 6**0.5)),
        ("lognormal", stats.lognorm(np.log1p(1 / 36) ** 0.5, scale=3.0 / (1 + 1 / 36) ** 0.5)),
    ],
)
def test_each_law_has_the_stated_mean_and_standard_uncertainty(name, second):
    p = np.linspace(0.001, 0.999, 201)
    assert law(name, 3.0, 0.5, p) == pytest.approx(second.ppf(p), rel=1e-9)
    assert (second.mean(), second.std()) == (pytest.approx(3.0), pytest.approx(0.5))


@given(st.floats(-0.95, 0.95))
def test_correlated_normal_inputs_have_their_coefficient(r):
    z = normal_quantile(correlated(scrambled_sobol(3, 4096, 2), {(0, 2): r}))
    found = np.corrcoef(z)
    assert found[0, 2] == pytest.approx(r, abs=0.01)
    assert abs(found[0, 1]) < 0.01


def test_coefficients_that_cannot_hold_together_are_refused():
    with pytest.raises(InputError, match="hold together"):
        correlated(scrambled_sobol(3, 8, 1), {(0, 1): 0.9, (1, 2): 0.9, (0, 2): -0.9})


# ---- JCGM 101:2008 --------------------------------------------------------------------------------------------------
# Tolerances: five standard errors of the points taken, or the last digit of the published figure where that is more.


def test_9_2_2_four_normal_inputs():
    y = drawn(lambda p: sum(law("normal", 0.0, 1.0, row) for row in p), 4)
    assert y.std() == pytest.approx(2.00, abs=0.005)
    assert np.quantile(y, (0.025, 0.975)) == pytest.approx((-3.92, 3.92), abs=0.02)


def test_9_2_3_four_rectangular_inputs():
    y = drawn(lambda p: sum(law("rectangular", 0.0, 1.0, row) for row in p), 4)
    exact = 2.0 * 3**0.5 * (2.0 - (3.0 / 5.0) ** 0.25)  # 9.2.3.3: 3.88
    assert exact == pytest.approx(3.88, abs=0.005)
    assert y.std() == pytest.approx(2.00, abs=0.005)
    assert np.quantile(y, (0.025, 0.975)) == pytest.approx((-exact, exact), abs=0.01)


def test_9_2_4_one_input_much_wider_than_the_others():
    y = drawn(lambda p: sum(law("rectangular", 0.0, u, row) for u, row in zip((1, 1, 1, 10), p, strict=True)), 4)
    assert y.std() == pytest.approx(103**0.5, rel=1e-3)  # 10.1
    assert np.quantile(y, (0.025, 0.975)) == pytest.approx((-17.0, 17.0), abs=0.1)  # the normal law says 19.9


def test_9_3_mass_calibration():
    """9.3, table 6: mean 1.2341, u 0.0754 mg, shortest 95 % interval [1.0834, 1.3825] by Monte Carlo; the linear law
    0.0539."""

    def model(p):
        m = law("normal", 100_000.0, 0.050, p[0])
        dm = law("normal", 1.234, 0.020, p[1])
        air = law("rectangular", 1.20, 0.10 / 3**0.5, p[2])
        weight = law("rectangular", 8000.0, 1000.0 / 3**0.5, p[3])
        reference = law("rectangular", 8000.0, 50.0 / 3**0.5, p[4])
        return (m + dm) * (1.0 + (air - 1.2) * (1.0 / weight - 1.0 / reference)) - 100_000.0

    y = drawn(model, 5)
    assert y.mean() == pytest.approx(1.2341, abs=3e-4)
    assert y.std() == pytest.approx(0.0754, abs=3e-4)
    low, high = shortest_interval(y)
    assert (low, high) == (pytest.approx(1.0834, abs=4e-3), pytest.approx(1.3825, abs=4e-3))


@pytest.mark.parametrize(
    ("x1", "r", "mean", "deviation"),
    [
        (0.000, 0.0, 50, 50),
        (0.010, 0.0, 150, 112),
        (0.050, 0.0, 2550, 502),
        (0.000, 0.9, 50, 67),
        (0.010, 0.9, 150, 121),
        (0.050, 0.9, 2550, 505),
    ],
)
def test_9_4_comparison_loss(x1, r, mean, deviation):
    """9.4, tables 7 and 8, in 1e-6; first-order propagation says a standard uncertainty of 0, 100 and 500."""

    def model(p):
        q = correlated(p, {(0, 1): r} if r else {})
        return 1e6 * (law("normal", x1, 0.005, q[0]) ** 2 + law("normal", 0.0, 0.005, q[1]) ** 2)

    y = drawn(model, 2)
    assert y.mean() == pytest.approx(mean, abs=0.6)
    assert y.std() == pytest.approx(deviation, abs=1.0)


def test_9_4_shortest_intervals():
    """Exact, from the noncentral chi-square law: [0, 149.8] and [0, 366.0]; table 8 prints 150 and 367."""

    def model(p, x1):
        return 1e6 * (law("normal", x1, 0.005, p[0]) ** 2 + law("normal", 0.0, 0.005, p[1]) ** 2)

    for x1, high in ((0.0, 149.8), (0.010, 366.0)):
        y = drawn(lambda p, x1=x1: model(p, x1), 2)
        assert shortest_interval(y) == (pytest.approx(0.0, abs=1.5), pytest.approx(high, rel=0.01))


def test_9_5_gauge_block():
    """9.5, tables 10 and 11, in nm: 838, u 36, shortest 99 % interval [745, 932]; the linear law says u 32.

    Its laws of t, arc sine and vague limits are scipy's and by hand: no input of a vehicle has them.
    """
    nominal = 50e6

    def vague(middle, half, doubt, p, q):
        """A rectangular law whose half width is itself rectangular (6.4.3)."""
        return middle + (half + doubt * (2.0 * q - 1.0)) * (2.0 * p - 1.0)

    def model(p):
        t = ((50_000_623.0, 25.0, 18), (215.0, 6.0, 24), (0.0, 4.0, 5), (0.0, 7.0, 8))
        standard, *differences = (x + u * stats.t.ppf(row, nu) for (x, u, nu), row in zip(t, p, strict=False))
        expands = law("rectangular", 11.5e-6, 2.0e-6 / 3**0.5, p[4])
        warm = law("normal", -0.1, 0.2, p[5]) - 0.5 * np.cos(np.pi * p[6])
        more = vague(0.0, 1.0e-6, 0.1e-6, p[7], p[8])
        warmer = vague(0.0, 0.050, 0.025, p[9], p[10])
        length = standard * (1.0 + expands * (warm - warmer)) + sum(differences)
        return length / (1.0 + (expands + more) * warm) - nominal

    y = drawn(model, 11)
    assert y.mean() == pytest.approx(838.0, abs=0.7)
    assert y.std() == pytest.approx(36.0, abs=0.5)
    low, high = shortest_interval(y, 0.99)
    assert high - low == pytest.approx(932.0 - 745.0, abs=2.0)
    assert (low, high) == (pytest.approx(745.0, abs=4.0), pytest.approx(932.0, abs=4.0))


# ---- as many points as it takes -------------------------------------------------------------------------------------


def ends(answers):
    return np.quantile(answers[0], (0.05, 0.95))


def test_it_stops_when_the_error_is_small_enough_and_the_error_is_true():
    def model(p):
        return sum(law("normal", 0.0, 1.0, row) for row in p)[None]

    exact = 2.0 * np.array(stats.norm.ppf((0.05, 0.95)))
    found = [propagate(model, 4, ends, lambda _s, e: bool(e.max() < 0.05), seed=s) for s in range(12)]
    assert all(one.settled and one.errors.max() < 0.05 for one in found)
    off = np.array([(one.statistics - exact) / one.errors for one in found])
    assert np.sqrt((off**2).mean()) < 2.5  # of standard errors estimated from eight sets: some 1.2
    assert found[0].points < 16_384


def test_it_says_when_the_most_points_were_not_enough():
    found = propagate(lambda p: p[:1], 1, ends, lambda _s, _e: False, most=128)
    assert not found.settled
    assert found.points == 1024


def test_the_error_falls_faster_than_that_of_random_draws():
    """Of a smooth model in four inputs: with 16 times the points to less than an eighth (random draws: a quarter)."""

    def model(p):
        return np.exp(0.3 * sum(law("normal", 0.0, 1.0, row) for row in p))[None]

    def mean(answers):
        return answers.mean(axis=1)

    few, many = (propagate(model, 4, mean, lambda _s, _e: False, most=n).errors[0] for n in (64, 1024))
    assert many < few / 8.0


def test_shares_of_variance_of_ishigami_s_function():
    """T. Ishigami & T. Homma (1990), a = 7, b = 0.1: S = 0.3139, 0.4424, 0; totals 0.5576, 0.4424, 0.2437 (exact)."""

    def model(p):
        x = np.pi * (2.0 * p - 1.0)
        return (np.sin(x[0]) + 7.0 * np.sin(x[1]) ** 2 + 0.1 * x[2] ** 4 * np.sin(x[0]))[None]

    found = variance_shares(model, 3, [[0], [1], [2]])
    assert found.first == pytest.approx((0.3139, 0.4424, 0.0), abs=0.03)
    assert found.total == pytest.approx((0.5576, 0.4424, 0.2437), abs=0.03)
    assert found.first_error.max() < 0.03
    both = variance_shares(model, 3, [[0, 2], [1]])
    assert both.first == pytest.approx((0.5576, 0.4424), abs=0.03)  # what two do together counts for their group


def test_shares_of_a_linear_model_are_those_of_the_linear_law():
    def model(p):
        return sum(c * law("normal", 0.0, 1.0, row) for c, row in zip((3.0, 2.0, 1.0), p, strict=True))[None]

    found = variance_shares(model, 3, [[0], [1], [2]])
    assert found.first == pytest.approx((9 / 14, 4 / 14, 1 / 14), abs=0.02)
    assert found.total == pytest.approx((9 / 14, 4 / 14, 1 / 14), abs=0.02)


def test_ten_thousand_points_of_seventy_inputs_are_drawn_in_a_moment():
    start = time.process_time()
    p = scrambled_sobol(70, 10_000, 1)
    for row in p:
        law("normal", 1.0, 0.1, row)
    assert time.process_time() - start < 1.0
