"""Pump against the affinity laws."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from engcalc.components.pump import Pump, PumpDrive, head_factors, pump_speed, suction_needed


def one(x: float) -> np.ndarray:
    return np.full(1, x)


def pump_pressure(pump: Pump, speed: np.ndarray, flow: np.ndarray, rho: np.ndarray) -> np.ndarray:
    head, fall = head_factors(pump, speed, rho)
    return head - fall * flow**2


PUMP = Pump(PumpDrive.BELT, one(1.2), one(80.0), one(130e3), one(1.3e10), one(1031.0), one(0.0))
RHO = one(1031.0)


def test_affinity_laws_at_2000_and_2400_rpm() -> None:
    """The affinity laws of pumps are the fan laws (AMCA 211, ISO 5801): flow 1.2, pressure 1.44, power 1.728."""
    V = one(1e-3)
    low, high = pump_pressure(PUMP, one(2000 / 60), V, RHO), pump_pressure(PUMP, one(2400 / 60), 1.2 * V, RHO)
    assert high / low == pytest.approx(1.44, rel=1e-12)
    assert 1.2 * high / low == pytest.approx(1.728, rel=1e-12)


def test_head_at_no_flow_and_density() -> None:
    assert pump_pressure(PUMP, one(80.0), one(0.0), RHO) == pytest.approx(130e3)
    assert pump_pressure(PUMP, one(80.0), one(1e-3), RHO / 2.0) == pytest.approx(
        pump_pressure(PUMP, one(80.0), one(1e-3), RHO) / 2.0
    )


def test_belt_follows_the_engine_and_an_electric_pump_does_not() -> None:
    n = np.array([0.0, 13.0, 100.0])
    assert pump_speed(PUMP, n) == pytest.approx(1.2 * n)
    assert pump_speed(replace(PUMP, drive=PumpDrive.ELECTRIC), n) == pytest.approx([80.0, 80.0, 80.0])


def test_a_loose_impeller_slips_where_it_takes_the_torque_that_friction_gives() -> None:
    """By the affinity laws (AMCA 211) the torque of an impeller goes with the square of its speed, so that friction
    which holds it up to 10 rev/s gives it 10 rev/s at any higher speed of the shaft, and head as at that speed."""
    loose = replace(PUMP, slips=one(10.0))
    assert pump_speed(loose, np.array([0.0, 5.0, 10.0 / 1.2, 40.0, 100.0])) == pytest.approx([0, 6, 10, 10, 10])
    assert pump_pressure(loose, pump_speed(loose, one(50.0)), one(0.0), RHO) == pytest.approx(130e3 * (10 / 80) ** 2)
    assert pump_speed(replace(loose, drive=PumpDrive.ELECTRIC), one(50.0)) == pytest.approx([80.0])


def test_a_tenth_of_air_halves_the_head() -> None:
    """Common practice, no source: the exponent is chosen so (0.9^6 = 0.531)."""
    airy = replace(PUMP, aeration=one(0.1))
    assert pump_pressure(airy, one(80.0), one(0.0), RHO)[0] == pytest.approx(0.5314 * 130e3, rel=1e-4)


def test_the_pressure_wanted_at_the_inlet_is_that_of_the_customary_suction_specific_speed() -> None:
    # NPSH [ft] = (rpm sqrt(US gal/min)/8500)^(4/3); the limit of 8500 from memory. 6000 rpm, 53 US gal/min: 8.88 ft
    pump = Pump(PumpDrive.BELT, one(1.2), one(83.0), one(1e5), one(1e9), one(1000.0), one(0.0))
    gallon, foot = 3.785411784e-3, 0.3048  # m3, m; exact
    needed = suction_needed(pump, one(100.0 / 1.2), one(53.0 * gallon / 60.0), one(1000.0))
    feet = (6000.0 * 53.0**0.5 / 8500.0) ** (4.0 / 3.0)
    assert needed[0] == pytest.approx(1000.0 * 9.80665 * feet * foot, rel=2e-3)  # 2733 is a rounded divisor
    twice = suction_needed(pump, one(200.0 / 1.2), one(106.0 * gallon / 60.0), one(1000.0))
    assert twice[0] / needed[0] == pytest.approx(4.0)  # pressures go with the square of the speed
