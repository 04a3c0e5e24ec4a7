"""What the customer tells as evidence: which way each sign points, what counts once, what is not asked counts nothing.

The physics that the directions rest on is common practice: a valve that does not close cools under way, a fan that
stands is missed standing still, a clogged radiator is missed under load. Error rates are ours, no source.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from made_up_members import vehicle
from scipy import stats

from engcalc.case.case import Case
from engcalc.case.resolve import resolve
from engcalc.case.sections.job import TOLD_INPUTS, TOLD_SIGNS
from engcalc.case.text import FORMAT, CaseText
from engcalc.causes.catalogue import CAUSES
from engcalc.causes.history import WORDS, CustomerQuestion
from engcalc.diagnosis.conclusion import conclude
from engcalc.diagnosis.evidence.complaint import SIGNS, told_by
from engcalc.diagnosis.evidence.observations import observed
from engcalc.diagnosis.grounds import Danger, GroundCode, VehicleState
from engcalc.diagnosis.members.everyday import EverydayUse, SettledTemperatures
from engcalc.diagnosis.members.simulated import Hypothesis, Simulated, problem_of, simulate
from engcalc.diagnosis.odds.diagnosis import Diagnosis, diagnose
from engcalc.diagnosis.odds.sampler import Effort
from engcalc.studies.check import check
from engcalc.vehicle.run import run_of

SMALL = Effort(prior=24, steps=1, first=16, round=160, rounds=1)
RECORD = {"ambient": "5 degC", "driving": "town", "engine_off_phases": "no", "heater_setting": "high"}


def case_of(job: dict[str, Any], record: dict[str, Any] | None = None) -> Case:
    tree = {"format": FORMAT, "job": job, "evidence": {"before": RECORD if record is None else record}}
    found = resolve(CaseText(tree))
    assert isinstance(found, Case), found
    return found


@pytest.fixture(scope="module")
def typical() -> dict[str, Simulated]:
    """A vehicle of each of some causes, everything at its median, settled in every use."""
    case = case_of({})
    problem = problem_of(case, (run_of(case, "before", {}), 1.0), uses=tuple(EverydayUse))
    keys = [
        "healthy",
        "thermostat_stuck_open",
        "fan_not_running",
        "radiator_restricted",
        "thermostat_stuck_shut",
        "heater_blend_stuck",
        "low_coolant",
        "external_leak",
        "gas_in_coolant",
        "sensor_reads_high",
        "shutter_stuck",
        "heater_core_restricted",
    ]
    hypotheses = [Hypothesis((CAUSES[key],), 0) for key in keys]
    k = len(problem.unknowns)
    return dict(zip(keys, simulate(problem, [(h, np.zeros((1, k + h.severities))) for h in hypotheses]), strict=True))


@pytest.mark.parametrize(
    ("sign", "more", "less"),
    [
        ("cold_at_idle", "thermostat_stuck_open", "heater_blend_stuck"),
        ("cold_when_driving", "thermostat_stuck_open", "healthy"),
        ("cold_always", "thermostat_stuck_open", "healthy"),
        ("slow_to_warm", "thermostat_stuck_open", "healthy"),
        ("heater_cold_gauge_low", "thermostat_stuck_open", "heater_blend_stuck"),
        ("heater_cold_gauge_low", "thermostat_stuck_open", "healthy"),
        ("heater_cold_gauge_normal", "heater_blend_stuck", "thermostat_stuck_open"),
        ("heater_lukewarm", "heater_core_restricted", "thermostat_stuck_open"),
        ("hot_at_idle", "fan_not_running", "radiator_restricted"),
        ("hot_at_speed", "shutter_stuck", "fan_not_running"),
        ("hot_towing", "radiator_restricted", "healthy"),
        ("hot_always", "low_coolant", "healthy"),
        ("smell", "external_leak", "healthy"),
        ("steam", "fan_not_running", "healthy"),
        ("warning_lamp", "sensor_reads_high", "healthy"),
    ],
)
def test_a_sign_is_told_more_often_where_the_simulated_state_has_it(
    typical: dict[str, Simulated], sign: str, more: str, less: str
) -> None:
    likely, rare = (float(SIGNS[sign].probability(typical[key])[0]) for key in (more, less))
    assert likely > 1.5 * rare
    assert 0.02 < rare < likely < 0.9  # a customer errs either way


def test_every_sign_of_the_case_has_its_error_rate_and_no_other() -> None:
    assert set(SIGNS) == set(TOLD_SIGNS)


def settled_at(**degC: Any) -> Simulated:
    """A made-up vehicle whose gauge shows this in each use; air at the vent under "vent"."""
    vent = np.atleast_1d(degC.pop("vent", 60.0)) + 273.15
    there = {EverydayUse[name]: np.atleast_1d(np.asarray(T, dtype=float)) + 273.15 for name, T in degC.items()}
    return replace(
        vehicle(), settled={use: SettledTemperatures(T, T, np.broadcast_to(vent, T.shape)) for use, T in there.items()}
    )


def rises(x: Any, at: float, width: float, least: float, most: float) -> Any:
    return least + (most - least) * stats.norm.cdf(np.asarray(x), at, width)


T = np.array([40.0, 62.0, 68.0, 74.0, 90.0, 107.0, 111.0, 113.0, 118.0])


@pytest.mark.parametrize(
    ("sign", "use", "wanted"),
    [
        ("hot_at_idle", "IDLE_WARM", rises(T, 111.0, 4.0, 0.10, 0.85)),
        ("hot_at_speed", "FAST_WARM", rises(T, 111.0, 4.0, 0.10, 0.85)),
        ("hot_towing", "TOWING_WARM", rises(T, 111.0, 4.0, 0.10, 0.85)),
        ("cold_at_idle", "IDLE_COOL", rises(-T, -68.0, 6.0, 0.10, 0.85)),
        ("cold_when_driving", "ROAD_COOL", rises(-T, -68.0, 6.0, 0.10, 0.85)),
    ],
)
def test_a_sign_of_the_gauge_errs_as_often_as_its_table_says(sign: str, use: str, wanted: Any) -> None:
    assert SIGNS[sign].probability(settled_at(**{use: T})) == pytest.approx(wanted, abs=4e-6)


def test_always_takes_both_uses() -> None:
    hot = settled_at(IDLE_WARM=[120.0, 120.0, 90.0], FAST_WARM=[120.0, 90.0, 120.0])
    assert SIGNS["hot_always"].probability(hot) == pytest.approx(
        [rises(120.0, 111.0, 4.0, 0.1, 0.85), 0.1, 0.1], abs=1e-5
    )
    cold = settled_at(IDLE_COOL=[40.0, 40.0, 90.0], ROAD_COOL=[40.0, 90.0, 40.0])
    assert SIGNS["cold_always"].probability(cold) == pytest.approx([0.85, 0.1, 0.1], abs=2e-4)


def test_a_cold_heater_takes_a_normal_gauge_and_cold_air_in_the_same_use() -> None:
    def told(gauge: float, vent: float) -> float:
        return float(
            SIGNS["heater_cold_gauge_normal"].probability(settled_at(IDLE_COOL=gauge, ROAD_COOL=gauge, vent=vent))[0]
        )

    edge = 0.06 + 0.79 * 0.5
    assert told(90.0, 20.0) == pytest.approx(0.85, abs=1e-3)
    assert told(90.0, 45.0) == pytest.approx(edge, abs=1e-3)
    assert told(68.0, 20.0) == pytest.approx(edge, abs=1e-3)
    assert told(111.0, 20.0) == pytest.approx(edge, abs=1e-3)
    assert told(90.0, 70.0) == pytest.approx(0.06, abs=1e-3)


def test_a_cold_heater_with_a_low_gauge_takes_both_in_the_same_use() -> None:
    def told(gauge: float, vent: float, under_way: float | None = None) -> float:
        there = settled_at(IDLE_COOL=gauge, ROAD_COOL=gauge if under_way is None else under_way, vent=vent)
        return float(SIGNS["heater_cold_gauge_low"].probability(there)[0])

    edge = 0.06 + 0.79 * 0.5
    assert told(40.0, 20.0) == pytest.approx(0.85, abs=1e-3)
    assert told(40.0, 45.0) == pytest.approx(edge, abs=1e-3)
    assert told(68.0, 20.0) == pytest.approx(edge, abs=1e-3)
    assert told(90.0, 20.0) == pytest.approx(0.06, abs=1e-3)
    assert told(40.0, 70.0) == pytest.approx(0.06, abs=1e-3)
    assert told(90.0, 20.0, under_way=40.0) == pytest.approx(0.85, abs=1e-3)  # in one use is enough


def test_a_lukewarm_heater_is_neither_warm_nor_without_any_heat() -> None:
    def told(vent: float) -> float:
        return float(SIGNS["heater_lukewarm"].probability(settled_at(IDLE_COOL=90.0, ROAD_COOL=90.0, vent=vent))[0])

    assert told(37.5) > 0.6
    assert told(5.0) == pytest.approx(0.06, abs=1e-3)
    assert told(70.0) == pytest.approx(0.06, abs=1e-3)
    assert told(30.0) == pytest.approx(0.06 + 0.79 * 0.5, abs=0.01)


def test_steam_and_lamp_follow_heat_leak_gas_and_level() -> None:
    cool = dict.fromkeys(("IDLE_WARM", "FAST_WARM"), 90.0)
    boils = settled_at(IDLE_WARM=117.0, FAST_WARM=90.0)
    assert SIGNS["steam"].probability(boils) == pytest.approx([0.315], abs=1e-4)
    assert SIGNS["warning_lamp"].probability(settled_at(IDLE_WARM=115.0, FAST_WARM=90.0)) == pytest.approx(
        [0.40], abs=1e-4
    )
    for state, steam, lamp in (("LEAK", 0.2, 0.05), ("GAS", 0.35, 0.05)):
        members = replace(vehicle(**{state: 1.0}), settled=settled_at(**cool).settled)
        assert SIGNS["steam"].probability(members) == pytest.approx([steam], abs=1e-3)
        assert SIGNS["warning_lamp"].probability(members) == pytest.approx([lamp], abs=4e-3)
    low = replace(vehicle(LEVEL=0.2), settled=settled_at(**cool).settled)
    assert SIGNS["warning_lamp"].probability(low) == pytest.approx([0.275], abs=1e-4)


def test_slow_is_what_has_made_little_of_its_way_by_twelve_minutes() -> None:
    way = 363.15 - 11.0 - 283.15  # from 10 degC to 11 K under a rating of 90 degC
    made = np.array([0.4, 0.7, 1.0])
    at_10, at_15 = (10.0 + way * made * 0.9, 10.0 + way * made * 1.05)  # 12 min lies two fifths of the way between
    shown = vehicle({"shown": [[10.0] * 3, at_10, at_15, at_15]})
    by_then = 0.6 * 0.9 * made + 0.4 * 1.05 * made
    assert SIGNS["slow_to_warm"].probability(shown) == pytest.approx(rises(-by_then, -0.7, 0.12, 0.12, 0.8), abs=4e-6)


def test_what_the_reason_says_already_counts_once() -> None:
    job = case_of({"reason": "hot at idle", "told": {"hot_at_idle": True, "hot_always": True, "steam": True}}).job
    found = told_by(job, "hot at idle")
    assert [sight.item for sight in found.sights] == ["told.hot_always", "told.steam"]
    assert found.sights[0].probability is SIGNS["hot_at_speed"].probability  # the rest of "always"
    said = "told by the customer, it runs hot standing still: the reason for the visit says it, and counts in the odds"
    assert found.unused == (f"{said} before any reading",)  # in words, not by the key of the case file
    denied = told_by(case_of({"reason": "hot at idle", "told": {"hot_at_idle": False}}).job, "hot at idle")
    assert [sight.item for sight in denied.sights] == ["told.hot_at_idle"]


def test_where_coolant_is_lost_says_that_it_is_lost_only_where_no_reason_has_said_so() -> None:
    leaking = replace(vehicle(LEAK=1.0), histories={word: np.array([0.3]) for word in WORDS})
    job = case_of({"coolant_lost_at": "hose"}).job
    by_reason = told_by(job, "loss of coolant").sights[0].probability(leaking)
    besides = told_by(job, "hot at idle").sights[0].probability(leaking)
    assert by_reason == pytest.approx([0.3])
    assert besides == pytest.approx([0.3 * 0.85])


@pytest.mark.parametrize(
    ("job", "reason"),
    [
        ({"told": {"hot_at_idle": True}}, "hot at idle"),
        ({"told": {"hot_always": True}}, "hot at speed"),
        ({"told": {"cold_when_driving": True, "hot_at_idle": False}}, "slow warm-up"),
        ({"told": {"heater_cold_gauge_normal": True}}, "no heat"),
        ({"told": {"heater_lukewarm": True}}, "no heat"),
        ({"told": {"heater_cold_gauge_low": True, "slow_to_warm": True}}, "no heat"),
        ({"coolant_lost_at": "pump"}, "loss of coolant"),
        ({"coolant_lost_at": "pump", "told": {"steam": True}}, "hot at speed"),
        ({"told": {"smell": True}}, "loss of coolant"),
        ({"told": {"hot_at_idle": True}, "reason": "screening"}, "screening"),
        ({"told": {"hot_at_idle": False}}, None),
        ({"onset": "sudden"}, None),
    ],
)
def test_the_reason_follows_from_what_is_told_where_nobody_stated_one(job: dict[str, Any], reason: str | None) -> None:
    assert case_of(job).job.reason == reason


def test_a_told_sign_alone_makes_the_record_of_a_visit() -> None:
    found = resolve(CaseText({"format": FORMAT, "job": {"told": {"hot_at_idle": True}}}))
    assert isinstance(found, Case)
    assert found.evidence.before is not None
    empty = resolve(CaseText({"format": FORMAT, "job": {"reason": "hot at idle"}}))
    assert isinstance(empty, Case)
    assert empty.evidence.before is None
    assert set(TOLD_INPUTS) <= {"told", "coolant_lost_at", "onset", "after_work"}


def found_odds(job: dict[str, Any], after: dict[str, Any] | None = None) -> Diagnosis:
    case = case_of(job)
    if after is not None:
        tree = {"format": FORMAT, "job": job, "evidence": {"before": RECORD, "after": {**RECORD, **after}}}
        resolved = resolve(CaseText(tree))
        assert isinstance(resolved, Case)
        case = resolved
    return diagnose(case, {}, effort=SMALL)


def test_a_cold_heater_with_a_normal_gauge_moves_the_odds_from_thermostat_to_heater() -> None:
    plain = found_odds({"reason": "no heat"})
    told = found_odds({"reason": "no heat", "told": {"heater_cold_gauge_normal": True}, "after_work": "heater"})
    for key, way in (("thermostat_stuck_open", -1), ("heater_blend_stuck", +1)):
        assert way * (told.probability(key) - plain.probability(key)) > 0.02, key
    weights = {item.item: item for item in told.evidence}
    assert set(weights) == {"told.heater_cold_gauge_normal", "told.after_work"}
    assert weights["told.heater_cold_gauge_normal"].weight_to_healthy > 1.0


def test_a_cold_heater_with_a_low_gauge_moves_the_odds_from_heater_to_thermostat() -> None:
    """The gauge is what splits the two: a heater's own fault leaves it in its middle."""
    plain, low, normal = (
        found_odds({"reason": "no heat", **told})
        for told in ({}, {"told": {"heater_cold_gauge_low": True}}, {"told": {"heater_cold_gauge_normal": True}})
    )
    assert low.probability("thermostat_stuck_open") > plain.probability("thermostat_stuck_open") + 0.1
    assert normal.probability("thermostat_stuck_open") < plain.probability("thermostat_stuck_open")
    for key in ("heater_blend_stuck", "heater_core_restricted", "heater_valve_closed"):
        assert low.probability(key) < 0.7 * plain.probability(key), key
    (weight,) = (item for item in low.evidence if item.item == "told.heater_cold_gauge_low")
    assert weight.weight_to_healthy > 1.0


