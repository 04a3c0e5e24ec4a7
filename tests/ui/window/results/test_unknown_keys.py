"""A fact under a mistyped key is told on every face before anything else: it may be a danger."""

from __future__ import annotations

import json

from engcalc.case.case import Case
from engcalc.case.resolve import resolve
from engcalc.case.text import CaseText
from engcalc.diagnosis.whole_check import check_with_records
from engcalc.units import UnitSystem
from ui.command.main import main
from ui.window.results.content import reasons_of

TREE = {
    "format": "heatdocket-case/1",
    "evidence": {"before": {"ambient": "20 degC", "seen": {"combustion_gas": True}}},
}
NOTE = "Did you mean combustion_gas_found?"


def test_the_window_tells_it_first():
    case = resolve(CaseText(TREE))
    assert isinstance(case, Case)
    weighty, _ = reasons_of(check_with_records(case, {}, members=0).check, None, UnitSystem.SI)
    assert weighty[0].text.endswith(NOTE)
    assert weighty[0].means == "Not used"


def test_the_command_line_tells_it_before_the_duties(tmp_path, capsys):
    path = tmp_path / "mistyped.heatcase.json"
    path.write_text(json.dumps(TREE), encoding="utf-8")
    assert main(["check", str(path)]) == 0
    lines = capsys.readouterr().out.splitlines()
    at = next(i for i, line in enumerate(lines) if line.endswith(NOTE))
    assert all(i <= at for i, line in enumerate(lines) if line.startswith(("Next: ", "  ! ")))
    assert not any(line.startswith(("- ", "Idle")) for line in lines[:at])
