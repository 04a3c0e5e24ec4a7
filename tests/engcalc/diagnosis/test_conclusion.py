"""One conclusion by its order of authority: a danger, a fault that was found, readings, and never the class alone.

Nothing is green over a danger or over a complaint that nothing explains, in examples and invented cases alike.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from told_cases import (
    BY_NAME,
    CASES,
    EXAMPLES,
    MILD,
    SO_FAR,
    ToldCase,
    answered,
    coolant,
    evidence,
    example_answered,
    seen,
)

import worked_examples
from engcalc.case.case import Case
from engcalc.case.file import read_case
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.diagnosis.checks.first_steps import NextStep
from engcalc.diagnosis.conclusion import OVER_CAP, Conclusion, conclude
from engcalc.diagnosis.grounds import Danger, GroundCode, Rank, VehicleState
from engcalc.diagnosis.hottest import NEAR_LIMIT
from engcalc.diagnosis.whole_check import WholeCheck, check_with_records
from engcalc.logs.channels import Channel
from engcalc.studies.check import check
from engcalc.units import UnitSystem
from engcalc.vehicle.run import read_logs
from engcalc.verdict import Verdict
from engcalc.words.answer.answer import headline, statement
from engcalc.words.answer.plainly import NOTHING_LOST, plain
from engcalc.words.diagnosis.conclusion_words import LEADS, STEPS, because_sentences, next_step_of
from engcalc.words.page.cautions import CAUTION_TEXTS

FOLDER = Path(worked_examples.__file__).parent


def case_of(tree: Mapping[str, Any]) -> Case:
    found = resolve(CaseText({"format": FORMAT, **tree}))
    assert isinstance(found, Case), found
    return found


def concluded(tree: Mapping[str, Any]) -> Conclusion:
    """From what was seen and typed alone, without holding readings against healthy vehicles: dangers need no more."""
    return conclude(check(case_of(tree), members=0))


def whole(tree: Mapping[str, Any]) -> WholeCheck:
    return check_with_records(case_of(tree), {}, members=20)


def codes(found: Conclusion) -> list[GroundCode]:
    return [ground.code for ground in found.because]


@pytest.mark.parametrize("told", CASES, ids=[case.name for case in CASES])
def test_what_is_said_of_an_invented_vehicle(told: ToldCase) -> None:
    found = answered(told.name)[1]
    conclusion = found.conclusion
    assert (conclusion.state, conclusion.danger) == (told.state, told.danger)
    step = next_step_of(conclusion)
    said = " ".join((headline(found.check), step.text if step else ""))
    for words in told.says:
        assert words in said, said
    for words in told.never:
        assert words not in said, said
    assert conclusion.green is (told.state == "healthy" and SO_FAR not in told.says)
    assert headline(found.check).startswith("Healthy so far. ") is (SO_FAR in told.says)
    assert (plain(found.check).if_left == NOTHING_LOST) is conclusion.green


@pytest.mark.parametrize("name", EXAMPLES)
def test_no_example_is_green_over_a_danger_or_an_open_complaint(name: str) -> None:
    found = example_answered(name)
    conclusion = found.conclusion
    assert conclusion.danger is Danger.NONE, "no example shows a danger"
    if conclusion.green:
        assert conclusion.state in (VehicleState.HEALTHY, VehicleState.NOTHING_TO_JUDGE)
        assert conclusion.state is VehicleState.HEALTHY or not conclusion.complaint
    assert (plain(found.check).if_left == NOTHING_LOST) <= conclusion.green


@pytest.mark.parametrize("path", EXAMPLES.values(), ids=EXAMPLES)
@pytest.mark.parametrize(
    ("fact", "answer"),
    [
        ("combustion_gas_found", True),
        ("fan_runs_when_hot", False),
        ("thermostat_open_when_cold", True),
        ("belt_drives_pump", False),
    ],
)
def test_a_danger_or_fault_seen_on_an_example_is_never_green(path: Path, fact: str, answer: bool) -> None:
    """The fact is put into the latest record of every example that is a vehicle."""
    text = read_case(path)
    if text.get("vehicle.class") == "bench rig":
        return
    name = "after" if text.get("evidence.after") is not None else "before"
    case = resolve(text.with_value(f"evidence.{name}.seen.{fact}", answer))
    assert isinstance(case, Case)
    found = check_with_records(case, {}, members=0)
    assert found.conclusion.outranks
    assert not found.conclusion.green
    assert plain(found.check).if_left != NOTHING_LOST


def test_the_logs_hottest_sample_counts() -> None:
    """A log that touches the limit once and ends warm: the highest sample decides, not the last."""
    path = FOLDER / "van-repaired.heatcase.json"
    case = resolve(read_case(path).with_value("limits.coolant_limit", "100 degC"))
    assert isinstance(case, Case)
    found = check_with_records(case, read_logs(case, FOLDER), members=20)
    log = read_logs(case, FOLDER)["after"]
    highest = float(log.observed(Channel.COOLANT)[1].max())
    peak = next(peak for peak in found.check.logged if peak.record == "after")
    assert pytest.approx(highest) == peak.T
    edge = replace(found.check.logged[0], record="after", T=373.15 - NEAR_LIMIT)
    assert conclude(replace(found.check, logged=(edge,))).lead.code is GroundCode.NEAR_LIMIT
    under = replace(edge, T=edge.T - 0.01)
    assert conclude(replace(found.check, logged=(under,))).danger is Danger.NONE
    assert highest < 373.15 - NEAR_LIMIT, "the example's own log is far from it"


def test_a_log_that_is_not_read_yet_leaves_the_check_unfinished() -> None:
    """Its hottest sample is not known: whatever else is wrong, the answer may become graver."""
    path = FOLDER / "van-repaired.heatcase.json"
    text = read_case(path).with_value("evidence.after", None)
    case = resolve(text)
    assert isinstance(case, Case)
    assert check_with_records(case, {}, members=0).check.unfinished
    gas = resolve(text.with_value("evidence.before.seen.combustion_gas_found", True))
    assert isinstance(gas, Case)
    assert not check_with_records(gas, {}, members=0).check.unfinished, "nothing can be graver"


def test_the_gravest_speaks_first_and_nothing_is_said_twice() -> None:
    found = concluded(BY_NAME["bubbles, low level, hot, gas"].tree)
    assert codes(found) == [GroundCode.GAS, GroundCode.BUBBLES_LOW_HOT]
    assert found.next_step is NextStep.GAS_AGAIN
    told = " ".join(because_sentences(found, UnitSystem.SI))
    assert "suspect" not in told, "the test has found it"
    assert "the level is low and the coolant is hot." in told
    fan = concluded(BY_NAME["hot at idle, fan still"].tree)
    assert codes(fan) == [GroundCode.FAN_STILL_HOT]
    assert fan.rank is Rank.DANGER
    gas = evidence(seen(coolant("113 degC"), combustion_gas_found=True, thermostat_open_when_cold=True))
    assert codes(concluded(gas)) == [GroundCode.GAS, GroundCode.NEAR_LIMIT, GroundCode.VALVE_OPEN]


def test_bubbles_need_all_three_to_stop_the_vehicle() -> None:
    hot = coolant("112 degC")
    all_three = evidence(seen(hot, bubbles_when_running=True, level_low=True))
    found = concluded(all_three)
    assert GroundCode.BUBBLES_LOW_HOT in codes(found)
    assert "suspect combustion gas" in " ".join(because_sentences(found, UnitSystem.SI))
    for record in (
        seen(hot, bubbles_when_running=True),
        seen(hot, level_low=True),
        seen(coolant("90 degC"), bubbles_when_running=True, level_low=True),
    ):
        found = concluded(evidence(record))
        assert GroundCode.BUBBLES_LOW_HOT not in codes(found)
        assert found.danger is Danger.CARE


@pytest.mark.parametrize(
    ("below", "danger"),
    [(0.0, Danger.STOP), (0.01, Danger.CARE), (NEAR_LIMIT, Danger.CARE), (NEAR_LIMIT + 0.01, Danger.NONE)],
)
@pytest.mark.parametrize("instrument", ["scan_tool", "dash_gauge"])
def test_the_bounds_of_a_hot_reading(below: float, danger: Danger, instrument: str) -> None:
    assert NEAR_LIMIT == 5.0
    reading = coolant(f"{115.0 - below:.2f} degC", instrument)
    assert concluded(evidence(seen(reading))).danger is danger


def test_a_dash_gauge_at_its_hot_end_is_a_hot_reading() -> None:
    """The instrument is coarse; that is no reason to hold a hot reading for a normal one."""
    found = concluded(evidence(seen(coolant("113 degC", "dash_gauge", at="5 min"))))
    assert found.lead.code is GroundCode.NEAR_LIMIT


def test_infrared_on_bare_metal_is_at_least_as_hot_as_it_shows() -> None:
    bare = {**coolant("112 degC", "infrared", what="upper_hose"), "surface": "bare_metal"}
    assert concluded(evidence(seen(bare))).lead.code is GroundCode.NEAR_LIMIT


def test_without_its_pressure_the_coolant_boils_sooner() -> None:
    """A 50 % mixture of ethylene glycol boils at about 107 to 108 degC at one atmosphere (from memory, ASTM D3306 asks
    for 107.8 degC at least): a reading of 104 degC is within 5 K of that, and far from 115 degC."""
    reading = coolant("104 degC")
    assert concluded(evidence(seen(reading))).danger is Danger.NONE
    for fact, answer in (("cap_holds_pressure", False), ("pressure_held_cold", False), ("coolant_leak", True)):
        found = concluded(evidence(seen(reading, **{fact: answer})))
        assert found.lead.code is GroundCode.NEAR_LIMIT
        assert found.lead.hot is not None
        assert 105.0 < found.lead.hot.limit - 273.15 < 108.5
    opens = {"what": "cap_opens", "value": "0 bar", "instrument": "pressure_gauge"}
    assert concluded(evidence(seen(reading, opens))).lead.code is GroundCode.NEAR_LIMIT


@pytest.mark.parametrize(("over", "told"), [(OVER_CAP - 100.0, False), (OVER_CAP + 100.0, True)])
def test_a_pressure_well_over_the_caps(over: float, told: bool) -> None:
    assert OVER_CAP == 3.0e4
    spot = {"what": "pressure", "value": f"{(1.1e5 + over) / 1e5:.4f} bar", "instrument": "pressure_gauge"}
    found = concluded({**evidence(seen(spot)), "coolant": {"cap_pressure": "1.1 bar"}})
    assert (found.lead.code is GroundCode.OVER_PRESSURE) is told


def test_a_record_after_the_repair_takes_the_place_of_the_one_before() -> None:
    was = seen(coolant("118 degC"), combustion_gas_found=True, fan_runs_when_hot=False)
    proved = seen(coolant("90 degC"), combustion_gas_found=False, fan_runs_when_hot=True)
    found = whole(evidence(was, proved)).conclusion
    assert (found.state, found.repaired) == (VehicleState.HEALTHY, True)
    nothing_after = concluded(evidence(was, {"ambient": "20 degC"}))
    assert nothing_after.danger is Danger.STOP, "an outside temperature proves nothing"
    open_ = concluded(evidence(was, seen(coolant("90 degC"))))
    assert [ground.was for ground in open_.because] == [GroundCode.GAS, GroundCode.FAN_STILL]
    assert (open_.danger, open_.green) == (Danger.NONE, False)


def test_duties_that_were_typed_keep_their_own_verdict() -> None:
    sizing = concluded({"duties": [{"name": "Idle", "ambient": "30 degC"}]})
    assert (sizing.state, sizing.capacity, sizing.of_this_vehicle) == (
        VehicleState.NOTHING_TO_JUDGE,
        Verdict.HOLDS,
        False,
    )
    assert sizing.green
    beside = concluded({"duties": [{"name": "Idle"}], "job": {"complaint": "It boils."}})
    assert (beside.state, beside.capacity, beside.green) == (VehicleState.CANNOT_TELL, Verdict.HOLDS, False)
    asked = concluded({"duties": [{"name": "Idle"}], "job": {"complaint": "Is it large enough?", "reason": "sizing"}})
    assert not asked.complaint, "a question of sizing is no complaint"
    assert concluded({}).capacity is None
    assert concluded({"radiator": {"core_height": "400 mm"}}).capacity is not None


def test_healthy_as_read_while_a_duty_does_not_hold_is_not_green() -> None:
    tree = {**evidence(seen(coolant("90 degC"))), "duties": [{"name": "Idle"}], "limits": {"margin": "40 K"}}
    found = whole(tree)
    said = found.conclusion
    assert (said.state, said.capacity, said.green) == (VehicleState.HEALTHY, Verdict.MARGINAL, False)
    assert plain(found.check).if_left != NOTHING_LOST


def test_every_ground_and_step_has_its_words() -> None:
    told_by_reading = {
        GroundCode.COLDER,
        GroundCode.VALVE_SUSPECTED,
        GroundCode.UNDECIDED,
        GroundCode.TOO_EARLY,
        GroundCode.AGREES,
        GroundCode.AGREES_COLD,
    }
    assert set(LEADS) == set(GroundCode) - told_by_reading - {GroundCode.ODDS_SETTLE}  # in test_settled.py
    assert set(STEPS) == set(NextStep)
    for step in STEPS.values():
        assert set(step.cautions) <= set(CAUTION_TEXTS)
    assert "hot_cap" in STEPS[NextStep.STOP_AND_COOL].cautions
    assert "gas_positive" in STEPS[NextStep.GAS_AGAIN].cautions


@pytest.mark.parametrize(
    ("reason", "power", "told"),
    [("hot at speed", "60 kW", True), ("hot at speed", "5 kW", False), ("slow warm-up", "60 kW", False)],
)
def test_a_hot_complaint_hears_that_a_duty_asks_too_much(reason: str, power: str, told: bool) -> None:
    duties = [{"name": "Lap", "brake_power": power, "ambient": "45 degC", "vehicle_speed": "30 km/h"}]
    found = check(case_of({"job": {"reason": reason, "complaint": "It is not right."}, "duties": duties}), members=0)
    assert conclude(found).too_small is told
    assert ("too small for one of its duties" in headline(found, UnitSystem.SI)) is told


def test_whoever_reads_us_units_reads_no_celsius() -> None:
    found = check(case_of(BY_NAME["hot at idle, fan still"].tree), members=0)
    said = headline(found, UnitSystem.US)
    assert "235 °F" in said  # 113 degC
    assert "239 °F" in said  # 115 degC
    assert "°C" not in said


def test_the_hottest_of_several_readings_counts() -> None:
    spots = [coolant(f"{T:.0f} degC", at=f"{10 + i} min") for i, T in enumerate((88, 116, 97))]
    found = concluded(evidence(seen(*spots)))
    assert found.lead.hot is not None
    assert pytest.approx(389.15) == found.lead.hot.T
    assert found.lead.hot.at == pytest.approx(660.0)
    assert np.isclose(found.lead.hot.limit, 388.15)
    assert MILD["ambient"] == "20 degC"


@pytest.mark.parametrize(
    ("facts", "step"),
    [
        ({}, NextStep.FAN),
        ({"fan_fuse_good": True}, NextStep.FAN),
        ({"fan_fuse_good": False}, NextStep.FAN_FUSE_BLOWN),
        ({"fan_relay_works": False}, NextStep.FAN_RELAY_FAILS),
        ({"fan_motor_runs": False, "fan_fuse_good": False}, NextStep.FAN_MOTOR_FAILS),
    ],
)
@pytest.mark.parametrize("hot", [True, False])
def test_the_part_of_the_fan_that_was_found_comes_next(facts: dict[str, bool], step: NextStep, hot: bool) -> None:
    """Once the fuse was found blown, the next step was still to look at fuse, relay and motor."""
    spots = [coolant("117 degC")] if hot else []
    found = concluded(evidence(seen(*spots, fan_runs_when_hot=False, **facts)))
    assert found.lead.code is (GroundCode.FAN_STILL_HOT if hot else GroundCode.FAN_STILL)
    assert found.next_step is step
    assert "stop_hot" in STEPS[step].cautions


def test_a_blown_fuse_alone_is_the_next_step_too() -> None:
    assert concluded(evidence(seen(fan_fuse_good=False))).next_step is NextStep.FAN_FUSE_BLOWN


def test_after_a_repair_that_nothing_proves_yet_no_cause_is_asked_for() -> None:
    """The fan's fuse was found and replaced; the answer said that no look so far shows the cause."""
    before = seen(fan_runs_when_hot=False, fan_fuse_good=False)
    gauge = {"what": "coolant", "value": "middle", "at": "30 min", "instrument": "dash_gauge"}
    tree = evidence(before, seen(gauge, fan_runs_when_hot=True), reason="hot at idle")
    found = whole(tree).check
    assert conclude(found).lead.code is GroundCode.REPAIR_OPEN
    said = headline(found, UnitSystem.SI)
    assert said.startswith("Cannot tell yet. Nothing read or seen since the repair proves yet that it helped.")
    assert plain(found).lead == "The repair is not proved yet."
    open_ = conclude(check(case_of(evidence(reason="hot at idle")), members=0))
    assert open_.lead.code is GroundCode.COMPLAINT_OPEN


