"""``heatdocket diagnose`` as a person and as a script use it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from engcalc.causes.base_rates import PER_CENT
from ui.command import parser
from ui.command.main import INPUT_AT_FAULT, RESULT, main

ROOT = Path(__file__).parents[3]
VAN = ROOT / "worked_examples" / "van-no-heat.heatcase.json"


@pytest.mark.fresh  # the first odds are told while it is worked out
def test_the_object_has_the_keys_that_others_rely_on(less_work: None, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["diagnose", str(VAN), "--json"]) == RESULT
    out, err = capsys.readouterr()
    assert err.startswith("first odds: The thermostat is stuck open")
    assert len(err.splitlines()) == 1
    found = json.loads(out)
    for key in ("causes", "groups", "base_rates", "evidence", "next_check", "next_checks", "effective_samples"):
        assert key in found
    assert sum(c["probability"] for c in found["causes"]) == pytest.approx(1.0)
    best = found["causes"][0]
    assert best["fault"] == "thermostat_stuck_open"
    assert set(best) >= {"fault", "probability", "severity", "summary"}
    assert found["base_rates"]["reason"] == "no heat"
    assert set(found["evidence"][0]) >= {
        "what",
        "measured",
        "expected_healthy",
        "expected_best",
        "best_low",
        "best_high",
        "units",
        "weight",
    }
    coolant = next(e for e in found["evidence"] if e["item"] == "spots[0]")
    assert coolant["measured"] == pytest.approx(36.0)
    assert coolant["units"] == "degC"
    assert set(found["next_check"]) >= {"what", "information_bits", "minutes"}
    assert found["next_check"] == found["next_checks"][0]


def test_the_reasons_of_the_command_line_are_those_with_base_rates() -> None:
    assert set(parser._REASONS) == set(PER_CENT)


def test_a_bad_rate_is_refused_with_what_would_do(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["diagnose", str(VAN), "--rate", "thermostat_stuck_open"]) == INPUT_AT_FAULT
    assert "thermostat_stuck_open=30" in capsys.readouterr().err
    assert main(["diagnose", str(VAN), "--rate", "gremlins=3"]) == INPUT_AT_FAULT
    assert "low_coolant" in capsys.readouterr().err


def test_a_case_without_readings_is_told_what_is_needed(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    bare = tmp_path / "bare.heatcase.json"
    bare.write_text('{"format": "heatdocket-case/1", "vehicle": {"class": "family car"}}')
    assert main(["diagnose", str(bare)]) == INPUT_AT_FAULT
    assert "readings are needed" in capsys.readouterr().err


def test_results_of_checks_typed_into_the_case_count(
    less_work: None, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    tree = json.loads(VAN.read_text(encoding="utf-8"))
    record = tree["evidence"]["before"]
    record["spots"] = [
        *record["spots"],
        {"what": "cap_opens", "value": "0.3 bar", "instrument": "pressure_gauge"},
        {"what": "concentration", "value": "50 %", "instrument": "propylene_scale"},
    ]
    record["seen"] = {**record["seen"], "combustion_gas_found": True}
    path = tmp_path / "van.heatcase.json"
    path.write_text(json.dumps(tree), encoding="utf-8")
    few = ("healthy", "cap_weak", "gas_in_coolant", "thermostat_stuck_open")
    rates = [arg for cause in PER_CENT["no heat"] if cause not in few for arg in ("--rate", f"{cause}=0")]
    assert main(["diagnose", str(path), "--json", *rates]) == RESULT
    found = json.loads(capsys.readouterr().out)
    units = {e["what"]: (e["units"], e["measured"]) for e in found["evidence"]}
    assert units["cap_opens"] == ("Pa", pytest.approx(3e4))
    assert units["concentration"][0] == "1"
    assert units["combustion_gas_found"] == ("probability", 1.0)
    assert not {"cap_test", "combustion_gas_test", "refractometer"} & {c["what"] for c in found["next_checks"]}


def test_a_refractometer_without_its_scale_is_a_fault(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    tree = json.loads(VAN.read_text(encoding="utf-8"))
    tree["evidence"]["before"]["spots"] = [{"what": "freezing_point", "value": "-24 degC"}]
    path = tmp_path / "van.heatcase.json"
    path.write_text(json.dumps(tree), encoding="utf-8")
    assert main(["diagnose", str(path)]) == INPUT_AT_FAULT
    said = capsys.readouterr()
    assert "ethylene_scale or propylene_scale would do" in said.out + said.err


REPAIRED = {
    "format": "heatdocket-case/1",
    "job": {"reason": "slow warm-up"},
    "vehicle": {"class": "family car"},
    "engine": {"fuel": "petrol"},
    "evidence": {
        "before": {
            "ambient": "2 °C",
            "heater_setting": "high",
            "driving": "mixed",
            "spots": [{"value": "63 °C", "at": "22 min"}],
            "seen": {"upper_hose_warms_early": True, "thermostat_open_when_cold": True},
        },
    },
}
AFTER_REPAIR = {
    "ambient": "2 °C",
    "heater_setting": "high",
    "driving": "mixed",
    "spots": [{"value": "88 °C", "at": "14 min"}],
}
FEW = ("healthy", "thermostat_stuck_open", "low_coolant")
RATES = [arg for cause in PER_CENT["slow warm-up"] if cause not in FEW for arg in ("--rate", f"{cause}=0")]


def test_a_reading_after_the_repair_overtakes_the_thermostat_found_before_it(
    less_work: None, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    evidence = {**REPAIRED["evidence"], "after": AFTER_REPAIR}
    path = tmp_path / "repaired.heatcase.json"
    path.write_text(json.dumps({**REPAIRED, "evidence": evidence}), encoding="utf-8")
    assert main(["check", str(path), "--json"]) == RESULT
    checked = json.loads(capsys.readouterr().out)["conclusion"]
    assert main(["diagnose", str(path), "--json", *RATES]) == RESULT
    conclusion = json.loads(capsys.readouterr().out)["conclusion"]
    assert conclusion["label"] == checked["label"] == "Healthy so far"
    assert main(["diagnose", str(path), *RATES]) == RESULT
    said = capsys.readouterr().out
    assert "Fit a thermostat" not in said
    assert "Runs cold" not in said


def test_a_check_that_follows_a_found_fault_is_not_said_to_come_first(
    less_work: None, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "found.heatcase.json"
    path.write_text(json.dumps(REPAIRED), encoding="utf-8")
    assert main(["diagnose", str(path), *RATES]) == RESULT
    said = capsys.readouterr().out
    assert "Next: Fit a thermostat" in said
    assert "After that: Coolant level" in said
    assert "comes first" not in said
