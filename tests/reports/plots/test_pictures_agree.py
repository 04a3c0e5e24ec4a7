"""Pictures of records in time say what the conclusion says: the warm-up's band, and before beside after.

The courses are invented; what each is, is told by its own numbers and not by the program: family car, 5 degC, town,
heater high. Common practice, no source.
"""

from __future__ import annotations

from functools import cache

import pytest

from engcalc.case.case import Case
from engcalc.case.resolve import resolve
from engcalc.case.text import CaseText
from engcalc.diagnosis.conclusion import Conclusion
from engcalc.diagnosis.grounds import Danger, GroundCode, VehicleState
from engcalc.diagnosis.repair.before_after import (
    BeforeAfter,
    BeforeAfterChange,
    ComparedRecord,
    Proof,
    ValveFit,
    _of_heat,
    _proof,
    _shuts,
    _stays_healthy,
)
from engcalc.diagnosis.repair.hot_runs import hot_runs
from engcalc.diagnosis.whole_check import WholeCheck, check_with_records
from engcalc.units import UnitSystem
from engcalc.verdict import Verdict
from engcalc.words.answer.answer import headline
from engcalc.words.answer.warmup_words import warmup_sentences
from engcalc.words.diagnosis.proof_words import proof_sentence
from engcalc.words.terms.numbers import minutes
from reports.plots.registry import Screen, pictures_at

SI = UnitSystem.SI
Course = tuple[tuple[int, float], ...]  # min, degC
IN_TIME: Course = ((0, 5), (3, 25), (5, 45), (7, 60), (10, 75), (15, 86), (30, 88))
TOO_COLD: Course = ((0, 5), (5, 25), (10, 45), (20, 58), (30, 60), (40, 60), (50, 60))
COURSES: dict[str, Course] = {
    "in time": IN_TIME,
    "late": ((0, 5), (10, 30), (20, 45), (30, 55), (40, 62)),
    "settles cold": TOO_COLD,
    "cold again": ((0, 5), (10, 75), (15, 86), (20, 60), (30, 62)),
    "warm, more than most": ((0, 5), (5, 60), (10, 92), (15, 101), (30, 102)),
    "far hotter": ((0, 5), (5, 60), (10, 92), (15, 104), (30, 107)),
    "near its limit": ((0, 5), (10, 75), (20, 95), (25, 105), (30, 112)),
    "over its limit": ((0, 5), (10, 75), (20, 95), (25, 110), (30, 120)),
    "over its limit once": ((0, 5), (10, 75), (25, 117), (30, 90)),
    "ends early": ((0, 5), (3, 20), (5, 30)),
}
WANTED = {  # state and danger, by the numbers above
    "in time": (VehicleState.HEALTHY, Danger.NONE),
    "settles cold": (VehicleState.RUNS_COLD, Danger.NONE),
    "cold again": (VehicleState.RUNS_COLD, Danger.NONE),
    "warm, more than most": (VehicleState.HEALTHY, Danger.NONE),
    "far hotter": (VehicleState.RUNS_HOT, Danger.NONE),
    "near its limit": (VehicleState.RUNS_HOT, Danger.CARE),
    "over its limit": (VehicleState.RUNS_HOT, Danger.STOP),
    "over its limit once": (VehicleState.RUNS_HOT, Danger.STOP),
}


def record(course: Course) -> dict[str, object]:
    how = {"ambient": "5 degC", "heater_setting": "high", "driving": "town", "engine_off_phases": "no"}
    return {**how, "block_heater": "no", "curve": [[at, f"{T} degC"] for at, T in course]}


def answered(reason: str, **evidence: Course) -> WholeCheck:
    tree = {"vehicle": {"class": "family car"}, "job": {"reason": reason}}
    told = {name: record(course) for name, course in evidence.items()}
    case = resolve(CaseText({"format": "heatdocket-case/1", **tree, "evidence": told}))
    assert isinstance(case, Case), case
    return check_with_records(case, {}, members=12)


@cache
def of_course(name: str) -> WholeCheck:
    return answered("slow warm-up", before=COURSES[name])


def caption(place: object, subject: object) -> str:
    """Caption and the words for those who cannot see it, of the first picture of a place."""
    plot = pictures_at(place)[0].build(subject, SI)
    return f"{plot.words.caption} {plot.words.alternative}"


