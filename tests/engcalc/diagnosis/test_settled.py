"""What odds settle counts in the one conclusion: after dangers and faults that were found, before "cannot tell"."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import cache
from typing import Any

import pytest
from told_cases import answered, coolant, evidence, seen

from engcalc.case.case import Case
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.causes.catalogue import CAUSES
from engcalc.causes.catalogue.healthy import HEALTHY
from engcalc.causes.catalogue.not_in_list import NOT_IN_LIST
from engcalc.diagnosis.checks.first_steps import NextStep
from engcalc.diagnosis.checks.hand_checks import CHECKS
from engcalc.diagnosis.conclusion import COMPLAINTS, Conclusion, conclude
from engcalc.diagnosis.enough import SETTLED, enough
from engcalc.diagnosis.grounds import GroundCode, VehicleState
from engcalc.diagnosis.odds.as_it_grows import GrownCause
from engcalc.diagnosis.odds.diagnosis import LOWEST_EFFECTIVE
from engcalc.diagnosis.settled import with_odds
from engcalc.diagnosis.whole_check import check_with_records
from engcalc.studies.check import check
from engcalc.studies.checked import AskedByOdds, Check, SettledOdds
from engcalc.units import UnitSystem
from engcalc.words.answer.answer import cautions_with_answer, check_label, comes_before_odds, headline, next_words
from engcalc.words.answer.plainly import PlainVerdict, beside_lead, plain
from engcalc.words.diagnosis.conclusion_words import BY_ODDS, PROBABLY, STEPS
from engcalc.words.page.cautions import CAUTION_TEXTS
from engcalc.words.workshop.live_words import enough_lines

SI = UnitSystem.SI


def checked(reason: str, **record: Any) -> Check:
    tree = {"format": FORMAT, "vehicle": {"class": "family car"}, **evidence(record, reason=reason)}
    found = resolve(CaseText(tree))
    assert isinstance(found, Case), found
    return check(found, members=0)


def odds_of(fault: str, p: float = 0.95, error: float = 0.0, effective: float = 1000.0) -> list[GrownCause]:
    """One cause with its odds, and all the rest for another that the record can tell from it."""
    other = "fan_reversed" if fault != "fan_reversed" else "shutter_stuck"
    return [GrownCause(fault, p, error, effective, 0.0), GrownCause(other, 1.0 - p, 0.0, effective, -20.0)]


OPEN: Mapping[str, Any] = seen(level_low=False)  # looked at, and nothing decided by it


def concluded(reason: str, causes: list[GrownCause], record: Mapping[str, Any] = OPEN) -> Conclusion:
    return conclude(with_odds(checked(reason, **record), "before", causes))


@pytest.mark.parametrize(
    ("reason", "fault", "state"),
    [
        ("no heat", "thermostat_opens_early", VehicleState.RUNS_COLD),
        ("no heat", "heater_core_restricted", VehicleState.HEATS_POORLY),
        ("slow warm-up", "fan_always_on", VehicleState.RUNS_COLD),
        ("hot at speed", "pump_weak", VehicleState.RUNS_HOT),
        ("no heat", "pump_weak", VehicleState.HEATS_POORLY),
        ("loss of coolant", "external_leak", VehicleState.LOSES_COOLANT),
        ("hot at idle", "sensor_reads_high", VehicleState.CANNOT_TELL),
    ],
)
def test_the_state_is_what_the_cause_brings(reason: str, fault: str, state: VehicleState) -> None:
    before = concluded(reason, odds_of(HEALTHY.key))
    found = concluded(reason, odds_of(fault))
    assert before.lead.code is not GroundCode.ODDS_SETTLE
    assert (found.lead.code, found.state) == (GroundCode.ODDS_SETTLE, state)
    assert found.lead.odds == SettledOdds("before", (fault,), 0.95)
    assert not found.green


def test_odds_settle_from_nine_in_ten_beyond_their_error_on() -> None:
    rule = GroundCode.ODDS_SETTLE
    assert concluded("no heat", odds_of("pump_weak", SETTLED + 0.021, 0.01)).lead.code is rule
    assert concluded("no heat", odds_of("pump_weak", SETTLED + 0.019, 0.01)).lead.code is not rule
    assert concluded("no heat", odds_of("pump_weak", effective=LOWEST_EFFECTIVE)).lead.code is rule
    assert concluded("no heat", odds_of("pump_weak", effective=LOWEST_EFFECTIVE - 1.0)).lead.code is not rule


def test_causes_that_the_record_cannot_tell_apart_are_settled_together() -> None:
    causes = [
        GrownCause("thermostat_stuck_open", 0.60, 0.0, 1000.0, 0.0),
        GrownCause("thermostat_missing", 0.35, 0.0, 1000.0, 0.1),
        GrownCause("pump_weak", 0.05, 0.0, 1000.0, -20.0),
    ]
    odds = concluded("no heat", causes).lead.odds
    assert odds is not None
    assert odds.faults == ("thermostat_stuck_open", "thermostat_missing")
    assert odds.probability == pytest.approx(0.95)


@pytest.mark.parametrize("fault", [HEALTHY.key, NOT_IN_LIST.key, "pump_weak+low_coolant"])
def test_only_a_fault_that_a_simulation_holds_is_settled(fault: str) -> None:
    assert with_odds(checked("no heat", **OPEN), "before", odds_of(fault)).odds is None


def test_odds_that_settle_nothing_any_more_take_back_what_was_settled() -> None:
    settled = with_odds(checked("no heat", **OPEN), "before", odds_of("pump_weak"))
    assert settled.odds is not None
    assert with_odds(settled, "before", odds_of("pump_weak", 0.5)).odds is None


def test_a_danger_and_a_fault_that_was_found_come_first() -> None:
    hot = concluded("hot at idle", odds_of("pump_weak"), seen(coolant("119 degC"), fan_runs_when_hot=False))
    assert hot.lead.code is GroundCode.FAN_STILL_HOT
    found = concluded("no heat", odds_of("pump_weak"), seen(thermostat_open_when_cold=True))
    assert found.lead.code is GroundCode.VALVE_OPEN


def test_odds_of_another_record_say_nothing_of_the_one_that_stands() -> None:
    after = with_odds(checked("no heat", **OPEN), "after", odds_of("pump_weak"))
    assert conclude(after).lead.code is not GroundCode.ODDS_SETTLE


def test_a_sensor_that_is_settled_to_be_wrong_speaks_before_its_low_reading_not_before_a_high_one() -> None:
    cold = seen(coolant("20 degC", at="40 min"))
    tree = {"format": FORMAT, "vehicle": {"class": "family car"}, **evidence(cold, reason="no heat")}
    case = resolve(CaseText(tree))
    assert isinstance(case, Case)
    read = check_with_records(case, {}, members=20).check
    assert conclude(read).lead.code is GroundCode.COLDER
    assert conclude(with_odds(read, "before", odds_of("pump_weak"))).lead.code is GroundCode.COLDER
    doubted = with_odds(read, "before", odds_of("sensor_reads_low"))
    assert conclude(doubted).lead.code is GroundCode.ODDS_SETTLE
    assert check_label(doubted) == "Sensor doubted"
    hot = concluded("hot at idle", odds_of("sensor_reads_high"), seen(coolant("119 degC")))
    assert hot.lead.code is GroundCode.OVER_LIMIT


@pytest.mark.parametrize("reason", [*COMPLAINTS, "screening"])
def test_every_cause_brings_a_state_and_has_its_words_on_every_face(reason: str) -> None:
    plainly = checked(reason, **OPEN)
    for fault in CAUSES.keys() - {HEALTHY.key, NOT_IN_LIST.key}:
        told = with_odds(plainly, "before", odds_of(fault))
        found = conclude(told)
        if found.lead.code is not GroundCode.ODDS_SETTLE:
            continue  # complaint and class alone decide
        label = CAUSES[fault].label
        assert headline(told).startswith(PROBABLY[found.state])
        assert label[1:] in headline(told)
        assert "about 19 in 20" in headline(told)
        assert plain(told) == PlainVerdict(*BY_ODDS[found.state])
        assert "about 19 in 20" in beside_lead(told)


def test_what_is_settled_live_is_what_the_conclusion_says() -> None:
    causes = odds_of("sensor_reads_low")
    before = checked("no heat", **OPEN)
    assert enough(causes, conclude(before)).settled == ()
    assert enough(causes, conclude(with_odds(before, "before", causes))).settled == ("sensor_reads_low",)
    healthy = odds_of(HEALTHY.key)
    assert enough(healthy, conclude(with_odds(before, "before", healthy))).settled == ()  # a complaint stands open


def test_what_was_looked_at_and_found_settles_it_live_whatever_the_odds_say() -> None:
    """A fan that stood still was "still open" in the live view, under a headline that said so."""
    causes = odds_of("heater_core_restricted")
    causes += [replace(causes[0], fault=fault, probability=0.01) for fault in ("fan_not_running", "face_blocked")]
    still = {"fan_runs_when_hot": False, "face_dirty": True}
    found = enough(causes, concluded("hot at idle", causes, seen(**still)), still)
    assert (found.settled, found.open, found.seen) == (("fan_not_running",), (), True)
    assert enough_lines(found) == ("This was looked at and found: the radiator fan does not run.",)
    dirty = {"face_dirty": True}  # many vehicles hold with some dirt
    assert not enough(causes, concluded("hot at idle", causes, seen(**dirty)), dirty).seen


def test_a_check_of_the_same_case_keeps_its_odds() -> None:
    told = with_odds(checked("no heat", **OPEN), "before", odds_of("pump_weak"))
    assert conclude(replace(told, case=told.case)).lead.code is GroundCode.ODDS_SETTLE


@pytest.mark.parametrize(
    ("fault", "noted", "step"),
    [
        ("heater_blend_stuck", {"level_low": False}, NextStep.FLAP),
        ("heater_blend_stuck", {}, NextStep.LOOK_AT_LEVEL),
        ("heater_core_restricted", {"level_low": False}, NextStep.HEATER_FLOW),
        ("thermostat_stuck_open", {"level_low": False}, NextStep.UPPER_HOSE),
        ("pump_weak", {"level_low": False}, None),
    ],
)
def test_a_settled_cause_asks_for_its_own_check(fault: str, noted: dict[str, bool], step: NextStep | None) -> None:
    """A flap at over 19 in 20 sent the technician to the pump's belt, and the banner named no check at all."""
    told = with_odds(checked("no heat", **seen(vent_cold=True, **noted)), "before", odds_of(fault))
    assert conclude(told).lead.code is GroundCode.ODDS_SETTLE
    assert conclude(told).next_step is step
    alone = step not in (None, NextStep.LOOK_AT_LEVEL)  # the level comes first by the odds too, and is named once
    assert comes_before_odds(told, "before") == (STEPS[step] if alone else None)
    assert comes_before_odds(told, "after") is None


