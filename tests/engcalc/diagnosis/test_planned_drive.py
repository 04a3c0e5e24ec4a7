"""The planned test drive: what readings are worth against what is known of them, its legs, and its sentences."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
import pytest
from live_courses import TOWN, course
from made_up_members import vehicle

from engcalc.case.case import Case
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.causes.catalogue import CAUSES
from engcalc.diagnosis import drive_legs, planned_drive
from engcalc.diagnosis.as_it_grows import GrowingOdds
from engcalc.diagnosis.drawn_vehicles import DrawnVehicles
from engcalc.diagnosis.drive_legs import COURSES, LEGS, courses, cuts, gone_on, read_lately, speed_of
from engcalc.diagnosis.planned_drive import (
    A_MINUTE,
    Decidable,
    ExpectedReadings,
    PlannedDrive,
    PlannedLeg,
    _heat_measured,
    _merit,
    _weather,
)
from engcalc.diagnosis.simulated import Hypothesis
from engcalc.logs.log import read_log
from engcalc.vehicle.criterion import target
from engcalc.vehicle.run import run_of
from engcalc.words.cautions import CAUTION_TEXTS
from engcalc.words.drive_words import DANGER_FIRST, LEG_WORDS, NO_TOUCH, NOTHING_LEFT, drive_cautions, drive_lines

MANY = 40  # vehicles of each cause
IDLES = (LEGS["idle"],) * 3  # as long as made-up vehicles are
OPEN, HEALTHY = "thermostat_stuck_open", "healthy"


def case_of(reason: str = "no heat", spots: Sequence[Mapping[str, str]] = (), **vehicle_: str) -> Case:
    record: dict[str, object] = {"heater_setting": "low", "ambient": "5 degC", "spots": list(spots)}
    if not spots:
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
    return ExpectedReadings(even(), [OPEN, HEALTHY], np.random.default_rng(1))


def apart(kelvin: float) -> np.ndarray:
    return np.repeat([0.0, kelvin], MANY)


AT_ONCE = Decidable(np.zeros(2 * MANY))


def test_readings_far_apart_tell_all_that_is_open():
    """Cover & Thomas, Elements of Information Theory, eq. 2.28: two even causes that are sure to be told are one bit.

    What the model may be wrong by has heavy tails: 100 K apart it is not quite one.
    """
    seen = vehicle({"shown": [10.0, 30.0 + apart(100.0), 35.0 + apart(100.0), 40.0 + apart(100.0)]})
    found = expected().worth(seen, IDLES, IDLES, AT_ONCE)
    assert 0.98 < found.bits <= 1.0
    assert found.settled == pytest.approx(1.0)
    never = Decidable(np.full(2 * MANY, np.inf))
    assert expected().worth(seen, IDLES, IDLES, never).settled == 0.0  # odds alone settle nothing


def test_readings_that_are_alike_tell_nothing():
    seen = vehicle({"shown": [10.0, 50.0 + apart(0.0), 60.0, 70.0]})
    found = expected().worth(seen, IDLES, IDLES, AT_ONCE)
    assert found.bits == pytest.approx(0.0, abs=1e-6)
    assert found.settled == 0.0


def test_only_the_legs_that_were_driven_are_read():
    """The vehicles part in the last leg: the first two tell nothing."""
    seen = vehicle({"shown": [10.0, 30.0 + apart(0.0), 35.0, 35.0 + apart(80.0)]})
    early, late = (expected().worth(seen, IDLES, IDLES[:n], AT_ONCE).bits for n in (1, 3))
    assert early < 0.01
    assert late > 0.5


def test_hoses_are_read_where_the_leg_says_so():
    hose = {"shown": [10.0, 50.0, 60.0, 70.0], "upper_hose": [10.0, 12.0 + apart(50.0), 12.0 + apart(50.0), 60.0]}
    seen = vehicle(hose)
    legs = (LEGS["radiator_hoses"], replace(LEGS["idle"], seconds=1620.0))
    reads = expected().worth(seen, legs, legs, AT_ONCE)
    idles = (replace(LEGS["idle"], seconds=180.0), legs[1])
    assert reads.bits > 0.3
    assert expected().worth(seen, idles, idles, AT_ONCE).bits < 0.01


def test_a_cold_vehicle_is_told_when_healthy_ones_are_warm():
    case = case_of()
    warm = target(case) - 273.15
    cold = vehicle({"shown": [10.0, 20.0 + np.zeros(2), 30.0, 40.0]})
    healthy = vehicle({"shown": [10.0, warm - 1.0 + np.zeros(20), warm + 1.0, warm + 2.0]})
    assert Decidable.of(case, cold, healthy).since.tolist() == [900.0, 900.0]
    own = vehicle({"shown": [10.0, np.array([warm + 0.5, 20.0]), 30.0, 40.0]})
    assert Decidable.of(case, own, healthy).since.tolist() == [600.0, 900.0]
    slow = vehicle({"shown": [10.0, 20.0 + np.zeros(20), 21.0, warm - 1.0]})
    assert np.isinf(Decidable.of(case, cold, slow).since).all()


def test_who_complains_of_heat_is_answered_by_a_hot_one_only():
    case = case_of("hot at idle")
    opened = float(case.thermostat.full_open[0]) - 273.15
    seen = vehicle({"shown": [10.0, 80.0 + np.zeros(2), np.array([opened + 12.9, opened + 13.1]), opened]})
    assert Decidable.of(case, seen, seen).since.tolist() == [np.inf, 900.0]
    assert Decidable.of(case, seen, seen).by(900.0).tolist() == [False, True]


def test_a_minute_more_has_to_settle_its_worth():
    assert _merit(0.5 + A_MINUTE * 4.0, 1.0, 7.0) == pytest.approx(_merit(0.5, 1.0, 3.0))
    assert _merit(0.5, 1.1, 3.0) > _merit(0.5, 1.0, 3.0) > _merit(0.5, 1.0, 4.0)


def test_a_course_may_end_within_a_leg_that_nothing_is_read_in():
    ends = cuts((LEGS["steady_road"], LEGS["radiator_hoses"]))
    assert [[leg.minutes for leg in legs] for legs in ends] == [[3.0], [6.0], [9.0], [10.0], [10.0, 3.0]]


def test_a_fan_is_listened_for_where_an_electric_one_switches():
    listens = [legs for legs in courses(case_of()) if any(leg.listens for leg in legs)]
    assert listens
    truck = resolve(CaseText({"format": FORMAT, "vehicle": {"class": "heavy truck"}}))
    assert isinstance(truck, Case)
    assert not any(leg.listens for legs in courses(truck) for leg in legs)
    assert speed_of(LEGS["steady_road"], case_of()) == pytest.approx(80.0 / 3.6)
    tractor = resolve(CaseText({"format": FORMAT, "vehicle": {"class": "tractor"}}))
    assert isinstance(tractor, Case)
    assert speed_of(LEGS["steady_road"], tractor) == pytest.approx(40.0 / 3.6)


@pytest.mark.parametrize(
    ("minutes", "read"),
    [({"upper_hose": 10.1, "lower_hose": 20.0}, {"upper_hose", "lower_hose"}), ({"upper_hose": 9.9}, set())],
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
    assert ("radiator_hoses" in begun) is not bool(read)
    assert {"steady_road", "idle", "hill"} <= begun


@pytest.fixture(scope="module")
def grown():
    case, ran = case_of(), course("lift=0.4", TOWN, 5.0)
    return GrowingOdds("before").renew(case, {"before": read_log(ran.log(190))})


def test_a_record_is_driven_on_from_its_end(grown):
    run, case = grown.problem.run, grown.problem.layouts[0]
    made = gone_on(run, case, _weather(grown.problem), [LEGS["hill"], LEGS["idle"]])
    asked = made.drive.conditions
    assert made.drive.duration == pytest.approx(run.drive.duration + 960.0, abs=run.drive.step)
    assert asked.vehicle_speed[-2:, 0].tolist() == pytest.approx([50.0 / 3.6, 0.0])
    assert asked.grade[-2:, 0].tolist() == pytest.approx([0.06, 0.0])
    assert asked.heater_air_share[-2:, 0].tolist() == pytest.approx([1.0 / 3.0, 1.0 / 3.0])
    assert np.isnan(asked.fuel_flow[-2:]).all()
    assert (made.drive.which[: len(run.drive.which)] == run.drive.which).all()


@pytest.fixture
def quick(monkeypatch):
    """A few vehicles on one course."""
    monkeypatch.setattr(drive_legs, "COURSES", (("steady_road", "radiator_hoses"),))
    for name, value in {"VEHICLES": 24, "LEAST_VEHICLES": 2, "READINGS": 24, "HEALTHY_VEHICLES": 8}.items():
        monkeypatch.setattr(planned_drive, name, value)


@pytest.mark.parametrize("cold", [True, False])
def test_a_drive_is_planned_and_nothing_of_it_is_driven_too_hot(grown, quick, cold):
    found = planned_drive.planned_drive(grown.problem, grown.draws, 388.15, cold=cold)
    assert found.from_cold is cold
    assert found.heater == "low"  # as it was noted
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
    assert LEG_WORDS.keys() == LEGS.keys() == {key for keys in COURSES for key in keys}
    for words in LEG_WORDS.values():
        assert "{heater}" in words.does
        assert words.cautions
        assert set(words.cautions) <= CAUTION_TEXTS.keys()


def test_a_plan_tells_minutes_place_cautions_and_that_the_driver_drives():
    plan = PlannedDrive(
        (PlannedLeg("steady_road", 6.0), PlannedLeg("radiator_hoses", 3.0)), True, "high", 3.0, 1.5, 0.7, ("hill",)
    )
    first, one, two, heater, settles, left_out = drive_lines(plan)
    assert first == "Test drive that would settle the most, 9 minutes from a cold start:"
    assert one.startswith("1. Minute 0 to 6: drive at a steady 80 km/h")
    assert "a level road outside town" in one
    assert two.startswith("2. Minute 6 to 9: let it idle, heater on full; read the upper and the lower radiator hose")
    assert heater == "Set the heater before the start (heater on full) and leave it so."
    assert "about 7 in 10 vehicles" in settles
    assert "a hill" in left_out
    assert drive_cautions(plan)[0] == NO_TOUCH
    assert CAUTION_TEXTS["exhaust"] in drive_cautions(plan)
    standing = replace(plan, legs=(PlannedLeg("idle", 6.0),), from_cold=False, too_hot=())
    assert NO_TOUCH not in drive_cautions(standing)
    assert "on from now" in drive_lines(standing)[0]


def test_where_danger_comes_first_or_nothing_is_left_to_drive():
    assert (drive_lines(None), drive_cautions(None)) == ((DANGER_FIRST,), ())
    nothing = PlannedDrive((), False, "low", 0.1, 0.0, 0.0, ())
    assert (drive_lines(nothing), drive_cautions(nothing)) == ((NOTHING_LEFT,), ())
