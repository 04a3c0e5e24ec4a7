"""``heatdocket refill`` as a person and as a script use it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from ui.command.main import INPUT_AT_FAULT, RESULT, main

CASE = {
    "format": "heatdocket-case/1",
    "vehicle": {"class": "delivery van"},
    "coolant": {"base": "ethylene glycol", "concentration": "30 %", "volume": "10 L", "cap_pressure": "1.1 bar"},
    "refill": {"target": "50 %", "drained": "4 L", "filled": "3.5 L", "opened": "coolant pump"},
}


@pytest.fixture
def path(tmp_path: Path) -> Path:
    made = tmp_path / "refill.heatcase.json"
    made.write_text(json.dumps(CASE))
    return made


def test_the_object_holds_what_is_said(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["refill", str(path), "--json"]) == RESULT
    found = json.loads(capsys.readouterr().out)
    # 6 L at 30 % hold 1.8 L of glycol, 5 L are wanted: 3.2 L of concentrate and 0.8 L of water
    assert found["refill"]["product_m3"] == pytest.approx(3.2e-3)
    assert found["refill"]["water_m3"] == pytest.approx(0.8e-3)
    assert found["refill"]["possible"] is True
    assert found["not_gone_in_again_m3"] == pytest.approx(0.5e-3)
    assert found["freezing_degC"] == pytest.approx(-15.9, abs=0.5)  # ASHRAE Fundamentals, chapter 31, from memory
    assert found["reading"] is None
    assert found["opened"] == "coolant pump"
    assert any("scalding" in caution for step in found["steps"] for caution in step["cautions"])


def test_a_person_reads_the_makers_data_first_then_parts_and_steps(
    path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["refill", str(path), "--units", "US"]) == RESULT
    lines = capsys.readouterr().out.splitlines()
    assert lines[0].startswith("The maker's")
    assert any(line.startswith("1. Look up the maker's") for line in lines)
    assert any(" qt " in line for line in lines)


def test_bad_entries_are_named_all_at_once(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    bad = tmp_path / "bad.heatcase.json"
    bad.write_text(json.dumps({**CASE, "refill": {"drained": "4 kg", "opened": "roof", "product": "140 %"}}))
    assert main(["refill", str(bad), "--json"]) == INPUT_AT_FAULT
    faults = json.loads(capsys.readouterr().out)["faults"]
    assert {fault["path"] for fault in faults} == {"refill.drained", "refill.opened", "refill.product"}