def test_what_the_customer_told_before_a_repair_says_nothing_of_the_record_after_it() -> None:
    after = {"spots": [{"what": "coolant", "at": "25 min", "value": "88 degC"}]}
    found = found_odds({"reason": "no heat", "told": {"heater_cold_gauge_normal": True}}, after)
    assert found.record == "after"
    assert not [item for item in found.evidence if item.item.startswith("told.")]


def test_what_nobody_asked_changes_nothing() -> None:
    case = case_of({"told": {}})
    told = told_by(case.job, "screening")
    assert (told.sights, told.uses, told.unused) == ((), (), ())
    evidence = observed(run_of(case, "before", {}))
    with_it = evidence.and_told(told.sights, told.unused)
    assert (with_it.items, with_it.unused) == (evidence.items, evidence.unused)


@pytest.mark.parametrize(
    ("job", "state", "danger", "lead"),
    [
        ({"told": {"steam": True}}, VehicleState.CANNOT_TELL, Danger.CARE, GroundCode.TOLD_STEAM),
        ({"told": {"warning_lamp": True}}, VehicleState.CANNOT_TELL, Danger.CARE, GroundCode.TOLD_LAMP),
        (
            {"told": {"steam": False}, "reason": "hot at idle"},
            VehicleState.CANNOT_TELL,
            Danger.NONE,
            GroundCode.COMPLAINT_OPEN,
        ),
        ({"told": {"heater_cold_gauge_normal": True}}, VehicleState.HEATS_POORLY, Danger.NONE, GroundCode.TOLD_HEATER),
        ({"told": {"heater_lukewarm": True}}, VehicleState.HEATS_POORLY, Danger.NONE, GroundCode.TOLD_HEATER),
        (
            {"told": {"heater_cold_gauge_low": True}},  # engine or heater: the readings have to say
            VehicleState.CANNOT_TELL,
            Danger.NONE,
            GroundCode.COMPLAINT_OPEN,
        ),
    ],
)
def test_the_conclusion_hears_the_customer(
    job: dict[str, Any], state: VehicleState, danger: Danger, lead: GroundCode
) -> None:
    found = conclude(check(case_of(job), members=8))
    assert (found.state, found.danger, found.lead.code) == (state, danger, lead)
    assert not found.green


def test_every_answer_of_a_list_reaches_the_members() -> None:
    case = case_of({})
    problem = problem_of(case, (run_of(case, "before", {}), 1.0))
    h = Hypothesis((CAUSES["pump_weak"],), 0)
    (members,) = simulate(problem, [(h, np.zeros((2, len(problem.unknowns) + h.severities)))])
    assert set(members.histories) == set(WORDS)
    sudden = (CustomerQuestion.ONSET, "sudden")
    assert members.histories[sudden] == pytest.approx(2 * [CAUSES["pump_weak"].history.share(sudden)])
    assert members.settled == {}  # nobody told of a use
