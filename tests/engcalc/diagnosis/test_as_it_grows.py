"""A record judged while it grows: the same answer as the whole record gives, soon, and the dangers at once."""

from __future__ import annotations

import time
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from live_courses import TOWN, course

from engcalc.case.case import Case
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.diagnosis.checks.first_steps import NextStep
from engcalc.diagnosis.danger_now import AlarmCode, DangerWatch
from engcalc.diagnosis.enough import SETTLED, OddsPassed, enough, odds_passed
from engcalc.diagnosis.evidence.key_on import AGREE, KeyOnCode, key_on
from engcalc.diagnosis.grounds import Danger, GroundCode, VehicleState
from engcalc.diagnosis.hottest import (
    CLOSE,
    FAN_FOR,
    NEAR_LIMIT,
    TOO_SOON,
    FanWanted,
    ahead_of,
    fan_missed,
    limit_of,
    rise_of,
    thirds,
    without_fan,
)
from engcalc.diagnosis.odds import as_it_grows
from engcalc.diagnosis.odds.as_it_grows import MOST_MEMBERS, GrowingOdds, GrownCause
from engcalc.diagnosis.odds.diagnosis import diagnose
from engcalc.diagnosis.whole_check import check_with_records
from engcalc.logs.channels import Channel
from engcalc.logs.log import read_log
from engcalc.studies.checked import LoggedPeak
from engcalc.units import UnitSystem
from engcalc.words.diagnosis.conclusion_words import ground_sentence
from engcalc.words.workshop.live_words import alarm_line, enough_lines, key_on_line, odds_line, passed_line

K0 = 273.15
SECONDS = (70, 190, 420, 700)


def case_of(reason: str = "no heat", **record: object) -> Case:
    told = {"heater_setting": "low", "log": {"file": "log.csv"}, **record}
    tree = {
        "format": FORMAT,
        "vehicle": {"class": "family car"},
        "job": {"reason": reason},
        "evidence": {"before": told},
    }
    found = resolve(CaseText(tree))
    assert isinstance(found, Case), found
    return found


@pytest.fixture(scope="module")
def grown():
    """A valve that stands open in town, by a generator that imports nothing of ours; each renewal, its seconds."""
    case, growing, ran = case_of(), GrowingOdds("before"), course("lift=0.4", TOWN, 5.0)
    found = []
    for until in SECONDS:
        logs = {"before": read_log(ran.log(until))}
        begun = time.process_time()
        found.append((growing.renew(case, logs), time.process_time() - begun))
    whole = diagnose(case, logs)
    return case, check_with_records(case, logs).conclusion, found, whole


def test_the_last_renewal_says_what_the_record_says(grown):
    _, _, found, whole = grown
    odds = found[-1][0]
    assert sum(c.probability for c in odds.causes) == pytest.approx(1.0)
    assert odds.best.fault == whole.best.fault == "thermostat_stuck_open"
    for c in whole.causes:
        live = next(x for x in odds.causes if x.fault == c.fault)
        error = float(np.hypot(live.error, c.error))
        assert abs(live.probability - c.probability) <= 3.0 * error + 0.005, c.fault


def test_so_do_odds_that_stay_spread():
    """A clogged radiator at speed in summer: seven causes between 2 and 30 %, none settled."""
    case, growing = case_of("hot at speed", ambient="28 degC"), GrowingOdds("before")
    ran = course("rows=0.25,UA=0.4", TOWN, 28.0)
    for until in SECONDS:
        logs = {"before": read_log(ran.log(until))}
        live = growing.renew(case, logs)
    whole = diagnose(case, logs)
    assert whole.best.probability < 0.5
    assert sum(c.probability > 0.02 for c in whole.causes) >= 7
    for c in whole.causes:
        found = next(x for x in live.causes if x.fault == c.fault)
        assert abs(found.probability - c.probability) <= 3.0 * np.hypot(found.error, c.error) + 0.001, c.fault


def test_members_are_carried_on_and_not_drawn_anew(grown):
    _, _, found, _ = grown
    assert [odds.anew for odds, _ in found] == [True, False, False, False]
    assert all(odds.members <= MOST_MEMBERS for odds, _ in found)


