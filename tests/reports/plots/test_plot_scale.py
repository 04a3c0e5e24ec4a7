"""Axes: every value inside, ticks at round numbers, units by their definitions."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engcalc.units import UnitSystem
from reports.plots.describe import Axis, LabelledPoint, Tone
from reports.plots.scale import axis, named_apart, round_ticks, shown, shown_one, tick_words

FINITE = st.floats(-1e6, 1e6, allow_nan=False)


@given(low=FINITE, width=st.floats(1e-3, 1e6))
def test_ticks_hold_the_range_are_even_and_few(low, width):
    ticks = round_ticks(low, low + width)
    step = ticks[1] - ticks[0]
    assert ticks[0] <= low + 1e-6 * step
    assert ticks[-1] >= low + width - 1e-6 * step
    assert 2 <= len(ticks) <= 9
    assert np.allclose(np.diff(ticks), step, rtol=1e-6, atol=1e-9)


@pytest.mark.parametrize(
    ("low", "high", "ticks"),
    [
        (71.2, 118.0, (70.0, 80.0, 90.0, 100.0, 110.0, 120.0)),
        (0.0, 1.0, (0.0, 0.2, 0.4, 0.6, 0.8, 1.0)),
        (-12.0, 3.0, (-12.5, -10.0, -7.5, -5.0, -2.5, 0.0, 2.5, 5.0)),
    ],
)
def test_round_ticks(low, high, ticks):
    assert round_ticks(low, high) == ticks


def test_one_value_gets_room_on_both_sides():
    ticks = round_ticks(88.0, 88.0)
    assert ticks[0] < 88.0 < ticks[-1]


@pytest.mark.parametrize(
    ("ticks", "words"),
    [
        ((0.0, 2.5, 5.0), ("0.0", "2.5", "5.0")),
        ((0.0, 0.25, 0.5), ("0.00", "0.25", "0.50")),
        ((-20.0, 0.0, 20.0), ("-20", "0", "20")),
        ((0.0, 0.2, 0.4), ("0.0", "0.2", "0.4")),
    ],
)
def test_tick_words_have_the_decimals_of_their_step(ticks, words):
    assert tick_words(Axis("x", "number", "", (ticks[0], ticks[-1]), ticks)) == words


def test_temperatures_in_both_systems():
    """0 degC is 273.15 K and 32 degF, 100 degC is 212 degF (definitions)."""
    assert shown([273.15, 373.15], "temperature", UnitSystem.SI) == pytest.approx([0.0, 100.0], abs=1e-9)
    assert shown([273.15, 373.15], "temperature", UnitSystem.US) == pytest.approx([32.0, 212.0], abs=1e-9)


def test_heat_in_us_units():
    """1 kW is 3412.1416 BTU(IT)/h: NIST SP 811 (2008), appendix B.9, 1 Btu_IT/h = 0.293 071 1 W."""
    assert shown_one(1000.0, "heat rate", UnitSystem.US) == pytest.approx(1000.0 / 0.2930711, rel=1e-6)


def test_an_axis_wants_no_value_that_is_not_finite():
    found = axis("x", "number", UnitSystem.SI, [1.0, math.nan, 3.0, math.inf])
    assert found.limits[0] <= 1.0
    assert 3.0 <= found.limits[1] < 10.0


def test_zero_can_be_wanted_on_the_axis():
    assert axis("x", "number", UnitSystem.SI, [40.0, 50.0], zero=True).limits[0] == 0.0


def test_shown_values_cannot_be_changed():
    with pytest.raises(ValueError, match="read-only"):
        shown([300.0], "temperature", UnitSystem.SI)[0] = 1.0


def test_what_rounding_leaves_is_no_span():
    """An axis from 0 to 6e-15 kW had ticks that were all alike, and its words ended the program."""
    ticks = round_ticks(0.0, 6.4e-15)
    assert len(set(ticks)) == len(ticks) >= 2
    assert tick_words(Axis("Heat", "heat rate", "kW", (ticks[0], ticks[-1]), ticks))


def test_names_that_would_lie_over_one_another_are_left_out():
    across = Axis("NTU", "number", "", (0.0, 2.0), (0.0, 1.0, 2.0))
    up = Axis("Effectiveness", "number", "", (0.0, 1.0), (0.0, 0.5, 1.0))
    spots = [
        LabelledPoint(x, y, name, Tone.INK) for x, y, name in ((0.5, 0.3, "a"), (0.55, 0.33, "b"), (0.5, 0.8, "c"))
    ]
    assert [spot.words for spot in named_apart(spots, across, up)] == ["", "b", "c"]
