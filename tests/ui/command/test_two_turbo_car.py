"""A track car with two turbochargers from nothing to a chosen core: what one command promises, the next one keeps."""

from __future__ import annotations

import json

import pytest

import worked_examples
from engcalc.studies.choice import core_search as module
from ui.command.main import main

CAR = worked_examples.folder() / "two-turbo-track-car.heatcase.json"
ROOMY, TIGHT = "500 x 760 x 70 mm", "400 x 600 x 50 mm"


@pytest.fixture(autouse=True)
def few_builds(monkeypatch):
    """The build that all of them lead to, and one of more rows: the whole search takes most of a minute."""
    monkeypatch.setattr(module, "TUBE_WIDTHS", (0.032,))
    monkeypatch.setattr(module, "ROWS", (1, 2))
    monkeypatch.setattr(module, "FINS_PER_INCH", (22,))
    monkeypatch.setattr(module, "PASSES", (1,))


@pytest.fixture
def asked(capsys):
    """The JSON object of a command that ends well."""

    def ask(*arguments: object) -> dict:
        assert main([*map(str, arguments), "--json"]) == 0
        return json.loads(capsys.readouterr().out)

    return ask


def kept(promised, checked) -> None:
    """Every duty of a check is as promised: within 0.2 K and 2 points."""
    for told, again in zip(promised, checked, strict=True):
        assert again["verdict"] == told["verdict"]
        assert again["peak_degC"] == pytest.approx(told["peak_degC"], abs=0.2)
        assert again["holds_probability"] == pytest.approx(told["holds_probability"], abs=0.02)


def test_three_parts_side_by_side_and_the_one_that_holds_is_put_in(asked, tmp_path):
    chosen = tmp_path / "chosen.heatcase.json"
    found = asked("size", CAR, "--room", TIGHT, "--adopt", "South 66 two-pass", "--write", chosen)
    as_it_is, *parts = found["compared"]["candidates"]
    assert as_it_is["least_probability"] < 0.9
    holds = {part["name"]: {duty["verdict"] for duty in part["duties"]} == {"holds"} for part in parts}
    assert holds == {"North 42 single": False, "North 56 double": False, "South 66 two-pass": True}
    assert [part["beside"]["price"] for part in parts] == ["390", "480", "640"]
    kept(parts[2]["duties"], asked("check", chosen)["duties"])
    tight = found["least_core"]["nothing_fits"]  # what cannot be done, and why
    assert tight["duty"] == "Way to the grid"
    assert tight["holds_probability"] < 0.6
    assert tight["room_factors"]["depth"] is None
    assert 1.3 < tight["room_factors"][tight["least_growth"]] < 1.8
    assert any("heat that the engine stored before" in said for said in found["least_core"]["said"])


def test_the_least_core_of_the_nose_holds_nine_times_in_ten_by_its_own_check(asked, tmp_path):
    written = tmp_path / "least.heatcase.json"
    found = asked("size", CAR, "--write", written)["least_core"]
    assert found["core"]["tube_rows"] == 1
    assert found["front"][0] == found["core"]
    assert found["holds_probability"] >= 0.9
    checked = asked("check", written)
    assert {duty["verdict"] for duty in checked["duties"]} == {"holds"}
    by_name = {duty["name"]: duty for duty in checked["duties"]}
    least_sure = by_name[found["core"]["least_sure"]]
    assert least_sure["margin_K"] == pytest.approx(found["core"]["margin_K"], abs=0.2)
    assert least_sure["holds_probability"] == pytest.approx(found["holds_probability"], abs=0.02)
    assert least_sure["holds_probability"] == min(duty["holds_probability"] for duty in checked["duties"])
