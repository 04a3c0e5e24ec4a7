"""The sentences of a refill carry the numbers that they were given, and say when something cannot be."""

from __future__ import annotations

import numpy as np
import pytest

from engcalc.properties.coolant import Base
from engcalc.studies.refill import (
    FilledSystem,
    Joint,
    expansion,
    protection,
    refill,
    refractometer,
)
from engcalc.units import UnitSystem as Units
from engcalc.words.workshop import refill_words as words


def one(value: float) -> np.ndarray:
    return np.full(1, value)


def test_a_refill_by_the_mixing_rule():
    # 10 L at 30 % to 50 % with concentrate: d = 10 (0.5 - 0.3)/(1 - 0.3) = 2.857 L, a school sum
    found = refill(FilledSystem(one(10e-3), one(10e-3), one(0.3)), one(0.5), one(1.0))
    assert (
        words.refill_sentence(found, 0.5, 1.0, Units.SI)
        == "Let 2.9 L out, then fill in 2.9 L of concentrate: the full system is then at 50 %."
    )
    assert "3 qt" in words.refill_sentence(found, 0.5, 1.0, Units.US)  # 2.857 L / 0.9464 L


def test_what_cannot_be_reached_is_said_with_the_best_that_can():
    found = refill(FilledSystem(one(10e-3), one(8e-3), one(0.2)), one(0.6), one(0.5))
    said = words.refill_sentence(found, 0.6, 0.5, Units.SI)
    assert said.startswith("60 % cannot be reached this way.")
    assert "premix of 50 %" in said


def test_above_sixty_per_cent_nothing_is_answered_silently():
    stands = protection(Base.ETHYLENE, one(0.8), one(1e5), one(0.0))
    assert "above 60 %" in words.protection_sentence(stands, 0.8, Base.ETHYLENE, Units.SI)


def test_a_mixture_stands_what_the_handbook_says():
    # first ice at -37 degC for 50 % ethylene glycol by volume: ASHRAE Fundamentals, chapter 31, freezing points of
    # aqueous ethylene glycol (-37.1 degC to the nearest tenth, from memory); whole degrees here
    stands = protection(Base.ETHYLENE, one(0.5), one(1.1e5), one(0.0))
    assert "first ice forms at -37 °C" in words.protection_sentence(stands, 0.5, Base.ETHYLENE, Units.SI)


def test_the_wrong_scale_is_named():
    found = refractometer(one(243.15), Base.ETHYLENE, Base.PROPYLENE)
    said = words.reading_sentence(found, Base.ETHYLENE, Base.PROPYLENE, Units.SI)
    assert said.startswith("Read on the scale of ethylene glycol, but the coolant is propylene glycol")
    right = refractometer(one(243.15), Base.ETHYLENE, Base.ETHYLENE)
    assert words.reading_sentence(right, Base.ETHYLENE, Base.ETHYLENE, Units.SI).startswith("The reading stands for")
    off = refractometer(one(203.15), Base.ETHYLENE, Base.ETHYLENE)
    assert "check the instrument with water" in words.reading_sentence(off, Base.ETHYLENE, Base.ETHYLENE, Units.SI)


@pytest.mark.parametrize(
    ("amount", "spread", "said"), [(0.5e-3, 1e-3, "lets up to 1.5 L run out"), (6e-3, 1e-3, "lets 5 L to 7 L run out")]
)
def test_before_a_joint_is_opened(amount, spread, said):
    assert said in words.drain_sentence(Joint.LOWER_HOSE, amount, spread, Units.SI)


def test_expansion_and_air():
    # water from 20 to 100 degC: 998.2/958.4 - 1 = 4.15 % (CRC Handbook densities), of 10 L 0.42 L
    grown = expansion(Base.WATER, one(0.0), one(10e-3), one(293.15), one(373.15))
    assert "0.42 L" in words.expansion_sentence(float(grown[0]), 293.15, 373.15, Units.SI)
    assert words.released_sentence(0.3e-3, Units.SI).endswith("0.3 L of air came out.")
    assert "no air came out" in words.released_sentence(0.0, Units.SI)
    assert words.missing_sentence(0.8e-3, Units.SI).startswith("0.8 L of what came out has not gone in")
    assert words.missing_sentence(-0.5e-3, Units.SI).startswith("0.5 L more went in")
    assert words.missing_sentence(0.0, Units.SI) == "As much went in as had come out."
    assert "at most 0.2 L" in words.pressed_sentence(0.2e-3, Units.SI)
    assert "no air to speak of" in words.pressed_sentence(0.0, Units.SI)
