"""The glossary of a lesson: every symbol of its working, with meaning and unit; other reports have none."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from engcalc.words.answer.reasons import deciding
from engcalc.words.lesson.rig_words import on_a_rig
from engcalc.words.terms.numbers import capital
from engcalc.working.chain import work
from engcalc.working.results import Results
from reports.kinds import ReportKind
from reports.pages.rig import worked_point
from reports.pages.values import pretty


def test_every_symbol_of_a_lessons_working_is_explained(
    report: Callable[..., bytes], page_texts: Callable[[bytes], list[str]], example: Any
) -> None:
    check = example("bench-exchanger").check
    duty = deciding(check)
    chapters = [*work(Results(duty.duty, duty, check.plant))]
    chapters += [chapter for point in check.rig for chapter in worked_point(check.plant, check.case, point)]
    terms = {term for c in chapters for line in c.lines for term in (*line.inputs.values(), line.result_term)}
    text = " ".join(page_texts(report("bench-exchanger", ReportKind.LESSON)))
    glossary = text.partition("Every symbol of the working")[2].partition("Inputs and where they come from")[0]
    assert len(terms) > 40
    for term in terms:
        assert capital(on_a_rig(term.label)) in glossary, term.symbol
        assert pretty(term.unit) in glossary, term.symbol
    assert "Heat passed on over the most that could be" in glossary  # the effectiveness, in the glossary's own words


def test_a_customers_report_has_no_glossary(
    report: Callable[..., bytes], page_texts: Callable[[bytes], list[str]]
) -> None:
    text = " ".join(page_texts(report("bench-exchanger", ReportKind.CUSTOMER)))
    assert "Every symbol of the working" not in text
