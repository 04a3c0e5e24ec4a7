"""Settled by the asymptote of an exponential whose answer is known, and never by a record that still rises."""

from __future__ import annotations

import numpy as np
import pytest

from engcalc.vehicle.settling import RecordEnd, settlement

TAU, START, END = 500.0, 273.15, 361.15  # s, K, K


def curve(length: float, noise: float = 0.0, rounded: bool = False) -> tuple[np.ndarray, np.ndarray]:
    t = np.arange(0.0, length + 1.0, 1.0)
    T = END + (START - END) * np.exp(-t / TAU) + noise * np.random.default_rng(4).normal(size=t.size)
    return t, np.round(T) if rounded else T


@pytest.mark.parametrize("rounded", [False, True])
def test_a_whole_exponential_settles_at_its_asymptote(rounded: bool) -> None:
    found = settlement(*curve(6.0 * TAU, rounded=rounded))
    assert found.end is RecordEnd.SETTLED
    assert found.temperature == pytest.approx(END, abs=0.6 if rounded else 0.05)  # K; whole degrees err by half a one


@pytest.mark.parametrize("length", [0.8 * TAU, 1.5 * TAU, 2.5 * TAU])
def test_one_that_still_rises_has_not_settled(length: float) -> None:
    found = settlement(*curve(length, rounded=True))
    assert found.end is not RecordEnd.SETTLED
    assert found.temperature is None


def test_what_it_is_on_its_way_to_is_told_where_the_bend_shows() -> None:
    found = settlement(*curve(2.5 * TAU))
    assert found.end is RecordEnd.RISING
    assert found.asymptote == pytest.approx(END, abs=1.0)


def test_a_straight_rise_has_no_end_yet() -> None:
    t = np.arange(0.0, 900.0, 5.0)
    assert settlement(t, 273.15 + 0.05 * t).end is RecordEnd.RISING
    assert settlement(t, 373.15 - 0.05 * t).end is RecordEnd.FALLING


def test_one_that_swings_about_a_level_has_settled_at_the_level() -> None:
    t = np.arange(0.0, 2400.0, 5.0)
    T = np.minimum(263.15 + 0.15 * t, 361.15) + np.where(t > 700.0, 2.0 * np.sin(t / 15.0), 0.0)
    found = settlement(t, T)
    assert found.end is RecordEnd.SETTLED
    assert found.temperature == pytest.approx(361.15, abs=0.5)


def test_a_short_record_says_nothing() -> None:
    assert settlement(*curve(200.0)).end is RecordEnd.SHORT
    assert settlement(np.array([0.0, 600.0]), np.array([280.0, 290.0])).end is RecordEnd.SHORT
