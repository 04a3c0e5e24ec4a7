"""A warm-up is simulated once, whoever asks (check, view or report), and again only where what is run has changed."""

from __future__ import annotations

import threading
from dataclasses import dataclass
from typing import Any

import numpy as np
import pytest

from engcalc.case.case import Case, with_values
from engcalc.case.conditions import conditions_of
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.diagnosis.evidence.readings import check_readings
from engcalc.diagnosis.whole_check import check_with_records
from engcalc.errors import Cancelled
from engcalc.system.in_time.drive import Drive, steady_drive
from engcalc.system.in_time.warmed import Warmup
from engcalc.system.in_time.warmup import warm_up
from engcalc.system.plant import Plant, prepare
from engcalc.vehicle import kept_runs
from engcalc.vehicle.kept_runs import KeptRuns, content_of
from engcalc.vehicle.warmup_study import study

MEMBERS = 5


def case_of(reading: str = "61 degC", ambient: str = "3 degC", **sections: Any) -> Case:
    record = {
        "ambient": ambient,
        "start_temperature": ambient,
        "heater_setting": "low",
        "schedule": [{"vehicle_speed": "40 km/h", "heater": "low", "duration": "4 min"}],
        "spots": [{"what": "coolant", "value": reading, "at": "4 min", "instrument": "immersed"}],
    }
    found = resolve(CaseText({"format": FORMAT, "evidence": {"before": record}, **sections}))
    assert isinstance(found, Case), found
    return found