def test_what_stands_on_top_does_not_blame_a_thermostat_alone_where_health_reads_so_too() -> None:
    """The window shows two sentences: that a healthy vehicle may read so stood in the third."""
    gauge = {"what": "coolant", "value": "quarter", "at": "20 min", "instrument": "dash_gauge"}
    frost = {"ambient": "-6 degC", "heater_setting": "high", "driving": "town"}
    tree = evidence({**seen(gauge, upper_hose_warms_early=True), **frost}, reason="no heat")
    found = whole({**tree, "vehicle": {"class": "delivery van"}}).check
    assert conclude(found).lead.code is GroundCode.VALVE_SUSPECTED
    assert "as it might in a healthy vehicle" in statement(found)
    assert "points to a thermostat that does not close" in statement(found)


MIDDLE = {"what": "coolant", "value": "middle", "at": "25 min", "instrument": "dash_gauge"}


@pytest.mark.parametrize("reason", ["no heat", "slow warm-up"])
def test_a_gauge_in_its_middle_after_the_repair_ends_the_cold_verdict_and_proves_nothing(reason: str) -> None:
    """The top went on saying "Runs cold ... replace it" of a thermostat that had been replaced."""
    frost = {"ambient": "-6 degC", "heater_setting": "high", "driving": "town"}
    gauge = {**MIDDLE, "value": "quarter", "at": "20 min"}
    before = {**seen(gauge, thermostat_open_when_cold=True), **frost}
    after = {**seen(MIDDLE), **frost}
    van = {"vehicle": {"class": "delivery van"}}
    assert conclude(whole({**evidence(before, reason=reason), **van}).check).state is VehicleState.RUNS_COLD
    found = conclude(whole({**evidence(before, after, reason=reason), **van}).check)
    assert (found.state, found.lead.code) == (VehicleState.CANNOT_TELL, GroundCode.REPAIR_OPEN)


