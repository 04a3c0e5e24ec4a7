"""Effectiveness-NTU against published tables and examples, the Mason series, ht, limits and balances."""

from __future__ import annotations

import ht
import mpmath
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engcalc.components.exchanger import (
    LMTD,
    NTU_MAX,
    Arrangement,
    Attainable,
    NTU_from_effectiveness,
    conductance_from_effectiveness,
    effectiveness,
    exchange,
    phi,
)
from engcalc.errors import RangeError

A = Arrangement
ALL = list(Arrangement)
RISING = [arrangement for arrangement in ALL if arrangement is not A.BOTH_MIXED]

# Computed from the closed forms of Shah & Sekulic, Fundamentals of Heat Exchanger Design (2003), Table 3.3; the exact
# column from the Mason (1955) series there, to all printed digits. Columns: Cr, NTU, both unmixed exact, approximation
# (Incropera 7e Eq. 11.32), counterflow, parallel, Cmin mixed, Cmax mixed, both mixed.
TABLE = [
    (0.25, 0.5, 0.375094429280, 0.37205709, 0.377588926, 0.371790857, 0.375005475, 0.374736316, 0.374658465),
    (0.25, 1, 0.588011326379, 0.58720198, 0.598286024, 0.570796163, 0.587201983, 0.584703810, 0.584050871),
    (0.25, 5, 0.959074276553, 0.96417009, 0.982257374, 0.798455637, 0.942385489, 0.879544927, 0.864176189),
    (0.5, 0.5, 0.357827046447, 0.35194779, 0.362265573, 0.351755632, 0.357506407, 0.357182903, 0.356900685),
    (0.5, 1, 0.547489833881, 0.54476371, 0.564733402, 0.517913227, 0.544763712, 0.541968992, 0.539745875),
    (0.5, 2, 0.732409252482, 0.73875846, 0.774600326, 0.633475288, 0.717546436, 0.702012715, 0.690843425),
    (0.5, 3, 0.819708280463, 0.82840516, 0.874425152, 0.659260669, 0.788544283, 0.756362299, 0.733852948),
    (0.5, 5, 0.901667751019, 0.90527424, 0.957200919, 0.666297944, 0.840518923, 0.782845017, 0.739920580),
    (0.75, 0.5, 0.341594767658, 0.33309606, 0.347511394, 0.333221703, 0.340944565, 0.340725806, 0.340150304),
    (0.75, 1, 0.510308647292, 0.50515528, 0.531857488, 0.472129175, 0.505155280, 0.503398709, 0.499146943),
    (0.75, 5, 0.829251217938, 0.82849331, 0.908770543, 0.571338022, 0.728006290, 0.700320427, 0.634982412),
    (1, 0.5, 0.326329977057, 0.31544922, 0.333333333, 0.316060279, 0.325287996, 0.325287996, 0.324360635),
    (1, 1, 0.476222388197, 0.46853639, 0.500000000, 0.432332358, 0.468536395, 0.468536395, 0.462117157),
    (1, 2, 0.614247239274, 0.61540713, 0.666666667, 0.490842181, 0.578807252, 0.578807252, 0.551561245),
    (1, 3, 0.681291108052, 0.68420900, 0.750000000, 0.498760624, 0.613341317, 0.613341317, 0.564506732),
    (1, 5, 0.750903981452, 0.74898105, 0.833333333, 0.499977300, 0.629633437, 0.629633437, 0.551399441),
]
CR, NTU, EXACT, APPROXIMATE, COUNTER, PARALLEL, MIN_MIXED, MAX_MIXED, BOTH_MIXED = np.array(TABLE).T


@pytest.mark.parametrize(
    ("arrangement", "coolant_is_min", "published", "rtol"),
    [  # the tolerance is half a unit of the last printed digit
        (A.BOTH_UNMIXED, False, EXACT, 2e-12),
        (A.BOTH_UNMIXED_APPROXIMATION, False, APPROXIMATE, 2e-8),
        (A.COUNTERFLOW, False, COUNTER, 2e-9),
        (A.PARALLEL, False, PARALLEL, 2e-9),
        (A.BOTH_MIXED, False, BOTH_MIXED, 2e-9),
        (A.AIR_MIXED, False, MIN_MIXED, 2e-9),
        (A.AIR_MIXED, True, MAX_MIXED, 2e-9),
        (A.COOLANT_MIXED, True, MIN_MIXED, 2e-9),
        (A.COOLANT_MIXED, False, MAX_MIXED, 2e-9),
    ],
)
def test_effectiveness_table(arrangement, coolant_is_min, published, rtol):
    np.testing.assert_allclose(effectiveness(NTU, CR, arrangement, coolant_is_min), published, rtol=rtol)


