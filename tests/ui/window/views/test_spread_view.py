"""The uncertainty of a duty in the window."""

from __future__ import annotations

from widgets import by_name

from engcalc.units import UnitSystem
from engcalc.words.sizing.spread_words import INTERVAL_HEAD, SHARE_HEAD, interval_rows, share_rows, spread_sentences
from ui.window.results.table import TableView
from ui.window.views.studies.spread import SpreadPage


def test_the_study_is_told_and_listed_in_the_units_chosen(show, context_of, answered):
    context = context_of("track-day-car")
    page = SpreadPage(context)
    page.duty_index = 2
    show(page)
    found = answered(page)
    assert found.duty_index == 2
    for system in UnitSystem:
        context.system = system
        page.refresh()
        assert page.answer is found, "another system of units computes nothing"
        assert page.said.texts == spread_sentences(found, system)
        shares = by_name(page, "Shares of the variance", TableView).rows.text
        assert (shares.heads, shares.rows) == (SHARE_HEAD, share_rows(found, system))
        intervals = by_name(page, "Intervals of the results", TableView).rows.text
        assert (intervals.heads, intervals.rows) == (INTERVAL_HEAD, interval_rows(found, system))


def test_a_duty_in_time_tells_what_its_uncertainty_comes_from(show, context_of, answered):
    """The hardest duty of the car is one: what to measure next was told of settled duties only."""
    page = SpreadPage(context_of("two-turbo-track-car"))
    page.duty_index = next(i for i, duty in enumerate(page.context.case.duties) if duty.name == "Hot lap")
    found = answered(show(page))
    assert by_name(page, "Shares of the variance", TableView).rows.text.rows == share_rows(found, UnitSystem.SI)
    assert page.sources.isVisible()
    assert any(text.startswith("Measure this next: ") for text in page.said.texts)