def test_a_renewal_takes_less_than_the_ten_seconds_it_may(grown):
    assert max(seconds for _, seconds in grown[2]) < 10.0


def test_the_odds_sharpen_while_it_warms_up(grown):
    odds = [odds.probability("thermostat_stuck_open") for odds, _ in grown[2]]
    assert odds[0] < 0.8 < SETTLED < odds[-1]


def test_they_pass_nine_in_ten_long_before_the_record_is_over(grown):
    passed = None
    for odds, _ in grown[2]:
        passed = odds_passed(passed, odds.causes, odds.at)
    assert passed is not None
    assert set(passed.causes) == {"thermostat_stuck_open", "thermostat_missing"}
    assert passed.at == grown[2][2][0].at  # of judgements at 1, 3, 7 and 12 minutes
    assert passed.at < 0.65 * grown[2][-1][0].at


def test_it_is_settled_once_the_conclusion_can_tell(grown):
    _, conclusion, found, whole = grown
    assert conclusion.state is VehicleState.RUNS_COLD
    seen = enough(found[-1][0].causes, conclusion)
    assert seen.settled[0] == "thermostat_stuck_open"
    assert "thermostat_missing" in seen.settled  # the record cannot tell it from one that stands open
    assert seen == enough(whole.causes, conclusion)
    assert "settled" in enough_lines(seen)[0]
    undecided = replace(conclusion, because=(replace(conclusion.lead, state=VehicleState.CANNOT_TELL),))
    assert enough(found[-1][0].causes, undecided).settled == ()
    contrary = replace(conclusion, because=(replace(conclusion.lead, state=VehicleState.HEALTHY),))
    assert enough(found[-1][0].causes, contrary).settled == ()


def test_few_draws_or_wide_odds_settle_nothing(grown):
    _, conclusion, found, _ = grown
    best, *rest = found[-1][0].causes
    assert enough([replace(best, effective=3.0), *rest], conclusion).settled == ()
    assert enough([replace(best, error=0.2), *rest], conclusion).settled == ()
    assert "still open" in enough_lines(enough([replace(best, error=0.2), *rest], conclusion))[0].lower()


def test_since_when_odds_are_past_nine_in_ten():
    """As one with what the record cannot tell apart; a fall below, or another cause, begins anew."""

    def odds(open_: float, missing: float, healthy: float) -> list[GrownCause]:
        told = {
            "thermostat_stuck_open": (open_, -1.0),
            "thermostat_missing": (missing, -1.1),
            "healthy": (healthy, -6.0),
        }
        found = [GrownCause(key, p, 0.0, 500.0, evidence) for key, (p, evidence) in told.items()]
        return sorted(found, key=lambda c: -c.probability)

    assert odds_passed(None, odds(0.6, 0.29, 0.11), 60.0) is None
    first = odds_passed(None, odds(0.6, 0.31, 0.09), 90.0)
    assert first == OddsPassed(("thermostat_stuck_open", "thermostat_missing"), 90.0)
    on = odds_passed(first, odds(0.3, 0.68, 0.02), 120.0)
    assert on == OddsPassed(("thermostat_missing", "thermostat_stuck_open"), 90.0)
    assert odds_passed(on, odds(0.6, 0.29, 0.11), 150.0) is None
    assert odds_passed(on, odds(0.04, 0.04, 0.92), 150.0) == OddsPassed(("healthy",), 150.0)
    assert passed_line(None) == ""
    assert passed_line(None, 600.0) == "At the end no odds are past 9 in 10. The record was over at 10:00."
    told = passed_line(first)
    assert told.endswith("stayed there: the thermostat is stuck open, or there is no thermostat in the housing.")


def test_what_is_open_is_never_one_alone(grown):
    """The odds of no fault stood at 0.83, all others under 0.05 each: "Still open: healthy." told nobody what from."""
    _, conclusion, found, _ = grown
    some = [replace(c, probability=p) for c, p in zip(found[-1][0].causes, (0.83, 0.04, 0.03), strict=False)]
    assert enough(some, conclusion).open == (some[0].fault, some[1].fault)


