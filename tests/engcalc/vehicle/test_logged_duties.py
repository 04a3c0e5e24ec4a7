"""Duties filled from a log: hand-made means, what was typed stays, faults, command line and document alike."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from engcalc.case.case import Case
from engcalc.case.declare import Basis
from engcalc.case.resolve import Faults, resolve
from engcalc.case.text import CaseText
from engcalc.errors import InputError
from engcalc.logs.log import read_log
from engcalc.studies.members import solve_duties
from engcalc.vehicle.logged_duties import filled, with_logged_duties
from ui.document import Document

# two stretches of ten minutes: 50 km/h at 4 L/h of petrol, then 100 km/h at 9 L/h, in 12 degC
ROWS = ["Time [s],RPM [rpm],Speed [km/h],Engine fuel rate [L/h],Ambient air temperature [°C],Coolant [°C]"] + [
    f"{t},{1500 if t < 600 else 2500},{50 if t < 600 else 100},{4 if t < 600 else 9},12,90" for t in range(1200)
]


def case_of(*duties: dict[str, Any], log: bool = True) -> Case:
    evidence = {"before": {"log": {"file": "drive.csv"}}} if log else {}
    case = resolve(CaseText({"format": "heatdocket-case/1", "duties": list(duties), "evidence": evidence}))
    assert isinstance(case, Case), case
    return case


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "drive.csv").write_text("\n".join(ROWS), encoding="utf-8")
    return tmp_path


def test_a_duty_takes_what_the_log_tells_around_its_time(folder):
    case = with_logged_duties(case_of({"log_time": "5 min"}, {"log_time": "15 min"}), folder)
    slow, fast = case.duties
    assert slow.vehicle_speed[0] == pytest.approx(50.0 / 3.6)
    assert fast.vehicle_speed[0] == pytest.approx(100.0 / 3.6)
    assert (slow.engine_speed[0], fast.engine_speed[0]) == pytest.approx((25.0, 2500.0 / 60.0))
    assert slow.ambient[0] == pytest.approx(285.15)
    assert fast.fuel_flow[0] / slow.fuel_flow[0] == pytest.approx(9.0 / 4.0)
    # petrol weighs 0.72 to 0.775 kg/L (EN 228)
    assert slow.fuel_flow[0] == pytest.approx(4.0 * 0.745 / 3600.0, rel=0.03)
    given = case.given["duties[1].fuel_flow"]
    assert (given.basis, given.source, given.typed) == (Basis.MEASURED, "the log", False)
    assert given.uncertainty > 0.0
    solved = solve_duties(case)
    assert solved.solved.all()
    assert solved.fuel_power[1] / solved.fuel_power[0] == pytest.approx(9.0 / 4.0)


def test_what_was_typed_stays(folder):
    typed = {"log_time": "5 min", "ambient": "30 degC", "brake_power": "20 kW", "vehicle_speed": "80 km/h"}
    duty = with_logged_duties(case_of(typed), folder).duties[0]
    assert duty.ambient[0] == pytest.approx(303.15)
    assert duty.vehicle_speed[0] == pytest.approx(80.0 / 3.6)
    assert duty.engine_speed[0] == pytest.approx(25.0)
    assert duty.fuel_flow is None  # the power that was typed says what is burnt


def test_a_case_without_such_duties_is_left_alone(folder):
    case = case_of({"vehicle_speed": "50 km/h"})
    assert with_logged_duties(case, folder) is case
    assert with_logged_duties(case, None) is case


def test_faults_name_the_duty_and_what_would_do(folder, tmp_path):
    late = case_of({}, {"log_time": "25 min"}, {"log_time": "5 min"}, {"log_time": "3 h"})
    with pytest.raises(InputError, match=r"at most 20\.0 min would do") as told:
        with_logged_duties(late, folder)
    assert [f.path for f in told.value.faults] == ["duties[1].log_time", "duties[3].log_time"]
    with pytest.raises(InputError, match="a log among the readings would do"):
        with_logged_duties(case_of({"log_time": "5 min"}, log=False), folder)
    with pytest.raises(InputError, match="save the case beside its log"):
        with_logged_duties(case_of({"log_time": "5 min"}), None)
    (folder / "drive.csv").unlink()
    with pytest.raises(InputError) as told:
        with_logged_duties(case_of({"log_time": "5 min"}), folder)
    assert told.value.faults[0].path == "evidence.before.log.file"


def test_a_gap_in_the_log_leaves_the_duty_as_it_was():
    speed_only = read_log("\n".join(row.rpartition(",")[0].rpartition(",")[0] for row in ROWS[:200]).encode())
    duty = filled(case_of({"log_time": "1 min", "ambient": "5 degC"}), {"before": speed_only}).duties[0]
    assert duty.ambient[0] == pytest.approx(278.15)
    assert duty.vehicle_speed[0] == pytest.approx(50.0 / 3.6)


def test_command_line_and_document_read_the_same(folder):
    path = folder / "logged.heatcase.json"
    tree = {
        "format": "heatdocket-case/1",
        "duties": [{"log_time": "15 min"}],
        "evidence": {"before": {"log": {"file": "drive.csv"}}},
    }
    path.write_text(json.dumps(tree), encoding="utf-8")
    from ui.command.named_case import resolved

    document = Document.read(path)
    case = document.resolve()
    assert isinstance(case, Case)
    there = resolved(document.text, path)
    assert case.duties[0].fuel_flow[0] == there.duties[0].fuel_flow[0] > 0.0
    document.edit("duties[0].log_time", "2 h")
    answer = document.resolve()
    assert isinstance(answer, Faults)
    assert [f.path for f in document.faults] == ["duties[0].log_time"]
