"""What a technician complained of in trials, each in the window's banner and on the command line: what it must say."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path

import pypdfium2
import pytest
from told_cases import COLD_ROW, NOON, TABLE, WARMER_ROW, ToldCase

from engcalc.case.case import Case
from engcalc.case.resolve import resolve
from engcalc.case.text import CaseText
from engcalc.diagnosis.conclusion import conclude
from engcalc.diagnosis.odds.diagnosis import Diagnosis, diagnose
from engcalc.diagnosis.odds.sampler import Effort
from engcalc.diagnosis.whole_check import WholeCheck, check_with_records
from engcalc.studies.checked import Check
from engcalc.units import UnitSystem
from engcalc.vehicle.warmup_study import WarmupStudy
from engcalc.words.answer.answer import comes_before_odds, next_words, speaks_for_the_class
from engcalc.words.answer.plainly import plain
from engcalc.words.diagnosis.causes import cause_label
from engcalc.words.diagnosis.causes_told import diagnosis_lines, named_causes
from reports.build import Options, build
from reports.kinds import Annex, Records, ReportKind
from reports.plots.registry import Screen, pictures_at
from ui.command.main import main
from ui.window.results.panel import ResultsPanel
from ui.window.results.verdict_bar import sign_of

BY_NAME = {told.name: told for told in TABLE}


def check_of(told: ToldCase) -> Check:
    return _answer_of(told.name).check


@cache
def _answer_of(name: str) -> WholeCheck:
    case = resolve(CaseText(BY_NAME[name].tree))
    assert isinstance(case, Case), case
    return check_with_records(case, {}, members=40)


@pytest.fixture
def panel(qtbot, look) -> ResultsPanel:
    made = ResultsPanel()
    qtbot.addWidget(made)
    made.resize(900, 700)
    return made


@pytest.mark.parametrize("told", TABLE, ids=[told.name for told in TABLE])
def test_the_window_says_it(panel, told):
    panel.show_check(check_of(told))
    word, sentence = sign_of(check_of(told)).word, panel.verdict.sentence
    for words in told.says:
        assert words in f"{word}. {sentence}", sentence
    for words in told.never:
        assert words not in f"{word}. {sentence}"


@pytest.mark.parametrize("told", TABLE, ids=[told.name for told in TABLE])
def test_the_command_line_says_it(tmp_path: Path, capsys, told):
    path = tmp_path / "told.heatcase.json"
    path.write_text(json.dumps(told.tree), encoding="utf-8")
    assert main(["check", str(path)]) == 0
    out = capsys.readouterr().out
    above = out.split("Would the system hold")[0].split("What a typical vehicle")[0]
    for words in told.says:
        assert words in above, above
    for words in told.never:
        assert words not in above, above


def squeezed(text: str) -> str:
    """Without blanks and line ends: where a line breaks is no matter here."""
    return "".join(text.split())


@pytest.mark.parametrize("told", TABLE, ids=[told.name for told in TABLE])
def test_the_paper_says_it(told):
    check = check_of(told)
    warmed = Records(WarmupStudy(check.case, _answer_of(told.name).records), None)
    options = Options(annex=Annex.NONE, records=warmed)
    pdf = build(check, CaseText(told.tree), ReportKind.CUSTOMER, NOON, options).pdf
    with pypdfium2.PdfDocument(pdf) as document:
        pages = squeezed("".join(page.get_textpage().get_text_bounded() for page in document))
    assert squeezed(plain(check).lead) in pages
    if not speaks_for_the_class(conclude(check)):
        assert squeezed(next_words(check)) in pages
    for words in told.never:
        assert squeezed(words) not in pages


@cache
def diagnosed(told: str) -> Diagnosis:
    case = resolve(CaseText(BY_NAME[told].tree))
    assert isinstance(case, Case), case
    return diagnose(case, {}, effort=Effort(prior=32, steps=1, first=16, round=200, rounds=1))


def test_a_cold_van_with_a_warm_hose_has_one_answer_with_its_odds():
    """Banner and causes lead to the same part: the thermostat, said with its odds, and the level comes first."""
    found, check = diagnosed(COLD_ROW.name), check_of(COLD_ROW)
    lines = diagnosis_lines(found, UnitSystem.SI, comes_before_odds(check, found.record))
    leader = named_causes(found)[0]
    assert leader.fault in ("thermostat_stuck_open", "thermostat_missing")
    assert lines[1].startswith(("The thermostat is stuck open", "There is no thermostat"))
    assert "in 10" in lines[1]
    assert "unlikely" not in lines[1]
    assert found.next_check is not None
    assert sign_of(check).word == "Runs cold"
    assert found.next_check.key == "level_and_bubbles"
    said = next(line for line in lines if line.startswith("Next check: "))
    assert said.startswith("Next check: Coolant level")
    drawn = next(entry for entry in pictures_at(Screen.CAUSES) if entry.key == "causes").build(found, UnitSystem.SI)
    told = [cause_label(cause.fault) for cause in named_causes(found)]
    shown = [series.name for series in drawn.series if series.name != "measured"]
    assert shown == told[: len(shown)], "the picture has the causes of the list, in its order"
    assert shown[0] == told[0]


def test_what_only_points_to_a_part_is_no_fault_in_the_banner_while_the_odds_leave_it_open():
    """At 62 degC in frost a warm hose leaves several causes open: the banner names none, and the next check agrees."""
    found, check = diagnosed(WARMER_ROW.name), check_of(WARMER_ROW)
    leader = named_causes(found)[0]
    assert leader.fault == "thermostat_stuck_open"
    assert leader.probability < 0.5
    assert sign_of(check).word == "Cannot tell yet"
    assert found.next_check is not None
    assert found.next_check.key == "level_and_bubbles"