def test_another_reason_weighs_the_same_members_anew_and_too_many_are_drawn_anew(grown, monkeypatch):
    growing, short = GrowingOdds("before"), {"before": read_log(course("lift=0.4", TOWN, 5.0).log(70))}
    first, again = growing.renew(case_of(), short), growing.renew(case_of("hot at idle"), short)
    assert (first.anew, again.anew) == (True, False)
    assert again.probability("thermostat_stuck_open") < 0.5 * first.probability("thermostat_stuck_open")
    monkeypatch.setattr(as_it_grows, "MOST_MEMBERS", 100)
    assert growing.renew(case_of(), short).anew


def test_odds_on_one_line(grown):
    line = odds_line(grown[2][-1][0])
    assert line.startswith("the thermostat is stuck open about ")
    assert line.endswith("others less")


# ---- dangers ---------------------------------------------------------------------------------------------------------

LIMIT = 388.15  # K


def watched(fan_on: float | None = None) -> DangerWatch:
    return DangerWatch(LIMIT, fan_on)


def told(watch: DangerWatch, course_: list[tuple[float, float]], speed: float = 0.0) -> list[AlarmCode]:
    watch.take(0.0, Channel.VEHICLE_SPEED, speed)
    alarms = [watch.take(at, Channel.COOLANT, T) for at, T in course_]
    return [alarm.code for alarm in alarms if alarm is not None]


def test_the_limit_is_the_conclusions_own():
    check = check_with_records(case_of(), {}, members=0).check
    record = check.case.evidence.before
    watch = DangerWatch.of(check, "before")
    assert watch.limit == limit_of(check.case, record)
    assert watch.fan_on == pytest.approx(float(check.case.airflow.fan_on[0]))


def test_at_the_limit_it_says_stop():
    assert told(watched(), [(float(t), LIMIT) for t in range(3)]) == [AlarmCode.OVER_LIMIT]  # once
    assert told(watched(), [(0.0, LIMIT - NEAR_LIMIT)]) == [AlarmCode.NEAR_LIMIT]
    assert told(watched(), [(0.0, LIMIT - NEAR_LIMIT - 0.1)]) == []
    assert told(watched(), [(0.0, LIMIT - 1.0), (1.0, LIMIT)]) == [AlarmCode.NEAR_LIMIT, AlarmCode.OVER_LIMIT]


def test_a_rise_that_would_pass_the_limit_within_two_minutes_says_stop():
    """0.1 K/s from 100 degC passes 115 degC in 150 s, from 103 degC in 120 s."""
    rising = [(float(t), 370.15 + 0.1 * t) for t in range(300)]
    first = next(t for t, T in rising if 0.1 * TOO_SOON >= LIMIT - T - 1e-9)
    watch, alarms = watched(), []
    for t, T in rising:
        if (alarm := watch.take(t, Channel.COOLANT, T)) is not None:
            alarms.append(alarm)
    assert alarms[0].code is AlarmCode.RISING_FAST
    assert alarms[0].at == pytest.approx(first, abs=1.0)
    assert alarms[0].danger is Danger.STOP
    assert "6 K a minute" in alarm_line(alarms[0])


def test_a_cold_engine_may_rise_fast():
    """Nearly twice the fastest of fourteen real trips (engcalc.logs.sensors): 0.5 K/s from 20 to 50 degC."""
    assert told(watched(), [(float(t), 293.15 + 0.5 * t) for t in range(60)]) == []


def test_a_healthy_warm_up_is_never_an_alarm():
    ran = course()
    watch = watched(371.15)
    for t in range(ran.seconds):
        watch.take(float(t), Channel.VEHICLE_SPEED, ran.speed[t] / 3.6)
        assert watch.take(float(t), Channel.COOLANT, float(round(ran.coolant[t])) + K0) is None


