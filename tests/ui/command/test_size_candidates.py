"""``heatdocket size --compare``: parts side by side in words and JSON, one of them written into a case."""

from __future__ import annotations

import json

import pytest

import worked_examples
from engcalc.case.file import read_case
from ui.command.main import main

CAR = worked_examples.folder() / "track-day-car.heatcase.json"


@pytest.fixture
def table(tmp_path):
    path = tmp_path / "cores.csv"
    path.write_text(
        "name;core_height;core_width;core_depth;tube_rows;price [EUR];core_hight\n"
        "Long;400 mm;650 mm;42 mm;1;310;\nTall;450 mm;700 mm;48 mm;1;480;\n"
    )
    return path


def test_parts_are_compared_and_one_is_adopted(capsys, table, tmp_path):
    written = tmp_path / "tall.heatcase.json"
    asked = ["size", str(CAR), "--table", str(table), "--compare", "Tall, Long", "--adopt", "Tall"]
    assert main([*asked, "--write", str(written), "--json"]) == 0
    compared = json.loads(capsys.readouterr().out)["compared"]
    assert [c["name"] for c in compared["candidates"]] == ["As it is", "Tall", "Long"]
    tall = compared["candidates"][1]
    assert tall["beside"] == {"price [EUR]": "480"}
    assert "core_hight" in compared["notes"][0]
    assert read_case(written).typed("radiator.core_height") == "450 mm"
    assert main(["check", str(written), "--json"]) == 0
    duties = json.loads(capsys.readouterr().out)["duties"]
    for told, again in zip(tall["duties"], duties, strict=True):
        assert told["verdict"] == again["verdict"]
        assert told["holds_probability"] == again["holds_probability"]
        assert told["coolant_out_degC"] == pytest.approx(again["coolant_out_degC"], abs=1e-9)


def test_in_words_with_a_table(capsys, table):
    assert main(["size", str(CAR), "--table", str(table), "--compare", ""]) == 0
    told = capsys.readouterr().out
    assert told.startswith("Parts side by side:")
    assert "Price [EUR]: 310" in told
    assert "Part | Duty | Verdict" in told


def test_without_being_asked_nothing_is_compared(capsys, table):
    assert main(["size", str(CAR), "--table", str(table), "--json"]) == 0
    assert "compared" not in json.loads(capsys.readouterr().out)


def test_what_cannot_be_compared_or_adopted_is_refused_in_words(capsys, table, tmp_path):
    assert main(["size", str(CAR), "--table", str(table), "--compare", "Broad"]) == 2
    assert "a name out of the tables would do" in capsys.readouterr().err
    assert main(["size", str(CAR), "--compare", ""]) == 2
    assert "a table of parts would do" in capsys.readouterr().err
    assert main(["size", str(CAR), "--table", str(table), "--adopt", "Tall"]) == 2
    assert "--write" in capsys.readouterr().err
    there = tmp_path / "there.heatcase.json"
    there.write_text("mine")
    assert main(["size", str(CAR), "--table", str(table), "--adopt", "Tall", "--write", str(there)]) != 0
    assert there.read_text() == "mine"
    fans = tmp_path / "fans.csv"
    fans.write_text("name,fan_diameter,fan_count\nToo many,300 mm,4\n")
    out = tmp_path / "out.heatcase.json"
    assert main(["size", str(CAR), "--table", str(fans), "--adopt", "Too many", "--write", str(out)]) == 2
    assert "at most 1 would do" in capsys.readouterr().err
    assert not out.exists()
