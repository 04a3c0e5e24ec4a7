"""Input that is at fault: exit 2, every fault at once with its path and what would do, never a traceback."""

from __future__ import annotations

import json

import pytest

from ui.command.parser import make_parser

MEGABYTE = "9" * 1_000_000

# path, what stands there, a part of what is said would do
FAULTS = [
    ("radiator.core_width", "640 parsec", "mm"),  # an unknown unit
    ("duties[0].ambient", "20 delta degC", "not a difference"),  # a difference where a temperature belongs
    ("radiator.core_height", "0 mm", "would do"),
    ("radiator.core_depth", "-24 mm", "would do"),
    ("coolant.concentration", "101 %", "100 %"),
    ("duties[1].ambient", "400 degC", "70 degC"),
    ("vehicle.mass", "1,234 kg", "1234"),
    ("radiator.fin_thickness", "9**9**9 m", "the unit is not one"),
    ("airflow.opening_area", MEGABYTE + " m2", "200"),
    ("coolant.base", "oil", "ethylene glycol"),
]


def put(tree: dict, path: str, value: str) -> None:
    section, _, key = path.partition(".")
    if section.endswith("]"):
        name, index = section[:-1].split("[")
        items = tree.setdefault(name, [])
        items.extend({} for _ in range(int(index) + 1 - len(items)))
        items[int(index)][key] = value
    else:
        tree.setdefault(section, {})[key] = value


@pytest.mark.parametrize(("path", "given", "wanted"), FAULTS, ids=[path for path, *_ in FAULTS])
def test_a_bad_value_is_named_with_what_would_do(within, case_file, path, given, wanted):
    tree: dict = {}
    put(tree, path, given)
    found = within("check", case_file(**tree), "--json")
    assert found.code == 2
    assert found.err == ""
    faults = {fault["path"]: fault for fault in found.json["faults"]}
    assert path in faults
    assert wanted in faults[path]["wanted"]
    assert len(faults[path]["given"]) < 1000


def test_all_faults_stand_together_in_one_answer(heatdocket, case_file):
    tree: dict = {}
    for path, given, _ in FAULTS:
        put(tree, path, given)
    file = case_file(**tree)
    before = file.read_bytes()
    found = heatdocket("check", file, "--json")
    assert (found.code, found.err) == (2, "")
    assert found.json["status"] == "input at fault"
    assert {fault["path"] for fault in found.json["faults"]} >= {path for path, *_ in FAULTS}
    assert file.read_bytes() == before


def test_the_words_name_every_path_and_no_traceback(heatdocket, case_file):
    found = heatdocket("check", case_file(radiator={"core_width": "1 parsec"}, vehicle={"mass": "1,234 kg"}))
    assert (found.code, found.out) == (2, "")
    assert "radiator.core_width" in found.err
    assert "vehicle.mass" in found.err
    assert "Traceback" not in found.err


FILES = [
    ("broken JSON", {"text": '{"format": "heatdocket-case/1", '}, "not JSON"),
    ("a newer format", {"text": '{"format": "heatdocket-case/2"}'}, "newer"),
    ("no format", {"text": '{"vehicle": {}}'}, '"format"'),
    ("no object", {"text": "[1, 2]"}, "object"),
    ("an empty file", {"text": ""}, "not JSON"),
    ("not UTF-8", {"data": '{"format": "heatdocket-case/1"}'.encode("utf-16")}, "UTF-8"),
    ("not a number", {"text": '{"format": "heatdocket-case/1", "vehicle": {"mass": NaN}}'}, "NaN"),
    ("a key twice", {"text": '{"format": "heatdocket-case/1", "job": {"title": "a", "title": "b"}}'}, "twice"),
    ("nested too deep", {"text": '{"a":' * 5000 + "1" + "}" * 5000}, "nested"),
]


@pytest.mark.parametrize(("file", "words"), [row[1:] for row in FILES], ids=[row[0] for row in FILES])
def test_a_file_that_is_no_case_is_refused_in_words(within, case_file, file, words):
    found = within("check", case_file(**file))
    assert (found.code, found.out) == (2, "")
    assert words in found.err
    assert "Traceback" not in found.err