@pytest.mark.parametrize("name", COURSES)
def test_the_picture_of_a_warm_up_agrees_with_the_conclusion(name: str) -> None:
    whole = of_course(name)
    found, one = whole.conclusion, whole.records[0]
    drawn, told = caption(Screen.WARMUP, one), " ".join(warmup_sentences(one, SI))
    leaves = one.measured.leaves_band
    inside = leaves is None and not one.measured.ends_outside
    assert ("stays within it" in drawn) is ("The curve lies within" in told) is inside
    assert ("not long or far enough" in drawn) is ("not long or far enough" in told) is (leaves is None and not inside)
    if leaves is not None:
        side, way = ("below", "falls below") if one.measured.leaves_below else ("above", "rises above")
        assert f"leaves it {side} from {minutes(leaves)} on" in drawn
        assert f"From {minutes(leaves)} on the curve {way}" in told
    if found.state is VehicleState.RUNS_COLD:
        assert "leaves it below" in drawn
    if found.state is VehicleState.RUNS_HOT:
        assert "leaves it above" in drawn
        assert "no fault" not in headline(whole.check) + told
        assert "called a fault" not in headline(whole.check) + told
    if found.state is VehicleState.HEALTHY and leaves is not None:
        assert "nine in ten healthy vehicles" in headline(whole.check), "what the picture shows is said"


@pytest.mark.parametrize("name", WANTED)
def test_a_course_is_judged_by_how_cold_or_hot_it_got(name: str) -> None:
    found = of_course(name).conclusion
    assert (found.state, found.danger) == WANTED[name]


def test_a_course_far_too_hot_says_what_a_reading_by_hand_says() -> None:
    said = headline(of_course("far hotter").check)
    assert said.startswith("Runs hot. The coolant read 107 °C 30 min after the start. That is well above what")
    assert of_course("far hotter").conclusion.lead.code is GroundCode.HOTTER


# ---- before and after: the fit of both is made up, for it is dear and has tests of its own ---------------------------

PAIRS = {  # reason, before, after, odds that the valve shuts better, whether it shuts now
    "mended": ("slow warm-up", "settles cold", "in time", 0.99, True),
    "mended, warm sooner than most": ("slow warm-up", "settles cold", "warm, more than most", 0.99, True),
    "warm sooner than most, twice": ("slow warm-up", "warm, more than most", "warm, more than most", 0.5, True),
    "as cold as before": ("slow warm-up", "settles cold", "settles cold", 0.45, False),
    "warm now, the valve no better": ("slow warm-up", "settles cold", "in time", 0.45, True),
    "warm now, the valve still lets pass": ("slow warm-up", "settles cold", "in time", 0.99, False),
    "too hot, cooler since": ("hot at speed", "over its limit", "in time", 0.5, True),
    "too hot as before": ("hot at speed", "over its limit", "over its limit", 0.5, True),
    "hotter than any, cooler since": ("hot at speed", "far hotter", "in time", 0.99, True),
}
PROOFS = {
    "mended": Proof.OPEN,  # this one was colder than nine in ten for a time
    "mended, warm sooner than most": Proof.REPAIRED,
    "warm sooner than most, twice": Proof.NO_FAULT,
    "as cold as before": Proof.SAME,
    "warm now, the valve still lets pass": Proof.OPEN,
    "too hot, cooler since": Proof.OPEN,
    "too hot as before": Proof.SAME,
    "hotter than any, cooler since": Proof.OPEN,
}


@cache
def of_pair(name: str) -> tuple[Conclusion, BeforeAfter]:
    reason, before, after, odds, shuts = PAIRS[name]
    whole = answered(reason, before=COURSES[before], after=COURSES[after])
    opening = 0.0 if shuts else 0.1
    case, pair = whole.check.case, (whole.records[0], whole.records[1])
    hot = hot_runs(case, *pair)
    if hot is not None:
        return whole.conclusion, _of_heat(case, hot, pair)
    fitted = [ValveFit(r.measured.time, r.measured.T, 1.0, opening, 0.0, 2.0 * opening) for r in pair]
    halves = [ComparedRecord(r, valve) for r, valve in zip(pair, fitted, strict=True)]
    in_time = pair[1].verdict.verdict is Verdict.HOLDS
    healthy = in_time and _stays_healthy(case, pair[1]) and _shuts(halves[1])
    proof = _proof(pair[0], odds, healthy, halves[1])
    change = BeforeAfterChange(1800.0, 350.0, 360.0, None, None, None)
    return whole.conclusion, BeforeAfter(*halves, change, odds, healthy, proof, (), None)


@pytest.mark.parametrize("name", PAIRS)
def test_the_picture_of_a_repair_agrees_with_the_conclusion(name: str) -> None:
    found, proof = of_pair(name)
    assert proof_sentence(proof, SI) in caption(Screen.PROOF, proof)
    if proof.proof in (Proof.REPAIRED, Proof.NO_FAULT):
        assert found.state is VehicleState.HEALTHY
    if proof.proof in (Proof.SAME, Proof.BETTER):
        assert found.state is not VehicleState.HEALTHY
    if found.danger is not Danger.NONE:
        assert proof.proof is Proof.SAME


@pytest.mark.parametrize("name", PROOFS)
def test_no_vehicle_is_said_to_be_healed_or_ill_by_odds_of_another_fault(name: str) -> None:
    assert of_pair(name)[1].proof is PROOFS[name]
