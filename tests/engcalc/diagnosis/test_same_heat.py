"""Two warm-ups at the same heat put in, against drives whose heat is a straight line."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from engcalc.diagnosis.repair.same_heat import same_heat
from engcalc.units import UnitSystem
from engcalc.words.diagnosis.proof_words import _at_same_heat


def record(power: float, rise: float, lasts: float = 600.0, first: float = 0.0, stands: float = 0.0) -> Any:
    """A course that rises evenly [K/s] from 280 K at an even power [W]; the engine stands for the first seconds."""
    time = np.arange(0.0, lasts + 1.0)
    curve = np.arange(first, lasts + 1.0, 10.0)
    metal = np.maximum(time - stands, 0.0) * power
    measured = SimpleNamespace(time=curve, T=280.0 + rise * np.maximum(curve, 0.0))
    return SimpleNamespace(measured=measured, fuel=SimpleNamespace(time=time, metal=metal[:, None]))


def test_twice_the_heat_is_the_run_before_at_twice_the_time():
    found = same_heat(record(5e3, 0.02), record(10e3, 0.1, first=-20.0))
    assert found is not None
    assert found.time[-1] == 300.0  # by then the run before had taken all that it took
    assert found.time_before == pytest.approx(2.0 * found.time)
    assert found.before == pytest.approx(280.0 + 0.04 * found.time)
    assert found.after == pytest.approx(310.0)
    assert found.ratio == pytest.approx(2.0)
    assert found.drives_differ


@pytest.mark.parametrize(("ratio", "differ"), [(1.09, False), (1.11, True), (0.89, True), (0.91, False)])
def test_drives_differ_from_a_tenth_on(ratio, differ):
    found = same_heat(record(5e3, 0.02), record(5e3 * ratio, 0.02))
    assert found is not None
    assert found.drives_differ is differ


def test_the_same_drive_is_the_same_time():
    found = same_heat(record(5e3, 0.02), record(5e3, 0.1, lasts=200.0))
    assert found is not None
    assert found.time_before == pytest.approx(found.time)
    assert found.time[-1] == 200.0
    assert _at_same_heat(found, UnitSystem.SI) == ()


def test_an_engine_that_stood_had_taken_no_heat():
    found = same_heat(record(5e3, 0.02, stands=100.0), record(5e3, 0.02))
    assert found is not None
    assert found.time_before[1:] == pytest.approx(found.time[1:] + 100.0)


def test_without_a_course_there_is_nothing_to_lay_over():
    none = SimpleNamespace(measured=None)
    assert same_heat(none, record(5e3, 0.02)) is None
    assert same_heat(record(5e3, 0.02), none) is None


def test_it_is_said_with_both_times():
    said = _at_same_heat(same_heat(record(5e3, 0.02), record(10e3, 0.1)), UnitSystem.SI)
    assert said[0].startswith("The drive after the repair put 2 times as much heat")
    assert said[1] == (
        "At the same heat put in (10 min before, 5 min after) the coolant was at 19 °C before and at 37 °C after."
    )
