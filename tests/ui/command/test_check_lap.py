"""``heatdocket check --lap``: a logger's lap checked below the case's duties, written where asked, refused in words."""

from __future__ import annotations

import json

import worked_examples
from engcalc.case.file import case_bytes, read_case
from engcalc.studies.duties import lap_file
from ui.command.main import main

FOLDER = worked_examples.folder()


def test_a_lap_is_checked_and_written(capsys, tmp_path, monkeypatch):
    cut = lap_file.stretches
    monkeypatch.setattr(lap_file, "stretches", lambda lap, full_load: cut(lap, full_load, 2))  # a few, for time's sake
    car, written = tmp_path / "car.heatcase.json", tmp_path / "lap.heatcase.json"
    text = read_case(FOLDER / "track-day-car.heatcase.json")
    text = text.with_value("duties", text.get("duties")[1:2]).with_value("engine.rated_power", "60 kW")
    car.write_bytes(case_bytes(text))
    assert main(["check", str(car), "--lap", str(FOLDER / "lap.csv"), "--write", str(written), "--json"]) == 0
    duties = json.loads(capsys.readouterr().out)["duties"]
    assert [d["name"][:5] for d in duties[1:]] == ["lap, "] * 2
    assert all(d["peak_degC"] is not None for d in duties)
    assert len(read_case(written).get("duties")) == 3


def test_what_is_wrong_ends_with_2(capsys, tmp_path):
    car = str(FOLDER / "track-day-car.heatcase.json")
    (tmp_path / "bad.csv").write_text("time [s],speed [km/h],throttle [%]\n0,1,1\n1,1,fast\n2,1,1\n")
    assert main(["check", car, "--lap", str(tmp_path / "bad.csv")]) == 2
    assert "bad.csv line 3, throttle" in capsys.readouterr().err
    assert main(["check", car, "--write", str(tmp_path / "new.json")]) == 2
    assert "--lap" in capsys.readouterr().err


def test_a_usual_duty_is_checked_below_the_others_and_written(capsys, tmp_path):
    written = tmp_path / "more.heatcase.json"
    car = worked_examples.folder() / "track-day-car.heatcase.json"
    assert main(["check", str(car), "--add", "dyno pull", "--write", str(written), "--json"]) == 0
    duties = json.loads(capsys.readouterr().out)["duties"]
    assert duties[-1]["name"] == "Dyno pull, blower of 50 km/h"
    assert read_case(written).typed("duties[3].headwind") == "50 km/h"