@pytest.mark.parametrize("heater", [0.0, 1.0])
def test_a_healthy_climb_from_cold_in_summer_is_no_alarm(heater):
    """It said STOP at 89 degC, before the valve had opened: a fifth of a kelvin each second for a minute."""
    ran = course("", ((50.0, 420.0, 0.06),), 28.0, heater)
    watch = watched()
    shown = [float(round(T)) + K0 for T in ran.coolant]
    assert all(watch.take(float(t), Channel.COOLANT, T) is None for t, T in enumerate(shown))
    times = np.arange(float(len(shown)))
    assert all(ahead_of(times[:n], np.array(shown[:n]), LIMIT) < LIMIT for n in range(200, len(shown)))


def test_a_fan_that_should_have_run_is_missed_after_a_minute():
    hot = [(float(t), 376.15) for t in range(int(FAN_FOR) + 2)]
    assert told(watched(371.15), hot) == [AlarmCode.FAN_MISSED]
    assert told(watched(371.15), hot[:-2]) == []
    assert told(watched(371.15), hot, speed=20.0) == []  # m/s: the wind does its work
    assert told(watched(373.15), hot) == []
    assert told(watched(None), hot) == []  # no electric fan


@given(st.lists(st.tuples(st.integers(1, 40), st.integers(95, 108), st.integers(0, 40)), min_size=1, max_size=40))
def test_log_and_live_miss_a_fan_at_the_same_sample(parts: list[tuple[int, int, int]]):
    """Each part: seconds, degrees Celsius, km/h."""
    t = np.cumsum([0, *(part[0] for part in parts)])[:-1].astype(float)
    T, v = np.array([part[1] + K0 for part in parts]), np.array([part[2] / 3.6 for part in parts])
    watch, alarms = DangerWatch(LIMIT + 100.0, 371.15), []  # a limit so high that no rise leads there
    for at, hot, speed in zip(t.tolist(), T.tolist(), v.tolist(), strict=True):
        watch.take(at, Channel.VEHICLE_SPEED, speed)
        alarms.append(watch.take(at, Channel.COOLANT, hot))
    first = next((i for i, alarm in enumerate(alarms) if alarm is not None), None)
    assert fan_missed(t, T, v, 371.15) == first
    assert {alarm.code for alarm in alarms if alarm is not None} <= {AlarmCode.FAN_MISSED}


@pytest.mark.parametrize(
    ("over", "kmh", "seconds", "missed"),
    [(4.0, 0.0, 60, True), (3.9, 0.0, 60, False), (4.0, 24.9, 60, True), (4.0, 25.1, 60, False), (4.0, 0.0, 59, False)],
)
def test_from_when_on_a_fan_is_missed(over: float, kmh: float, seconds: int, missed: bool):
    """Four kelvins over where it starts, under 25 km/h, for a minute."""
    wanted = FanWanted(371.0)
    assert [wanted.missed(float(t), 371.0 + over, kmh / 3.6) for t in range(seconds + 1)][-1] is missed


def idled_hot(above: float, speed: float = 0.0) -> tuple[bytes, list[float]]:
    """Eight minutes that rise slowly from 95 degC and stay ``above`` [K] over where the fan starts."""
    top = float(check_with_records(case_of(), {}, members=0).check.case.airflow.fan_on[0]) - K0 + above
    T = [min(95.0 + 0.03 * t, top) for t in range(500)]
    rows = (f"{t},{x:.1f},800,{speed:.0f}" for t, x in enumerate(T))
    return (
        "Time [s],Coolant temperature [degC],Engine speed [rpm],Vehicle speed [km/h]\n" + "\n".join(rows)
    ).encode(), T


