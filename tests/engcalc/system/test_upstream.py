"""Coolers ahead of the radiator: each gives off what it cools, by the duty."""

from __future__ import annotations

from dataclasses import fields, replace
from typing import Any

import numpy as np
import pytest

from engcalc.case.case import Case
from engcalc.case.conditions import conditions_of, only_given
from engcalc.case.resolve import Faults, resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.components.charge_air import charge_air
from engcalc.components.engine import EngineHeat
from engcalc.system.balance import prepare_setting
from engcalc.system.in_time.drive import steady_drive
from engcalc.system.in_time.warmup import warm_up
from engcalc.system.operating_point import solve
from engcalc.system.plant import prepare
from engcalc.system.state import OperatingPoint
from engcalc.system.upstream import InStack, conductance_of, heats_of, stack_ahead, warmed_by

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
        [{"kind": "charge air", "conductance": "50 kW/K"}],  # ever so large: it takes all there is
        [{**HEAVY, "fuel_flow": "45 kg/h", "air_velocity": "60 m/s"}, {**HEAVY, "brake_power": "20 kW"}, {}],
    )
    point, engine = answer(case), prepare(case).engine
    m = 45.0 / 3600.0 * engine.stoichiometric_ratio
    ratio = m * 287.05 * 318.15 / (0.9 * 2.5e-3 * 5600.0 / 60.0 / 2.0 * 101325.0)
    rise = 298.15 * (ratio ** (0.4 / 1.4) - 1.0) / 0.7
    assert 1.4 < ratio < 2.2
    C_air = 101325.0 / (287.05 * 298.15) * 60.0 * prepare(case).core.face[0] * 1006.0
    taken = C_air * (1.0 - np.exp(-m * 1006.0 / C_air))  # of a conductance without bound, air mixed
    assert point.upstream_heat[0] == pytest.approx(taken * rise, rel=1e-3)
    assert point.upstream_heat[1:] == pytest.approx(0.0)  # no boost, no heat
    air = charge_air(engine, point.fuel_power, point.engine_speed, np.full(3, 298.15), np.zeros(3))
    assert air.rise[0] == pytest.approx(rise, rel=1e-6)
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


def stack(*coolers: tuple[float, bool, float, float, float]) -> tuple[InStack, ...]:
    """Coolers of (share of the face, beside, heat asked, K over the outside air, reach)."""
    return tuple(InStack(share, beside, asked, hot, reach) for share, beside, asked, hot, reach in coolers)


def test_coolers_ahead_warm_the_air_by_their_heat_over_its_capacity_rate() -> None:
    """An energy balance of the air, up to where what they cool would be 60 K hotter than outside."""
    capacity = np.array([3000.0, 1000.0, 101.0, 99.0, 0.0])
    warm = warmed_by(stack((1.0, False, 6000.0, 60.0, 1e9)), capacity)
    assert warm == pytest.approx([2.0, 6.0, 6000.0 / 101.0, 60.0, 60.0])
    assert warmed_by((), capacity) == pytest.approx(0.0)


@pytest.mark.parametrize("C_hot", [150.0, 1500.0])
def test_a_cooler_is_the_cross_flow_of_an_unmixed_stream_through_mixed_air(C_hot: float) -> None:
    """Against ``ht`` (Incropera & DeWitt, Table 11.3), with the smaller rate on either side."""
    from ht import effectiveness_from_NTU

    UA, C_air = 400.0, 900.0
    C_min, C_max = sorted((C_hot, C_air))
    subtype = "crossflow, mixed Cmax" if C_hot == C_min else "crossflow, mixed Cmin"
    effectiveness = effectiveness_from_NTU(UA / C_min, C_min / C_max, subtype)
    reach = C_hot * (1.0 - np.exp(-UA / C_hot))
    ((heat, before),) = heats_of(stack((0.5, False, 1e9, 80.0, reach)), np.array([2.0 * C_air]))
    assert heat == pytest.approx(effectiveness * C_min * 80.0, rel=1e-6)
    assert before == pytest.approx(0.0)
    found = conductance_of(np.array([effectiveness * C_min / C_hot]), np.array([C_hot]), np.array([C_air]))
    assert found == pytest.approx([UA], rel=1e-6)  # and back from what it takes of the hot stream


