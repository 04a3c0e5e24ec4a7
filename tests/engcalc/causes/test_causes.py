"""The catalogue of causes: complete, each a change that does what it says, and base rates that are rates."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from engcalc.case.case import Case, value_at, with_values
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.causes.base_rates import PER_CENT, base_rates
from engcalc.causes.causes import (
    CAUSES,
    HEALTHY_STATE,
    CauseKey,
    VisibleState,
    applicable,
    changed,
    healthy_case,
    states_of,
)
from engcalc.diagnosis.next_check import CHECKS
from engcalc.diagnosis.simulated import Hypothesis, problem_of, simulate
from engcalc.errors import InputError
from engcalc.vehicle.run import run_of
from engcalc.words.causes import CAUSES as CAUSE_WORDS
from engcalc.words.causes import CHECKS as CHECK_WORDS

# The keys that the case format and the command line promise.
KEYS = """healthy thermostat_stuck_open thermostat_missing thermostat_opens_early thermostat_slow thermostat_stuck_shut
low_coolant external_leak heater_core_restricted heater_valve_closed heater_blend_stuck heater_airflow_low
heater_hoses_swapped pump_weak pump_not_commanded suction_hose_collapsed radiator_restricted face_blocked seals_missing
shutter_stuck fan_not_running fan_always_on fan_clutch_slipping fan_reversed cap_weak wrong_mixture sensor_reads_low
sensor_reads_high sensor_erratic sensor_in_air gas_in_coolant excess_heat not_in_list""".split()  # noqa: SIM905  (a list of 33 quoted words would not be read)


def case_of(**sections: Any) -> Case:
    found = resolve(CaseText({"format": FORMAT, **sections}))
    assert isinstance(found, Case), found
    return found


RECORD = {
    "ambient": "-5 degC",
    "start_temperature": "-5 degC",
    "heater_setting": "high",
    "engine_off_phases": "no",
    "schedule": [{"vehicle_speed": "70 km/h", "duration": "12 min", "heater": "high"}],
}


def test_every_key_is_there_with_words() -> None:
    assert [str(f) for f in CAUSES] == KEYS
    assert set(CAUSE_WORDS) == set(KEYS)
    assert {c.key for c in CHECKS} == set(CHECK_WORDS)


@pytest.mark.parametrize("fault", list(CauseKey))
def test_a_cause_changes_what_it_names_and_stays_in_bounds(fault: CauseKey) -> None:
    case, cause = healthy_case(case_of()), CAUSES[fault]
    z = np.array([-3.0, 0.0, 3.0])
    many = changed(case, ((cause, slice(0, 3), z),), 3)
    for change in cause.changes:
        before, after = value_at(case, change.where), value_at(many, change.where)
        assert after.shape == (3,)
        assert np.isfinite(after).all()
        unchanged = np.array_equal(np.broadcast_to(before, (3,)), after)
        assert not unchanged or change.where == "thermostat.minimum_opening", change.where  # of a missing valve: 0
    if cause.severity is not None:
        s = cause.severity.value(z)
        assert (np.diff(s) > 0.0).all()
        assert s[0] >= cause.severity.low
        assert s[-1] <= cause.severity.high
    states = states_of(((cause, slice(0, 3), z),), 3)
    assert {k for k, v in states.items() if not np.allclose(v, HEALTHY_STATE[k])} <= set(cause.states)


def test_a_cause_touches_only_its_own_members() -> None:
    case = healthy_case(case_of())
    entries = (
        (CAUSES[CauseKey.HEALTHY], slice(0, 2), np.zeros(2)),
        (CAUSES[CauseKey.STUCK_OPEN], slice(2, 4), np.zeros(2)),
    )
    many = changed(case, entries, 4)
    assert many.thermostat.minimum_opening.tolist() == pytest.approx([0.0, 0.0, 0.14, 0.14])
    assert states_of(entries, 4)[VisibleState.VALVE_COLD].tolist() == pytest.approx([0.0, 0.0, 0.14, 0.14])


def test_what_a_person_entered_to_describe_a_fault_is_no_knowledge_of_the_vehicle() -> None:
    case = case_of(thermostat={"minimum_opening": "20 %", "closed_leak": "10 %"}, radiator={"blocked_face": "40 %"})
    healthy = healthy_case(case)
    assert healthy.thermostat.minimum_opening[0] == 0.0
    assert healthy.thermostat.closed_leak[0] < 0.01
    assert healthy.radiator.blocked_face[0] == 0.0
    assert healthy_case(case_of(thermostat={"kind": "none"})).thermostat.kind == "wax"


def test_what_a_vehicle_cannot_have_is_left_out() -> None:
    belt = {c.fault for c in applicable(case_of())}
    assert CauseKey.PUMP_NOT_COMMANDED not in belt
    assert CauseKey.CLUTCH not in belt
    driven = {
        c.fault
        for c in applicable(case_of(circuit={"pump_drive": "electric"}, airflow={"fan_drive": "viscous clutch"}))
    }
    assert CauseKey.PUMP_WEAK not in driven
    assert {CauseKey.PUMP_NOT_COMMANDED, CauseKey.CLUTCH} <= driven


def test_three_unlike_causes_in_one_ensemble_are_three_single_runs() -> None:
    case = case_of(evidence={"before": RECORD})
    problem = problem_of(case, (run_of(case, "before", {}), 1.0))
    k = len(problem.unknowns)
    rng = np.random.default_rng(3)
    hypotheses = [Hypothesis((CAUSES[f],), 0) for f in (CauseKey.MISSING, CauseKey.SENSOR_LOW, CauseKey.HEATER_CORE)]
    batch = [(h, rng.normal(size=(1, k + h.severities))) for h in hypotheses]
    together = simulate(problem, batch)
    for one, many in zip(batch, together, strict=True):
        alone = simulate(problem, [one])[0]
        assert many.shown[:, 0] == pytest.approx(alone.shown[:, 0], abs=1e-6)
        assert many.heater_out[:, 0] == pytest.approx(alone.heater_out[:, 0], abs=1e-6)


def test_a_missing_valve_is_what_the_case_file_calls_none() -> None:
    record = {"evidence": {"before": RECORD}}
    case = case_of(**record)
    problem = problem_of(case, (run_of(case, "before", {}), 1.0))
    z = np.zeros((1, len(problem.unknowns)))
    as_cause = simulate(problem, [(Hypothesis((CAUSES[CauseKey.MISSING],), 0), z)])[0]
    none = with_values(case, {"thermostat.kind": "none"})
    from engcalc.system.plant import prepare
    from engcalc.system.warmup import warm_up

    run = run_of(none, "before", {})
    w = warm_up(prepare(none), run.drive, 60.0)
    assert as_cause.coolant[-1, 0] == pytest.approx(w.coolant[-1, 0], abs=0.3)  # K; of the radiator's factor and leaks


def test_a_sensor_that_reads_low_says_so_at_the_start_too() -> None:
    case = case_of(evidence={"before": RECORD})
    problem = problem_of(case, (run_of(case, "before", {}), 1.0))
    z = np.zeros((1, len(problem.unknowns) + 2))
    z[0, -1] = -8.0  # all of the error fixed, none in proportion
    s = simulate(problem, [(Hypothesis((CAUSES[CauseKey.SENSOR_LOW],), 0), z)])[0]
    error = CAUSES[CauseKey.SENSOR_LOW].severity.value(np.zeros(1))[0]
    assert s.start[0] - 268.15 == pytest.approx(error)  # it read the noted -5 degC while the coolant was warmer
    assert (s.coolant[-1] - s.shown[-1])[0] == pytest.approx(error, abs=0.5)  # K; the sensor's lag


@pytest.mark.parametrize("reason", PER_CENT)
def test_base_rates_sum_to_one_and_can_be_replaced(reason: str) -> None:
    faults = [c.fault for c in applicable(case_of())]
    plain = base_rates(reason, faults)
    assert sum(plain.rates.values()) == pytest.approx(1.0)
    own = base_rates(reason, faults, {"thermostat_slow": 1000.0})
    assert own.rates[CauseKey.SLOW] > 0.8
    assert plain.basis != own.basis


def test_base_rates_refuse_what_is_none() -> None:
    with pytest.raises(InputError, match=r"base_rates.gremlins.*thermostat_stuck_open"):
        base_rates("no heat", list(CauseKey), {"gremlins": 3.0})
    with pytest.raises(InputError, match="0 or more"):
        base_rates("no heat", list(CauseKey), {"healthy": -3.0})
