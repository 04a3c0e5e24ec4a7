"""Coarser steps of a drive: the same run."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from engcalc.case.case import Case, with_values
from engcalc.case.conditions import Conditions, only_given
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.logs.log import read_log
from engcalc.system.in_time.drive import coarser, in_several_ways, pattern_drive, recorded_drive
from engcalc.system.in_time.warmup import warm_up
from engcalc.system.members import take_members
from engcalc.system.plant import prepare
from engcalc.units import Array
from engcalc.vehicle.run import run_of


def test_steps_of_a_log_take_every_row_once() -> None:
    n = np.array([10.0, 20.0, 30.0, 40.0, 50.0])
    cold = np.full(1, 280.0)
    drive = recorded_drive(only_given(ambient=cold), cold, 1.0, engine_speed=n, vehicle_speed=n, fuel_flow=1e-5 * n)
    two = coarser(drive, 2)
    assert two.which.tolist() == [[0, 1], [2, 3]]  # the fifth fills no step
    assert two.duration == 4.0
    assert coarser(drive, 1) is drive


def test_a_schedule_runs_the_same_in_coarser_steps() -> None:
    record = {
        "ambient": "0 degC",
        "heater_setting": "high",
        "schedule": [
            {"vehicle_speed": "0 km/h", "heater": "off", "duration": "5 min"},
            {"vehicle_speed": "60 km/h", "heater": "high", "duration": "5 min"},
        ],
    }
    case = resolve(CaseText({"format": FORMAT, "evidence": {"before": record}}))
    assert isinstance(case, Case)
    drive, plant = run_of(case, "before", {}).drive, prepare(case)
    fine, coarse = warm_up(plant, drive), warm_up(plant, coarser(drive, 2))
    assert coarse.time[-1] == fine.time[-1] == 600.0
    assert coarse.sensor[-1, 0] == pytest.approx(fine.sensor[-1, 0], abs=0.2)  # K; error of steps of 2 s


def test_longer_steps_release_the_heat_of_every_row() -> None:
    """The metal's share of the fuel is no straight line: heat is averaged over a step's rows, not the fuel."""
    rng = np.random.default_rng(3)
    n, fuel = rng.uniform(15.0, 50.0, 240), rng.uniform(2e-4, 2e-3, 240)
    zero, cold = np.zeros(240), np.full(1, 273.15)
    first = only_given(ambient=cold, heater_air_share=np.full(1, 0.5))
    drive = recorded_drive(first, cold, 1.0, engine_speed=n, vehicle_speed=zero, fuel_flow=fuel, brake_power=zero)
    case = resolve(CaseText({"format": FORMAT}))
    assert isinstance(case, Case)
    plant = prepare(case)
    released = [float(warm_up(plant, coarser(drive, times)).heat_released[0]) for times in (1, 2, 3, 4)]
    assert released == pytest.approx(released[:1] * 4, rel=1e-12)


@pytest.mark.parametrize(
    "sections",
    [
        {},  # an electric fan, late ignition after the start
        {
            "engine": {"fuel": "diesel"},
            "airflow": {"fan_drive": "viscous clutch", "upstream": [{"kind": "charge air"}]},
        },
        {"circuit": {"extra": [{"kind": "oil warmer"}]}, "airflow": {"upstream": [{"heat": "3 kW"}]}},
    ],
)
def test_members_in_several_ways_are_those_of_each_way_alone(
    sections: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Idling, the motorway and a log, with other air, start and heater each, five members in all."""
    monkeypatch.setattr("engcalc.system.in_time.step_fixed._heat_tables", lambda _run: (None, None, ()))
    case = resolve(CaseText({"format": FORMAT, "thermostat": {"hysteresis": "0 K", "kind": "wax"}, **sections}))
    assert isinstance(case, Case), case
    plant = prepare(with_values(case, {"engine.metal_mass": np.array([80.0, 90.0, 100.0, 110.0, 120.0])}))
    starts = (np.full(2, 268.15), np.full(2, 278.15), np.full(1, 360.15))

    def weather(T: Array, share: float) -> Conditions:
        return only_given(ambient=np.minimum(T, 290.15), heater_air_share=np.full(1, share))

    idles = pattern_drive("idling", weather(starts[0], 1.0), starts[0], 240.0)
    driven = pattern_drive("motorway", weather(starts[1], 0.0), starts[1], 240.0)
    n, v = np.linspace(20.0, 40.0, 240), np.linspace(0.0, 30.0, 240)
    logged = recorded_drive(
        weather(starts[2], 0.5), starts[2], 1.0, engine_speed=n, vehicle_speed=v, fuel_flow=4e-5 * n
    )
    drives = [coarser(drive, 2) for drive in (idles, driven, logged)]
    together, members = warm_up(plant, in_several_ways(drives)), ([0, 1], [2, 3], [4, 4])
    for drive, own in zip(drives, members, strict=True):
        alone = warm_up(take_members(plant, np.array(own), 5), drive)
        for name in ("sensor", "lower_hose", "cabin", "vent", "block", "opening", "fan_speed", "radiator_flow"):
            assert getattr(together, name)[:, own] == pytest.approx(getattr(alone, name), rel=1e-9), name
        assert together.heat_released[own] == pytest.approx(alone.heat_released, rel=1e-9)


def test_one_way_is_its_own_drive() -> None:
    cold = np.full(1, 273.15)
    drive = pattern_drive("town", only_given(ambient=cold), cold, 60.0)
    assert in_several_ways([drive]) is drive


def test_a_log_takes_from_the_duty_what_no_log_tells() -> None:
    """Humidity, height and the words for fan and air conditioning hold in a log's run as in a schedule's."""
    duty = {
        "relative_humidity": "90 %",
        "altitude": "900 m",
        "fan": "on",
        "air_conditioning": "off",
        "trailer_mass": "900 kg",
        "headwind": "30 km/h",
        "grade": "5 %",
        "brake_power": "20 kW",
        "coolant_flow": "30 L/min",
    }
    case = resolve(CaseText({"format": FORMAT, "duties": [duty], "evidence": {"before": {"heater_setting": "low"}}}))
    assert isinstance(case, Case), case
    lines = ["Time [s],RPM [rpm],Speed [km/h],MAF [g/s],Ambient air temperature [degC],Coolant [degC]"]
    lines += [f"{t},1500,50,{9 + 0.01 * t},12,{min(20 + 0.1 * t, 88)}" for t in range(900)]
    run = run_of(case, "before", {"before": read_log("\n".join(lines).encode())})
    asked = run.drive.conditions
    assert asked.relative_humidity[0] == pytest.approx(0.9)
    assert asked.altitude[0] == pytest.approx(900.0)
    assert (run.drive.fan_mode, asked.air_conditioning[0]) == (1.0, -1.0)
    assert asked.coolant_flow[0] == pytest.approx(30e-3 / 60.0)
    assert asked.ambient[0] == pytest.approx(285.15)  # the log tells it
    # the trailer, the road and the wind were those of the duty's day; the log has its own
    assert (asked.trailer_mass[0, 0], asked.grade[0, 0], asked.headwind[0]) == (0.0, 0.0, 0.0)
    assert np.isnan(asked.brake_power).all()
    assert asked.engine_speed[:, 0] == pytest.approx(25.0)