def test_a_fan_that_is_missed_is_a_ground_of_the_conclusion_too():
    """The live view said CARE while the conclusion of the same log said nothing of a fan."""
    log, T = idled_hot(5.0)
    watch = DangerWatch.of(check_with_records(case_of(), {}, members=0).check, "before")
    alarms = [alarm for t, x in enumerate(T) if (alarm := watch.take(float(t), Channel.COOLANT, x + K0)) is not None]
    assert [alarm.code for alarm in alarms] == [AlarmCode.FAN_MISSED]
    found = check_with_records(case_of(), {"before": read_log(log)}, members=12)
    assert (found.conclusion.lead.code, found.conclusion.danger) == (GroundCode.FAN_MISSED, Danger.CARE)
    at, T_then = found.check.logged[0].without_fan  # of a log in tenths
    assert (at, T_then) == (pytest.approx(alarms[0].at, abs=3.0), pytest.approx(alarms[0].T, abs=0.05))
    assert found.conclusion.next_step is NextStep.FAN
    said = ground_sentence(found.conclusion.lead, UnitSystem.SI, found.conclusion)
    assert said.startswith("At standstill or low speed the coolant stayed hotter than where the radiator fan starts")
    assert "The log shows" in said


@pytest.mark.parametrize(("above", "speed"), [(3.0, 0.0), (5.0, 60.0)])
def test_a_fan_that_is_not_wanted_is_not_missed(above: float, speed: float):
    log, _ = idled_hot(above, speed)
    found = check_with_records(case_of(), {"before": read_log(log)}, members=12)
    assert found.check.logged[0].without_fan is None


def test_a_fan_that_was_seen_to_run_is_not_missed():
    peak = LoggedPeak("before", 300.0, 376.15, 0.0, (260.0, 376.15))
    check = replace(check_with_records(case_of(), {}, members=0).check, logged=(peak,))
    record = check.case.evidence.before
    assert without_fan(check, "before", record) is not None
    assert without_fan(check, "before", replace(record, seen={"fan_runs_when_hot": True})) is None
    assert without_fan(check, "after", record) is None


def test_a_shut_valve_is_a_danger_to_the_conclusion_as_soon_as_to_the_alarm():
    """It read "heats poorly" at 102 degC, while the alarm said stop: one answer, whichever face is read."""
    ran, case = course("most_lift=0.0", TOWN, 25.0, 0.0), case_of()
    watch = DangerWatch.of(check_with_records(case, {}, members=0).check, "before")
    alarms = [watch.take(float(t), Channel.COOLANT, float(round(T)) + K0) for t, T in enumerate(ran.coolant)]
    first = next(alarm for alarm in alarms if alarm is not None and alarm.danger is Danger.STOP)
    assert first.code is AlarmCode.RISING_FAST
    assert first.T < LIMIT - NEAR_LIMIT
    at_once = check_with_records(case, {"before": read_log(ran.log(first.at + 1.0, 1))}).conclusion
    assert (at_once.lead.code, at_once.danger) == (GroundCode.RISING_FAST, Danger.STOP)
    assert at_once.state is VehicleState.RUNS_HOT
    assert "within two minutes" in ground_sentence(at_once.lead, UnitSystem.SI, at_once)


def test_where_a_rise_leads_within_two_minutes():
    """0.1 K/s from 90 degC for a minute: at 96 degC it is 12 K further on. Half a minute later it counts no more."""
    t = np.arange(0.0, 61.0)
    rising = 363.15 + 0.1 * t
    assert ahead_of(t, rising, 369.15 + CLOSE + 0.1) == 0.0  # not close to its limit yet
    assert ahead_of(t, rising, LIMIT) == pytest.approx(369.15 + 0.1 * TOO_SOON)
    held = np.concatenate((rising, np.full(130, rising[-1])))
    long = np.arange(float(len(held)))
    assert ahead_of(long[:100], held[:100], LIMIT) == pytest.approx(369.15 + 0.1 * TOO_SOON)
    assert ahead_of(long, held, LIMIT) == 0.0
    assert ahead_of(t, 373.15 - 0.1 * t, LIMIT) == 0.0
    assert ahead_of(np.zeros(0), np.zeros(0), LIMIT) == 0.0


