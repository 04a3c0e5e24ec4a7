"""Window, command and paper say the same of the same case: its word, what carries it, and what comes next."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from pathlib import Path

import pypdfium2
import pytest
from told_cases import CASES, ToldCase, answered, first_page

import worked_examples
from engcalc.case.file import read_case
from engcalc.case.text import CaseText
from engcalc.diagnosis.conclusion import conclude
from engcalc.studies.checked import Check
from engcalc.units import UnitSystem
from engcalc.vehicle.warmup_study import MEMBERS
from engcalc.words.answer.plainly import plain
from engcalc.words.diagnosis.conclusion_words import DANGER_HEADS
from reports.build import Options, build
from reports.kinds import ReportKind
from ui.command.as_json import check_json
from ui.command.main import main
from ui.command.named_case import resolved
from ui.window.dialogs.export import RecordAnswers
from ui.window.main_window import engine_check
from ui.window.results.panel import ResultsPanel
from ui.window.results.verdict_bar import sign_of
from ui.window.worker import FULL

NOON = datetime(2026, 3, 2, 12, 0, tzinfo=UTC)
FREEZING = ToldCase(
    "plain water in frost",
    {
        "coolant": {"base": "water"},
        "job": {"reason": "screening"},
        "evidence": {
            "before": {
                "ambient": "-12 degC",
                "heater_setting": "off",
                "driving": "town",
                "spots": [{"what": "coolant", "at": "20 min", "value": "85 degC", "instrument": "scan_tool"}],
            }
        },
    },
    "cannot_tell",
    "care",
)


@pytest.fixture
def panel(qtbot, look) -> ResultsPanel:
    made = ResultsPanel()
    qtbot.addWidget(made)
    made.resize(900, 700)
    return made


def page_one(check: Check, text: CaseText, options: Options) -> str:
    """Page one of the customer's report, blanks and line ends as one blank."""
    document = pypdfium2.PdfDocument(build(check, text, ReportKind.CUSTOMER, NOON, options).pdf)
    try:
        return " ".join(document[0].get_textpage().get_text_bounded().split())
    finally:
        document.close()


def agree(panel: ResultsPanel, check: Check, conclusion: dict, page: str) -> None:
    """Compare the three faces: banner, the command's object, page one."""
    panel.show_check(check)
    sign = sign_of(check)
    assert sign.word == conclusion["label"]
    first = conclusion["because"][0] if conclusion["because"] else ""
    assert panel.verdict.sentence.startswith(first[:60])
    assert plain(check).lead in page
    assert ("Do not drive on" in page) is (conclusion["danger"] == "stop")
    if conclusion["danger"] != "none":
        assert DANGER_HEADS[conclusion["danger"]] in page or conclusion["label"] in page
        assert "".join(first.split()) in "".join(page.split())  # what carries it stands under its head
    repaired = conclude(check).repaired  # what was seen before stands there instead
    assert ("Nothing is lost by leaving it" in page) is (sign.tone == "good" and not repaired)


@pytest.mark.parametrize("told", CASES, ids=[case.name for case in CASES])
def test_an_invented_case_is_told_alike_by_every_face(panel, told):
    check = answered(told.name)[1].check
    agree(panel, check, check_json(check, UnitSystem.SI)["conclusion"], first_page(told.name))


def asked_by_every_face(path: Path, capsys) -> tuple[Check, dict, str]:
    """What the window's own work, the command and the export find, each from the file."""
    text = read_case(path)
    case = resolved(text, path)
    check = engine_check(case, folder=path.parent, members=FULL)
    assert main(["check", str(path), "--json"]) == 0
    command = json.loads(capsys.readouterr().out)["conclusion"]
    records = RecordAnswers(check, path.parent).records(lambda: False)
    return check, command, page_one(check, text, Options(files_folder=path.parent, records=records))


def test_window_and_command_draw_as_many_vehicles():
    """Else their odds and bands differ."""
    assert FULL == MEMBERS


@pytest.mark.parametrize("name", ["van-no-heat", "track-day-car"])
def test_a_worked_example_is_told_alike_by_every_face(panel, capsys, name):
    check, command, page = asked_by_every_face(worked_examples.folder() / f"{name}.heatcase.json", capsys)
    agree(panel, check, command, page)


def test_coolant_that_freezes_is_told_alike_and_once(panel, capsys, tmp_path):
    path = tmp_path / "water.heatcase.json"
    path.write_text(json.dumps(FREEZING.tree), encoding="utf-8")
    check, command, page = asked_by_every_face(path, capsys)
    agree(panel, check, command, page)
    assert command["label"] == "Can freeze"
    assert page.count("first ice forms") == 1
    told = [r["text"] for r in check_json(check, UnitSystem.SI)["reasons"] if "first ice forms" in r["text"]]
    assert len(told) == 1, "what it means is the same in every duty"
    assert told[0].startswith("The coolant can freeze: first ice forms at 0 °C")