def test_exact_crossflow_rounds_to_the_table_of_kays_and_london():
    # Kays & London, Compact Heat Exchangers, crossflow both unmixed, Cr = 1 (from memory): three digits
    assert effectiveness([1, 2, 3, 5], 1.0).round(3).tolist() == [0.476, 0.614, 0.681, 0.751]


def mason(N: float, C: float) -> float:
    """Mason (1955) series (Shah & Sekulic 2003 Table 3.3), 40 digits: 1/(C N) sum [1-e^-N sum N^m/m!][1-e^-CN ...]."""
    with mpmath.workdps(40):
        a, b = mpmath.mpf(N), mpmath.mpf(C) * mpmath.mpf(N)
        term_a = sum_a = term_b = sum_b = mpmath.mpf(1)
        total, n = mpmath.mpf(0), 0
        while True:
            step = (1 - mpmath.exp(-a) * sum_a) * (1 - mpmath.exp(-b) * sum_b)
            total, n = total + step, n + 1
            if n > a + 20 and step < mpmath.mpf(10) ** -22:
                return float(total / b)
            term_a, term_b = term_a * a / n, term_b * b / n
            sum_a, sum_b = sum_a + term_a, sum_b + term_b


@pytest.mark.parametrize("N", [1e-3, 0.3, 1.7, 5.0, 12.3, 27.0, 50.0, 150.0])
def test_exact_crossflow_against_the_mason_series(N):
    C = np.array([1e-3, 0.05, 0.3, 0.5, 0.9, 0.999, 1.0])
    # 1e-13: the quadrature has converged to rounding; the aim was 1e-9 up to NTU 50
    np.testing.assert_allclose(effectiveness(N, C), [mason(N, float(c)) for c in C], rtol=1e-13)


def test_an_ensemble_over_all_grades_agrees_with_the_series():
    # more than 64 members take the graded path; compared with members one by one, and those with the series above
    N = np.geomspace(1e-3, NTU_MAX, 97)
    C = np.linspace(0.0, 1.0, 97)[::-1]
    np.testing.assert_allclose(
        effectiveness(N, C), [effectiveness(n, c)[0] for n, c in zip(N, C, strict=True)], rtol=1e-13
    )


def test_exact_crossflow_at_huge_size_follows_its_asymptote():
    # Cr = 1: 1 - exp(-2N)[I0(2N) + I1(2N)] (Baclic 1978 with Cr = 1), which tends to 1 - 1/sqrt(pi N)
    N = np.array([300.0, 3000.0, 9999.0])
    exact = [float(1 - mpmath.exp(-2 * n) * (mpmath.besseli(0, 2 * n) + mpmath.besseli(1, 2 * n))) for n in N]
    np.testing.assert_allclose(effectiveness(N, 1.0), exact, rtol=1e-12)
    np.testing.assert_allclose(effectiveness(N, 1.0), 1 - 1 / np.sqrt(np.pi * N), rtol=1e-5)


HT_NAMES = [
    (A.BOTH_UNMIXED, False, "crossflow"),
    (A.BOTH_UNMIXED_APPROXIMATION, False, "crossflow approximate"),
    (A.AIR_MIXED, False, "crossflow, mixed Cmin"),
    (A.AIR_MIXED, True, "crossflow, mixed Cmax"),
    (A.COUNTERFLOW, False, "counterflow"),
    (A.PARALLEL, False, "parallel"),
]


@pytest.mark.parametrize(("arrangement", "coolant_is_min", "name"), HT_NAMES)
def test_effectiveness_against_ht(arrangement, coolant_is_min, name):
    for N in (0.1, 0.9, 1.6, 3.3, 8.0):
        for C in (0.08, 0.4, 0.77, 1.0):
            # ht integrates 'crossflow' by quad, relative error 1e-8 or better
            assert effectiveness(N, C, arrangement, coolant_is_min)[0] == pytest.approx(
                ht.effectiveness_from_NTU(N, C, name), rel=1e-8
            )


