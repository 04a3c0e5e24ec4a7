"""Thermostat: lift, stops, leak, play and what they open."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engcalc.components.thermostat import (
    Bypass,
    ThermostatKind,
    ThermostatSide,
    Valve,
    bypass_passage,
    lift,
    passage,
)


def one(x: float) -> np.ndarray:
    return np.full(1, x)


VALVE = Valve(
    ThermostatKind.WAX,
    ThermostatSide.OUTLET,
    Bypass.CLOSING,
    False,
    False,
    one(355.15),
    one(368.15),
    one(5.0),
    one(0.005),
    one(0.0),
    one(1.0),
    one(10.0),
)


def test_lift_between_start_and_full() -> None:
    """A service manual's valve: starts at 82, open at 95 degC; the straight line between is common practice."""
    T = np.array([300.0, 355.15, 361.65, 368.15, 390.0])
    assert lift(VALVE, T) == pytest.approx([0.0, 0.0, 0.5, 1.0, 1.0])
    assert lift(VALVE, T, 5.0)[1] == pytest.approx(5.0 / 13.0)  # cooling branch: still open at the start temperature


@given(T=st.floats(200.0, 450.0), least=st.floats(0.0, 1.0), span=st.floats(0.0, 1.0), leak=st.floats(0.0, 1.0))
def test_lift_and_passages_stay_within_0_and_1(T: float, least: float, span: float, leak: float) -> None:
    most = least + span * (1.0 - least)
    stuck = replace(VALVE, least=one(least), most=one(most), leak=one(leak))
    s = lift(stuck, one(T))
    assert least <= s[0] <= most
    assert leak <= passage(stuck, s)[0] <= 1.0 + 1e-12
    assert 0.0 <= bypass_passage(stuck, s)[0] <= 1.0


def test_what_the_bypass_does() -> None:
    s = np.array([0.0, 0.25, 1.0])
    assert bypass_passage(VALVE, s) == pytest.approx([1.0, 0.75, 0.0])
    assert bypass_passage(replace(VALVE, bypass=Bypass.FIXED), s) == pytest.approx([1.0, 1.0, 1.0])
    assert bypass_passage(replace(VALVE, bypass=Bypass.NONE), s) == pytest.approx([0.0, 0.0, 0.0])


def test_a_missing_valve_leaves_radiator_and_closing_bypass_open() -> None:
    missing = replace(VALVE, kind=ThermostatKind.MISSING)
    s = lift(missing, np.array([250.0, 400.0]))
    assert s == pytest.approx([1.0, 1.0])
    assert bypass_passage(missing, s) == pytest.approx([1.0, 1.0])