def test_a_missing_file_and_a_folder_are_refused_in_words(within, tmp_path):
    for path in (tmp_path / "absent.heatcase.json", tmp_path):
        found = within("check", path, "--json")
        assert (found.code, found.err) == (2, "")
        [fault] = found.json["faults"]
        assert fault["path"] == ""
        assert str(path) in fault["given"]
        assert "cannot be read" in fault["wanted"]


def test_the_window_refuses_a_missing_file_before_it_opens(within, tmp_path):
    found = within(tmp_path / "absent.heatcase.json")
    assert found.code == 2
    assert "no such file" in found.err


@pytest.mark.parametrize("arguments", [["check"], ["check", "a", "b"], ["report", "a"], ["--nonsense"], ["a", "b"]])
def test_a_wrong_command_ends_with_2_and_its_usage(within, capsys, arguments):
    with pytest.raises(SystemExit) as ended:
        within(*arguments)
    assert ended.value.code == 2
    assert "usage: heatdocket" in capsys.readouterr().err


READ_RIGHT = [
    # what people type, where, and its value in SI by definition of the unit
    ("coolant.cap_pressure", "15 psig", 15 * 6894.757293168),
    ("engine.rated_power", "210 PS", 210 * 735.49875),
    ("coolant.cap_pressure", "1,5 bar", 150e3),
    ("heater.blower_flow", "400 cfm", 400 * 0.3048**3 / 60),
    ("engine.rated_speed", "3000 rpm", 50.0),
    ("thermostat.rating", "88 °C", 361.15),
    ("radiator.core_depth", '6"', 0.1524),
]


@pytest.mark.parametrize(("path", "typed", "si"), READ_RIGHT, ids=[typed for _, typed, _ in READ_RIGHT])
def test_what_people_type_is_read_right(path, typed, si):
    from engcalc.case.case import Case, value_at
    from engcalc.case.file import parse_case
    from engcalc.case.resolve import resolve

    tree = {"format": "heatdocket-case/1"}
    put(tree, path, typed)
    case = resolve(parse_case(json.dumps(tree).encode()))
    assert isinstance(case, Case), case
    assert value_at(case, path)[0] == pytest.approx(si, rel=1e-9)


def test_readings_that_cannot_be_are_refused_before_any_odds(within, case_file):
    before = {
        "ambient": "20 degC",
        "spots": [{"what": "coolant", "at": "30 min", "value": "-5 degC"}],
        "seen": {"thermostat_missing": True, "thermostat_opens_hot": True},
    }
    case = case_file(evidence={"before": before})
    for command in ("check", "diagnose"):
        answered = within(command, case, "--json")
        assert answered.code == 2
        assert [fault["path"] for fault in answered.json["faults"]] == [
            "evidence.before.spots[0].value",
            "evidence.before.seen.thermostat_opens_hot",
        ]


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["check"], "CASE is missing"),
        (["diagnose", "a.heatcase.json", "--seed", "x"], "--seed: 'x' was given; a whole number would do"),
        (["diagnose", "a.heatcase.json", "--reason", "x"], "--reason: 'x' was given; one of 'screening'"),
        (["check", "a.heatcase.json", "--fast"], "'--fast' does not belong here"),
        (["diagnose", "a.heatcase.json", "--seed"], "--seed needs a value behind it"),
    ],
)
def test_the_parser_speaks_in_plain_words(capsys, arguments: list[str], said: str) -> None:
    with pytest.raises(SystemExit) as ended:
        make_parser().parse_args(arguments)
    assert ended.value.code == 2
    told = capsys.readouterr().err
    assert said in told
    for raw in ("argument --", "invalid", "unrecognized", "are required", "expected one"):
        assert raw not in told


def test_broken_json_says_where_without_the_parsers_words(within, case_file, tmp_path) -> None:
    path = tmp_path / "broken.heatcase.json"
    path.write_text('{"format": "heatdocket-case/1",\n', encoding="utf-8")
    answered = within("check", path)
    assert answered.code == 2
    assert "a slip in line 2, column 1" in answered.err
    assert "Expecting" not in answered.err
