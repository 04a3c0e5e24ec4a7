"""Pump against the affinity laws."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from engcalc.components.pump import Pump, PumpDrive, head_factors, pump_speed


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
        pump_pressure(PUMP, one(80.0), one(1e-3), RHO) / 2.0)


def test_belt_follows_the_engine_and_an_electric_pump_does_not() -> None:
    n = np.array([0.0, 13.0, 100.0])
    assert pump_speed(PUMP, n) == pytest.approx(1.2 * n)
    assert pump_speed(replace(PUMP, drive=PumpDrive.ELECTRIC), n) == pytest.approx([80.0, 80.0, 80.0])


def test_a_tenth_of_air_halves_the_head() -> None:
    """Common practice, no source: the exponent is chosen so (0.9^6 = 0.531)."""
    airy = replace(PUMP, aeration=one(0.1))
    assert pump_pressure(airy, one(80.0), one(0.0), RHO)[0] == pytest.approx(0.5314 * 130e3, rel=1e-4)
