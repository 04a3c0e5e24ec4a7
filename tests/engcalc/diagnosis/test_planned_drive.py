"""The planned test drive: what readings are worth against what is known of them, its legs, and its sentences."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from live_courses import TOWN, course
from made_up_members import vehicle

from engcalc.case.case import Case
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.causes.catalogue import CAUSES
from engcalc.diagnosis.checks.hand_checks import CHECKS
from engcalc.diagnosis.drive import drive_legs, expected_readings, planned_drive
from engcalc.diagnosis.drive.drive_legs import (
    AT_A_STOP,
    COURSES,
    LEGS,
    courses,
    cuts,
    from_cold,
    gone_on,
    heated,
    read_lately,
    speed_of,
)
from engcalc.diagnosis.drive.expected_readings import ExpectedReadings, HealthyTold, ReadingsWorth
from engcalc.diagnosis.drive.planned_drive import (
    A_MINUTE,
    LEAST_BITS,
    LOOKS_FIRST,
    LOOKS_LAST,
    PlannedDrive,
    PlannedLeg,
    _heat_measured,
    _merit,
    _Planner,
    _weather,
)
from engcalc.diagnosis.members.simulated import Hypothesis
from engcalc.diagnosis.odds.as_it_grows import GrowingOdds
from engcalc.diagnosis.odds.drawn_vehicles import DrawnVehicles
from engcalc.logs.log import read_log
from engcalc.vehicle.criterion import target
from engcalc.vehicle.run import run_of
from engcalc.vehicle.unknowns import _share_unknown
from engcalc.words.page.cautions import CAUTION_TEXTS
from engcalc.words.workshop.drive_words import (
    DANGER_FIRST,
    FOUND_FIRST,
    LEG_WORDS,
    NO_CHECK_EITHER,
    NO_TOUCH,
    NOTHING_LEFT,
    drive_cautions,
    drive_lines,
)
from ui.live.typed import line_read

MANY = 40  # vehicles of each cause
IDLES = (LEGS["idle"],) * 3  # as long as made-up vehicles are
OPEN, HEALTHY = "thermostat_stuck_open", "healthy"
OPEN_VALVE = course("lift=0.4", TOWN, 5.0)


def case_of(
    reason: str = "no heat",
    spots: Sequence[Mapping[str, str]] = (),
    seen: Mapping[str, bool] | None = None,
    log: bool = True,
    **vehicle_: str,
) -> Case:
    record: dict[str, object] = {"heater_setting": "low", "ambient": "5 degC", "spots": list(spots), "seen": seen or {}}
    if log and not spots:
        record["log"] = {"file": "log.csv"}
    tree = {
        "format": FORMAT,
        "vehicle": {"class": "family car", **vehicle_},
        "job": {"reason": reason},
        "evidence": {"before": record},
    }
    found = resolve(CaseText(tree))
    assert isinstance(found, Case), found
    return found


def even() -> DrawnVehicles:
    batch = [(Hypothesis((CAUSES[key],), 0), np.zeros((MANY, 1))) for key in (OPEN, HEALTHY)]
    return DrawnVehicles(batch, [], np.repeat([0, 1], MANY), np.full(2 * MANY, 0.5 / MANY))


def expected() -> ExpectedReadings:
    return ExpectedReadings(even(), [OPEN, HEALTHY], np.random.default_rng(1), dict.fromkeys((OPEN, HEALTHY), 0.0))


def apart(kelvin: float) -> np.ndarray:
    return np.repeat([0.0, kelvin], MANY)


AT_ONCE = np.ones(2 * MANY, dtype=bool)


def worth(seen, course_, legs, healthy=AT_ONCE) -> ReadingsWorth:
    readings = expected()
    return readings.worth(readings.of_legs(seen, course_, legs), healthy)


def test_readings_far_apart_tell_all_that_is_open():
    """Cover & Thomas, Elements of Information Theory, eq. 2.28: two even causes that are sure to be told are one bit.

    What the model may be wrong by has heavy tails: 100 K apart it is not quite one.
    """
    seen = vehicle({"shown": [10.0, 30.0 + apart(100.0), 35.0 + apart(100.0), 40.0 + apart(100.0)]})
    found = worth(seen, IDLES, IDLES)
    assert 0.98 < found.bits <= 1.0
    assert found.settled == pytest.approx(1.0)
    assert worth(seen, IDLES, IDLES, ~AT_ONCE).settled == pytest.approx(0.5)  # odds alone call nothing healthy


def test_readings_that_are_alike_tell_nothing():
    seen = vehicle({"shown": [10.0, 50.0 + apart(0.0), 60.0, 70.0]})
    found = worth(seen, IDLES, IDLES)
    assert found.bits == pytest.approx(0.0, abs=1e-6)
    assert found.settled == 0.0


def test_only_the_legs_that_were_driven_are_read():
    """The vehicles part in the last leg: the first two tell nothing."""
    seen = vehicle({"shown": [10.0, 30.0 + apart(0.0), 35.0, 35.0 + apart(80.0)]})
    early, late = (worth(seen, IDLES, IDLES[:n]).bits for n in (1, 3))
    assert early < 0.01
    assert late > 0.5


def test_hoses_are_read_where_the_leg_says_so():
    hose = {"shown": [10.0, 50.0, 60.0, 70.0], "upper_hose": [10.0, 12.0 + apart(50.0), 12.0 + apart(50.0), 60.0]}
    seen = vehicle(hose)
    legs = (LEGS["stop"], replace(LEGS["idle"], seconds=1560.0))
    idles = (replace(LEGS["idle"], seconds=240.0), legs[1])
    assert worth(seen, legs, legs).bits > 0.3
    assert worth(seen, idles, idles).bits < 0.01


def test_a_fan_tells_only_where_it_gets_hot_enough_for_one_to_run():
    """The second half of the vehicles have a fan that stands still; healthy ones run from 100 degC."""
    listens = (replace(LEGS["fan_at_idle"], seconds=1800.0),)

    def bits(hottest: float) -> float:
        hot = [10.0, 50.0, 80.0, hottest]
        seen = vehicle({"shown": hot, "coolant": hot}, FAN_RUNS=np.repeat([1.0, 0.0], MANY))
        return worth(replace(seen, fan_wanted=np.full(2 * MANY, 373.15)), listens, listens).bits

    assert bits(92.0) < 0.001
    assert 0.4 < bits(108.0) < 0.9  # one may be overheard


def test_a_look_tells_its_facts():
    """A level that is low in half of the vehicles is one bit, less what a look errs."""
    low = vehicle(LEVEL=np.repeat([0.3, 0.0], MANY))
    readings = expected()
    level = readings.of_look(low, ("level_low",))
    assert 0.5 < readings.worth(level, AT_ONCE).bits < 0.9
    assert readings.worth(readings.of_look(low, ("face_dirty",)), AT_ONCE).bits < 1e-6
    both = readings.of_look(low, ("level_low", "face_dirty"))
    assert readings.worth(both, AT_ONCE).bits == pytest.approx(readings.worth(level, AT_ONCE).bits, abs=1e-6)


def test_looks_are_added_as_long_as_they_are_worth_their_minutes(quick, monkeypatch):
    """Nobody looked at the level of a vehicle without heat; where a minute is dear nothing is looked at."""
    monkeypatch.setattr(planned_drive, "A_MINUTE", 0.001)  # what a look is worth hangs on chance among two dozen
    grown = GrowingOdds("before").renew(case_of(log=False), {})
    plan = planned_drive.planned_drive(grown.problem, grown.draws, 388.15, cold=True)
    assert "level_and_bubbles" in plan.looks
    assert set(plan.looks_first) | set(plan.looks_last) == set(plan.looks)
    looked = case_of(seen={"level_low": False}, log=False)
    again = GrowingOdds("before").renew(looked, {})
    assert "level_and_bubbles" not in planned_drive.planned_drive(again.problem, again.draws, 388.15, cold=True).looks
    monkeypatch.setattr(planned_drive, "A_MINUTE", 1.0)
    assert planned_drive.planned_drive(grown.problem, grown.draws, 388.15, cold=True).looks == ()
    assert {*LOOKS_FIRST, *LOOKS_LAST} <= CHECKS.keys()


def test_where_no_drive_is_left_a_look_is_planned(grown, quick, monkeypatch):
    """A plan ended with "nothing left" while a look of three minutes would have told radiator and face apart."""
    monkeypatch.setattr(drive_legs, "COURSES", ())
    monkeypatch.setattr(planned_drive, "A_MINUTE", 0.0)
    plan = planned_drive.planned_drive(grown.problem, grown.draws, 388.15, cold=False)
    assert plan.legs == ()
    assert plan.looks
    assert set(plan.looks) <= set(LOOKS_LAST)
    assert plan.bits > 0.0
    lines = drive_lines(plan)
    assert lines[0].startswith("No drive would settle as much as a look does now. Standing, ")
    assert CHECKS[plan.looks[0]].title.lower()[:12] in lines[0].lower()
    assert drive_cautions(plan)
    monkeypatch.setattr(planned_drive, "A_MINUTE", 10.0)
    nothing = planned_drive.planned_drive(grown.problem, grown.draws, 388.15, cold=False)
    assert (nothing.legs, nothing.looks) == ((), ())
    assert nothing.next_check == "level_and_bubbles"  # nobody looked at it yet
    looked = GrowingOdds("before").renew(case_of(seen={"level_low": False}), {"before": read_log(OPEN_VALVE.log(190))})
    told = planned_drive.planned_drive(looked.problem, looked.draws, 388.15, cold=False).next_check
    assert told in CHECKS
    assert told != "level_and_bubbles"


def test_where_no_check_tells_causes_apart_the_part_is_looked_at():
    """A clogged heater core and a shut heater valve read alike in every hose: the valve is moved, then the core is
    flushed. Hoses that were read at a stop are no valve that was moved, and a fuse that was looked at is done."""
    shares = {"heater_core_restricted": 0.4, "heater_valve_closed": 0.56, "fan_not_running": 0.04}
    record = SimpleNamespace(seen={}, spots=(SimpleNamespace(what="heater_inlet_hose", instrument="clamp"),))
    told = SimpleNamespace(keys=list(shares), numbers=np.arange(3), odds=np.array(list(shares.values())))
    planner: Any = SimpleNamespace(readings=told, problem=SimpleNamespace(run=SimpleNamespace(record=record)))
    first = _Planner._part_looked_at(planner)
    assert first == "heater_valve_moved"
    told.odds = np.array([0.02, 0.02, 0.96])
    assert _Planner._part_looked_at(planner) == "fan_fuse"
    record.seen["fan_fuse_good"] = True
    assert _Planner._part_looked_at(planner) == "fan_relay"
    nothing = PlannedDrive((), False, "low", 0.1, 0.0, 0.0, (), next_check=first)
    assert "heater's coolant valve moved" in drive_lines(nothing)[1]


def test_a_leg_that_is_driven_is_not_told_to_be_left_out(grown, quick, monkeypatch):
    """Two climbs got too hot and one did not: "not planned: a hill" stood under a plan that climbed one."""
    monkeypatch.setattr(drive_legs, "COURSES", (("hill", "hill", "stop"), ("hill", "stop")))
    monkeypatch.setattr(_Planner, "_overheats", lambda _self, _seen, course: "hill" if len(course) > 2 else "")
    found = planned_drive.planned_drive(grown.problem, grown.draws, 388.15, cold=True)
    assert (found.legs[0].leg, found.too_hot) == ("hill", ())


def test_a_drive_that_tells_next_to_nothing_is_none_however_short():
    """Three minutes of idling ended a plan: they cost least, and told nothing. Ten of a hill told half a bit."""

    class Told:
        def __init__(self, leg: str, bits: float) -> None:
            self.legs, self.looks, self.found = (LEGS[leg],), (), ReadingsWorth(bits, 0.0)
            self.candidate, self.merit = self, _merit(0.0, bits, self.legs[0].minutes)

        def with_looks(self, *_: object) -> Told:
            return self

    short, long = Told("stop", 0.5 * LEAST_BITS), Told("idle", 1.5 * LEAST_BITS)
    assert short.merit > long.merit
    planner: Any = SimpleNamespace(readings=None)  # of the planner nothing else is asked
    assert _Planner._best(planner, [short, long], ()) is long
    assert _Planner._best(planner, [short], ()) is None


def test_a_warm_vehicle_is_told_healthy_and_no_warm_up_answers_heat():
    warm = target(case_of()) - 273.15
    seen = vehicle(
        {"shown": [10.0, np.array([warm + 0.1, 20.0, 20.0]), warm - 0.1, np.array([95.0, warm + 0.1, 20.0])]}
    )
    told = HealthyTold.of(case_of(), seen)
    assert told.since.tolist() == [600.0, 1800.0, np.inf]
    assert told.by(600.0).tolist() == [True, False, False]
    for reason in ("hot at idle", "hot at speed", "loss of coolant"):
        assert np.isinf(HealthyTold.of(case_of(reason), seen).since).all()


@pytest.mark.parametrize(("apart_by", "settled"), [(5.0, 0.0), (1.0, 1.0)])
def test_what_was_read_keeps_causes_apart_in_readings_to_come(apart_by, settled):
    """Three minutes that tell nothing seemed to settle it: all causes were as one, whatever the record had told."""
    keys = [OPEN, "pump_weak"]
    batch = [(Hypothesis((CAUSES[key],), 0), np.zeros((MANY, 1))) for key in keys]
    drawn = DrawnVehicles(batch, [], np.repeat([0, 1], MANY), np.full(2 * MANY, 0.5 / MANY))
    readings = ExpectedReadings(drawn, keys, np.random.default_rng(1), {OPEN: -8.0, "pump_weak": -8.0 - apart_by})
    nothing = np.zeros((2 * MANY, len(readings.of)))
    assert readings.worth(nothing, AT_ONCE).settled == settled


def test_a_minute_more_has_to_settle_its_worth():
    assert _merit(0.5 + A_MINUTE * 4.0, 1.0, 7.0) == pytest.approx(_merit(0.5, 1.0, 3.0))
    assert _merit(0.5, 1.1, 3.0) > _merit(0.5, 1.0, 3.0) > _merit(0.5, 1.0, 4.0)


def test_a_course_may_end_within_a_leg_that_nothing_is_read_in():
    ends = cuts((LEGS["steady_road"], LEGS["stop"]))
    assert [[leg.minutes for leg in legs] for legs in ends] == [[3.0], [6.0], [9.0], [10.0], [10.0, 5.0]]


def test_a_fan_is_listened_for_where_an_electric_one_switches():
    listens = [legs for legs in courses(case_of()) if any(leg.listens for leg in legs)]
    assert {leg.key for legs in listens for leg in legs if leg.listens} == {"fan_at_idle", "stop_with_fan"}
    assert {leg.reads for leg in (LEGS["stop"], LEGS["stop_with_fan"])} == {AT_A_STOP}
    truck = resolve(CaseText({"format": FORMAT, "vehicle": {"class": "heavy truck"}}))
    assert isinstance(truck, Case)
    assert not any(leg.listens for legs in courses(truck) for leg in legs)
    assert any(leg.key == "stop" for legs in courses(truck) for leg in legs)
    assert speed_of(LEGS["steady_road"], case_of()) == pytest.approx(80.0 / 3.6)
    tractor = resolve(CaseText({"format": FORMAT, "vehicle": {"class": "tractor"}}))
    assert isinstance(tractor, Case)
    assert speed_of(LEGS["steady_road"], tractor) == pytest.approx(40.0 / 3.6)


@pytest.mark.parametrize(
    ("minutes", "read"),
    [
        (dict.fromkeys(AT_A_STOP, 10.1), set(AT_A_STOP)),
        ({**dict.fromkeys(AT_A_STOP, 10.1), "vent": 9.9}, set(AT_A_STOP[:5])),
    ],
)
def test_hoses_read_in_the_last_ten_minutes_begin_no_plan(minutes, read):
    spots = [
        {"what": what, "value": "60 degC", "at": f"{at} min", "instrument": "clamp"} for what, at in minutes.items()
    ]
    spots.append({"what": "coolant", "value": "80 degC", "at": "20 min", "instrument": "scan_tool"})
    case = case_of(spots=spots)
    run = run_of(case, "before", {})
    assert read_lately(run) == read | {"coolant"}
    begun = {legs[0].key for legs in courses(case, read_lately(run))}
    assert ("stop_with_fan" in begun) is not (read == set(AT_A_STOP))
    assert {"steady_road", "idle", "hill"} <= begun


@pytest.fixture(scope="module")
def grown():
    return GrowingOdds("before").renew(case_of(), {"before": read_log(OPEN_VALVE.log(190))})


def test_a_record_is_driven_on_from_its_end(grown):
    run, case = grown.problem.run, grown.problem.layouts[0]
    made = gone_on(run, case, _weather(grown.problem), [LEGS["hill"], LEGS["idle"]])
    asked = made.drive.conditions
    assert made.drive.duration == pytest.approx(run.drive.duration + 960.0, abs=run.drive.step)
    assert asked.vehicle_speed[-2:, 0].tolist() == pytest.approx([50.0 / 3.6, 0.0])
    assert asked.grade[-2:, 0].tolist() == pytest.approx([0.06, 0.0])
    assert asked.heater_air_share[-2:, 0].tolist() == pytest.approx([1.0 / 3.0, 1.0 / 3.0])
    assert (made.record, made.drive.part_of) == (run.record, None)
    assert np.isnan(asked.fuel_flow[-2:]).all()
    assert (made.drive.which[: len(run.drive.which)] == run.drive.which).all()


def test_a_leg_has_the_heater_as_it_sets_it_and_the_next_keeps_it(grown):
    """Hoses are read with it on full; a setting that nobody noted is unknown up to there, and no longer."""
    case = case_of()
    assert case.evidence.before is not None
    unnoted = replace(case.evidence.before, heater_setting="unknown")
    case = replace(case, evidence=replace(case.evidence, before=unnoted))
    run = run_of(case, "before", {"before": read_log(OPEN_VALVE.log(190))})
    legs = heated((LEGS["hill"], LEGS["stop"], LEGS["idle"]), "unknown", "high")
    assert [leg.heater for leg in legs] == ["unknown", "high", "unknown"]
    made = gone_on(run, case, _weather(grown.problem), legs)
    assert made.drive.conditions.heater_air_share[-3:, 0].tolist() == pytest.approx([1.0 / 3.0, 1.0, 1.0])
    unknown = _share_unknown(made)[:, 0]
    assert unknown[:-2].all()
    assert not unknown[-2:].any()
    assert [change.setting for change in made.record.heater_changes] == ["high"]
    set_twice = gone_on(made, case, _weather(grown.problem), heated((LEGS["idle"], LEGS["stop"]), "off", "high"))
    assert set_twice.drive.conditions.heater_air_share[-2:, 0].tolist() == [0.0, 1.0]
    assert not _share_unknown(set_twice)[-4:].any()
    cold = from_cold(case, _weather(grown.problem), heated((LEGS["hill"], LEGS["stop"]), "off", "high"))
    assert cold.conditions.heater_air_share[:, 0].tolist() == [0.0, 1.0]


@pytest.fixture
def quick(monkeypatch):
    """A few vehicles on one course."""
    monkeypatch.setattr(drive_legs, "COURSES", (("steady_road", "stop"),))
    for name, value in {"VEHICLES": 24, "LEAST_VEHICLES": 2}.items():
        monkeypatch.setattr(planned_drive, name, value)
    monkeypatch.setattr(expected_readings, "READINGS", 24)


@pytest.mark.parametrize("cold", [True, False])
def test_a_drive_is_planned_and_nothing_of_it_is_driven_too_hot(grown, quick, cold):
    found = planned_drive.planned_drive(grown.problem, grown.draws, 388.15, cold=cold)
    assert found.from_cold is cold
    assert found.heater == "low"  # as it was noted
    assert {leg.heater for leg in found.legs if leg.leg == "steady_road"} == {"low" if cold else "unknown"}
    assert {leg.heater for leg in found.legs if leg.leg.startswith("stop")} <= {"high"}
    assert found.too_hot == ()
    assert 0.0 < found.bits <= found.open_bits
    assert found.legs[0].leg == "steady_road"
    hot = planned_drive.planned_drive(grown.problem, grown.draws, 300.0, cold=cold)
    assert (hot.legs, hot.too_hot) == ((), ("steady_road",))


def test_heat_that_is_read_is_known_more_closely(grown):
    assert _heat_measured(grown.problem, [("any", np.ones((2, 30)))])[0][1].tolist() == np.ones((2, 30)).tolist()
    unread = GrowingOdds("before").renew(case_of(), {}).problem
    column = [u.key for u in unread.unknowns].index("heat")
    scaled = _heat_measured(unread, [("any", np.ones((2, len(unread.unknowns) + 1)))])[0][1]
    assert scaled[0, column] == pytest.approx(np.hypot(0.07, 0.06) / unread.unknowns[column].spread)
    assert np.delete(scaled[0], column).tolist() == [1.0] * len(unread.unknowns)


# ---- words -----------------------------------------------------------------------------------------------------------


def test_each_leg_has_its_words_and_cautions():
    assert LEG_WORDS.keys() == LEGS.keys() == {key for keys in COURSES for key in keys} | {"stop_with_fan"}
    for words in LEG_WORDS.values():
        assert "{heater}" in words.does
        assert words.cautions
        assert set(words.cautions) <= CAUTION_TEXTS.keys()


def test_a_plan_tells_minutes_place_cautions_and_that_the_driver_drives():
    plan = PlannedDrive(
        (PlannedLeg("steady_road", 6.0, "off"), PlannedLeg("stop_with_fan", 4.0, "high")),
        *(True, "off", 3.0, 1.5, 0.7, ("hill",)),
        looks=("level_and_bubbles", "radiator_face_and_shutter"),
    )
    first, level, heater, one, two, face, settles, left_out = drive_lines(plan)
    assert first == "Test drive that would settle the most, 10 minutes from a cold start:"
    bubbles = "coolant level, and bubbles with the engine running"
    assert level == f"Before you drive off, 2 minutes: {bubbles}. Enter what you saw."
    seals = "radiator face, seals and shutter"
    assert face == f"Then, standing, 3 minutes: {seals}. Enter what you saw."
    assert one.startswith("1. Minute 0 to 6, on a level road outside town: drive at a steady 80 km/h")
    assert two.startswith("2. Minute 6 to 10, outdoors, parked and chocked: let it idle, heater on full. In the last")
    assert "Listen for the radiator fan. If it does not get hot, note nothing of the fan." in two
    assert "(50 mph), or as fast as the vehicle and the road allow, heater off." in one
    assert heater == (
        "A passenger sets the heater as each leg says, or you do where you stand. Enter it as it is set: "
        "heater off, then heater high."
    )
    assert [line_read(part, 0.0).heater for part in ("heater off", "heater high")] == [
        {"at": "0 s", "setting": word} for word in ("off", "high")
    ]
    assert "about 7 in 10 vehicles" in settles
    assert "a hill" in left_out
    assert drive_cautions(plan)[0] == NO_TOUCH
    assert {CAUTION_TEXTS["exhaust"], CAUTION_TEXTS["topping_up"]} <= set(drive_cautions(plan))
    standing = replace(plan, legs=(PlannedLeg("idle", 6.0),), from_cold=False, too_hot=(), looks=())
    assert NO_TOUCH not in drive_cautions(standing)
    assert "on from now" in drive_lines(standing)[0]


def test_a_drive_that_goes_on_has_no_look_that_wants_a_cold_engine(quick, monkeypatch):
    """Who complains of heat at speed has something looked at, at its end; a level is seen cold."""
    monkeypatch.setattr(planned_drive, "A_MINUTE", 0.0)
    grown = GrowingOdds("before").renew(case_of("hot at speed"), {"before": read_log(course("", TOWN, 28.0).log(190))})
    looks = planned_drive.planned_drive(grown.problem, grown.draws, 388.15, cold=False).looks
    assert looks
    assert set(looks) <= set(LOOKS_LAST)


def test_where_danger_comes_first_or_nothing_is_left_to_drive():
    assert (drive_lines(None), drive_cautions(None)) == ((DANGER_FIRST,), ())
    assert drive_lines(None, found=True) == (FOUND_FIRST,)


def test_what_is_looked_at_where_no_drive_is_left():
    one_setting = PlannedDrive((PlannedLeg("idle", 6.0, "high"),), *(True, "high", 3.0, 1.5, 0.7, ()))
    assert drive_lines(one_setting)[1] == "Set the heater before the start and leave it so. Enter it: heater high."
    goes_on = replace(one_setting, from_cold=False)
    assert not any("heater high" in line for line in drive_lines(goes_on))  # it is set so already
    assert any("Enter it as it is set: heater high." in line for line in drive_lines(replace(goes_on, heater="off")))
    nothing = PlannedDrive((), False, "low", 0.1, 0.0, 0.0, ())
    assert (drive_lines(nothing), drive_cautions(nothing)) == ((NOTHING_LEFT, NO_CHECK_EITHER), ())
    pot = replace(nothing, next_check="valve_in_a_pot_of_water")
    assert drive_lines(pot)[1] == "Next by hand, 55 minutes: thermostat in a pot of water with a thermometer."
    assert CAUTION_TEXTS["boiling_pot"] in drive_cautions(pot)