def test_a_gauge_in_its_middle_after_the_repair_does_not_answer_what_ran_hot() -> None:
    """Its middle reaches up to 105 degC: the hot reading of before stands, and is told as what it is."""
    found = whole(evidence(seen(coolant("118 degC")), seen(MIDDLE), reason="hot at idle")).check
    assert found.history == ()
    assert [reading.record for reading in found.readings] == ["before", "after"]
    assert conclude(found).lead.code is GroundCode.REPAIR_OPEN


def test_a_cold_reading_that_tells_nothing_leads_to_the_next_check_and_not_to_the_same_reading() -> None:
    """A petrol car at -8 degC, the gauge at a quarter after 20 min in town: it was told to be read once more, so."""
    gauge = {"what": "coolant", "at": "20 min", "value": "quarter", "instrument": "dash_gauge"}
    ran = {"ambient": "-8 degC", "heater_setting": "high", "driving": "town", "spots": [gauge]}
    slow = {"vehicle": {"class": "family car"}, "engine": {"fuel": "petrol"}, "job": {"reason": "slow warm-up"}}

    def found(**more: Any) -> Conclusion:
        before = {**ran, **more}
        return conclude(check_with_records(case_of({**slow, "evidence": {"before": before}}), {}, members=24).check)

    assert (found().lead.code, found().next_step) == (GroundCode.UNDECIDED, NextStep.LOOK_AT_LEVEL)
    looked = found(seen={"level_low": False, "bubbles_when_running": False})
    assert (looked.lead.code, looked.next_step) == (GroundCode.UNDECIDED, NextStep.UPPER_HOSE)