@pytest.mark.parametrize(("arrangement", "coolant_is_min", "name"), HT_NAMES)
def test_size_against_ht(arrangement, coolant_is_min, name):
    for e, C in ((0.1, 0.3), (0.35, 0.9), (0.45, 0.6)):
        assert NTU_from_effectiveness(e, C, arrangement, coolant_is_min).NTU[0] == pytest.approx(
            ht.NTU_from_effectiveness(e, C, name), rel=1e-7
        )


def test_printed_values_of_ht():
    # ht documentation, effectiveness_from_NTU and NTU_from_effectiveness: NTU 5, Cr 0.7
    printed = {A.PARALLEL: 0.5881156068417585, A.BOTH_UNMIXED: 0.84448217997, A.COUNTERFLOW: 0.920670368605}
    for arrangement, value in printed.items():
        assert effectiveness(5.0, 0.7, arrangement)[0] == pytest.approx(value, rel=1e-11)
    # ht documentation, P_NTU_method: counterflow, R1 0.1, NTU1 4
    assert effectiveness(4.0, 0.1, A.COUNTERFLOW)[0] == pytest.approx(0.9753412729761263, rel=1e-14)


def test_the_approximation_is_a_mixed_exchanger_at_ntu_one_only():
    # at NTU = 1 both powers of NTU are 1: a check there alone tells nothing
    C = np.array([0.2, 0.6, 1.0])
    np.testing.assert_allclose(effectiveness(1.0, C, A.BOTH_UNMIXED_APPROXIMATION), effectiveness(1.0, C, A.AIR_MIXED))
    for N in (0.5, 2.0, 4.0):
        one, other = effectiveness(N, C, A.BOTH_UNMIXED_APPROXIMATION), effectiveness(N, C, A.AIR_MIXED)
        assert np.all(np.abs(one / other - 1.0) > 2e-3)


def test_worst_error_of_the_approximation():
    # worst of the approximation over 0.05 <= Cr <= 1, 0.1 <= NTU <= 10: -3.78 % at Cr 1, NTU 0.3 (own computation from
    # the two published formulas, 0.219877 against 0.228508)
    C, N = np.meshgrid(np.linspace(0.05, 1.0, 39), np.linspace(0.1, 10.0, 199))
    error = effectiveness(N, C, A.BOTH_UNMIXED_APPROXIMATION) / effectiveness(N, C) - 1.0
    worst = np.unravel_index(np.abs(error).argmax(), error.shape)
    assert error[worst] == pytest.approx(-0.0378, abs=5e-5)
    assert (C[worst], N[worst]) == (pytest.approx(1.0), pytest.approx(0.3))


@pytest.mark.parametrize("arrangement", ALL)
def test_limits(arrangement):
    N = np.array([0.0, 1e-9, 0.4, 3.0, 40.0])
    one_stream = -np.expm1(-N)  # Incropera 7e Eq. 11.35a: any arrangement when one capacity rate is endless
    np.testing.assert_allclose(effectiveness(N, 0.0, arrangement), one_stream, rtol=1e-14)
    np.testing.assert_allclose(effectiveness(N, 1e-12, arrangement), one_stream, rtol=1e-11)
    C = np.array([0.0, 0.3, 1.0])
    np.testing.assert_array_equal(effectiveness(0.0, C, arrangement), 0.0)
    # the approximation leaves its limit the fastest: by Cr NTU^0.78/2 = 8e-9
    np.testing.assert_allclose(effectiveness(1e-10, C, arrangement), 1e-10, rtol=1e-8)
    np.testing.assert_allclose(effectiveness(1e9, C, arrangement), effectiveness(NTU_MAX, C, arrangement))


def test_endless_size():
    C = np.array([0.2, 0.7, 1.0])
    endless = {  # closed forms with NTU to infinity
        A.COUNTERFLOW: np.ones(3),
        A.PARALLEL: 1 / (1 + C),
        A.AIR_MIXED: -np.expm1(-1 / C),
        A.COOLANT_MIXED: -np.expm1(-C) / C,
        A.BOTH_MIXED: 1 / (1 + C),
    }
    for arrangement, value in endless.items():
        np.testing.assert_allclose(effectiveness(NTU_MAX, C, arrangement), value, rtol=2e-4)  # 1/NTU_MAX, doubled


