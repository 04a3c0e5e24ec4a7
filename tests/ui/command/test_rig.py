"""The bench on the command line: a class's table in and out, numbers in words and as JSON."""

from __future__ import annotations

import json

import pytest

import worked_examples
from engcalc.words.lesson.bench_words import NO_CAUSES, NO_REFILL, NO_WARM_UP
from ui.command.main import main

FOLDER = worked_examples.folder()
CASE, TABLE = FOLDER / "double-pipe.heatcase.json", FOLDER / "double-pipe.csv"


def run(capsys, *words) -> tuple[int, str, str]:
    code = main([str(word) for word in words])
    said = capsys.readouterr()
    return code, said.out, said.err


def test_a_table_goes_in_and_comes_out(capsys, tmp_path):
    new, out = tmp_path / "new.heatcase.json", tmp_path / "points.csv"
    code, said, _ = run(capsys, "rig", CASE, "--points", TABLE, "-o", new, "--table", out)
    assert code == 0
    assert said.startswith("Does not agree. In 8 of 9 measured points both heats agree.")
    assert "Measured point 8, green lies off the others" in said
    assert "Wilson plot" in said
    assert json.loads(new.read_text())["rig"][3]["group"] == "blue"
    again = run(capsys, "rig", CASE, "--points", out)[1]
    assert again.split("written:")[0].strip() == said.split("written:")[0].strip()


@pytest.fixture(scope="module")
def found():
    from ui.command.parser import make_parser
    from ui.command.rigs import rig_command

    return rig_command(make_parser().parse_args(["rig", str(CASE), "--json"]))[0]


def test_json_holds_every_number(found):
    bench = found["bench"]
    assert (bench["arrangement"], bench["coverage"], len(bench["points"])) == ("counterflow", 2.0, 9)
    assert bench["outliers"] == ["rig[7]"]
    assert bench["wilson"]["varied"] == "hot"
    assert len(bench["wilson"]["points"]) == 8
    point = bench["points"][0]
    assert point["heat_hot_W"]["value"] - point["heat_cold_W"]["value"] == pytest.approx(point["heat_loss_W"]["value"])
    assert [one["asked"] for one in bench["problems"]] == [
        ["hot_out", "cold_out", "heat"],
        ["cold_flow", "cold_out", "heat"],
    ]


def test_nothing_is_written_over_unasked(capsys, tmp_path):
    taken = tmp_path / "points.csv"
    taken.write_text("mine")
    code, _, wrong = run(capsys, "rig", CASE, "--table", taken)
    assert code == 2
    assert "exists already" in wrong
    assert taken.read_text() == "mine"


def test_a_case_without_points_says_what_would_do(capsys):
    code, _, wrong = run(capsys, "rig", FOLDER / "van-no-heat.heatcase.json")
    assert code == 2
    assert "--points" in wrong


@pytest.mark.parametrize("command", ["charts", "size"])
def test_a_bench_alone_has_no_duty_of_a_vehicle(capsys, command):
    """A radiator that nobody entered was drawn and sized, with 0.0000000000000064 kW of heat."""
    code, said, wrong = run(capsys, command, CASE)
    assert (code, said) == (2, "")
    assert wrong.strip() == "duties: a case with a duty; heatdocket rig works an exchanger on a bench"


@pytest.fixture(scope="module")
def without_class(tmp_path_factory):
    """The double pipe of somebody who named no vehicle class: one was assumed."""
    case = json.loads(CASE.read_text(encoding="utf-8"))
    del case["vehicle"]
    path = tmp_path_factory.mktemp("bench") / "no-class.heatcase.json"
    path.write_text(json.dumps(case), encoding="utf-8")
    return path


@pytest.mark.parametrize(
    ("command", "refusal"), [("warmup", NO_WARM_UP), ("refill", NO_REFILL), ("diagnose", NO_CAUSES)]
)
@pytest.mark.parametrize("name", ["double-pipe", "bench-exchanger", None])
def test_a_bench_has_no_engine(capsys, without_class, command, refusal, name):
    """It was told that it burns more fuel cold, by millions of per cent, and how to bleed its heater."""
    code, said, wrong = run(capsys, command, without_class if name is None else FOLDER / f"{name}.heatcase.json")
    assert (code, said) == (2, "")
    assert wrong.startswith("vehicle.class: ")
    assert refusal in wrong


def test_without_a_stated_uncertainty_none_is_told(capsys, tmp_path):
    case = json.loads(CASE.read_text(encoding="utf-8"))
    for stream in ("hot_stream", "cold_stream"):
        case[stream] = {"fluid": "water"}
    for point in case["rig"]:
        assert not [value for value in point.values() if isinstance(value, dict)]
    exact = tmp_path / "exact.heatcase.json"
    exact.write_text(json.dumps(case), encoding="utf-8")
    said, stated = run(capsys, "rig", exact)[1], run(capsys, "rig", CASE)[1]
    assert "No uncertainty of flows and temperatures was stated" in said
    assert "Monte Carlo" not in said
    assert "expanded uncertainty, coverage factor kₚ = 2" not in said
    assert "Monte Carlo" in stated
    assert "expanded uncertainty, coverage factor kₚ = 2" in stated


def test_a_headline_names_the_points_to_be_looked_at_and_a_group_mean_leaves_them_out(capsys):
    said = run(capsys, "rig", CASE)[1]
    assert said.startswith("Does not agree. In 8 of 9 measured points both heats agree. Look at point 8 (green).")
    points = json.loads(run(capsys, "rig", CASE, "--json")[1])["bench"]["points"]
    green = [points[i]["ua_W_K"]["value"] for i in (6, 8)]
    balances = [points[i]["balance"]["value"] for i in (6, 8)]
    row = next(line for line in said.splitlines() if line.startswith("green"))
    assert row.split() == [
        "green",
        "2",
        "of",
        "3",
        f"{50 * sum(balances):.1f}",
        "%",
        f"{sum(green) / 2:.1f}",
        "W/K",
        "8",
    ]


def test_the_readings_stand_there_as_they_were_typed(capsys, tmp_path):
    case = json.loads(CASE.read_text(encoding="utf-8"))
    case["rig"] = case["rig"][:2]
    case["rig"][1] |= {"hot_flow": {"value": "4.50 L/min", "uncertainty": "2 %"}, "hot_in": "331.2 K"}
    mixed = tmp_path / "mixed.heatcase.json"
    mixed.write_text(json.dumps(case), encoding="utf-8")
    table = run(capsys, "rig", mixed)[1].split("Readings. ")[1].splitlines()
    assert table[1].split("  ")[0] == "Point"
    assert "Cold side out, °C" in table[1]
    assert table[2].split() == ["1,", "red", "3", "L/min", "58.9", "°C", "36.2", "6", "14.5", "25.5"]
    assert table[3].split() == ["2,", "red", "4.50", "L/min", "±", "2", "%", "331.2", "K", "42.0", "6", "15.4", "29.6"]
