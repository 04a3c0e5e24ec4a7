"""How far each step of a job is, by a table of cases; no window is opened."""

from __future__ import annotations

import pytest

import worked_examples
from engcalc.case.case import Case
from engcalc.case.file import SUFFIX
from engcalc.case.text import FORMAT, CaseText
from engcalc.studies.check import check
from engcalc.words.answer.answer import check_label
from engcalc.words.terms.glossary import RESULT_WORDS, TERMS
from engcalc.words.workshop.step_help import STEP_HELP, STEP_TERMS, help_of
from ui.document import Document
from ui.window.jobs.standing import Standing, record_line
from ui.window.jobs.steps import DETAIL, FIRST_PATHS, JOBS, job_of

BY_CLASS = ", with parts of the class"
HILL = {"name": "Hill", "ambient": "30 degC"}
READ = [{"what": "coolant", "value": "36 degC", "at": "35 min"}]
COMPLAINT = {"job": {"reason": "no heat"}, "vehicle": {"class": "delivery van"}}

BY_CLASS = ", with parts of the class"


def text(**sections: object) -> CaseText:
    return CaseText({"format": FORMAT, **sections})


def with_job(**more: object) -> dict[str, object]:
    return {**COMPLAINT, "job": {"reason": "no heat", **more}}


@pytest.mark.parametrize(
    ("case", "step", "done", "line"),
    [
        ({}, "complaint", False, "nothing entered"),
        ({"vehicle": {"class": "family car"}}, "complaint", False, "why it is here is missing"),
        (
            {"job": {"told": {"slow_to_warm": True}}, "vehicle": {"class": "family car"}},
            "complaint",
            True,
            "slow warm-up, family car",
        ),
        (
            {"job": {"told": {"slow_to_warm": False}}, "vehicle": {"class": "family car"}},
            "complaint",
            False,
            "why it is here is missing",
        ),
        ({"job": {"reason": "no heat"}}, "complaint", False, "vehicle class is missing"),
        (COMPLAINT, "complaint", True, "no heat, delivery van"),
        (COMPLAINT, "readings", False, "none yet"),
        ({"evidence": {"before": {"spots": READ}}}, "readings", True, "1 reading"),
        ({"evidence": {"before": {"spots": [{}]}}}, "readings", False, "none yet"),
        ({"evidence": {"before": {"ambient": "-5 degC"}}}, "readings", False, "none yet"),
        (
            {"evidence": {"before": {"spots": READ * 2, "log": {"file": "a.csv"}, "seen": {"level_low": False}}}},
            "readings",
            True,
            "a log, 2 readings, 1 seen",
        ),
        ({"evidence": {"before": {"codes": ["P0128", "P0117"]}}}, "readings", True, "2 codes"),
        (COMPLAINT, "answer", False, "no answer yet"),
        (COMPLAINT, "repair", False, "nothing done yet"),
        ({"refill": {"drained": "2 L"}}, "repair", False, "refill entered"),
        (with_job(work_done="thermostat replaced"), "repair", True, "Thermostat replaced"),
        (COMPLAINT, "proof", False, "nothing read after a repair"),
        ({"evidence": {"after": {"spots": READ}}}, "proof", True, "1 reading"),
        (COMPLAINT, "paper", False, "not exported"),
        ({"job": {"reason": "sizing"}}, "vehicle", False, "vehicle class is missing"),
        ({"job": {"reason": "sizing"}}, "duties", False, "those of the class"),
        ({"job": {"reason": "sizing"}, "duties": [HILL, {"ambient": "35 degC"}]}, "duties", True, "2 duties"),
        ({"job": {"reason": "sizing"}, "duties": [{}]}, "duties", False, "1 duty, 1 still empty"),
        ({"job": {"reason": "sizing"}, "duties": [HILL, {"name": "New"}]}, "duties", False, "2 duties, 1 still empty"),
        ({"job": {"reason": "sizing"}}, "parts", False, "typical of the class"),
        (
            {"job": {"reason": "sizing"}, "radiator": {"core_height": {"value": "400 mm", "basis": "measured"}}},
            "parts",
            True,
            "1 typed",
        ),
        ({"job": {"reason": "sizing"}}, "capacity", False, "no answer yet"),
        ({"job": {"reason": "sizing"}}, "choice", False, "no answer yet"),
        ({"job": {"reason": "lesson"}}, "rig", False, "no point measured"),
        ({"job": {"reason": "lesson"}, "rig": [{}], "duties": [{}]}, "rig", True, "1 point, 1 duty"),
        ({"job": {"reason": "lesson"}}, "working", False, "nothing to work out yet"),
        ({"job": {"reason": "lesson"}, "rig": [{}]}, "working", False, "no answer yet"),
    ],
)
def test_a_step_says_how_far_it_is(case, step, done, line):
    now = Standing(text(**case))
    state = job_of(now.text).step(step).state(now)
    assert (state.done, state.line) == (done, line)


