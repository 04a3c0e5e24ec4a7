"""``heatdocket size --room``: the least core in words and JSON, the case written with it, and what is refused."""

from __future__ import annotations

import json

import pytest

import worked_examples
from engcalc.case.file import read_case
from engcalc.studies.choice import core_search as module
from engcalc.studies.choice.tables import read_table
from ui.command.main import main

CAR = worked_examples.folder() / "track-day-car.heatcase.json"


@pytest.fixture(autouse=True)
def few_builds(monkeypatch):
    """A handful of builds: the search itself has tests of its own."""
    monkeypatch.setattr(module, "TUBE_WIDTHS", (0.042,))
    monkeypatch.setattr(module, "ROWS", (1,))
    monkeypatch.setattr(module, "FINS_PER_INCH", (22,))
    monkeypatch.setattr(module, "PASSES", (1,))


def test_the_least_core_is_told_written_and_holds(capsys, tmp_path):
    written = tmp_path / "with-core.heatcase.json"
    assert main(["size", str(CAR), "--room", "600 x 750 x 50 mm", "--write", str(written), "--json"]) == 0
    least = json.loads(capsys.readouterr().out)["least_core"]
    core = least["core"]
    assert least["room_m"] == [0.6, 0.75, 0.05]
    assert least["nothing_fits"] is None
    assert core["volume_m3"] == pytest.approx(core["core_height_m"] * core["core_width_m"] * core["core_depth_m"])
    assert least["front"][0] == core
    assert read_case(written).typed("circuit.flows_core_height") == "360 mm"
    assert main(["check", str(written), "--json"]) == 0
    duties = json.loads(capsys.readouterr().out)["duties"]
    assert {duty["verdict"] for duty in duties} == {"holds"}
    assert min(duty["holds_probability"] for duty in duties) == pytest.approx(least["holds_probability"], abs=0.02)


def test_a_written_case_is_never_put_over_another_file(capsys, tmp_path):
    there = tmp_path / "there.heatcase.json"
    there.write_text("mine")
    assert main(["size", str(CAR), "--room", "600 x 750 x 50 mm", "--write", str(there)]) != 0
    assert there.read_text() == "mine"


def test_where_nothing_fits_the_words_say_why_and_that_no_case_was_written(capsys, tmp_path):
    written = tmp_path / "least.heatcase.json"
    assert main(["size", str(CAR), "--room", "12 x 24 x 2 in", "--units", "US", "--write", str(written)]) == 0
    told = capsys.readouterr().out
    assert f"{written} was not written: no core holds every duty." in told
    assert not written.exists()
    assert told.startswith("No core that fits into 12 in x 24 in x 2 in holds every duty.")
    assert "Track lap is the duty that decides: " in told


def test_writing_without_a_room_and_a_room_that_is_none_are_refused(capsys, tmp_path):
    assert main(["size", str(CAR), "--write", str(tmp_path / "out.json")]) == 2
    assert "--room" in capsys.readouterr().err
    assert main(["size", str(CAR), "--room", "450 x 650"]) == 2
    assert "height x width x depth would do" in capsys.readouterr().err


def test_a_template_is_written_read_and_never_put_over_a_file(capsys, tmp_path):
    there = tmp_path / "fans.csv"
    assert main(["size", "--template", "fans", str(there)]) == 0  # nobody needs a case for that
    assert str(there) in capsys.readouterr().out
    assert [part.name for part in read_table(there)] == ["Example fan"]
    assert main(["size", str(CAR), "--template", "fans", str(there)]) != 0
    assert main(["size", str(CAR), "--template", "wheels", str(tmp_path / "w.csv")]) == 2
    assert "cores, fans, pumps, caps, coolers" in capsys.readouterr().err
    assert main(["size"]) == 2
    assert "CASE" in capsys.readouterr().err