@pytest.fixture
def simulated(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """The members of each warm-up that is run."""
    counted: list[int] = []

    def counting(plant: Plant, drive: Drive, *more: Any) -> Warmup:
        counted.append(max(plant.members, drive.members))
        return warm_up(plant, drive, *more)

    monkeypatch.setattr(kept_runs, "warm_up", counting)
    monkeypatch.setattr("engcalc.vehicle.warmup_study.KEPT", fresh := KeptRuns())
    monkeypatch.setattr("engcalc.diagnosis.evidence.readings.KEPT", fresh)
    monkeypatch.setattr("engcalc.diagnosis.whole_check.READING_MEMBERS", 7)
    return counted


def test_check_warm_up_and_an_edit_simulate_what_changed_and_nothing_else(simulated):
    check_with_records(case_of(), {}, members=MEMBERS)
    assert sorted(simulated) == [1, MEMBERS, 7]  # the vehicle, its healthy band, healthy vehicles for the reading
    simulated.clear()
    for same in (case_of(), case_of(reading="48 degC"), case_of(job={"customer": "K. Brook"})):
        warm_ups_of(same)
    assert simulated == []
    warm_ups_of(case_of(ambient="4 degC"))
    assert sorted(simulated) == [1, MEMBERS, 7]


def warm_ups_of(case: Case) -> None:
    """All that the check, the view and the pages of a report ask for."""
    check_readings(case, {}, 7, 1)
    study(case, {}, members=MEMBERS)


def test_the_kept_answer_is_the_one_of_the_own_case(simulated):
    cold, colder = case_of(ambient="-2 degC"), case_of(ambient="-8 degC")
    first = [study(case, {}, members=MEMBERS).records[0] for case in (cold, colder)]
    again = [study(case, {}, members=MEMBERS).records[0] for case in (cold, colder)]
    assert len(simulated) == 4
    assert first[0].nominal.coolant[-1, 0] > first[1].nominal.coolant[-1, 0] + 3.0
    for one, other in zip(first, again, strict=True):
        assert other.nominal is one.nominal
        assert np.array_equal(other.band.middle, one.band.middle)


@dataclass(frozen=True)
class Pair:
    """Two of anything."""

    one: object
    other: object


@pytest.mark.parametrize(
    ("one", "other"),
    [
        (np.zeros(2), np.zeros((2, 1))),
        (np.zeros(2), np.zeros(2, np.int64)),
        (np.array([1.0, 2.0]), np.array([2.0, 1.0])),
        (Pair(1.0, None), Pair(None, 1.0)),
        (("a", "b"), ("ab",)),
        ((("a",), "b"), ("a", ("b",))),
        ({"a": 1}, {"b": 1}),
        (1.0, 1.0 + 2e-16 * 2),
        ("1", 1),
    ],
)
def test_what_differs_has_another_key(one, other):
    assert content_of(one) == content_of(one)
    assert content_of(one) != content_of(other)


def test_what_has_no_content_has_no_key():
    with pytest.raises(TypeError, match="has no content"):
        content_of([len, content_of])


def plant_and_drive(case: Case, seconds: float) -> tuple[Plant, Drive]:
    return prepare(case), steady_drive(conditions_of(case.duties[:1]), np.full(1, 280.0), seconds)


def test_every_input_of_plant_and_drive_counts():
    case = case_of()
    plant, drive = plant_and_drive(case, 20.0)
    warmer = prepare(with_values(case, {"thermostat.start_to_open": case.thermostat.start_to_open + 1e-9}))
    keys = {
        content_of(plant, drive, 5.0),
        content_of(plant, drive, 10.0),
        content_of(warmer, drive, 5.0),
        content_of(plant, plant_and_drive(case, 21.0)[1], 5.0),
        content_of(plant, drive.asking(ambient=drive.conditions.ambient + 1e-9), 5.0),
    }
    assert len(keys) == 5


def test_what_was_cancelled_is_not_kept_and_raises_again():
    runs, (plant, drive) = KeptRuns(), plant_and_drive(case_of(), 60.0)
    broken_off = runs.warm_up(plant, drive, 5.0, lambda: True)
    assert broken_off.time[-1] < 60.0
    assert runs.warm_up(plant, drive, 5.0, lambda: False).time[-1] == 60.0
    with pytest.raises(Cancelled):
        study(case_of(), {}, members=MEMBERS, cancelled=lambda: True)


def test_arrays_that_several_hold_cannot_be_written():
    plant, drive = plant_and_drive(case_of(), 20.0)
    with pytest.raises(ValueError, match="read-only"):
        KeptRuns().warm_up(plant, drive, 5.0).coolant[0] = 300.0


def test_the_oldest_goes_where_there_is_too_much(monkeypatch):
    calls: list[float] = []
    monkeypatch.setattr(kept_runs, "warm_up", lambda *asked: calls.append(asked[2]) or made)
    plant, drive = plant_and_drive(case_of(), 20.0)
    made = warm_up(plant, drive, 5.0)
    size = sum(a.size for part in (made, made.engine) for a in vars(part).values() if isinstance(a, np.ndarray))
    runs = KeptRuns(most=2 * size)
    for every in (5.0, 6.0, 5.0, 7.0, 5.0, 6.0):  # 6 was asked for longest ago when 7 came
        runs.warm_up(plant, drive, every)
    assert calls == [5.0, 6.0, 7.0, 6.0]


def test_two_threads_that_want_the_same_run_simulate_it_once(monkeypatch):
    plant, drive = plant_and_drive(case_of(), 20.0)
    made, begun, calls = warm_up(plant, drive, 5.0), threading.Event(), []
    may_end = threading.Event()

    def slow(*_: Any) -> Warmup:
        calls.append(1)
        begun.set()
        assert may_end.wait(10.0)
        return made

    monkeypatch.setattr(kept_runs, "warm_up", slow)
    runs, found = KeptRuns(), []

    def ask() -> None:
        found.append(runs.warm_up(plant, drive, 5.0))

    threads = [threading.Thread(target=ask) for _ in range(2)]
    threads[0].start()
    assert begun.wait(10.0)
    threads[1].start()
    may_end.set()
    for thread in threads:
        thread.join(10.0)
    assert found == [made, made]
    assert len(calls) == 1