@pytest.mark.parametrize(("least", "rises"), [(0.149, False), (0.151, True), (1.0 / 3.0, True)])
@pytest.mark.parametrize("third", [0, 1, 2])
def test_each_third_of_a_rise_has_to_bring_its_part(third, least, rises):
    """9 K within a minute; the bound of 0.15 is our own, common practice."""
    parts = [(1.0 - least) / 2.0] * 3
    parts[third] = least
    between = (363.15 + 9.0 * parts[0], 363.15 + 9.0 * (parts[0] + parts[1]))
    found = rise_of((0.0, 363.15), between, (60.0, 372.15))
    assert found == (pytest.approx(9.0 / 60.0) if rises else 0.0)
    assert thirds(30.0, 90.0) == (50.0, 70.0)


def test_after_a_hard_run_the_outlet_jumps_and_stays():
    """88 to 97 degC within ten seconds as the vehicle stops, then level: no face says stop."""
    T = np.concatenate((np.full(60, 361.15), np.linspace(361.15, 370.15, 10), np.full(50, 370.15)))
    t = np.arange(float(len(T)))
    assert ahead_of(t, T, LIMIT) == 0.0
    assert told(watched(), list(zip(t.tolist(), T.tolist(), strict=True))) == []


def test_a_rise_is_a_danger_until_it_has_been_over_for_a_minute():
    """The sensor rises in whole degrees: between two of them nothing is over."""
    watch = watched()
    for t in range(100):
        watch.take(float(t), Channel.COOLANT, 370.15 + 0.12 * t)
    assert watch.alarm is not None
    top = 370.15 + 0.12 * 99
    for t in range(100, 130):
        watch.take(float(t), Channel.COOLANT, top)
        assert watch.alarm.code is AlarmCode.RISING_FAST
    for t in range(130, 260):
        watch.take(float(t), Channel.COOLANT, top - 10.0)
    assert watch.alarm is None


def test_an_open_sensor_circuit_is_no_danger():
    assert told(watched(), [(0.0, 413.15)]) == []


def test_a_lesser_danger_is_not_told_after_a_graver_one_but_again_after_it_had_cooled():
    watch = watched()
    course_ = [(0.0, LIMIT), (1.0, LIMIT - 1.0), (100.0, LIMIT - 20.0), (200.0, LIMIT - 1.0)]
    assert told(watch, course_) == [AlarmCode.OVER_LIMIT, AlarmCode.NEAR_LIMIT]
    assert watch.alarm is not None
    assert watch.alarm.code is AlarmCode.NEAR_LIMIT


# ---- key-on ----------------------------------------------------------------------------------------------------------


def judged(coolant: float, intake: float | None, ambient: float | None, **record: object):
    names = [("Coolant temperature", coolant), ("Intake air temperature", intake), ("Outside air temperature", ambient)]
    there = [(name, T) for name, T in names if T is not None]
    head = ",".join(["Time [s]", "Engine speed [rpm]", *(f"{name} [degC]" for name, _ in there)])
    rows = [",".join([str(t), "0" if t < 4 else "900", *(f"{T:g}" for _, T in there)]) for t in range(10)]
    found = key_on(read_log("\n".join([head, *rows]).encode()), case_of(**record).evidence.before)
    assert found is not None
    return found


def test_sensors_that_agree_before_the_start():
    assert judged(10.0, 12.0, 9.0).code is KeyOnCode.AGREE
    assert judged(10.0, 10.0 + AGREE, 10.0).code is KeyOnCode.AGREE
    assert judged(10.0, 11.0 + AGREE, None).code is KeyOnCode.COOLANT_OFF
    assert judged(-10.0, 5.0, 6.0).code is KeyOnCode.COOLANT_OFF
    assert judged(10.0, None, None).code is KeyOnCode.ONE_ONLY
    assert judged(10.0, 10.0, 30.0).code is KeyOnCode.AIR_OFF
    assert judged(70.0, 12.0, 9.0).code is KeyOnCode.WARM


def test_a_soak_makes_a_difference_a_fault():
    noted, unknown = judged(-10.0, 5.0, 6.0, soak="8 h"), judged(-10.0, 5.0, 6.0)
    assert (noted.soaked, unknown.soaked) == (True, False)
    assert "may be at fault" in key_on_line(noted)
    assert "six hours" in key_on_line(unknown)
    assert "agree" in key_on_line(judged(10.0, 12.0, 9.0))
