"""A vehicle with causes in it: each a change that does what it says, on its own members alone."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from engcalc.case.case import Case, value_at, with_values
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.causes.catalogue import CAUSES
from engcalc.causes.record import HEALTHY_STATE, VisibleState
from engcalc.diagnosis.members.faulty_vehicle import CauseInMembers, applicable, changed, healthy_case, states_of
from engcalc.diagnosis.members.simulated import Hypothesis, problem_of, simulate
from engcalc.system.in_time.warmup import warm_up
from engcalc.system.plant import prepare
from engcalc.vehicle.run import run_of


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


@pytest.mark.parametrize("key", CAUSES)
def test_a_cause_changes_what_it_names_and_stays_in_bounds(key: str) -> None:
    case, cause = healthy_case(case_of()), CAUSES[key]
    z = np.array([-3.0, 0.0, 3.0])
    there = CauseInMembers(cause, slice(0, 3), z)
    many = changed(case, (there,), 3)
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
    states = states_of((there,), 3)
    assert {k for k, v in states.items() if not np.allclose(v, HEALTHY_STATE[k])} <= set(cause.states)


def test_low_coolant_starves_the_heater_of_those_alone_that_lack_more_than_their_reserve() -> None:
    case, low = healthy_case(case_of()), CAUSES["low_coolant"]
    z, bears = np.array([0.0, 0.0, 0.0]), np.array([3.0, 0.0, -3.0])  # 0.3 missing; much, the median, little borne
    many = changed(case, (CauseInMembers(low, slice(0, 3), z, bears),), 3)
    flow = many.circuit.heater_flow / case.circuit.heater_flow
    assert flow.tolist() == pytest.approx([1.0, np.exp(-5.0 * 0.12), np.exp(-5.0 * 0.25)])
    assert many.circuit.aeration.tolist() == pytest.approx([0.0, 0.4 * 0.12, 0.4 * 0.25])
    assert many.coolant.volume / case.coolant.volume == pytest.approx(0.7)  # it is gone all the same
    assert states_of((CauseInMembers(low, slice(0, 3), z, bears),), 3)[VisibleState.LEVEL] == pytest.approx(0.3)
    assert Hypothesis((low,), 0).severities == 2


def test_a_cause_touches_only_its_own_members() -> None:
    case = healthy_case(case_of())
    entries = (
        CauseInMembers(CAUSES["healthy"], slice(0, 2), np.zeros(2)),
        CauseInMembers(CAUSES["thermostat_stuck_open"], slice(2, 4), np.zeros(2)),
    )
    many = changed(case, entries, 4)
    assert many.thermostat.minimum_opening.tolist() == pytest.approx([0.0, 0.0, 0.14, 0.14])
    assert states_of(entries, 4)[VisibleState.VALVE_COLD].tolist() == pytest.approx([0.0, 0.0, 0.14, 0.14])


def test_what_a_person_entered_to_describe_a_fault_is_no_knowledge_of_the_vehicle() -> None:
    case = case_of(
        thermostat={"minimum_opening": "20 %", "closed_leak": "10 %"},
        radiator={"blocked_face": "40 %", "blocked_tubes": "30 %"},
        airflow={"shutter": "50 %", "seals": "missing"},
        circuit={"aeration": "5 %", "impeller_slips": "100 rpm"},
        heater={"valve": "20 %"},
    )
    healthy = healthy_case(case)
    assert healthy.thermostat.minimum_opening[0] == 0.0
    assert healthy.thermostat.closed_leak[0] < 0.01
    assert healthy.radiator.blocked_face[0] == healthy.radiator.blocked_tubes[0] == 0.0
    assert (healthy.airflow.shutter[0], healthy.airflow.seals) == (1.0, "fitted")
    assert healthy.circuit.aeration[0] == 0.0
    assert healthy.circuit.impeller_slips[0] > 10.0 * case.circuit.pump_flow_speed[0]
    assert healthy.heater.valve[0] == 1.0
    assert healthy_case(case_of(thermostat={"kind": "none"})).thermostat.kind == "wax"


def test_what_a_vehicle_cannot_have_is_left_out() -> None:
    belt = {c.key for c in applicable(case_of())}
    assert "pump_not_commanded" not in belt
    assert "fan_clutch_slipping" not in belt
    driven = {
        c.key for c in applicable(case_of(circuit={"pump_drive": "electric"}, airflow={"fan_drive": "viscous clutch"}))
    }
    assert "pump_weak" not in driven
    assert {"pump_not_commanded", "fan_clutch_slipping"} <= driven


def test_three_unlike_causes_in_one_ensemble_are_three_single_runs() -> None:
    case = case_of(evidence={"before": RECORD})
    problem = problem_of(case, (run_of(case, "before", {}), 1.0))
    k = len(problem.unknowns)
    rng = np.random.default_rng(3)
    hypotheses = [
        Hypothesis((CAUSES[f],), 0) for f in ("thermostat_missing", "sensor_reads_low", "heater_core_restricted")
    ]
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
    as_cause = simulate(problem, [(Hypothesis((CAUSES["thermostat_missing"],), 0), z)])[0]
    none = with_values(case, {"thermostat.kind": "none"})
    run = run_of(none, "before", {})
    w = warm_up(prepare(none), run.drive, 60.0)
    assert as_cause.coolant[-1, 0] == pytest.approx(w.coolant[-1, 0], abs=0.3)  # K; of the radiator's factor and leaks


def test_a_sensor_that_reads_low_says_so_at_the_start_too() -> None:
    case = case_of(evidence={"before": RECORD})
    problem = problem_of(case, (run_of(case, "before", {}), 1.0))
    z = np.zeros((1, len(problem.unknowns) + 2))
    z[0, -1] = -8.0  # all of the error fixed, none in proportion
    s = simulate(problem, [(Hypothesis((CAUSES["sensor_reads_low"],), 0), z)])[0]
    error = CAUSES["sensor_reads_low"].severity.value(np.zeros(1))[0]
    assert s.start[0] - 268.15 == pytest.approx(error)  # it read the noted -5 degC while the coolant was warmer
    assert (s.coolant[-1] - s.shown[-1])[0] == pytest.approx(error, abs=0.5)  # K; the sensor's lag


def test_several_causes_on_the_same_members_act_one_after_the_other() -> None:
    case = healthy_case(case_of())
    core, pump = (
        CauseInMembers(CAUSES[key], slice(1, 3), np.zeros(2)) for key in ("heater_core_restricted", "pump_weak")
    )
    flow = changed(case, (core, pump), 4).circuit.heater_flow / case.circuit.heater_flow
    assert flow.tolist() == pytest.approx([1.0, 0.15 * 0.35, 0.15 * 0.35, 1.0])


@pytest.mark.parametrize(
    ("sections", "cause", "may"),
    [
        ({"thermostat": {"kind": "none"}}, "thermostat_missing", True),  # a bypass alone still needs one
        ({"thermostat": {"kind": "none", "bypass": "none"}}, "thermostat_missing", False),
        ({"heater": {"rated_output": "0 kW"}}, "heater_core_restricted", False),
        ({}, "heater_core_restricted", True),
        ({"circuit": {"pump_cold": "stands when cold"}}, "pump_not_commanded", True),
        ({"circuit": {"pump_cold": "stands when cold"}}, "pump_weak", True),
        ({"circuit": {"pump_drive": "electric"}}, "pump_impeller_loose", False),
        ({}, "pump_impeller_loose", True),
        ({"airflow": {"fan_drive": "fixed"}}, "fan_not_running", False),
        ({"airflow": {"fan_drive": "fixed"}}, "fan_always_on", False),
        ({"airflow": {"fan_drive": "viscous clutch"}}, "fan_always_on", True),
        ({"airflow": {"fan_drive": "viscous clutch"}}, "fan_reversed", False),
        ({"airflow": {"seals": "missing"}}, "seals_missing", False),
        ({}, "healthy", True),
        ({}, "low_coolant", True),
    ],
)
def test_any_one_of_what_a_cause_needs_will_do(sections: dict[str, Any], cause: str, may: bool) -> None:
    assert (cause in {c.key for c in applicable(case_of(**sections))}) is may


def test_missing_seals_do_the_same_as_a_cause_and_as_a_word_of_the_case() -> None:
    sealed, open_ = (case_of(airflow={"seals": word}) for word in ("fitted", "missing"))
    as_cause = changed(sealed, (CauseInMembers(CAUSES["seals_missing"], slice(0, 1), np.zeros(1)),), 1)
    one, other = prepare(as_cause).airway, prepare(open_).airway
    assert one.ram_recovery == pytest.approx(other.ram_recovery)
    assert one.recirculation == pytest.approx(other.recirculation)
    assert one.ram_recovery[0] < prepare(sealed).airway.ram_recovery[0]
