"""The run in which hand checks are made with the engine hot. Its times and speeds: common practice, no source."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from engcalc.case.case import Case
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.diagnosis.checks.run_of_checks import run_of_checks
from engcalc.system.in_time.drive import Drive
from engcalc.vehicle.run import run_of

RECORD = {"ambient": "-5 degC", "start_temperature": "-4 degC", "heater_setting": "off", "driving": "town"}
DUTIES = [{"altitude": "1500 m", "ambient": "30 degC"}, {"altitude": "0 m"}]


def driven(**sections: Any) -> Drive:
    record = {**RECORD, "curve": [[10, "50 degC"]], **sections.pop("record", {})}
    case = resolve(CaseText({"format": FORMAT, "duties": DUTIES, "evidence": {"before": record}, **sections}))
    assert isinstance(case, Case), case
    return run_of_checks(case, run_of(case, "before", {}).record, np.array([270.0, 275.0, 280.0]), 340.0)


def test_ten_minutes_of_idle_five_at_2500_rpm_and_fifteen_of_idle() -> None:
    drive = driven()
    assert (drive.step, drive.duration) == (3.0, 1800.0)
    assert drive.which.shape[1] == 1
    rpm = 60.0 * drive.conditions.engine_speed[drive.which[:, 0], 0]
    fast = np.flatnonzero(np.isfinite(rpm))  # where no speed is given it idles
    assert (3.0 * fast[0], 3.0 * (fast[-1] + 1)) == (600.0, 900.0)
    assert rpm[fast] == pytest.approx(np.full(100, 2500.0))
    assert (drive.conditions.vehicle_speed == 0.0).all()
    assert np.isnan(drive.conditions.brake_power).all()
    assert np.isnan(drive.conditions.fuel_flow).all()


def test_it_stands_in_the_air_of_the_record_with_the_heater_on_full() -> None:
    drive = driven()
    assert (drive.conditions.ambient == [270.0, 275.0, 280.0]).all()
    assert drive.start.tolist() == [340.0]
    assert (drive.conditions.altitude == 1500.0).all(), "the first duty's height"
    assert (drive.conditions.heater_air_share == 1.0).all()


@pytest.mark.parametrize(("said", "share"), [("fuel-fired", 1.0), ("none", 0.0)])
def test_a_heater_in_the_coolant_runs_where_it_ran_in_the_record(said: str, share: float) -> None:
    drive = driven(record={"auxiliary_heater": said}, heater={"coolant_heater": "fuel-fired"})
    assert drive.conditions.coolant_heater == pytest.approx(share)
