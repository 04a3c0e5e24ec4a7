"""Coolers ahead of the radiator: each gives off what it cools, by the duty."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from engcalc.case.case import Case
from engcalc.case.conditions import conditions_of
from engcalc.case.resolve import Faults, resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.components.charge_air import charge_air, cooler_heat
from engcalc.system.drive import steady_drive
from engcalc.system.operating_point import solve
from engcalc.system.plant import prepare
from engcalc.system.state import OperatingPoint
from engcalc.system.warmup import warm_up

HEAVY = {"brake_power": "165 kW", "engine_speed": "5600 rpm", "vehicle_speed": "150 km/h", "ambient": "25 degC"}


def case_of(upstream: list[dict[str, str]], duties: list[dict[str, str]], **sections: Any) -> Case:
    case = resolve(
        CaseText(
            {
                "format": FORMAT,
                "vehicle": {"class": "large car"},
                "duties": duties,
                "engine": {"rated_power": "165 kW", "rated_speed": "5600 rpm", **sections.pop("engine", {})},
                "airflow": {"upstream": upstream, **sections.pop("airflow", {})},
                **sections,
            }
        )
    )
    assert isinstance(case, Case), case
    return case


def answer(case: Case) -> OperatingPoint:
    return solve(prepare(case), conditions_of(case.duties))


def test_a_condenser_is_warm_only_while_the_air_conditioning_is_on() -> None:
    """Issue 10, 5 c: in frost the air at the core stood at 35 degC, from a condenser that does not run there."""
    condenser = [{"kind": "condenser", "heat": "6 kW"}]
    weathers = ("-15 degC", "15 degC", "20 degC", "25 degC", "40 degC")
    duties = [{"vehicle_speed": "50 km/h", "ambient": T} for T in weathers]
    by_weather = answer(case_of(condenser, duties))
    assert by_weather.upstream_heat == pytest.approx([0.0, 0.0, 3000.0, 6000.0, 6000.0], abs=1.0)
    assert by_weather.air_in[0] == pytest.approx(258.15, abs=0.3)  # but for what comes round again
    for word, heat in (("on", 6000.0), ("off", 0.0)):
        assert answer(
            case_of(condenser, [{**d, "air_conditioning": word} for d in duties])
        ).upstream_heat == pytest.approx(heat)


def test_charge_air_follows_boost() -> None:
    """Ideal gas and an isentropic compressor of 70 %, written out for 45 kg/h at 5,600 rpm (Heywood 1988, 6.8.1)."""
    case = case_of(
        [{"kind": "charge air", "effectiveness": "80 %"}],
        [{**HEAVY, "fuel_flow": "45 kg/h"}, {**HEAVY, "brake_power": "20 kW"}, {}],
    )
    point, engine = answer(case), prepare(case).engine
    m = 45.0 / 3600.0 * engine.stoichiometric_ratio
    ratio = m * 287.05 * 318.15 / (0.9 * 2.5e-3 * 5600.0 / 60.0 / 2.0 * 101325.0)
    rise = 298.15 * (ratio ** (0.4 / 1.4) - 1.0) / 0.7
    assert 1.4 < ratio < 2.2
    assert point.upstream_heat[0] == pytest.approx(0.8 * m * 1006.0 * rise, rel=1e-6)
    assert point.upstream_heat[1:] == pytest.approx(0.0)  # no boost, no heat
    air = charge_air(engine, point.fuel_power, point.engine_speed, np.full(3, 298.15), np.zeros(3))
    assert cooler_heat(air, np.full(1, 0.8))[0] == pytest.approx(point.upstream_heat[0])
    thin = charge_air(engine, point.fuel_power, point.engine_speed, np.full(3, 298.15), np.full(3, 2000.0))
    assert thin.pressure_ratio[0] > air.pressure_ratio[0]  # the same air out of thinner air


def test_a_stated_heat_is_that_at_rated_power() -> None:
    duties = [HEAVY, {**HEAVY, "brake_power": "60 kW"}, {"ambient": "25 degC"}]
    charge = answer(case_of([{"kind": "charge air", "heat": "9 kW"}], duties)).upstream_heat
    assert charge[0] == pytest.approx(9000.0, rel=1e-3)
    assert charge[1:] == pytest.approx(0.0)
    oil = answer(case_of([{"kind": "oil", "heat": "5 kW"}], duties))
    metal = oil.heat_to_metal / oil.heat_to_metal[0]
    assert oil.upstream_heat == pytest.approx(5000.0 * metal, rel=0.1)  # counts with oil of 90 degC throughout
    assert oil.upstream_heat[0] == pytest.approx(5000.0, rel=1e-3)
    old = answer(case_of([{"name": "as old cases have it", "heat": "5 kW"}], duties)).upstream_heat
    assert old[:2] == pytest.approx(5000.0)


def test_an_engine_that_draws_its_air_by_itself_has_no_charge_air_to_cool() -> None:
    faults = resolve(
        CaseText(
            {"format": FORMAT, "engine": {"aspiration": "natural"}, "airflow": {"upstream": [{"kind": "charge air"}]}}
        )
    )
    assert isinstance(faults, Faults)
    assert [f.path for f in faults.faults] == ["airflow.upstream[0].kind"]


@pytest.mark.parametrize("kind", ["condenser", "charge air", "oil", "constant"])
def test_a_warm_up_ends_where_the_duty_does(kind: str) -> None:
    duties = [{**HEAVY, "brake_power": "130 kW", "ambient": "30 degC", "fan": "on"}]
    case = case_of([{"kind": kind, "heat": "8 kW"}], duties, thermostat={"hysteresis": "0 K"})
    plant, conditions = prepare(case), conditions_of(case.duties)
    point = solve(plant, conditions)
    assert point.upstream_heat[0] > 2000.0
    w = warm_up(plant, steady_drive(conditions, point.coolant_out + 2.0, 1800.0))
    assert w.coolant[-1] == pytest.approx(point.coolant_out, abs=0.1)  # K; our own bound


def test_hotter_air_never_makes_it_cooler() -> None:
    kinds = [{"kind": "condenser", "heat": "6 kW"}, {"kind": "charge air"}, {"kind": "oil", "heat": "3 kW"}]
    climb = {"vehicle_speed": "60 km/h", "grade": "9 %", "fan": "on"}
    duties = [{**climb, "ambient": f"{T} degC"} for T in range(5, 45, 2)]
    assert np.all(np.diff(answer(case_of(kinds, duties)).coolant_out) > -1e-6)