def test_where_nothing_comes_before_them_the_odds_say_what_is_next() -> None:
    """The banner's next step is the card's: one answer."""
    level = "level_and_bubbles"
    open_ = checked("hot at speed", **OPEN)
    asked = replace(open_, asked_by_odds=AskedByOdds("before", level))
    assert next_words(asked).startswith(CHECKS[level].title)
    assert {CAUTION_TEXTS[key] for key in CHECKS[level].cautions} <= set(cautions_with_answer(asked))
    assert next_words(replace(open_, asked_by_odds=AskedByOdds("before", None))) == ""
    assert next_words(replace(open_, asked_by_odds=AskedByOdds("after", level))) == next_words(open_)


@pytest.mark.parametrize(
    "record", [seen(coolant("119 degC")), seen(thermostat_open_when_cold=True)], ids=["danger", "found"]
)
def test_a_danger_and_a_found_fault_keep_their_own_next_step(record: Mapping[str, Any]) -> None:
    read = checked("hot at idle", **record)
    asked = replace(read, asked_by_odds=AskedByOdds("before", "level_and_bubbles"))
    assert next_words(asked) == next_words(read) != ""


# ---- what the odds doubt ---------------------------------------------------------------------------------------------


def causes_of(**probability: float) -> list[GrownCause]:
    """Causes with their odds, none of which is settled; the likeliest first."""
    falling = sorted(probability.items(), key=lambda item: -item[1])
    return [GrownCause(fault, p, 0.0, 1000.0, 0.0) for fault, p in falling]