@given(st.floats(0.01, 30.0), st.floats(0.01, 1.0))
def test_order_of_the_arrangements(N, C):
    e = {arrangement: effectiveness(N, C, arrangement)[0] for arrangement in ALL}
    slack = 1e-12
    assert e[A.COUNTERFLOW] >= e[A.BOTH_UNMIXED] - slack
    assert e[A.BOTH_UNMIXED] >= e[A.AIR_MIXED] - slack  # mixing a stream never helps
    assert e[A.BOTH_UNMIXED] >= e[A.COOLANT_MIXED] - slack
    assert e[A.AIR_MIXED] >= e[A.PARALLEL] - slack
    assert e[A.COOLANT_MIXED] >= e[A.BOTH_MIXED] - slack


@given(st.floats(1e-6, 200.0), st.floats(0.0, 1.0), st.sampled_from(RISING))
def test_effectiveness_rises_with_size_and_falls_with_capacity_ratio(N, C, arrangement):
    e = effectiveness([N, 1.01 * N], C, arrangement)
    assert e[1] >= e[0] * (1 - 1e-13)
    assert effectiveness(N, 0.9 * C, arrangement)[0] >= e[0] * (1 - 1e-13)


@given(st.floats(1e-6, 25.0), st.floats(0.0, 1.0), st.sampled_from(RISING), st.booleans())
def test_round_trip(N, C, arrangement, coolant_is_min):
    e = effectiveness(N, C, arrangement, coolant_is_min)
    size = NTU_from_effectiveness(e, C, arrangement, coolant_is_min)
    if size.status[0] == Attainable.YES:
        np.testing.assert_allclose(effectiveness(size.NTU, C, arrangement, coolant_is_min), e, rtol=1e-12)
    else:  # saturated: the arrangement's highest already at this size, to rounding
        assert e[0] >= size.highest[0]


def test_both_mixed_peaks_and_the_inverse_takes_the_rising_branch():
    N = np.linspace(0.5, 20, 4000)
    peak = effectiveness(N, 1.0, A.BOTH_MIXED).max()
    size = NTU_from_effectiveness([0.551561245, peak * 1.001], 1.0, A.BOTH_MIXED)
    assert size.highest == pytest.approx(peak, rel=1e-7)
    assert size.NTU[0] == pytest.approx(2.0, rel=1e-8)  # table above; NTU 5 has nearly the same effectiveness
    assert size.status.tolist() == [Attainable.YES, Attainable.TOO_HIGH]


def test_unattainable_effectiveness_has_a_status_and_no_nan():
    size = NTU_from_effectiveness([0.3, 0.7, -0.1, 0.0, 1.0], 0.5, A.PARALLEL)
    Y, H, N = Attainable.YES, Attainable.TOO_HIGH, Attainable.NEGATIVE
    assert size.status.tolist() == [Y, H, N, Y, H]  # parallel, Cr 0.5: at most 2/3
    assert np.isfinite(size.NTU).all()
    assert size.NTU[[1, 2, 3, 4]].tolist() == [0, 0, 0, 0]


def test_members_are_independent():
    e, C = np.array([0.2, 0.95, 0.6]), np.array([0.9, 1.0, 0.1])  # the middle one cannot be had from parallel flow
    together = NTU_from_effectiveness(e, C, A.PARALLEL)
    for i in range(3):
        alone = NTU_from_effectiveness(e[i], C[i], A.PARALLEL)
        assert alone.NTU[0] == pytest.approx(together.NTU[i], rel=1e-13)
        assert alone.status[0] == together.status[i]


def test_holman_steam_and_oil():
    # Holman, Heat Transfer, 10e, Example 10-9 (digits as worked in the ht documentation): steam mixed, oil unmixed.
    # The steam is the hot and larger stream.
    got = exchange(275 * 10.82, 5.2 * 1860, 0.725 * 1900, 130.0, 15.0, A.COOLANT_MIXED)
    for value, published in (
        (got.C_min, 1377.5),
        (got.Cr, 0.1424214226633),
        (got.NTU, 2.16007259528),
        (got.effectiveness, 0.831218036142),
        (got.Q, 131675.3271504),
        (got.T_cold_out, 110.5900741563),
        (got.T_hot_out, 116.3859256461),
    ):
        assert value[0] == pytest.approx(published, rel=1e-11)


