"""The heater set anew during a run: the run has it from then on, and so does whatever asks how it was set."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
import pytest
from live_courses import TOWN, course

from engcalc.case.case import Case
from engcalc.case.conditions import every_row
from engcalc.case.records import heater_at, heater_settings
from engcalc.case.resolve import Faults, resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.diagnosis.evidence.hand_readings import colder_than_outside
from engcalc.logs.log import read_log
from engcalc.vehicle.run import ensemble_run, run_of
from engcalc.vehicle.unknowns import _share_unknown
from engcalc.words.workshop.live_words import heater_words

CHANGES = ({"at": "10 min", "setting": "off"}, {"at": "4 min", "setting": "high"})


def found(changes: Sequence[Mapping[str, str]] = CHANGES, **record: Any) -> Case | Faults:
    told = {"heater_setting": "low", "ambient": "5 degC", "heater_changes": list(changes), **record}
    return resolve(CaseText({"format": FORMAT, "vehicle": {"class": "family car"}, "evidence": {"before": told}}))


def case_of(changes: Sequence[Mapping[str, str]] = CHANGES, **record: Any) -> Case:
    case = found(changes, **record)
    assert isinstance(case, Case), case
    return case


def shares(case: Case, log: bytes | None = None) -> dict[float, float]:
    """The share of the heater's air in a run at some minutes, by the rows of its steps."""
    run = ensemble_run(run_of(case, "before", {} if log is None else {"before": read_log(log)}))
    drive = run.drive
    told = np.broadcast_to(drive.conditions.heater_air_share, (len(drive.conditions.vehicle_speed), 1))
    steps = {m: round(60.0 * m / drive.step) for m in (0.0, 3.9, 4.1, 9.9, 10.1)}
    return {m: float(told[drive.which[step]].mean()) for m, step in steps.items()}


AS_SET = {0.0: 1.0 / 3.0, 3.9: 1.0 / 3.0, 4.1: 1.0, 9.9: 1.0, 10.1: 0.0}


def test_a_logged_run_has_the_heater_as_it_was_set_in_each_part():
    log = course("", TOWN, 5.0).log(until=800.0)
    assert shares(case_of(log={"file": "log.csv"}), log) == pytest.approx(AS_SET)


@pytest.mark.parametrize("driving", ["town", "idling"])
def test_so_has_one_of_which_only_a_word_tells_how_it_ran(driving):
    case = case_of(driving=driving)
    assert shares(case) == pytest.approx(AS_SET)
    again, plain = (speeds(made) for made in (case, case_of((), driving=driving)))
    assert np.array_equal(again, plain)


def speeds(case: Case) -> np.ndarray:
    """How fast it is driven in each step."""
    drive = run_of(case, "before", {}).drive
    return every_row(drive.conditions).vehicle_speed[drive.which[:, 0], 0]


def test_what_was_set_is_known_from_then_on():
    run = run_of(case_of(heater_setting="unknown", driving="town"), "before", {})
    unknown = _share_unknown(run)[run.drive.which[:, 0], 0]
    assert unknown[: 4 * 60].all()
    assert not unknown[4 * 60 :].any()


def test_a_setting_typed_before_the_start_is_the_only_one():
    """The plan says how to set it before the start; what stood in the form held no moment."""
    case = case_of(({"at": "0 s", "setting": "off"},), heater_setting="unknown", driving="town")
    assert case.evidence.before is not None
    assert heater_words(case.evidence.before) == "off"
    assert not _share_unknown(run_of(case, "before", {})).any()
    assert heater_words(case_of().evidence.before) == "low, high from 4:00 on, off from 10:00 on"


def test_how_it_was_set_at_a_time():
    record = case_of().evidence.before
    assert record is not None
    assert heater_settings(record) == ((0.0, "low"), (240.0, "high"), (600.0, "off"))
    at = {m: heater_at(record, np.full(1, 60.0 * m)) for m in (0.0, 3.99, 4.0, 9.99, 10.0)}
    assert at == {0.0: "low", 3.99: "low", 4.0: "high", 9.99: "high", 10.0: "off"}
    assert heater_at(record, None) == "unknown"
    alone = case_of(()).evidence.before
    assert alone is not None
    assert heater_at(alone, None) == "low"
    assert (heater_words(record), heater_words(alone)) == ("low, high from 4:00 on, off from 10:00 on", "low")


def test_air_colder_than_outside_is_doubted_only_while_the_heater_was_on():
    def vent(at: str) -> Mapping[str, str]:
        return {"what": "vent", "value": "-9 degC", "at": at, "instrument": "vent_probe"}

    on, off = (case_of(spots=[vent(at)]).evidence.before for at in ("9 min", "12 min"))
    assert on is not None
    assert off is not None
    assert colder_than_outside(on) is not None
    assert colder_than_outside(off) is None


def test_a_schedule_says_it_by_its_own_steps():
    steps = [{"vehicle_speed": "50 km/h", "duration": "10 min"}]
    refused = found(schedule=steps)
    assert isinstance(refused, Faults)
    assert [fault.path for fault in refused.faults] == ["evidence.before.heater_changes"]
    case_of(schedule=steps, log={"file": "log.csv"})  # of a log the schedule is not asked