@cache
def read_in_full(name: str) -> Check:
    """The whole check of a told case, its readings held against healthy vehicles."""
    return answered(name)[1].check


COLD_AGREES = "warm after 26 min"  # each reading agrees: healthy, by itself


@pytest.mark.parametrize(
    ("causes", "doubted"),
    [
        ({"thermostat_stuck_open": 0.2, "low_coolant": 0.2, NOT_IN_LIST.key: 0.41, HEALTHY.key: 0.19}, True),
        ({"thermostat_stuck_open": 0.2, "low_coolant": 0.2, NOT_IN_LIST.key: 0.39, HEALTHY.key: 0.21}, False),
    ],
)
def test_nobody_calls_a_vehicle_healthy_while_a_fault_is_likelier_than_none(
    causes: Mapping[str, float], doubted: bool
) -> None:
    alone = read_in_full(COLD_AGREES)
    assert conclude(alone).state is VehicleState.HEALTHY
    told = with_odds(alone, "before", causes_of(**causes))
    found = conclude(told)
    assert (found.lead.code is GroundCode.ODDS_DOUBT_HEALTHY) is doubted
    assert (found.state is VehicleState.CANNOT_TELL) is doubted
    assert not found.green
    if doubted:
        assert check_label(told) == "Cannot tell yet"
        assert "the odds of no fault are about 2 in 10" in headline(told, SI)
        assert "not within 20 min" in headline(told, SI)
        assert plain(told).lead == "Something may be wrong. What it is, the next check has to show."
        assert next_words(told)


