"""Heaters before the start: closed forms, an adaptive solver, limits, and what they spare a start in frost."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.linalg import expm
from warmup_equations import CORE, ENGINE, HOSE, right_hand_side
from warmup_equations import start as start_of

from engcalc.case.case import Case, with_values
from engcalc.case.resolve import Faults, resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.system.in_time.lumps import block_to_air, prepare_lumps
from engcalc.system.in_time.parked import phases
from engcalc.system.in_time.warmed import Warmup
from engcalc.system.in_time.warmup import warm_up
from engcalc.system.plant import prepare
from engcalc.vehicle.run import run_of

BLOCK = {"block_heater": "yes", "block_heater_time": "3 h"}
BURNT = {"auxiliary_heater": "fuel-fired", "coolant_heater_time": "30 min"}
TOWN = [{"vehicle_speed": "40 km/h", "heater": "high", "duration": "40 min"}]
AMBIENT = 253.15  # K


def tree_of(**record: Any) -> CaseText:
    return CaseText(
        {
            "format": FORMAT,
            "vehicle": {"class": "delivery van"},
            "engine": {"block_heater_power": "600 W"},
            "heater": {"coolant_heater": "fuel-fired"},
            "thermostat": {"hysteresis": "0 K"},
            "evidence": {
                "before": {
                    "ambient": "-20 degC",
                    "auxiliary_heater": "none",
                    "block_heater": "no",
                    "heater_setting": "high",
                    "schedule": TOWN,
                    **record,
                }
            },
        }
    )


def case_of(**record: Any) -> Case:
    found = resolve(tree_of(**record))
    assert isinstance(found, Case), found
    return found


def ran(case: Case, seconds: float = 2400.0) -> Warmup:
    drive = run_of(case, "before", {}).drive
    return warm_up(prepare(case), replace(drive, which=drive.which[: int(seconds)]))


def test_a_block_heater_warms_as_the_matrix_exponential_says() -> None:
    """Hot metal, coolant and block with a constant source: y(t) = y_end + exp(A t) (y_0 - y_end), all else cold."""
    case = case_of(**BLOCK)
    plant = prepare(case)
    L = prepare_lumps(plant)
    standing = block_to_air(plant, L, np.ones(1))
    hh, hb, ha = (float(x[0]) for x in (L.hot_to_coolant, L.block_to_coolant, standing))
    C = np.array([float(x[0]) for x in (L.hot, L.engine, L.block)])
    A = np.array([[-hh, hh, 0.0], [hh, -hh - hb, hb], [0.0, hb, -hb - ha]]) / C[:, None]
    end = np.linalg.solve(A, -np.array([0.0, 600.0, 0.0]) / C)
    over = end - expm(A * 3.0 * 3600.0) @ end
    w = ran(case, 1.0)
    assert end[1] == pytest.approx(600.0 * (1.0 / hb + 1.0 / ha), rel=1e-9)
    # the midpoint rule at 30 s against a slowest mode of more than an hour
    assert w.preheated[0] == pytest.approx(over[1], rel=1e-3)
    assert w.coolant[0, 0] - AMBIENT == pytest.approx(over[1], rel=1e-3)
    assert w.block[0, 0] - AMBIENT == pytest.approx(over[2], rel=1e-3)
    for series in (w.upper_hose, w.radiator, w.lower_hose, w.heater_in, w.heater_out, w.cabin):
        assert series[0, 0] == pytest.approx(AMBIENT, abs=1e-3)  # K


@pytest.mark.parametrize(
    "record", [BLOCK, BURNT, {**BLOCK, **BURNT, "block_heater_unplugged": "10 min"}], ids=["block", "burnt", "both"]
)
def test_every_stretch_before_the_start_closes_its_balance(record: dict[str, str]) -> None:
    case = case_of(**record)
    plant, drive = prepare(case), run_of(case, "before", {}).drive
    parts = [warm_up(phase.plant, phase.drive) for phase in phases(plant, drive)]
    assert all(abs(part.energy_error[0]) < 1e-10 for part in parts)
    assert abs(ran(case).energy_error[0]) < 1e-10
    plugged = 600.0 * 3.0 * 3600.0 if "block_heater" in record else 0.0
    burnt = 5000.0 * 1800.0 if "auxiliary_heater" in record else 0.0
    assert sum(float(part.heat_released[0]) for part in parts) == pytest.approx(plugged + burnt, rel=1e-9)


def test_a_coolant_heater_warms_as_an_adaptive_solver_says() -> None:
    case = case_of(**BURNT)
    (phase,) = phases(prepare(case), run_of(case, "before", {}).drive)
    w = warm_up(phase.plant, phase.drive)
    s = solve_ivp(
        right_hand_side(phase.plant, phase.drive),
        (0.0, 1800.0),
        start_of(phase.drive),
        method="LSODA",
        rtol=1e-6,
        atol=1e-4,
        t_eval=w.time,
        max_step=20.0,
    )
    for state, series in ((ENGINE, w.coolant), (HOSE, w.heater_in), (CORE, w.heater_out)):
        # K; steps of 5 s meet the switching on with an error that is gone a minute later
        assert np.abs(s.y[state] - series[:, 0])[w.time > 60.0].max() < 0.1
    assert w.heater_in[-1, 0] > w.coolant[-1, 0] > AMBIENT + 40.0
    assert w.radiator[-1, 0] == pytest.approx(AMBIENT, abs=1e-3)


def test_more_power_is_never_slower_and_none_is_as_without() -> None:
    case = case_of(**BLOCK)
    powers = np.array([0.0, 300.0, 600.0, 1500.0])
    many = with_values(case, {"engine.block_heater_power": powers})
    together = ran(many)
    times = np.array([together.time_to(273.15 + T) for T in (20.0, 35.0)])
    assert np.all(np.diff(times, axis=1) < 0.0)
    for i in range(4):
        alone = ran(with_values(case, {"engine.block_heater_power": powers[i : i + 1]}))
        assert together.sensor[:, i] == pytest.approx(alone.sensor[:, 0], rel=1e-9)
        assert together.preheated[i] == pytest.approx(alone.preheated[0], rel=1e-9)
    assert together.sensor[:, 0] == pytest.approx(ran(case_of()).sensor[:, 0], rel=1e-9)


def test_what_was_unplugged_cools_down_again() -> None:
    starts = [
        float(ran(case_of(**BLOCK, block_heater_unplugged=f"{gap} min"), 1.0).preheated[0]) for gap in (0, 30, 300)
    ]
    assert starts[0] > 1.2 * starts[1] > 1.2 * starts[2] > 0.0


def test_a_start_that_was_read_sets_the_level_and_the_heater_what_is_warm() -> None:
    read = ran(case_of(**BLOCK, start_temperature="0 degC"), 1.0)
    free = ran(case_of(**BLOCK), 1.0)
    assert read.coolant[0, 0] == pytest.approx(273.15, abs=1e-9)
    assert read.preheated[0] == free.preheated[0]
    assert read.block[0, 0] - AMBIENT == pytest.approx(
        20.0 / free.preheated[0] * (free.block[0, 0] - AMBIENT), rel=1e-9
    )
    assert read.radiator[0, 0] == pytest.approx(AMBIENT, abs=1e-3)
    below = ran(case_of(**BLOCK, start_temperature="-22 degC"), 1.0)
    assert (below.coolant[0, 0], below.block[0, 0]) == (pytest.approx(251.15), pytest.approx(AMBIENT))


def test_without_its_power_or_with_another_heater_nothing_is_simulated_before_the_start() -> None:
    unknown = with_values(case_of(**BLOCK), {"engine.block_heater_power": None})
    assert run_of(unknown, "before", {}).drive.preheat is None
    other = with_values(case_of(**BURNT), {"evidence.before.auxiliary_heater": "electric"})
    assert run_of(other, "before", {}).drive.preheat is None
    assert run_of(other, "before", {}).drive.conditions.coolant_heater[0, 0] == 0.0


def test_a_time_not_noted_is_three_hours_or_as_long_as_it_stood() -> None:
    times = [
        run_of(case_of(block_heater="yes", **more), "before", {}).drive.preheat
        for more in ({}, {"soak": "10 h"}, {"soak": "2 h", "block_heater_unplugged": "30 min"})
    ]
    assert [p.block_time / 3600.0 for p in times if p is not None] == [3.0, 3.0, 1.5]


@pytest.mark.parametrize(
    ("record", "path"),
    [
        ({**BLOCK, "soak": "2 h"}, "block_heater_time"),
        ({**BURNT, "soak": "20 min"}, "coolant_heater_time"),
        ({**BURNT, "auxiliary_heater": "none"}, "coolant_heater_time"),
    ],
)
def test_what_does_not_fit_together_is_a_fault(record: dict[str, str], path: str) -> None:
    found = resolve(tree_of(**record))
    assert isinstance(found, Faults)
    assert [f.path for f in found.faults] == [f"evidence.before.{path}"]


def test_a_start_in_frost_is_spared_minutes_by_either_heater() -> None:
    """An invented van at -20 degC, 50 km/h, heater on low.

    Without a heater, with 600 W in the block for three hours, with 5 kW in the coolant while it runs, and with those
    from half an hour before the start on. Order and rough size are common experience, no source.
    """
    drive = {"schedule": [{"vehicle_speed": "50 km/h", "heater": "low", "duration": "40 min"}]}
    runs = {
        "none": ran(case_of(**drive)),
        "block": ran(case_of(**BLOCK, **drive)),
        "running": ran(case_of(auxiliary_heater="fuel-fired", **drive)),
        "both": ran(case_of(**BURNT, **drive)),
    }
    times = {name: [float(w.time_to(273.15 + T)[0]) / 60.0 for T in (40.0, 60.0, 70.0)] for name, w in runs.items()}
    for fewer, more in (("block", "none"), ("running", "none"), ("both", "running")):
        assert all(a < b for a, b in zip(times[fewer], times[more], strict=True)), times
    assert np.isfinite(times["none"]).all()
    # of the nine minutes to 60 degC without a heater: the block's saves a quarter at least, the burning one more
    assert 7.0 < times["none"][1] < 12.0  # min
    assert times["block"][1] < 0.75 * times["none"][1]
    assert times["running"][1] < times["block"][1]
    assert times["both"][0] == 0.0  # it starts warmer than 40 degC


@pytest.mark.parametrize(
    ("coolant_heater", "noted", "runs"),
    [
        ("none", "none", False),
        ("none", "electric", True),
        ("none", "fuel-fired", True),
        ("none", "unknown", True),
        ("fuel-fired", "fuel-fired", False),
        ("fuel-fired", "both", True),
        ("electric", "fuel-fired", True),
    ],
)
def test_what_a_record_notes_switches_the_heater_in_the_cabins_air(coolant_heater: str, noted: str, runs: bool) -> None:
    case = with_values(case_of(auxiliary_heater=noted), {"heater.coolant_heater": coolant_heater})
    w, bare = (ran(with_values(case, {"heater.auxiliary_heat": np.array([x])}), 600.0) for x in (1000.0, 0.0))
    if runs:
        assert w.heat_released - bare.heat_released == pytest.approx(1000.0 * 600.0, rel=0.02)  # oil warms otherwise
        assert w.cabin[-1, 0] > bare.cabin[-1, 0] + 2.0
    else:
        assert np.array_equal(w.cabin, bare.cabin)
