"""Driven patterns: their statistics against those of the public cycle that they stand for, and what they do not do."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engcalc.system.in_time.patterns import MIXED, PATTERNS, driven, grade_of_acceleration, likely_ways, one_round
from engcalc.units import Array

KM_H = 3.6
# Of the WLTC class 3b, UN GTR No. 15 Annex 1, from its one-second trace: mean speed with stops [km/h], share of the
# time at a stop, mean positive power at the wheels [kW] of a car of 1500 kg, c_rr 0.011, c_d A 0.68 m2, rotating mass
# 3 %.
# A country road is Medium and High together, by their seconds.
PHASES = {"town": (18.9, 0.254, 2.2), "country road": (48.3, 0.088, 6.2), "motorway": (92.0, 0.022, 15.4)}


def wheel_power(speeds: Array) -> Array:
    """Power at the wheels [kW] of that car."""
    pull = 1500.0 * 9.81 * 0.011 + 0.5 * 1.2 * 0.68 * speeds**2 + 1500.0 * 1.03 * np.gradient(speeds)
    return np.asarray(pull * speeds / 1e3)


@pytest.mark.parametrize("word", PATTERNS)
def test_a_pattern_has_the_statistics_of_its_phase(word: str) -> None:
    speeds, (mean, stopped, power) = one_round(word), PHASES[word]
    # 8 %: invented hops; the cycles of one name differ by far more (town 17.7 to 31.5 km/h, WLTC, Artemis and UDDS)
    assert KM_H * speeds.mean() == pytest.approx(mean, rel=0.08)
    assert np.mean(speeds < 0.1 / KM_H) == pytest.approx(stopped, abs=0.02)
    assert np.maximum(wheel_power(speeds), 0.0).mean() == pytest.approx(power, rel=0.10)


def test_a_drive_asks_for_more_than_its_mean_speed_held() -> None:
    """WLTC class 3b, the same car: 1.3 to 1.7 times at the mean moving speed (2.2/1.3, 6.2/3.7, 15.4/11.5)."""
    for word, (low, high) in {"town": (1.4, 2.0), "country road": (1.3, 1.9), "motorway": (1.1, 1.5)}.items():
        speeds = one_round(word)
        moving = speeds[speeds > 0.0].mean()
        steady = wheel_power(np.full(10, moving)).mean()
        assert low < np.maximum(wheel_power(speeds), 0.0).mean() / steady < high


def test_standing_is_standing_and_a_mixed_drive_has_every_part() -> None:
    assert driven("idling", 100.0).tolist() == [0.0] * 100
    whole = driven("mixed", 10_000.0)
    rounds = [one_round(part) for part in MIXED]
    np.testing.assert_array_equal(whole[: len(rounds[0])], rounds[0])
    assert whole.max() == max(r.max() for r in rounds)


def test_what_goes_no_faster_is_cut_to_its_speed() -> None:
    assert KM_H * driven("motorway", 600.0, 85.0).max() == pytest.approx(85.0)


@given(st.sampled_from([*PATTERNS, "mixed", "idling"]), st.floats(1.0, 7200.0))
def test_no_drive_brakes_or_speeds_up_as_no_vehicle_does(word: str, duration: float) -> None:
    speeds = driven(word, duration)
    assert len(speeds) == max(1, round(duration))
    assert np.all(speeds >= 0.0)
    grades = grade_of_acceleration(speeds)
    assert np.all(np.isfinite(grades))
    assert np.abs(grades).max() < 0.13  # 1.2 m/s2; the hardest of the WLTC is 1.67


def test_the_force_of_an_acceleration_is_that_of_its_grade() -> None:
    """m a with 5 % for what turns, as m g sin of the slope; ISO 80000-3 for g."""
    grade = grade_of_acceleration(np.arange(0.0, 10.0, 0.5))[5]
    assert 9.80665 * np.sin(np.arctan(grade)) == pytest.approx(1.05 * 0.5, rel=1e-12)


def test_ways_that_nobody_noted_are_all_carried() -> None:
    ways = dict(likely_ways("unknown"))
    assert set(ways) == {"idling", "town", "country road", "motorway"}
    assert sum(ways.values()) == pytest.approx(1.0)
    assert dict(likely_ways("town")) == {"town": 1.0}


def test_a_cold_vehicle_leaves_the_town_first() -> None:
    """Mean speed of the first five minutes of fourteen real trips: 5 to 25 km/h, whatever came then."""
    for word in ("town", "country road", "motorway", "mixed"):
        assert 5.0 < KM_H * driven(word, 1800.0)[:240].mean() < 25.0
    assert KM_H * driven("motorway", 1800.0)[600:].mean() > 85.0