@pytest.mark.parametrize(("healthy", "sure"), [(0.49, False), (0.51, True)])
def test_a_complaint_is_healthy_so_far_until_no_fault_is_likelier_than_some_fault(healthy: float, sure: bool) -> None:
    """By single readings alone it stood green over "no fault: about 2 in 10"; nobody weighed them before that."""
    alone = read_in_full(COLD_AGREES)
    assert (check_label(alone), conclude(alone).green) == ("Healthy so far", False)
    told = with_odds(alone, "before", causes_of(healthy=healthy, thermostat_stuck_open=0.3, low_coolant=0.7 - healthy))
    assert (check_label(told), conclude(told).green) == (("Healthy", True) if sure else ("Healthy so far", False))
    assert "not within 20 min" in headline(told, SI)
    assert (plain(told).lead == "The engine gets warm as it should.") is sure
    assert bool(next_words(told)) is not sure


HOSE_WARM = "62 degC in frost, upper hose warm early"


@pytest.mark.parametrize(
    ("causes", "doubted"),
    [
        ({"thermostat_stuck_open": 0.1, "thermostat_missing": 0.09, HEALTHY.key: 0.2, NOT_IN_LIST.key: 0.61}, True),
        ({"thermostat_stuck_open": 0.1, "thermostat_missing": 0.11, HEALTHY.key: 0.2, NOT_IN_LIST.key: 0.59}, False),
        ({"thermostat_stuck_open": 0.19, "heater_core_restricted": 0.2, NOT_IN_LIST.key: 0.61}, True),
        ({"thermostat_stuck_open": 0.5, HEALTHY.key: 0.1, NOT_IN_LIST.key: 0.4}, False),
    ],
)
def test_the_verdict_points_to_the_thermostat_only_while_nothing_named_is_likelier(
    causes: Mapping[str, float], doubted: bool
) -> None:
    alone = read_in_full(HOSE_WARM)
    assert conclude(alone).lead.code is GroundCode.VALVE_SUSPECTED
    told = with_odds(alone, "before", causes_of(**causes))
    found = conclude(told)
    assert found.lead.code is (GroundCode.ODDS_DOUBT_VALVE if doubted else GroundCode.VALVE_SUSPECTED)
    assert found.state is VehicleState.CANNOT_TELL
    assert found.next_step is conclude(alone).next_step
    if doubted:
        assert "makes something else likelier: the odds of the thermostat are about 2 in 10" in headline(told, SI)
        assert "62 °C" in headline(told, SI)
        assert "points to the thermostat" not in plain(told).lead


def test_odds_of_another_record_doubt_nothing() -> None:
    causes = causes_of(thermostat_stuck_open=0.5, healthy=0.1)
    assert conclude(with_odds(read_in_full(COLD_AGREES), "after", causes)).state is VehicleState.HEALTHY