@pytest.mark.parametrize(
    ("case", "best"),
    [
        ({}, "complaint"),
        (COMPLAINT, "readings"),
        ({**COMPLAINT, "evidence": {"before": {"spots": READ}}}, "answer"),
        ({**with_job(work_done="thermostat replaced"), "evidence": {"before": {"spots": READ}}}, "proof"),
        ({**with_job(work_done="thermostat replaced"), "evidence": {"after": {"spots": READ}}}, "paper"),
        ({"job": {"reason": "sizing"}}, "vehicle"),
        ({"job": {"reason": "sizing"}, "vehicle": {"class": "family car"}}, "duties"),
        ({"job": {"reason": "sizing"}, "vehicle": {"class": "family car"}, "duties": [{}]}, "duties"),
        ({"job": {"reason": "sizing"}, "vehicle": {"class": "family car"}, "duties": [HILL]}, "parts"),
        ({"job": {"reason": "lesson"}}, "rig"),
        ({"job": {"reason": "lesson"}, "rig": [{}]}, "working"),
    ],
)
def test_what_helps_most_now(case, best):
    now = Standing(text(**case))
    assert job_of(now.text).helps_most(now).key == best


def test_an_export_ends_the_job_until_something_changes():
    case = text(**COMPLAINT)
    job = job_of(case)
    assert job.helps_most(Standing(case, exported=case)) is None
    assert job.step("paper").state(Standing(case, exported=case)).line == "exported"
    later = case.with_typed("job.notes", "more")
    assert job.step("paper").state(Standing(later, exported=case)).line == "changed since the export"
    assert job.helps_most(Standing(later, exported=case)).key == "readings"


def test_every_job_ends_with_paper_and_every_detail_and_each_step_has_its_help():
    for job in JOBS:
        assert [step.key for step in job.steps[-2:]] == ["paper", "detail"]
        assert len({step.key for step in job.steps}) == len(job.steps) <= 9
    assert {step.key for job in JOBS for step in job.steps} == set(STEP_HELP)
    assert all(head and words for page in STEP_HELP.values() for head, words in page)


def test_help_tells_the_terms_of_its_step_in_the_words_of_the_one_glossary() -> None:
    assert set(STEP_TERMS) <= set(STEP_HELP)
    for key, terms in STEP_TERMS.items():
        told = dict(help_of(key)[len(STEP_HELP[key]) :])
        assert list(told.values()) == [TERMS.get(term) or RESULT_WORDS[term] for term in terms]
    assert help_of("repair") == STEP_HELP["repair"]


def test_every_path_of_a_case_stands_in_some_step():
    assert DETAIL.holds("radiator.core_height")
    complaint = JOBS[0]
    assert complaint.holding("vehicle.class").key == "complaint"
    assert complaint.holding("evidence.before.spots[2].value").key == "readings"
    assert complaint.holding("evidence.after.ambient").key == "proof"
    assert complaint.holding("job.work_done").key == "repair"
    assert complaint.holding("job.customer").key == "paper"
    assert complaint.holding("radiator.core_height").key == "detail"
    assert {complaint.holding(path).key for path in FIRST_PATHS} == {"complaint", "readings"}


def test_a_record_that_holds_nothing_to_judge_by_has_no_line():
    assert record_line(text(evidence={"before": {"ambient": "-5 degC", "driving": "town"}}), "before") == ""
    assert record_line(text(evidence={"before": {"seen": {"no_such_fact": True}}}), "before") == ""


@pytest.mark.parametrize(
    ("typed", "done", "of_class", "choice"),
    [
        ({}, False, False, "no answer yet"),
        (
            {"duties": [{"name": "Hill", "ambient": "30 degC"}]},
            False,
            True,
            "no part chosen yet",
        ),
        (
            {"duties": [{"name": "Hill", "ambient": "30 degC"}], "radiator": {"core_height": "400 mm"}},
            True,
            False,
            "every duty is held",
        ),
    ],
)
def test_the_rail_says_of_a_sizing_what_the_answer_says(typed, done, of_class, choice):
    """With parts of the class alone no step is done by what a typical vehicle would hold."""
    case = text(job={"reason": "sizing"}, vehicle={"class": "family car"}, **typed)
    resolved = Document(case).resolve()
    assert isinstance(resolved, Case), resolved
    now = Standing(case, check(resolved, members=0))
    steps = job_of(case)
    found = steps.step("capacity").state(now)
    assert (found.done, found.line) == (done, check_label(now.check))
    assert check_label(now.check).endswith(BY_CLASS) is of_class
    assert steps.step("choice").state(now).line == choice


@pytest.mark.parametrize(("example", "view"), [("bench-exchanger", "Verdict"), ("double-pipe", "Bench")])
def test_charts_open_at_the_view_that_has_them(example: str, view: str) -> None:
    document = Document.read(next(worked_examples.folder().rglob(f"{example}{SUFFIX}")))
    case = document.resolve()
    assert isinstance(case, Case)
    charts = job_of(document.text).step("charts")
    assert charts.opens_at(Standing(document.text, check(case, members=0))) == view
    assert charts.opens_at(Standing(document.text)) == "Verdict", "before there is an answer"


@pytest.mark.parametrize(
    ("case", "opens"),
    [
        ({}, "Bench"),  # the verdict stood empty, and the box for a table was a view away
        ({"hot_stream": {"fluid": "water"}, "cold_stream": {"fluid": "water"}, "rig": [{}]}, "Bench"),
        ({"rig": [{}]}, "Verdict"),
        ({"duties": [{}]}, "Verdict"),
    ],
)
def test_the_rig_opens_where_it_is_worked(case, opens):
    now = Standing(text(job={"reason": "lesson"}, **case))
    assert job_of(now.text).step("rig").opens_at(now) == opens
