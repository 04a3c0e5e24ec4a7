"""``heatdocket check --uncertainty`` in JSON and words, and the same in the window and on paper."""

from __future__ import annotations

import json

import pytest

from engcalc.case.file import case_bytes
from engcalc.case.text import CaseText
from engcalc.studies.spread.spread_study import QUANTITIES
from ui.command.main import main


@pytest.fixture
def case(tmp_path):
    path = tmp_path / "hill.heatcase.json"
    duty = {"name": "Hill", "vehicle_speed": "80 km/h", "grade": "6 %", "ambient": "30 degC"}
    tree = {"format": "heatdocket-case/1", "vehicle": {"class": "family car"}, "duties": [duty]}
    path.write_bytes(case_bytes(CaseText(tree)))
    return path


def test_the_study_stands_in_the_answer_where_it_was_asked_for(capsys, case):
    assert main(["check", str(case), "--json"]) == 0
    assert "uncertainty" not in json.loads(capsys.readouterr().out)
    assert main(["check", str(case), "--uncertainty", "--json"]) == 0
    whole = json.loads(capsys.readouterr().out)
    (found,) = whole["uncertainty"]
    assert found["duty"] == "Hill"
    assert set(found["intervals"]) == {quantity.key for quantity in QUANTITIES}
    assert abs(found["holds_probability"] - whole["duties"][0]["holds_probability"]) < 0.03
    peak = found["intervals"]["peak"]
    assert peak["low_5_si"] < peak["mean_si"] < peak["high_95_si"]
    assert found["measure_next"]
    assert sum(one["linear"] for one in found["shares"]) == pytest.approx(1.0)


def test_in_words(capsys, case):
    assert main(["check", str(case), "--uncertainty", "--units", "US"]) == 0
    told = capsys.readouterr().out
    assert "How sure each duty is:" in told
    assert "- Hill: of " in told
    assert "Measure this next: " in told
    assert "°F" in told
