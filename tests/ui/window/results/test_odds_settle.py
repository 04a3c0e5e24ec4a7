"""A cold heater, both its hoses hot, its vents cold: no single look proves the flap, all together do, on every face."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pypdfium2
import pytest
from PySide6.QtWidgets import QLabel

from engcalc.case.case import Case
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.diagnosis.odds import diagnosis as engine
from engcalc.diagnosis.odds.diagnosis import Diagnosis, diagnose
from engcalc.diagnosis.odds.sampler import Effort
from engcalc.studies.check import check
from engcalc.words.answer.answer import check_label
from reports.build import Options, build
from reports.kinds import Annex, ReportKind
from ui.command.main import main
from ui.window.dialogs.background import Background
from ui.window.main_window import MainWindow

LITTLE = Effort(prior=64, steps=1, round=400, rounds=2)
LABEL = "Probably heats poorly"
CAUSE = "the flap that leads air through the heater is stuck"
TREE: dict[str, Any] = {
    "format": FORMAT,
    "vehicle": {"class": "family car"},
    "job": {"reason": "no heat"},
    "evidence": {
        "before": {
            "ambient": "20 degC",
            "heater_setting": "high",
            "driving": "motorway",
            "seen": {"heater_hoses_both_hot": True, "vent_cold": True},
            "spots": [
                {"what": what, "value": value, "at": "30 min", "instrument": "clamp"}
                for what, value in (
                    ("heater_inlet_hose", "80 degC"),
                    ("heater_outlet_hose", "74 degC"),
                    ("vent", "14 degC"),
                )
            ],
        }
    },
}


@pytest.fixture(scope="module")
def case() -> Case:
    found = resolve(CaseText(TREE))
    assert isinstance(found, Case)
    return found


@pytest.fixture(scope="module")
def weighed(case: Case) -> Diagnosis:
    return diagnose(case, {}, effort=LITTLE)


@pytest.fixture
def at_once(weighed: Diagnosis) -> Iterator[None]:
    """The odds are there as soon as anybody asks for them."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(engine, "diagnose", lambda *_given, **_named: weighed)
        yield


def test_without_odds_it_is_not_explained_yet(case: Case) -> None:
    assert check_label(check(case, members=0)) == "Not explained yet"


def test_the_window_says_it_as_soon_as_the_odds_are_there_and_takes_it_back_with_what_it_rests_on(
    window: MainWindow, executor: Any, weighed: Diagnosis, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "cold.heatcase.json"
    path.write_text(json.dumps(TREE), encoding="utf-8")
    wanted: list[Callable[[Diagnosis], None]] = []
    monkeypatch.setattr(Background, "run_long", lambda _self, _work, done, _failed: wanted.append(done))
    assert window.open_path(path)
    executor.run()
    workspace = window.workspace
    assert check_label(workspace.check) == "Not explained yet"
    workspace.open_step("answer")
    workspace.side.show_view("Causes")
    wanted[-1](weighed)
    assert check_label(workspace.check) == LABEL
    assert LABEL in [label.text() for label in workspace.results.verdict.findChildren(QLabel)]
    workspace.document.put("evidence.before.seen.vent_cold", None, "Take back")
    executor.run()
    assert check_label(workspace.check) != LABEL


def test_diagnose_says_it_in_text_and_in_json(
    at_once: None, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "cold.heatcase.json"
    path.write_text(json.dumps(TREE), encoding="utf-8")
    assert main(["diagnose", str(path)]) == 0
    said = capsys.readouterr().out
    assert said.startswith(LABEL)
    assert CAUSE in said.splitlines()[0]
    assert main(["diagnose", str(path), "--json"]) == 0
    conclusion = json.loads(capsys.readouterr().out)["conclusion"]
    assert (conclusion["state"], conclusion["label"]) == ("heats_poorly", LABEL)
    assert conclusion["grounds"] == ["odds_settle"]
    assert conclusion["causes"][0] == "heater_blend_stuck"


def test_the_paper_says_it(case: Case, weighed: Diagnosis) -> None:
    options = Options(annex=Annex.NONE, diagnosis=weighed)
    now = datetime(2031, 5, 6, 12, tzinfo=UTC)
    made = build(check(case, members=0), CaseText(TREE), ReportKind.CUSTOMER, now, options)
    pages = pypdfium2.PdfDocument(made.pdf)
    try:
        first = " ".join(pages[0].get_textpage().get_text_bounded().split())
    finally:
        pages.close()
    assert "The heater most likely gives too little heat." in first
    assert first.count(CAUSE) == 1
