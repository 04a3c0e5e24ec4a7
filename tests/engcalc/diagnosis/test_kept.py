"""A reading added later is judged in the vehicles that were run before; the odds are those of a diagnosis from new."""

from __future__ import annotations

import copy
from typing import Any

import numpy as np
import pytest

from engcalc.case.case import Case
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.diagnosis.diagnosis import Diagnosis, diagnose
from engcalc.diagnosis.kept import alike, same_runs
from engcalc.diagnosis.sampler import Effort
from engcalc.diagnosis.simulated import Problem, Runner, problem_of, simulate
from engcalc.vehicle.run import runs_of

SOME = Effort(prior=48, steps=1, first=24, round=400, rounds=3, wanted_likely=200, wanted_possible=60)
SPOT = {"what": "coolant", "at": "25 min", "value": "70 degC", "instrument": "scan_tool"}
RECORD = {
    "ambient": "5 degC",
    "heater_setting": "off",
    "driving": "town",
    "start_temperature": "6 degC",
    "spots": [SPOT],
}
SECTIONS: dict[str, Any] = {
    "job": {"reason": "slow warm-up"},
    "thermostat": {"side": "outlet"},
    "evidence": {"before": RECORD},
}
HOSE = {"what": "upper_hose", "at": "6 min", "value": "14 degC", "instrument": "clamp", "surface": "rubber"}


def case(*changes: tuple[str, str, Any], hose: bool = False, seen: dict[str, bool] | None = None) -> Case:
    sections = copy.deepcopy(SECTIONS)
    for section, key, value in changes:
        (sections["evidence"]["before"] if section == "before" else sections.setdefault(section, {}))[key] = value
    record = sections["evidence"]["before"]
    record["spots"] += [HOSE] if hose else []
    record["seen"] = seen or {}
    found = resolve(CaseText({"format": FORMAT, **sections}))
    assert isinstance(found, Case), found
    return found


def problem(of: Case) -> Problem:
    return problem_of(of, *runs_of(of, "before", {}))


def counted(sizes: list[int]) -> Runner:
    def run(p: Any, batch: Any, cancelled: Any = None, drive: Any = None) -> Any:
        sizes.append(sum(len(z) for _, z in batch))
        return simulate(p, batch, cancelled, drive)

    return run


@pytest.fixture(scope="module")
def before() -> Diagnosis:
    return diagnose(case(), {}, effort=SOME)


def within_errors(a: Diagnosis, b: Diagnosis) -> None:
    for cause in b.causes[:4]:
        mine = next(c for c in a.causes if c.fault == cause.fault)
        both = float(np.hypot(mine.error, cause.error))
        assert mine.probability == pytest.approx(cause.probability, abs=3.0 * both + 0.002), cause.fault


def test_a_reading_added_is_judged_in_few_new_vehicles(before: Diagnosis) -> None:
    now, sizes = case(hose=True), []  # type: ignore[var-annotated]
    again = diagnose(now, {}, effort=SOME, earlier=before, runner=counted(sizes))
    new = diagnose(now, {}, effort=SOME)
    assert sum(sizes) < 0.5 * new.members
    within_errors(again, new)
    assert [c.key for c in again.next_checks][:2] == [c.key for c in new.next_checks][:2]


def test_the_same_evidence_again_gives_the_same_odds_and_runs_next_to_nothing(before: Diagnosis) -> None:
    sizes: list[int] = []
    again = diagnose(case(), {}, effort=SOME, earlier=before, runner=counted(sizes))
    assert sum(sizes) < 0.25 * before.members
    within_errors(again, before)


def test_what_the_earlier_odds_had_ruled_out_comes_back(before: Diagnosis) -> None:
    """Its few draws cannot tell: their shape says so, and new ones are made."""
    now, sizes = case(seen={"fan_runs_always": True, "thermostat_open_when_cold": False}), []  # type: ignore[var-annotated]
    again = diagnose(now, {}, effort=SOME, earlier=before, runner=counted(sizes))
    new = diagnose(now, {}, effort=SOME)
    assert again.probability("fan_always_on") > 5.0 * before.probability("fan_always_on")
    within_errors(again, new)


def test_an_earlier_diagnosis_is_left_as_it_was(before: Diagnosis) -> None:
    assert before.kept is not None
    members = [len(d.z) for d in before.kept.draws]
    odds = [c.probability for c in before.causes]
    diagnose(case(hose=True), {}, effort=SOME, earlier=before)
    assert [len(d.z) for d in before.kept.draws] == members
    assert [c.probability for c in before.causes] == odds


def test_readings_sights_codes_reasons_and_rates_leave_the_runs_alike() -> None:
    base = problem(case())
    assert same_runs(base, problem(case()))
    assert same_runs(base, problem(case(hose=True, seen={"level_low": True})))
    assert same_runs(base, problem(case(("before", "codes", ["P0128"]))))
    assert same_runs(base, problem(case(("job", "reason", "no heat"))))
    assert same_runs(base, problem(case(("base_rates", "low_coolant", "30 %"))))


@pytest.mark.parametrize(
    "change",
    [
        ("before", "ambient", "6 degC"),
        ("before", "start_temperature", "9 degC"),
        ("before", "heater_setting", "unknown"),
        ("before", "driving", "motorway"),
        ("before", "engine_off_phases", "no"),
        ("thermostat", "side", "inlet"),
        ("thermostat", "rating", "82 degC"),
        ("vehicle", "class", "pickup"),
        ("before", "spots", [{**SPOT, "at": "40 min"}]),
    ],
)
def test_what_vehicles_run_by_asks_for_new_ones(change: tuple[str, str, Any]) -> None:
    assert not same_runs(problem(case()), problem(case(change)))


def test_other_runs_are_not_judged_again(before: Diagnosis) -> None:
    now = case(("before", "ambient", "9 degC"))
    again, new = (diagnose(now, {}, effort=SOME, earlier=e) for e in (before, None))
    assert [c.probability for c in again.causes] == [c.probability for c in new.causes]


def test_numbers_not_given_are_alike_and_kinds_are_not() -> None:
    assert alike(np.array([1.0, np.nan]), np.array([1.0, np.nan]))
    assert not alike(np.array([1.0, 2.0]), np.array([1.0, np.nan]))
    assert not alike(np.zeros(2), np.zeros(3))
    assert not alike(1, 1.0)
    assert alike({"a": (1, [2])}, {"a": (1, [2])})
    assert not alike({"a": (1, [2])}, {"a": (1, [2, 3])})


def test_what_a_reading_weighs_is_told_alike_by_three_seeds() -> None:
    """Without its strongest piece a vehicle is where no draw was: reweighting alone differed by bits."""
    weights = [
        {e.item: e.weight_to_healthy for e in diagnose(case(hose=True), {}, effort=SOME, seed=seed).evidence}
        for seed in (1, 2, 3)
    ]
    for item in weights[0]:
        found = [w[item] for w in weights]
        assert max(found) - min(found) < 0.6, item
