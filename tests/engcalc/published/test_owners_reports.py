"""Warm-ups of petrol cars under way, as owners logged them: what the model says must leave room for them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from engcalc.case.case import Case
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.system.in_time.warmup import warm_up
from engcalc.system.plant import prepare
from engcalc.vehicle.run import run_of

K0 = 273.15


def run(heater: str, **step: str) -> Case:
    """A small turbo petrol car of 74 kW that starts at 0 degC."""
    record = {
        "ambient": "0 degC",
        "start_temperature": "0 degC",
        "heater_setting": heater,
        "schedule": [{"duration": "30 min", "heater": heater, **step}],
    }
    engine = {"fuel": "petrol", "displacement": "1.15 L", "aspiration": "turbo", "rated_power": "74 kW"}
    found = resolve(
        CaseText(
            {"format": FORMAT, "vehicle": {"class": "small car"}, "engine": engine, "evidence": {"before": record}}
        )
    )
    assert isinstance(found, Case), found
    return found


def time_to(degC: float, case: Case) -> float:
    """Minutes to a temperature; infinite if never."""
    warmed = warm_up(prepare(case), run_of(case, "before", {}).drive, 5.0)
    return float(warmed.time_to(degC + K0)[0]) / 60.0


def test_a_small_car_in_town_at_freezing_is_warm_after_thirteen_minutes() -> None:
    """An owner's log: petrol 1.2 L turbo, 0 degC, town of 50 km/h, conditioned cabin: "about 13 minutes and 8 km to
    fully warm the engine coolant" (pmitev.blogspot.com, February 2013). How far the heater was on is not told, so that
    the time must lie between that with a low and that with a high setting."""
    low, high = (time_to(80.0, run(heater, driving="town")) for heater in ("low", "high"))
    assert low < 13.0 < high


def test_a_small_car_idles_warm_in_frost_after_seventeen_minutes() -> None:
    """An owner's log: petrol of 993 cm3, -7 degC, idling, nothing switched on: 17 min to 195 degF (metrompg.com,
    "Mini-experiment: cold start fuel consumption and warm-up time", March 2006). A valve of the class holds 86 degC and
    more. The model was not fitted to it."""
    record = {
        "ambient": "-7 degC",
        "start_temperature": "-7 degC",
        "heater_setting": "off",
        "schedule": [{"duration": "30 min", "heater": "off", "vehicle_speed": "0 km/h"}],
    }
    tree = {
        "format": FORMAT,
        "vehicle": {"class": "small car"},
        "engine": {"fuel": "petrol", "displacement": "0.993 L"},
        "evidence": {"before": record},
    }
    found = resolve(CaseText(tree))
    assert isinstance(found, Case), found
    assert time_to(86.0, found) == pytest.approx(17.0, abs=2.5)


@pytest.mark.parametrize(("speed", "heats"), [("0 km/h", True), ("60 km/h", False)])
def test_late_ignition_heats_an_idling_engine_only(speed: str, heats: bool) -> None:
    """A maker's monitor of catalyst heating asks for a closed throttle (code P050A, petrol 2.0 L, 2016). A driver who
    asks for power gets it."""
    case = run("off", vehicle_speed=speed)
    plant, drive = prepare(case), run_of(case, "before", {}).drive
    never = replace(plant, engine=replace(plant.engine, catalyst_fuel=np.zeros(1)))
    late, without = (float(warm_up(p, drive, 1.0).coolant[60, 0]) for p in (plant, never))
    if heats:
        assert late > without + 2.0
    else:
        assert late == without
