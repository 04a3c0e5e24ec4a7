"""A hybrid's engine in a run: where it may stand, for how long, and what that does to a warm-up."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from engcalc.case.case import Case
from engcalc.case.conditions import conditions_of, only_given
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.components.engine import prepare_engine
from engcalc.system.in_time.drive import Drive, recorded_drive, steady_drive
from engcalc.system.in_time.hybrid import engine_stands, hybrid_drive, may_stand
from engcalc.system.in_time.warmup import warm_up
from engcalc.system.plant import prepare
from engcalc.units import UnitSystem
from engcalc.vehicle.criterion import WarmupOutcome, confounders, excuses
from engcalc.vehicle.run import duty_run, run_of
from engcalc.vehicle.unknowns import unknowns_of, vehicles
from engcalc.vehicle.warmup_study import study
from engcalc.words.answer.warmup_words import warmup_sentences

TOWN = [
    {"vehicle_speed": "20 km/h", "duration": "6 min"},
    {"vehicle_speed": "50 km/h", "duration": "4 min"},
    {"duration": "4 min"},
]
RECORD = {
    "ambient": "0 degC",
    "start_temperature": "0 degC",
    "heater_setting": "off",
    "block_heater": "no",
    "auxiliary_heater": "none",
    "schedule": TOWN,
}


def case_of(**sections: Any) -> Case:
    found = resolve(CaseText({"format": FORMAT, **sections}))
    assert isinstance(found, Case), found
    return found


def hybrid(**record: Any) -> Case:
    return case_of(engine={"hybrid": "yes"}, evidence={"before": {**RECORD, **record}})


def stands(drive: Drive) -> np.ndarray:
    """Whether the engine stands in each step."""
    return drive.conditions.engine_speed[drive.which[:, 0], 0] == 0.0


def test_it_runs_first_and_stands_every_other_minute() -> None:
    assert engine_stands(np.array([0.0, 59.0, 60.0, 119.0, 120.0, 180.0])).tolist() == [
        False,
        False,
        True,
        True,
        False,
        True,
    ]


@pytest.mark.parametrize(
    ("duty", "may"),
    [
        ({}, True),
        ({"vehicle_speed": "29.9 km/h"}, True),
        ({"vehicle_speed": "30 km/h"}, False),
        ({"engine_speed": "900 rpm"}, False),
        ({"fuel_flow": "0.5 kg/h"}, False),
        ({"brake_power": "8 kW"}, True),
        ({"brake_power": "9 kW"}, False),
        ({"vehicle_speed": "20 km/h", "grade": "5 %"}, True),
        ({"vehicle_speed": "20 km/h", "grade": "12 %"}, False),
        ({"vehicle_speed": "20 km/h", "grade": "5 %", "trailer_mass": "2000 kg"}, False),
    ],
)
def test_the_engine_may_stand_where_it_is_slow_light_and_not_measured(duty: dict[str, str], may: bool) -> None:
    # light: up to a tenth of the 85 kW at the crankshaft
    case = case_of(duties=[duty])
    c = conditions_of(case.duties)
    assert may_stand(prepare_engine(case), steady_drive(c, c.ambient, 60.0).conditions).tolist() == [may]


def test_half_of_the_slow_part_of_a_schedule_stands_and_all_of_it_runs_on_a_plain_vehicle() -> None:
    drive = run_of(hybrid(), "before", {}).drive
    still = stands(drive)
    slow = np.r_[0:360, 600:840]
    assert still[slow].mean() == pytest.approx(0.5)
    assert not still[360:600].any()
    assert not still[:60].any()
    standing = drive.which[still][:, 0]
    assert (drive.conditions.brake_power[standing] == 0.0).all()
    assert (drive.conditions.fuel_flow[standing] == 0.0).all()
    assert drive.conditions.vehicle_speed[standing].max() == pytest.approx(20.0 / 3.6)  # the motor drives on
    plain = case_of(evidence={"before": RECORD})
    assert not stands(run_of(plain, "before", {}).drive).any()
    never = run_of(hybrid(engine_off_phases="no"), "before", {})  # somebody watched it
    assert not stands(never.drive).any()
    assert not never.hybrid


def test_a_noted_engine_speed_is_left_as_it_is() -> None:
    v, n = np.full(300, 4.0), np.full(300, 20.0)
    T, engine = np.full(1, 273.15), prepare_engine(case_of())
    logged = recorded_drive(only_given(ambient=T), T, 1.0, engine_speed=n, vehicle_speed=v)
    assert hybrid_drive(logged, engine) is logged
    guessed = recorded_drive(only_given(ambient=T), T, 1.0, vehicle_speed=v)  # one row of grade for all
    assert stands(hybrid_drive(guessed, engine)).mean() == pytest.approx(120.0 / 300.0)


def test_a_held_duty_of_a_hybrid_stands_half_of_the_time() -> None:
    run = duty_run(case_of(engine={"hybrid": "yes"}))
    assert run.hybrid
    assert stands(run.drive).mean() == pytest.approx(0.5)


def test_the_warm_up_of_a_hybrid_is_slower_and_closes_its_balance() -> None:
    own, plain = hybrid(), case_of(evidence={"before": RECORD})
    slow, fast = (warm_up(prepare(c), run_of(c, "before", {}).drive) for c in (own, plain))
    early = int(np.searchsorted(slow.time, 240.0))  # before the valve opens
    assert slow.coolant[early, 0] < fast.coolant[early, 0] - 5.0
    assert slow.heat_released[0] < 0.85 * fast.heat_released[0]
    assert abs(float(slow.energy_error[0])) < 1e-9


def test_a_slow_warm_up_of_a_hybrid_is_no_failure_and_is_explained() -> None:
    curve = [[0, "0 degC"], [5, "12 degC"], [10, "28 degC"], [14, "33 degC"]]
    limits = {"warm_up_time": "10 min", "warm_up_temperature": "40 degC"}
    found = {}
    for kind in ("no", "yes"):
        case = case_of(
            engine={"hybrid": kind},
            limits=limits,
            evidence={"before": {**RECORD, "curve": curve, "engine_off_phases": "unknown" if kind == "yes" else "no"}},
        )
        found[kind] = study(case, {}, members=60, fits=False).records[0]
    assert found["no"].verdict.outcome is WarmupOutcome.LATE
    assert found["yes"].verdict.outcome is not WarmupOutcome.LATE
    assert found["yes"].verdict.verdict is None
    said = " ".join(warmup_sentences(found["yes"], UnitSystem.SI))
    assert "A hybrid's engine may stop, by design" in said
    assert "Not noted: For how much of the run did this hybrid's engine turn" in said
    assert "hybrid" not in " ".join(warmup_sentences(found["no"], UnitSystem.SI))


def test_it_asks_once_how_long_the_engine_ran() -> None:
    run = run_of(hybrid(), "before", {})
    assert len(excuses(run)) == 1
    assert "hybrid's engine" in excuses(run)[0]
    assert not any("halts" in question for question in confounders(run))


def test_the_time_that_it_ran_is_an_unknown_about_what_the_run_says() -> None:
    case = hybrid()
    run = run_of(case, "before", {})
    unknowns = unknowns_of(case, run)
    assert [u.key for u in unknowns].count("running") == 1
    z = np.zeros((3, len(unknowns)))
    z[:, [u.key for u in unknowns].index("running")] = [-6.0, 0.0, 6.0]
    share = vehicles(case, run, unknowns, z).case.engine.coolant_share_rated
    assert share / share[1] == pytest.approx([0.6, 1.0, 1.4], abs=1e-3)
    watched = hybrid(engine_off_phases="no")
    assert "running" not in [u.key for u in unknowns_of(watched, run_of(watched, "before", {}))]


def test_a_heater_that_nobody_noted_varies_in_its_own_part_of_the_schedule() -> None:
    # a part driven as a word says, and a hybrid's standing engine, have many rows of the drive each
    schedule = [
        {"driving": "town", "heater": "unknown", "duration": "5 min"},
        {"vehicle_speed": "20 km/h", "heater": "high", "duration": "5 min"},
    ]
    case = hybrid(schedule=schedule, heater_setting="unknown")
    run = run_of(case, "before", {})
    unknowns = unknowns_of(case, run)
    z = np.zeros((3, len(unknowns)))
    z[:, [u.key for u in unknowns].index("heater")] = [-6.0, 0.0, 6.0]
    drive = vehicles(case, run, unknowns, z).drive
    first, second = (drive.conditions.heater_air_share[drive.which[k, 0]] for k in (150, 599))
    assert first[::2] == pytest.approx([0.0, 1.0], abs=1e-6)
    assert 0.1 < first[1] < 0.9
    assert second == pytest.approx([1.0, 1.0, 1.0])
    assert stands(drive).any()