def test_size_of_an_exchanger_from_its_outlets():
    # ht documentation, effectiveness_NTU_method: mh 5.2, mc 1.45 kg/s, Thi 130, Tci 15, Tco 85, steam mixed
    C_hot, C_cold = 5.2 * 1860.0, 1.45 * 1900.0
    needed = conductance_from_effectiveness(70 / 115, C_hot, C_cold, A.COOLANT_MIXED)
    assert needed.UA[0] == pytest.approx(3041.75117083, rel=1e-10)
    assert needed.UA[0] / C_cold == pytest.approx(1.104083909, rel=1e-9)
    assert exchange(needed.UA, C_hot, C_cold, 130, 15, A.COOLANT_MIXED).T_hot_out[0] == pytest.approx(110.0610008271)


flows = st.floats(1e-3, 1e5)


@given(st.floats(0.0, 1e5), flows, flows, st.sampled_from(ALL), st.integers(1, 6))
def test_energy_closes_and_the_second_law_holds(UA, C_hot, C_cold, arrangement, passes):
    got = exchange(UA, C_hot, C_cold, 370.0, 290.0, arrangement, passes)
    tiny = 1e-9 * 80.0 * (C_hot + C_cold)  # W; a temperature carries 1e-16 of 370 K
    assert abs(got.Q[0] - C_hot * (370.0 - got.T_hot_out[0])) < tiny
    assert abs(got.Q[0] - C_cold * (got.T_cold_out[0] - 290.0)) < tiny
    assert 0.0 <= got.effectiveness[0] <= 1.0 + 1e-12
    assert 290.0 - 1e-9 <= got.T_hot_out[0] <= 370.0
    assert 290.0 <= got.T_cold_out[0] <= 370.0 + 1e-9


def test_scaling_all_rates_alike_changes_only_the_heat():
    one, ten = exchange(900, 3000, 1500, 370, 300), exchange(9000, 30000, 15000, 370, 300)
    np.testing.assert_allclose(ten.Q, 10 * one.Q, rtol=1e-14)
    np.testing.assert_allclose(ten.T_hot_out, one.T_hot_out, rtol=1e-15)


@pytest.mark.parametrize("arrangement", [A.COUNTERFLOW, A.PARALLEL])
def test_mean_temperature_difference_gives_the_same_heat(arrangement):
    got = exchange([900.0, 400.0, 5000.0], [3000.0, 1500.0, 2000.0], [1500.0, 1500.0, 5200.0], 370, 300, arrangement)
    ends = (
        (370 - got.T_cold_out, got.T_hot_out - 300)
        if arrangement is A.COUNTERFLOW
        else (np.full(3, 70.0), got.T_hot_out - got.T_cold_out)
    )
    np.testing.assert_allclose(got.UA * LMTD(*ends), got.Q, rtol=1e-9)


def test_mean_temperature_difference():
    # ht documentation, LMTD: Thi 100, Tho 60, Tci 30, Tco 40.2 counterflow: 43.200409294131525
    assert LMTD(100 - 40.2, 60 - 30)[0] == pytest.approx(43.200409294131525, rel=1e-14)
    np.testing.assert_allclose(LMTD([20, 20, 0, 0], [20, 20 + 1e-9, 5, 0]), [20, 20, 0, 0], rtol=1e-9)
    with pytest.raises(RangeError, match="difference_2: -1 was given"):
        LMTD(3.0, -1.0)


@pytest.mark.parametrize("passes", [1, 3])
def test_a_stream_that_stands_still_passes_no_heat(passes):
    got = exchange([900, 900, 900, 0], [0, 2000, 0, 2000], [1500, 0, 0, 1500], 370, 300, passes=passes)
    assert got.Q.tolist() == [0, 0, 0, 0]
    for field in (got.NTU, got.Cr, got.effectiveness, got.T_hot_out, got.T_cold_out):
        assert np.isfinite(field).all()
    creeping = exchange(900, [1e-9, 2000], [1500, 1e-9], 370, 300, passes=passes)
    np.testing.assert_allclose(got.T_hot_out[:2], creeping.T_hot_out, atol=1e-6)
    np.testing.assert_allclose(got.T_cold_out[:2], creeping.T_cold_out, atol=1e-6)


