"""The banner says what the conclusion says: its word, its form and its colour, and the check that comes next."""

from __future__ import annotations

import pytest
from PySide6.QtWidgets import QLabel
from told_cases import CASES, SO_FAR, ToldCase, answered
from widgets import by_name

from engcalc.case.case import Case
from engcalc.case.resolve import resolve
from engcalc.case.text import CaseText
from engcalc.diagnosis.conclusion import conclude
from engcalc.diagnosis.whole_check import check_with_records
from engcalc.studies.checked import Check
from ui.window.results.panel import ResultsPanel
from ui.window.results.verdict_bar import sign_of

WORDS = {"stop": ("Stop: do not drive on", "✖", "error"), "care": ("Drive with care", "⚠", "warn")}
STATES = {
    "runs_cold": ("Runs cold", "▼", "cold"),
    "runs_hot": ("Runs hot", "▲", "warn"),
    "heats_poorly": ("Heats poorly", "▽", "cold"),
    "healthy": ("Healthy", "●", "good"),
    "nothing_to_judge": ("Nothing judged yet", "○", "muted"),
}
OPEN = (("Not explained yet", "◇", "warn"), ("Cannot tell yet", "◇", "warn"))


def checked(told: ToldCase) -> Check:
    return answered(told.name)[1].check


@pytest.fixture
def panel(qtbot, look) -> ResultsPanel:
    made = ResultsPanel()
    qtbot.addWidget(made)
    made.resize(900, 700)
    return made


@pytest.mark.parametrize("told", CASES, ids=[case.name for case in CASES])
def test_the_banner_says_the_conclusion(panel, told):
    check = checked(told)
    panel.show_check(check)
    sign = sign_of(check)
    looks = (sign.word, sign.shape, sign.tone)
    if told.danger != "none":
        assert looks == WORDS[told.danger]
    elif told.state == "cannot_tell":
        assert looks in OPEN
    elif SO_FAR in told.says:
        assert looks == ("Healthy so far", "◆", "warn")
    else:
        assert looks == STATES[told.state]
    assert (sign.tone == "good") is conclude(check).green
    texts = [label.text() for label in panel.verdict.findChildren(QLabel)]
    assert {sign.word, sign.shape} <= set(texts)
    for words in told.says:
        assert words in panel.verdict.sentence, panel.verdict.sentence


def test_cautions_stand_where_the_danger_is_told(panel):
    told = next(case for case in CASES if case.name == "hot at idle, fan still")
    panel.show_check(checked(told))
    cautions = by_name(panel, "Cautions").texts
    for words in ("Never open the cap", "Electric fans start by themselves", "Stop the engine when"):
        assert any(words in text for text in cautions)


def test_a_danger_does_not_wait_for_the_warm_up(panel):
    """At each key press nothing is simulated; what was seen is said at once."""
    told = next(case for case in CASES if case.name == "typed over time")
    case = resolve(CaseText(told.tree))
    assert isinstance(case, Case)
    check = check_with_records(case, {}, members=0).check
    panel.show_check(check)
    assert "117 °C" in panel.verdict.sentence
    assert sign_of(check).word == "Stop: do not drive on"
