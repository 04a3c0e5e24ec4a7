"""Heat balances of engine trials printed in textbooks, closed by the engine of this program.

Each trial is put to the program by what its people measured: speed, brake power (and indicated power where known), fuel
and its heating value, cooling water and its rise. The program then gives fuel power, efficiencies, heat to the jacket
and what is left over. What is left over is compared with the sum of all that the book lists besides brake and jacket:
exhaust, radiation, unaccounted. The program has no calorimeter for exhaust gas, so that it cannot split that sum.

The books' numbers are those of the worked examples as their readers transcribed them for the Python Textbook Companion.
Slips in print are named beside the trial. A kilocalorie is the international one of 4,186.8 J: the books count 632 of
them for one metric horsepower hour.
"""

from __future__ import annotations

import numpy as np
import pytest

from engcalc.components.engine import Load, engine_heat, friction_power, prepare_engine
from engcalc.properties.coolant import Base, CoolantMixture
from worked_examples.published.engine_trials import (
    CP_OF_THE_BOOKS,
    INLET,
    TRIALS,
    WARM,
    Trial,
    case_of,
    engine_of,
    heat_of,
)

BY_NAME = pytest.mark.parametrize("trial", TRIALS, ids=lambda trial: trial.name)


@BY_NAME
@pytest.mark.parametrize("by_fuel", [True, False])
def test_the_balance_is_the_printed_one(trial: Trial, by_fuel: bool) -> None:
    heat = heat_of(engine_of(trial), trial, by_fuel=by_fuel)
    assert heat.fuel_power[0] == pytest.approx(trial.printed_fuel[0], abs=trial.printed_fuel[1])
    assert heat.brake_power[0] / heat.fuel_power[0] == pytest.approx(
        trial.printed_efficiency[0], abs=trial.printed_efficiency[1]
    )
    water = CP_OF_THE_BOOKS * trial.printed_jacket[0]
    assert heat.heat_to_metal[0] == pytest.approx(trial.printed_jacket[0], abs=trial.printed_jacket[1] + water)
    left = heat.heat_exhaust[0] + heat.heat_rest[0]
    assert left == pytest.approx(trial.printed_rest[0], abs=trial.printed_rest[1] + water)
    assert not heat.balance_impossible[0]


@pytest.mark.parametrize("trial", [t for t in TRIALS if t.indicated], ids=lambda trial: trial.name)
def test_indicated_and_mechanical_efficiency_are_the_printed_ones(trial: Trial) -> None:
    engine = engine_of(trial)
    heat = heat_of(engine, trial, by_fuel=True)
    friction = friction_power(engine, np.array([trial.speed]), WARM)
    if trial.printed_indicated_efficiency:
        printed, within = trial.printed_indicated_efficiency
        assert heat.indicated_efficiency[0] == pytest.approx(printed, abs=within)
    if trial.printed_mechanical_efficiency:
        printed, within = trial.printed_mechanical_efficiency
        assert trial.brake / (trial.brake + friction[0]) == pytest.approx(printed, abs=within)


@pytest.mark.parametrize(("share", "efficiency", "printed"), [("32 %", "25 %", 3668.50), ("28 %", "30 %", 2674.95)])
def test_cooling_water_for_a_share_of_the_fuel(share: str, efficiency: str, printed: float) -> None:
    # Rajput Ex. 15.1, p. 499: 90 kW at the brake, a petrol and a diesel engine, water to rise by 27 K; kg/h
    engine = prepare_engine(
        case_of(rated_power="90 kW", brake_thermal_efficiency=efficiency, coolant_share_rated=share)
    )
    one, no = np.ones(1), np.zeros(1, dtype=bool)
    heat = engine_heat(engine, Load(engine.rated_speed, 90e3 * one, 0.0 * one, np.nan * one, no, no, no), WARM)
    water = CoolantMixture(Base.WATER, np.zeros(1)).state(np.array([INLET + 13.5]))
    assert heat.heat_to_metal[0] / (water.cp[0] * 27.0) * 3600.0 == pytest.approx(printed, rel=CP_OF_THE_BOOKS)