def test_a_cooler_behind_another_meets_its_warmed_air_and_one_beside_it_does_not() -> None:
    """Both heats by hand: a condenser of 8 kW over the whole face, then all of a conductance without bound."""
    C = np.array([1000.0])
    first = (0.4, False, 8000.0, 60.0, 1e9)
    behind = heats_of(stack(first, (0.6, False, 1e9, 80.0, 1e9)), C)
    beside = heats_of(stack(first, (0.6, True, 1e9, 80.0, 1e9)), C)
    assert behind[1] == pytest.approx((600.0 * (80.0 - 8.0), 8.0))
    assert beside[1] == pytest.approx((600.0 * 80.0, 0.0))
    assert warmed_by(stack(first, (0.6, True, 1e9, 80.0, 1e9)), C) == pytest.approx((8000.0 + 48000.0) / 1000.0)
    third = heats_of(stack(first, (0.6, True, 1e9, 80.0, 1e9), (1.0, False, 500.0, 60.0, 1e9)), C)[2]
    assert third == pytest.approx((500.0, 56.0))


def test_the_radiators_air_takes_up_what_the_stack_gives_off() -> None:
    """Energy, duty by duty: the air into the core is warmer by the sum of the heats over its capacity rate."""
    coolers = [
        {"kind": "condenser", "heat": "6 kW", "face_share": "50 %", "conductance": "120 W/K"},
        {"kind": "oil", "heat": "7 kW", "face_share": "50 %", "placed": "beside"},
        {"kind": "charge air", "face_share": "70 %", "effectiveness": "75 %"},
    ]
    dry = {"relative_humidity": "0 %", "air_conditioning": "on"}
    duties = [{**HEAVY, **dry, "air_velocity": f"{v} m/s"} for v in (1, 3, 9)]
    case = case_of(coolers, duties)
    point, setting = answer(case), prepare_setting(prepare(case), conditions_of(case.duties))
    C = np.array([1.0, 3.0, 9.0]) * 101325.0 / (287.05 * 298.15) * prepare(case).core.face * 1006.5
    rise = point.air_in - 298.15
    assert rise == pytest.approx(point.upstream_heat / C, rel=3e-3)
    parts = np.array([heat + 0.0 * C for heat, _ in heats_of(setting.ahead, C)])
    assert point.upstream_heat == pytest.approx(parts.sum(axis=0), rel=3e-3)
    assert parts[0, 0] < 6000.0 - 1.0  # so little air and conductance: the condenser reaches its 60 K
    assert parts[0, 2] == pytest.approx(6000.0)
    assert np.all(np.diff(parts[2]) > 0.0)  # charge air is cooled the better the more air comes


def test_an_effectiveness_counts_at_rated_power_with_air_of_8_m_s() -> None:
    duties = [{"fuel_flow": "45 kg/h", **HEAVY}]
    case = case_of([{"kind": "charge air", "effectiveness": "70 %", "face_share": "60 %"}], duties)
    plant = prepare(case)
    rated = charge_air(plant.engine, plant.engine.fuel_rated, plant.engine.rated_speed, np.full(1, 298.15), np.zeros(1))
    load = replace(prepare_setting(plant, conditions_of(case.duties)).load, engine_speed=plant.engine.rated_speed)
    heat = EngineHeat(**{f.name: np.zeros(1) for f in fields(EngineHeat)})
    heat = replace(heat, fuel_power=plant.engine.fuel_rated)
    at_rated = only_given(ambient=np.full(1, 298.15), altitude=np.zeros(1))
    found = stack_ahead(plant.airway.upstream, plant.engine, load, heat, at_rated)
    ((taken, _),) = heats_of(found, 1.2 * 8.0 * plant.core.face * 1000.0)
    assert taken == pytest.approx(0.7 * rated.flow * 1006.0 * rated.rise, rel=1e-6)
    ((less, _),) = heats_of(found, 0.5 * 1.2 * 8.0 * plant.core.face * 1000.0)
    assert less < 0.97 * taken


def test_coolers_side_by_side_share_one_face() -> None:
    def faults_of(*coolers: dict[str, str]) -> list[str]:
        found = resolve(CaseText({"format": FORMAT, "airflow": {"upstream": list(coolers)}}))
        return [f.path for f in found.faults] if isinstance(found, Faults) else []

    half, rest = {"heat": "2 kW", "face_share": "55 %"}, {"heat": "2 kW", "face_share": "46 %", "placed": "beside"}
    assert faults_of(half, rest) == ["airflow.upstream[1].face_share"]
    assert faults_of(half, {**rest, "face_share": "45 %"}) == []
    assert faults_of(half, {**rest, "placed": "behind"}) == []
    assert faults_of(rest) == ["airflow.upstream[0].placed"]
