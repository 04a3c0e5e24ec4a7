"""``heatdocket check`` says the conclusion in words and in JSON, and a danger before anything else."""

from __future__ import annotations

import pytest
from told_cases import CASES, ToldCase

SAMPLE = (
    "hot at idle, fan still",
    "gas, all else normal",
    "thermostat open when cold",
    "5 K under the limit",
    "nothing typed",
    "complaint in words alone",
    "repaired and seen",
    "heater cold, gauge normal",
    "pressure over the cap's",
)


def written(case_file, told: ToldCase):
    return case_file(**{key: value for key, value in told.tree.items() if key != "format"})


@pytest.mark.parametrize("told", [case for case in CASES if case.name in SAMPLE], ids=lambda case: case.name)
def test_the_json_follows_the_conclusion(within, case_file, told):
    answered = within("check", written(case_file, told), "--json")
    assert answered.code == 0
    found = answered.json
    conclusion = found["conclusion"]
    assert (conclusion["state"], conclusion["danger"]) == (told.state, told.danger)
    assert found["verdict"] == (None if told.state == "nothing_to_judge" else told.state)
    step = conclusion["next_check"]
    said = " ".join([*conclusion["because"], step["text"] if step else ""])
    for words in told.says:
        assert words in said, said
    assert set(found["capacity"]) == {"verdict"}
    if told.danger == "stop":
        assert step is not None
        assert step["cautions"]


@pytest.mark.parametrize("told", [case for case in CASES if case.name in SAMPLE], ids=lambda case: case.name)
def test_the_words_begin_with_the_conclusion(within, case_file, told):
    out = within("check", written(case_file, told)).out
    first = out.splitlines()[0]
    if told.danger == "stop":
        assert first.startswith("Stop: do not drive on. ")
    assert ("Holds" in first.split(".")[0] or first.startswith("Healthy")) is (told.state == "healthy")
    for words in told.says:
        assert words in out


def test_the_capacity_stands_beside_under_its_own_name(within, case_file):
    told = next(case for case in CASES if case.name == "complaint in words alone")
    answered = within("check", written(case_file, told))
    assert "Would the system hold its duties? Holds. Idle:" in answered.out
    found = within("check", written(case_file, told), "--json").json
    assert (found["verdict"], found["capacity"]["verdict"]) == ("cannot_tell", "holds")


def test_a_sizing_case_keeps_its_capacity_as_verdict(within, case_file):
    found = within("check", case_file(duties=[{"name": "Idle", "ambient": "30 degC"}]), "--json").json
    assert (found["verdict"], found["capacity"], found["conclusion"]["state"]) == (
        "holds",
        {"verdict": "holds"},
        "nothing_to_judge",
    )
