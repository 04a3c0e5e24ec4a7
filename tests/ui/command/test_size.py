"""``heatdocket size``: the agreed keys, ranked options that hang together, the user's tables, exit codes."""

from __future__ import annotations

import json
import math
from typing import Any

import pytest

import worked_examples

TOWING = worked_examples.folder() / "tow-and-track.heatcase.json"


@pytest.fixture(scope="module")
def found() -> dict[str, Any]:
    """The answer for the worked example."""
    from ui.command.parser import make_parser

    options = make_parser().parse_args(["size", str(TOWING), "--json"])
    answer, _ = options.command(options)
    return json.loads(json.dumps(answer, allow_nan=False))


def test_the_agreed_keys_are_there(found):
    assert {"needed_ua_W_K", "options", "limiting"} <= set(found)
    assert found["limiting"] in ("air side", "coolant side", "airflow", "pump flow", "heat load", "cap", "valve")
    for option in found["options"]:
        assert {"change", "coolant_out_degC", "gain_K", "feasible"} <= set(option)
        assert isinstance(option["feasible"], bool)


def test_one_more_pass_is_held_against_the_pump_that_is_there(found):
    """It gained 0.6 K, the stated flow being driven through twice the length; the same pump drives less."""
    (again,) = [o for o in found["options"] if o["change"] == "one more pass through the same core"]
    assert again["gain_K"] < 0.0


def test_the_numbers_hang_together(found):
    assert found["needed_ua_W_K"] == pytest.approx(found["needed"]["scale"] * found["needed"]["ua_now_W_K"], rel=0.01)
    assert found["margin_K"] == pytest.approx(found["limit_degC"] - found["coolant_out_degC"])
    gains = [o["gain_K"] for o in found["options"] if o["feasible"]]
    assert gains == sorted(gains, reverse=True)
    assert max(found["gains_K"].values()) == found["gains_K"][found["limiting"]] == gains[0]
    for option in found["options"]:
        fallen = found["coolant_out_degC"] - option["coolant_out_degC"]
        assert option["gain_K"] == pytest.approx(fallen, abs=1e-6)  # the coolant's limit counts here, not boiling
        assert option["holds"] == (option["margin_K"] >= found["wanted_margin_K"])


def test_sensitivities_and_shares_are_told(found):
    by_path = {s["path"]: s for s in found["sensitivities"]}
    ambient = by_path["duties[5].ambient"]
    assert ambient["step"] == "per 5 K"
    # fully open: about kelvin for kelvin, and from 18 to 23 degC the air conditioning comes on by half as well
    assert 5.0 < ambient["change_K"] < 9.0
    for shares in found["resistance_shares"].values():
        assert sum(shares.values()) == pytest.approx(1.0)
    assert all(held["reason"] for held in found["held"])


def test_words_say_why_it_fails_and_what_mends_it(within):
    told = within("size", TOWING)
    assert (told.code, told.err) == (0, "")
    assert "Climb with trailer, 12 % at 1800 m fails: the coolant settles at" in told.out
    assert "Three changes that mend it:" in told.out
    assert "Together they gain" in told.out
    assert "What limits most is the air that comes through the radiator" in told.out
    assert "The coolant temperature hangs most on: number of fans (-13 K per one more)" in told.out
    assert "Resistance to heat, from coolant to air: air film and fins" in told.out
    assert "nan" not in told.out.casefold().split()
    us = within("size", TOWING, "--units", "US")
    assert "°F" in us.out
    assert "°C" not in us.out


def test_a_duty_can_be_chosen(within):
    told = within("size", TOWING, "--duty", "3", "--json")
    assert told.json["duty"] == "Motorway, 130 km/h at 40 degC"
    assert told.json["needed"]["duty"] == told.json["duty"]


def test_the_users_table_is_ranked_with_the_rest(within, tmp_path):
    table = tmp_path / "cores.csv"
    table.write_text("name,core_width [mm],core_depth\nwide,1000,\nthick,,60 mm\n", encoding="utf-8")
    options = within("size", TOWING, "--table", table, "--json").json["options"]
    own = {o["change"]: o for o in options if o["from_table"]}
    assert set(own) == {"wide", "thick"}
    assert own["wide"]["gain_K"] > 5.0


def test_a_table_that_the_case_names_counts_and_a_bad_one_is_named_by_its_place(within, tmp_path):
    table = tmp_path / "cores.csv"
    table.write_text("name,core_width [mm]\nwide,1000\n", encoding="utf-8")
    tree = json.loads(TOWING.read_text(encoding="utf-8"))
    tree["job"]["part_tables"] = ["cores.csv"]
    case = tmp_path / "own.heatcase.json"
    case.write_text(json.dumps(tree), encoding="utf-8")
    options = within("size", case, "--json").json["options"]
    assert [o["change"] for o in options if o["from_table"]] == ["wide"]
    table.write_text("name,core_width [mm]\nwide,very\n", encoding="utf-8")
    told = within("size", case, "--json")
    assert told.code == 2
    assert [f["path"] for f in told.json["faults"]] == ["job.part_tables[0]"]
    assert "cores.csv line 2" in told.json["faults"][0]["wanted"]


def test_faults_of_every_table_are_told_at_once(within, tmp_path):
    one, two = tmp_path / "one.csv", tmp_path / "two.csv"
    one.write_text("name,core_width\nA,12\n", encoding="utf-8")
    two.write_text("name,nothing\nA,12 mm\n", encoding="utf-8")
    told = within("size", TOWING, "--table", one, "--table", two, "--json")
    assert told.code == 2
    assert [f["path"] for f in told.json["faults"]] == ["one.csv line 2, radiator.core_width", "two.csv line 1"]


@pytest.mark.parametrize(("arguments", "path"), [(("--duty", "99"), "duties"), (("--table", "none.csv"), "")])
def test_bad_requests_are_refused_in_words(within, arguments, path):
    told = within("size", TOWING, *arguments, "--json")
    assert told.code == 2
    assert told.json["faults"][0]["path"] == path


def test_where_no_duty_settles_the_exit_code_says_so_and_the_answer_stands(within, case_file):
    hopeless = {
        "name": "Hopeless",
        "brake_power": "400 kW",
        "engine_speed": "5000 rpm",
        "ambient": "45 degC",
        "fan": "off",
    }
    told = within("size", case_file(vehicle={"class": "pickup"}, duties=[hopeless]), "--json")
    assert told.code == 3
    assert told.json["status"] == "no solution"
    assert told.json["boils"]
    assert told.json["coolant_out_degC"] is None
    assert all(math.isfinite(o["gain_K"]) for o in told.json["options"] if o["feasible"])
    assert told.json["options"][0]["coolant_out_degC"] is None


def test_sizing_pays_for_no_reading(within, case_file, monkeypatch):
    """Parts are chosen by the duties; what a reading says of the vehicle is the check's to answer."""

    def refuse(*_args: object, **_options: object) -> None:
        raise AssertionError("a reading was weighed")

    monkeypatch.setattr("engcalc.diagnosis.whole_check.check_with_records", refuse)
    monkeypatch.setattr("engcalc.diagnosis.whole_check.check_readings", refuse)
    case = case_file(
        vehicle={"class": "small car"},
        duties=[{"name": "Hill", "vehicle_speed": "60 km/h", "grade": "8 %", "ambient": "35 degC"}],
        evidence={"before": {"ambient": "20 degC", "spots": [{"value": "40 degC", "at": "30 min"}]}},
    )
    assert within("size", case).code == 0