@pytest.mark.parametrize("arrangement", ALL)
@pytest.mark.parametrize("passes", [1, 2, 3])
def test_passes_against_a_chain_of_single_exchangers(arrangement, passes):
    UA, C_hot, C_cold = 1400.0, 2500.0, 1800.0
    T, Q = 370.0, 0.0
    for _ in range(passes):
        one = exchange(UA / passes, C_hot, C_cold / passes, T, 300.0, arrangement)
        T, Q = one.T_hot_out[0], Q + one.Q[0]
    whole = exchange(UA, C_hot, C_cold, 370.0, 300.0, arrangement, passes)
    assert whole.Q[0] == pytest.approx(Q, rel=1e-12)
    assert whole.T_hot_out[0] == pytest.approx(T, rel=1e-13)
    assert whole.effectiveness[0] == pytest.approx(Q / (C_cold * 70.0), rel=1e-12)


def test_many_passes_tend_to_the_coolant_mixed_core():
    # endless passes leave a coolant of one temperature over the depth of the air and one after the other along the
    # face: crossflow with the coolant mixed (Shah & Sekulic 2003 Table 3.3)
    mixed = exchange(1400, 2500, 1800, 370, 300, A.COOLANT_MIXED)
    np.testing.assert_allclose(exchange(1400, 2500, 1800, 370, 300, passes=2000).Q, mixed.Q, rtol=1e-3)


@given(st.floats(0.05, 0.95), flows, flows, st.sampled_from(ALL), st.integers(1, 4))
def test_conductance_is_the_inverse_of_exchange(share, C_hot, C_cold, arrangement, passes):
    highest = conductance_from_effectiveness(0.1, C_hot, C_cold, arrangement, passes).highest[0]
    wanted = share * highest
    needed = conductance_from_effectiveness(wanted, C_hot, C_cold, arrangement, passes)
    assert needed.status[0] == Attainable.YES
    got = exchange(needed.UA, C_hot, C_cold, 370.0, 300.0, arrangement, passes)
    assert got.effectiveness[0] == pytest.approx(wanted, rel=1e-9)


def test_conductance_that_nothing_gives():
    needed = conductance_from_effectiveness([0.5, 1.01, 2.5, -1.0], 2500, 1800, passes=2)
    assert needed.status.tolist() == [Attainable.YES, Attainable.TOO_HIGH, Attainable.TOO_HIGH, Attainable.NEGATIVE]
    assert (needed.UA > 0).tolist() == [True, False, False, False]


def test_exchange_members_are_independent():
    UA, C_hot, C_cold = np.array([900.0, 0.0, 5e4]), np.array([3000.0, 0.0, 700.0]), 1500.0
    T, passes = np.array([370.0, 350.0, 380.0]), np.array([1.0, 2.0, 3.0])
    together = exchange(UA, C_hot, C_cold, T, 300.0, passes=passes)
    for i in range(3):
        alone = exchange(UA[i], C_hot[i], C_cold, T[i], 300.0, passes=passes[i])
        for name in ("NTU", "Cr", "effectiveness", "Q", "T_hot_out", "T_cold_out"):
            assert getattr(alone, name)[0] == pytest.approx(getattr(together, name)[i], rel=1e-13)


def test_phi_against_many_digits():
    x = np.array([0.0, 1e-300, 1e-12, 0.3, 700.0])
    with mpmath.workdps(40):
        exact = [1.0] + [float((1 - mpmath.exp(-mpmath.mpf(v))) / mpmath.mpf(v)) if v > 1e-30 else 1.0 for v in x[1:]]
    np.testing.assert_allclose(phi(x), exact, rtol=1e-15)


@pytest.mark.parametrize(
    ("call", "match"),
    [
        (lambda: effectiveness(-1.0, 0.5), "NTU: -1 was given"),
        (lambda: effectiveness(np.nan, 0.5), "NTU: nan was given"),
        (lambda: effectiveness([1.0, 2.0], [0.5, 1.2]), "Cr: 1.2 was given"),
        (lambda: exchange(-1, 1, 1, 2, 1), "UA: -1 was given"),
        (lambda: exchange(1, 1, np.inf, 2, 1), "C_cold: inf was given"),
        (lambda: exchange(1, 1, 1, 2, 1, passes=0), "passes: 0 was given"),
        (lambda: conductance_from_effectiveness(0.5, 0.0, 1.0), "C_hot: 0 was given"),
    ],
)
def test_bad_arguments_are_named(call, match):
    with pytest.raises(RangeError, match=match):
        call()
