"""The bracketed solver against scipy's brentq and against itself."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from engcalc.components.roots import falling_root


@given(root=st.floats(-9.0, 9.0), power=st.sampled_from([1.0, 1.5, 2.0]), kink=st.floats(0.0, 1e4))
def test_finds_what_brentq_finds(root: float, power: float, kink: float) -> None:
    def f(x: np.ndarray) -> np.ndarray:
        d = root - x
        return np.sign(d) * np.abs(d) ** power + kink * np.minimum(d, 0.0)

    found = falling_root(f, np.full(1, -10.0), np.full(1, 10.0), np.full(1, 1e-30)).x[0]
    other = brentq(lambda x: float(f(np.full(1, x))[0]), -10.0, 10.0, xtol=1e-12, maxiter=5000)
    assert found == pytest.approx(root, abs=1e-10)
    assert found == pytest.approx(other, abs=1e-10)


@given(root=st.floats(-9.0, 9.0), power=st.sampled_from([1.0, 1.5, 2.0]), kink=st.floats(0.0, 1e4))
def test_what_counts_as_close_enough_is(root: float, power: float, kink: float) -> None:
    """Without another look at the function where its root is expected, sharply bent there or not.

    It falls there, as a balance of heat does.
    """

    def f(x: np.ndarray) -> np.ndarray:
        d = root - x
        return d + np.sign(d) * np.abs(d) ** power + kink * np.minimum(d + 0.01, 0.0)

    found = falling_root(f, np.full(1, -10.0), np.full(1, 10.0), np.full(1, 1e-6)).x
    assert abs(f(found)[0]) <= 1e-6


def test_a_few_members_on_a_smooth_curve_take_two_looks() -> None:
    looks = []

    def f(x: np.ndarray) -> np.ndarray:
        looks.append(x.shape)
        return np.array([1.0, 20.0]) - np.sinh(x)

    root = falling_root(f, np.full(2, -5.0), np.full(2, 5.0), np.full(2, 1e-9))
    assert root.x == pytest.approx(np.arcsinh([1.0, 20.0]), abs=1e-9)
    assert len(looks) == 2


def test_a_bend_that_is_known_costs_no_look_more() -> None:
    """Straight and steep beyond it, curved before: with the bend among the points the piece before it is smooth."""
    looks: list[int] = []
    bend = np.full(1, 1.03)

    def f(x: np.ndarray) -> np.ndarray:
        looks.append(1)
        return 0.5 - np.exp(0.3 * np.minimum(x, bend)) + np.exp(0.306) - 40.0 * np.maximum(x - bend, 0.0)

    root = falling_root(f, np.full(1, -5.0), np.full(1, 5.0), np.full(1, 1e-9), (bend,)).x
    assert abs(f(root)[0]) <= 1e-9
    assert len(looks) == 3  # two, and this one


def test_a_large_ensemble_takes_the_other_road_to_the_same_roots() -> None:
    c = np.linspace(-3.0, 3.0, 1000)
    full = falling_root(lambda x: c - np.sinh(x), np.full(1000, -5.0), np.full(1000, 5.0), np.full(1000, 1e-14))
    assert full.x == pytest.approx(np.arcsinh(c), abs=1e-12)
    part = falling_root(lambda x: c[:3] - np.sinh(x), np.full(3, -5.0), np.full(3, 5.0), np.full(3, 1e-14))
    assert part.x == pytest.approx(full.x[:3], abs=1e-12)


def test_without_a_root_the_nearer_end_is_answered() -> None:
    low, high, enough = np.full(2, 0.0), np.full(2, 1.0), np.full(2, 1e-12)
    root = falling_root(lambda x: np.array([5.0, -5.0]) - x, low, high, enough)
    assert root.x.tolist() == [1.0, 0.0]
    assert root.at_high.tolist() == [4.0, -6.0]


def test_leading_axes() -> None:
    c = np.array([[1.0, 2.0, 3.0], [4.0, 5.0, 6.0]])
    root = falling_root(lambda x: c - x**3, np.zeros((2, 3)), np.full((2, 3), 3.0), np.full(3, 1e-13))
    assert root.x == pytest.approx(np.cbrt(c), abs=1e-12)
