"""Fans against the fan laws and their limits."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engcalc.components.fan import (
    CLUTCH_LEAST,
    Fan,
    FanDrive,
    FanSide,
    engagement_at,
    fan_pressure,
    fan_pressure_slope,
    highest_flow,
    least_by_conditioning,
    speed_ratio,
)


def one(x: float) -> np.ndarray:
    return np.full(1, x)


FAN = Fan(
    FanDrive.ELECTRIC,
    FanSide.PULLER,
    one(0.8),
    one(240.0),
    one(2.0),
    one(371.15),
    one(366.15),
    one(377.15),
    one(372.15),
    one(0.6),
    one(0.6),
    False,
    one(90.0),
    None,
    one(0.8),
    one(0.25),
)


def test_fan_laws_at_2000_and_2400_rpm() -> None:
    """AMCA 211 and ISO 5801, fan laws: flow 1.2, pressure 1.44, air power 1.728 for 2000 -> 2400 rpm."""
    flow = one(0.3)
    low = fan_pressure(FAN, flow, one(1.0), one(1.2))
    high = fan_pressure(FAN, 1.2 * flow, one(1.2), one(1.2))
    assert high / low == pytest.approx(1.44, rel=1e-12)
    assert 1.2 * flow * high / (flow * low) == pytest.approx(1.728, rel=1e-12)


def test_pressure_goes_with_density() -> None:
    """ISO 5801: at the same speed and volume flow the pressure is proportional to density."""
    assert fan_pressure(FAN, one(0.3), one(1.0), one(0.9)) == pytest.approx(
        0.75 * fan_pressure(FAN, one(0.3), one(1.0), one(1.2))
    )


def test_ends_of_the_curve_are_the_stated_ones() -> None:
    assert fan_pressure(FAN, one(0.0), one(1.0), one(1.2)) == pytest.approx(240.0)
    assert fan_pressure(FAN, one(0.8), one(1.0), one(1.2)) == pytest.approx(0.0, abs=1e-12)


@given(ratio=st.floats(0.0, 1.5), a=st.floats(0.0, 3.0), b=st.floats(0.0, 3.0))
def test_pressure_falls_with_flow_and_a_driven_fan_only_resists(ratio: float, a: float, b: float) -> None:
    low, high = sorted((a, b))
    p_low, p_high = (fan_pressure(FAN, one(v), one(ratio), one(1.2))[0] for v in (low, high))
    assert p_high <= p_low
    if high > ratio * 0.8:
        assert p_high <= 0.0


@given(ratio=st.floats(0.0, 1.5), flow=st.floats(0.01, 3.0))
def test_slope_is_the_derivative(ratio: float, flow: float) -> None:
    if abs(flow - ratio * 0.8) < 1e-4:
        return  # the curve bends there
    step = 1e-6
    ends = (fan_pressure(FAN, one(flow + s), one(ratio), one(1.2))[0] for s in (step, -step))
    assert fan_pressure_slope(FAN, one(flow), one(ratio), one(1.2))[0] == pytest.approx(
        (next(ends) - next(ends)) / (2.0 * step), rel=1e-5, abs=1e-5
    )


def test_no_fan_no_pressure() -> None:
    for fan in (replace(FAN, drive=FanDrive.NONE), replace(FAN, count=one(0.0)), replace(FAN, free_flow=one(0.0))):
        assert fan_pressure(fan, one(0.5), one(1.0), one(1.2)) == 0.0


def test_drives() -> None:
    n, full = one(45.0), one(1.0)  # half of rated speed
    assert speed_ratio(FAN, n, full) == 1.0
    assert speed_ratio(replace(FAN, drive=FanDrive.FIXED), n, full) == pytest.approx(0.5)
    clutch = replace(FAN, drive=FanDrive.VISCOUS)
    assert speed_ratio(clutch, n / 2.0, full) == pytest.approx(0.5)
    assert speed_ratio(clutch, 2.0 * n, full) == pytest.approx(1.0)  # held
    ends = engagement_at(clutch, np.array([300.0, 366.15, 368.65, 371.15, 390.0]))
    assert ends == pytest.approx([CLUTCH_LEAST, CLUTCH_LEAST, (1.0 + CLUTCH_LEAST) / 2.0, 1.0, 1.0])


def test_advertised_flow_against_electric_power() -> None:
    """A parabola's best air power is 2/(3 sqrt 3) of stall pressure times free flow, at free flow over sqrt 3."""
    flow = np.linspace(0.0, 0.8, 20001)
    best = np.max(flow * fan_pressure(FAN, flow, one(1.0), one(1.2)))
    assert highest_flow(one(150.0), one(240.0))[0] / 0.8 == pytest.approx(0.55 * 150.0 / best, rel=1e-6)


def test_three_unlike_members_equal_three_single_ones() -> None:
    flow, ratio, rho = np.array([0.1, 0.9, 0.4]), np.array([1.0, 0.2, 0.0]), np.array([1.2, 0.9, 1.1])
    together = fan_pressure(FAN, flow, ratio, rho)
    alone = [fan_pressure(FAN, flow[i : i + 1], ratio[i : i + 1], rho[i : i + 1])[0] for i in range(3)]
    assert together.tolist() == alone


def test_a_pwm_fan_turns_the_faster_the_hotter_and_a_clutch_drags_along():
    T = np.array([300.0, 366.15, 368.65, 371.15, 390.0])
    pwm = replace(FAN, drive=FanDrive.PWM)
    assert engagement_at(pwm, T) == pytest.approx([0.0, 0.0, 0.5, 1.0, 1.0])
    assert engagement_at(pwm, T, 0.6) == pytest.approx([0.6, 0.6, 0.6, 1.0, 1.0])
    assert engagement_at(replace(FAN, drive=FanDrive.VISCOUS), T)[0] == 0.2


def test_an_air_conditioning_keeps_an_electric_fan_on_at_its_least_speed():
    runs = np.array([0.0, 0.3, 1.0])
    wanted = {
        FanDrive.ELECTRIC: 1.0,
        FanDrive.TWO_STAGE: 0.6,
        FanDrive.PWM: 0.6,
        FanDrive.VISCOUS: 0.0,
        FanDrive.FIXED: 0.0,
    }
    for drive, speed in wanted.items():
        assert least_by_conditioning(replace(FAN, drive=drive), runs).tolist() == [0.0, speed, speed]
        assert not least_by_conditioning(replace(FAN, drive=drive, with_conditioning=one(0.0)), runs).any()
    fast = replace(FAN, drive=FanDrive.TWO_STAGE, with_conditioning=one(0.8))
    assert least_by_conditioning(fast, runs).tolist() == [0.0, 1.0, 1.0]  # more than its low speed: its high one
