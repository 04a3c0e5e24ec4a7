"""The closed-form warm-up of a sound vehicle: the same equation integrated, its ends, its cut-off."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from engcalc.case.case import Case
from engcalc.case.records import Record
from engcalc.case.resolve import resolve
from engcalc.case.text import CaseText
from engcalc.components.engine import engine_heat, engine_load, prepare_engine
from engcalc.studies.members import member
from engcalc.studies.warming import Expected, SoundEnd, expected, paths
from engcalc.system.operating_point import solve
from engcalc.system.plant import prepare
from engcalc.system.state import Regime, conditions_of

REGULATED = (361.15, Regime.REGULATING)


def case_of(before: dict[str, object], **sections: Any) -> tuple[Case, Record]:
    engine = {"metal_mass": "85 kg", "surface_conductance": "12 W/K", **sections.pop("engine", {})}
    tree = {"format": "heatdocket-case/1", "vehicle": {"class": "family car"}, "evidence": {"before": before},
            "engine": engine, "coolant": {"volume": "6.5 L"}, **sections}
    case = resolve(CaseText(tree))
    assert isinstance(case, Case), case
    assert case.evidence.before is not None
    return case, case.evidence.before


def at(before: dict[str, object], seconds: float, loss: float = 12.0, added: float = 0.0, **sections: Any) -> Expected:
    """The first path of a record, regulated at 88 degC, with a stated loss [W/K] with the heater off.

    ``added`` [W] is what a coolant heater adds at the end.
    """
    case, record = case_of(before, **sections)
    path = paths(record, conditions_of(case.duties))[0]
    taken = {"off": 0.0, "low": 25.0, "high": 60.0, "unknown": 25.0}
    end = SoundEnd(*REGULATED, tuple(loss + taken[s.heater] for s in path), (added,) * len(path))
    return expected(prepare(case), case, record, path, seconds, end, 200, 1)


COLD = {"ambient": "0 degC", "heater_setting": "off", "engine_off_phases": "no"}
DRIVE = {"duties": [{"vehicle_speed": "60 km/h"}]}


def test_it_starts_at_the_start_temperature_and_ends_regulated() -> None:
    assert at(COLD, 0.0).nominal == pytest.approx(273.15)
    assert at({**COLD, "start_temperature": "12 degC"}, 0.0).nominal == pytest.approx(285.15)
    assert at(COLD, 36000.0, **DRIVE).nominal == pytest.approx(361.15)


def test_it_is_the_solution_of_its_own_equation() -> None:
    # scipy's LSODA on C dT/dt = Q - UA_s (T - T_amb) with the heater off
    case, record = case_of(COLD, **DRIVE)
    engine = prepare_engine(case)
    c = paths(record, conditions_of(case.duties))[0][0].conditions
    heat = engine_heat(engine, engine_load(engine, c), np.array([361.15])).heat_to_metal[0]
    # cast aluminium 883 and iron 420 J/(kg K), half and half; half glycol at 60 degC: 1052 kg/m3, 3430 J/(kg K) (ASHRAE
    # Handbook, Fundamentals, inhibited ethylene glycol by volume; CoolProp AEG)
    C = 85.0 * 651.5 + 0.7 * 6.5e-3 * 1052.0 * 3430.0
    run = solve_ivp(lambda _t, T: (heat - 12.0 * (T - 273.15)) / C, (0.0, 300.0), [273.15], rtol=1e-9, atol=1e-9)
    # tolerance: the properties above are rounded
    assert at(COLD, 300.0, **DRIVE).nominal - 273.15 == pytest.approx(run.y[0, -1] - 273.15, rel=3e-3)


def test_the_heater_slows_it_and_an_unknown_setting_widens_it() -> None:
    off, low, high, unknown = (at({**COLD, "heater_setting": s}, 600.0, **DRIVE)
                               for s in ("off", "low", "high", "unknown"))
    assert off.nominal > low.nominal > high.nominal
    assert unknown.low < low.low  # it may as well have been on full
    assert unknown.low <= low.nominal <= unknown.high


def test_engine_off_phases_slow_and_widen_it() -> None:
    no, unknown, yes = (at({**COLD, "engine_off_phases": w}, 400.0, **DRIVE) for w in ("no", "unknown", "yes"))
    assert no.nominal > unknown.nominal > yes.nominal
    assert (yes.high - yes.low) / (yes.nominal - 273.15) > (no.high - no.low) / (no.nominal - 273.15)


def test_a_schedule_is_its_stretches_one_after_another() -> None:
    one = {**COLD, "schedule": [{"vehicle_speed": "60 km/h", "heater": "off", "duration": "10 min"}]}
    two = {**COLD, "schedule": [{"vehicle_speed": "60 km/h", "heater": "off", "duration": "4 min"},
                                {"vehicle_speed": "60 km/h", "heater": "off", "duration": "6 min"}]}
    assert at(one, 500.0).nominal == pytest.approx(at(two, 500.0).nominal, abs=1e-9)
    idle_first = {**COLD, "schedule": [{"heater": "off", "duration": "5 min"},
                                       {"vehicle_speed": "60 km/h", "heater": "off", "duration": "6 min"}]}
    assert at(idle_first, 500.0).nominal < at(one, 500.0).nominal


def test_it_never_falls_while_it_warms_and_the_spread_holds_the_nominal() -> None:
    found = [at(COLD, t, **DRIVE) for t in np.linspace(0.0, 2400.0, 20)]
    nominal = np.array([f.nominal for f in found])
    assert np.all(np.diff(nominal) >= 0.0)
    assert nominal.max() <= 361.15 + 1e-9
    assert all(f.low <= f.nominal <= f.high for f in found)


def test_started_hot_it_comes_down_to_regulation_and_no_further() -> None:
    hot = {**COLD, "start_temperature": "105 degC"}
    found = [at(hot, t, **DRIVE).nominal for t in (0.0, 300.0, 36000.0)]
    assert found[0] == pytest.approx(378.15)
    assert found[0] >= found[1] >= found[2] >= 361.15 - 1e-9


@pytest.mark.parametrize("kind", ["petrol E10", "diesel"])
def test_a_family_car_is_warm_after_some_ten_minutes_on_the_road(kind: str) -> None:
    # common practice: a small car driven off at 0 degC is at 70 degC after some 4 to 15 minutes; no source
    warm = [t for t in range(0, 3000, 30) if at(COLD, float(t), engine={"fuel": kind}, **DRIVE).nominal >= 343.15]
    assert 4 * 60 <= warm[0] <= 15 * 60


def test_running_that_was_not_noted_is_either_driving_or_idling() -> None:
    case, record = case_of(COLD, duties=[{"name": "idle"}, {"name": "road", "vehicle_speed": "60 km/h"}])
    moved, idled = paths(record, conditions_of(case.duties))
    assert moved[0].conditions.vehicle_speed[0] == pytest.approx(60 / 3.6)
    assert idled[0].conditions.vehicle_speed[0] == 0.0
    case, record = case_of(COLD, duties=[{"name": "idle"}])
    assert paths(record, conditions_of(case.duties))[0][0].conditions.vehicle_speed[0] == pytest.approx(50 / 3.6)
    noted = {**COLD, "schedule": [{"vehicle_speed": "30 km/h", "duration": "10 min"}]}
    case, record = case_of(noted)
    assert len(paths(record, conditions_of(case.duties))) == 1


@pytest.mark.parametrize(("ambient", "speed", "heater"), [("-10 degC", "60 km/h", "high"), ("0 degC", "0 km/h", "low"),
                                                          ("5 degC", "40 km/h", "high")])
def test_its_end_is_where_the_solver_settles_when_heat_lacks(ambient: str, speed: str, heater: str) -> None:
    before = {**COLD, "ambient": ambient, "heater_setting": heater,
              "schedule": [{"vehicle_speed": speed, "heater": heater, "duration": "1 min"}]}
    case, record = case_of(before)
    path = paths(record, conditions_of(case.duties))[0]
    c = path[0].conditions
    point = solve(prepare(case), c.replace(valve_held=np.array([np.nan, 0.0])))
    end = SoundEnd.of(member(point, 0), [member(point, 1)], path)
    found = expected(prepare(case), case, record, path, 1e6, end, 200, 1)
    assert found.nominal == pytest.approx(end.temperature, abs=1.0)  # the valve leaks alike in both


def test_a_coolant_heater_speeds_it_up_by_its_full_power_and_ends_with_what_it_then_adds() -> None:
    fired = {"heater": {"coolant_heater": "fuel-fired", "coolant_heat": "5 kW"}, **DRIVE}
    record = {**COLD, "auxiliary_heater": "fuel-fired"}
    with_it, without = at(record, 60.0, 12.0, 1000.0, **fired), at(record, 60.0, **DRIVE)
    case, _ = case_of(record, **fired)
    capacity = 85.0 * 651.5 + 0.7 * 6.5e-3 * 1052.0 * 3430.0  # J/K, as above
    # the first minute's slope; the loss of that minute, some 1 % of the heat, is left out
    assert case.heater.coolant_heat[0] == 5000.0
    assert with_it.nominal - without.nominal == pytest.approx(5000.0 * 60.0 / capacity, rel=0.05)
