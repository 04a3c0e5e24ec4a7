"""What regulation and makers ask of a warm-up, put to the criterion and to the warm-up of a healthy engine.

Makers' figures are those of their service information on codes P0125, P0116 and P0128. They are limits of failure: a
healthy engine is quicker, so that they bound the simulated one from one side only. A maker's 'closed loop' temperature
is that from which mixture control works.

Not put to the program, for want of anything that it says on them: criteria for a start from hot and for a warm-up of
mostly idling (13 CCR 1968.2 (e)(10.3.1)(C)), a maker's own estimate of the coolant compared with the sensor second by
second, and the defrost and demist tests of (EU) 672/2010 and FMVSS 103, which ask for ice melted and not for kelvins.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from engcalc.case.case import Case
from engcalc.case.conditions import conditions_of
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.properties.fuel import FUELS, Fuel
from engcalc.system.in_time.drive import steady_drive
from engcalc.system.in_time.warmed import Warmup
from engcalc.system.in_time.warmup import warm_up
from engcalc.system.plant import prepare
from engcalc.vehicle.criterion import SWITCHED_OFF_BELOW, WarmFacts, WarmupOutcome, judge_warm_up, target
from engcalc.verdict import OVERCOOLED_BY, Verdict

ZERO = 273.15  # K


def case_of(**sections: Any) -> Case:
    case = resolve(CaseText({"format": FORMAT, **sections}))
    assert isinstance(case, Case), case
    return case


def fahrenheit(degrees: float) -> float:
    """Kelvins of a temperature in degF."""
    return (degrees - 32.0) / 1.8 + ZERO


@pytest.mark.parametrize("nominal", [160.0, 180.0, 195.0, 212.0])
def test_the_regulation_asks_for_20_degrees_fahrenheit_under_the_valve(nominal: float) -> None:
    # 13 CCR 1968.2 (9 November 2007), (e)(10.2.1)(A)(ii)
    case = case_of(thermostat={"rating": f"{nominal} degF"})
    assert target(case) == pytest.approx(fahrenheit(nominal - 20.0), abs=1e-6)


def test_a_monitor_may_rest_below_20_degrees_fahrenheit() -> None:
    # the same, (e)(10.3.1)(B): ambient at the start
    assert pytest.approx(fahrenheit(20.0), abs=5e-3) == SWITCHED_OFF_BELOW


@pytest.mark.parametrize(
    ("opens", "asked"),
    [
        (82.0, 71.0),  # Ford Expedition, 2021: 11 degC (20 degF) below the regulating temperature
        (80.0, 75.0),
        (84.0, 75.0),  # Toyota Solara 3.3 L and Lexus GS 300, 2006: 75 degC, valve opens at 80 to 84
        (82.0, 75.0),
    ],
)  # Suzuki XL-7, 2003: 75 degC within 15 min, regulated between 71 and 93
def test_no_maker_asks_for_less_than_the_regulation_does(opens: float, asked: float) -> None:
    case = case_of(thermostat={"start_to_open": f"{opens} degC", "full_open": f"{opens + 13.0} degC"})
    assert target(case) - ZERO <= asked + 0.5  # makers print whole degrees
    assert asked < opens


def facts_of(**changed: Any) -> WarmFacts:
    values: dict[str, Any] = {
        "within": 900.0,
        "reached": None,
        "ends": 1800.0,
        "healthy_share": 1.0,
        "settled": None,
        "healthy_end": 82.0 + ZERO,
        "healthy_low": 80.0 + ZERO,
        "excuses": (),
    }
    return WarmFacts(**{**values, **changed})


@pytest.mark.parametrize(
    ("minutes", "ends", "verdict", "outcome"),
    [
        (14.9, 20.0, Verdict.HOLDS, WarmupOutcome.IN_TIME),
        (15.1, 20.0, Verdict.OVERCOOLING, WarmupOutcome.LATE),
        (None, 20.0, Verdict.OVERCOOLING, WarmupOutcome.LATE),
        (None, 14.9, None, WarmupOutcome.NOT_YET),
    ],
)
def test_a_makers_75_degrees_within_15_minutes(
    minutes: float | None, ends: float, verdict: Verdict | None, outcome: WarmupOutcome
) -> None:
    # Suzuki XL-7, 2003, P0128: fails below 75 degC after 15 min
    case = case_of(limits={"warm_up_temperature": "75 degC", "warm_up_time": "15 min"})
    assert float(case.limits.warm_up_temperature[0]) == pytest.approx(75.0 + ZERO)
    within = float(case.limits.warm_up_time[0])
    judged = judge_warm_up(facts_of(within=within, reached=60.0 * minutes if minutes else None, ends=60.0 * ends))
    assert (judged.verdict, judged.outcome) == (verdict, outcome)


@pytest.mark.parametrize(("ends", "outcome"), [(14.9, WarmupOutcome.NOT_YET), (15.0, WarmupOutcome.NOT_IN_THIS_RUN)])
def test_a_record_that_still_grows_was_not_late(ends: float, outcome: WarmupOutcome) -> None:
    """That it was not warm within 20 minutes stood under a reading of three: no healthy vehicle is warm by then."""
    judged = judge_warm_up(facts_of(within=900.0, reached=None, ends=60.0 * ends, healthy_share=0.0))
    assert (judged.verdict, judged.outcome) == (None, outcome)


def test_a_makers_deviation_from_its_own_estimate() -> None:
    # Kia Soul, 2014, P0116: 10.5 K under or 10 K over the estimate is a fault. Ours is the regulation's 20 degF, half
    # a kelvin wider; both let 10 K under pass and call 11.5 K.
    assert pytest.approx(10.5, abs=0.6) == OVERCOOLED_BY
    for under, verdict in ((10.0, Verdict.HOLDS), (11.5, Verdict.OVERCOOLING)):
        judged = judge_warm_up(facts_of(reached=600.0, settled=82.0 + ZERO - under))
        assert judged.verdict is verdict


def warmed(case: Case, seconds: float) -> Warmup:
    conditions = conditions_of(case.duties)
    return warm_up(prepare(case), steady_drive(conditions, conditions.ambient, seconds), 1.0)


def pickup(celsius: float, air: float, seconds: float) -> Case:
    """A healthy 4.3 L engine in a light truck that draws in so much air [kg] evenly, a fifth of its fuel at the crank.

    Metal and coolant of the class in proportion to the size of the engine.
    """
    fuel = FUELS[Fuel.PETROL]
    flow = air / seconds / fuel.stoichiometric_ratio
    return case_of(
        vehicle={"class": "pickup"},
        engine={"displacement": "4.3 L", "rated_power": "140 kW", "fuel": "petrol", "metal_mass": "108 kg"},
        coolant={"volume": "12 L"},
        duties=[
            {
                "ambient": f"{celsius} degC",
                "vehicle_speed": "40 km/h",
                "fuel_flow": f"{3600.0 * flow} kg/h",
                "brake_power": f"{0.2 * flow * fuel.lower_heating_value} W",
            }
        ],
    )


@pytest.mark.parametrize(("celsius", "air", "seconds"), [(10.0, 1.6, 120.0), (-7.0, 4.5, 300.0)])
def test_a_healthy_engine_warms_by_the_air_it_draws_in(celsius: float, air: float, seconds: float) -> None:
    # Isuzu Hombre 4.3 L, 2000, P0125: fails under 20 degC after 2 min from 10 degC with 1,600 g of air drawn in, and
    # after 5 min from -7 degC with 4,500 g. The program's healthy engine of that size is warmer by then.
    w = warmed(pickup(celsius, air, seconds), seconds + 60.0)
    assert np.interp(seconds, w.time, w.sensor[:, 0]) > 20.0 + ZERO


@pytest.mark.parametrize("celsius", [0.0, -10.0, -20.0])
def test_a_healthy_engine_warms_while_it_idles(celsius: float) -> None:
    # Subaru Legacy 2.5 L turbo, 2012, P0125: the limit of failure is 451.056 s less 25.870 s for each degC of the
    # coldest coolant since the start, counted second by second at idle; at 17.4 degC nothing is left of it. Heater off.
    limit = 451.056 - 25.870 * celsius
    case = case_of(vehicle={"class": "large car"}, duties=[{"ambient": f"{celsius} degC", "heater": "off"}])
    w = warmed(case, 1200.0)
    assert w.time_to(451.056 / 25.870 + ZERO)[0] < limit
