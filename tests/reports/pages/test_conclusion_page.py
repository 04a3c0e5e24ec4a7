"""Page one says the conclusion: a danger heads it, and nothing is said to be lost only where nothing is."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from pathlib import Path

import pytest
from told_cases import BY_NAME, CASES, ToldCase, customer_pages, first_page

import worked_examples
from engcalc.case.case import Case
from engcalc.case.file import read_case
from engcalc.case.resolve import resolve
from engcalc.case.text import CaseText
from engcalc.diagnosis.whole_check import check_with_records
from engcalc.words.answer.plainly import NOTHING_LOST
from reports.build import build
from reports.kinds import ReportKind

Texts = Callable[[bytes], list[str]]


def squeezed(text: str) -> str:
    return "".join(text.split())


@pytest.mark.parametrize("told", CASES, ids=[case.name for case in CASES])
def test_page_one_says_the_conclusion(told: ToldCase) -> None:
    first = first_page(told.name)
    heads = {"stop": "Do not drive on", "care": "Drive with care"}
    for danger, head in heads.items():
        assert (head in first) is (told.danger == danger)
    if told.danger != "none":
        assert first.index(heads[told.danger]) < first.index("What we found"), "it heads the page"
        assert "Never open the cap" in first or "start by themselves" in first, "cautions stand with it"
    repaired = told.name.startswith("repaired")  # what was seen before stands there instead
    assert (NOTHING_LOST in " ".join(customer_pages(told.name))) is (told.state == "healthy" and not repaired)
    assert "holds its temperature" not in first
    both = squeezed("".join(customer_pages(told.name)))
    for words in told.says:
        assert squeezed(words) in both, words


@pytest.mark.parametrize("name", ["hot at idle, fan still", "gas, all else normal"])
def test_the_danger_heads_a_sizing_report_as_well(moment: datetime, page_texts: Texts, name: str) -> None:
    text = CaseText(BY_NAME[name].tree)
    case = resolve(text)
    assert isinstance(case, Case), case
    quick = check_with_records(case, {}, members=0).check  # danger needs no odds, and their study takes seconds
    first = page_texts(build(quick, text, ReportKind.SIZING, moment).pdf)[0]
    assert "Do not drive on" in first
    assert first.index("Do not drive on") < first.index("Verdict")


def test_a_rig_is_not_asked_for_a_complaint(moment: datetime, page_texts: Texts) -> None:
    """Its points are judged by themselves: nobody has to enter what a vehicle's answer would need."""
    path = Path(worked_examples.folder()) / "bench-exchanger.heatcase.json"
    text = read_case(path)
    case = resolve(text)
    assert isinstance(case, Case), case
    first = page_texts(build(check_with_records(case, {}).check, text, ReportKind.CUSTOMER, moment).pdf)[0]
    assert "Enter the complaint" not in first


def test_an_input_without_a_value_is_not_among_what_is_typical(moment: datetime, page_texts: Texts) -> None:
    """The brake power follows from the power at the wheels in one duty; of the others it is not stated."""
    text = read_case(Path(worked_examples.folder()) / "track-day-car.heatcase.json")
    lap = {**text.get("duties[2]"), "wheel_power": "77 kW"}
    del lap["brake_power"]
    text = text.with_value("duties[2]", lap)
    case = resolve(text)
    assert isinstance(case, Case), case
    pages = page_texts(build(check_with_records(case, {}, members=0).check, text, ReportKind.SIZING, moment).pdf)
    said = " ".join(" ".join(pages).split())
    assert "typical and not typed: headwind 0 km/h" in said
