"""The studies, through their real widgets and the real engine."""

from __future__ import annotations

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QComboBox, QLineEdit, QPushButton
from widgets import by_name, choose_tab

from engcalc.case.text import FORMAT, CaseText
from engcalc.studies.check import check
from engcalc.studies.choice.sizing import size
from engcalc.studies.sweeps import SweepAxis, margin_map, sweep
from engcalc.units import UnitSystem
from engcalc.words.sizing.candidate_words import NO_PARTS
from engcalc.words.sizing.least_core_words import NO_ROOM
from engcalc.words.sizing.sizing_words import ONLY_BENCH, cycle_sentences, hangs_on, mending, option_lines, why
from ui.window.results.card import CardSection
from ui.window.results.table import TableView
from ui.window.views.studies.candidates import CandidatesPage
from ui.window.views.studies.curve import SweepPage
from ui.window.views.studies.duties import DutiesPage
from ui.window.views.studies.grid import MapPage
from ui.window.views.studies.least import LeastCorePage
from ui.window.views.studies.limits import LimitsPage
from ui.window.views.studies.ranges import other_choices, usual_choices, usual_span
from ui.window.views.studies.ranking import SensitivityPage
from ui.window.views.studies.view import STUDIES, StudiesView

WITHOUT_INPUT = {LeastCorePage: NO_ROOM, CandidatesPage: NO_PARTS}
TOWING = "tow-and-track"
CLIMB = 5


def type_in(qtbot, view, name: str, text: str) -> QLineEdit:
    line = by_name(view, name, QLineEdit)
    line.setFocus()
    line.selectAll()
    qtbot.keyClicks(line, text)
    return line


def study(show, context, name: str):
    view = show(StudiesView(context))
    choose_tab(view.tabs, name)
    return view, view.page


# ---- choosing -------------------------------------------------------------------------------------------------------


def test_every_study_opens_and_answers(show, context_of, answered, qtbot):
    context = context_of("track-day-car")
    context.check = check(context.case, members=0)
    view = show(StudiesView(context))
    for name in STUDIES:
        choose_tab(view.tabs, name)
        page = view.page
        if not isinstance(page, DutiesPage | LeastCorePage | CandidatesPage):
            assert answered(page) is not None
            assert all(card.view.plot is not None for card in page.cards if card.isVisible())
        assert page.line.text == WITHOUT_INPUT.get(type(page), "")
    choose_tab(view.tabs, "What limits")
    assert view.copy_picture()
    assert not QGuiApplication.clipboard().image().isNull()


def test_a_study_that_was_not_chosen_is_not_built(show, context_of):
    view = show(StudiesView(context_of("track-day-car")))
    assert [type(page).__name__ for page in view._built.values()] == ["LimitsPage"]


def test_an_exchanger_on_a_bench_is_not_sized_as_a_radiator(show, context_of):
    view = show(StudiesView(context_of("double-pipe")))
    assert view.page.line.text == ONLY_BENCH
    assert not view.tabs.isVisible(), "eight tabs said the same line"
    for name in STUDIES:
        assert show(STUDIES[name](view.context)).line.text == ONLY_BENCH
    assert not [card for card in view.findChildren(CardSection) if card.isVisible()]


def test_a_lesson_in_which_nothing_is_entered_has_no_study(show, context_of):
    """It has neither duty nor point: its pages asked for a duty that a bench never has."""
    context = context_of("double-pipe")
    lesson = {"format": FORMAT, "job": {"reason": "lesson"}, "vehicle": {"class": "bench rig"}}
    context.document.take_text(CaseText(lesson), "a lesson with nothing entered")
    assert context.case is not None
    view = show(StudiesView(context))
    assert view.page.line.text == ONLY_BENCH
    assert not view.tabs.isVisible()
    context.document.undo()
    context.document.take_text(context_of("bench-exchanger").document.text, "a radiator in a duct, with duties")
    view.refresh()
    assert view.tabs.isVisible()
    context.document.undo()
    view.refresh()
    assert not view.tabs.isVisible()
    assert not [card for card in view.findChildren(CardSection) if card.isVisible()]


def test_without_a_good_case_each_study_says_so(show, context_of):
    context = context_of("track-day-car")
    context.document.edit("radiator.core_height", "tall")
    for made in (SweepPage, MapPage, SensitivityPage, LimitsPage):
        page = show(made(context))
        assert page.line.text.startswith("There is no case without faults yet")
        assert not any(card.isVisible() for card in page.cards)
    assert show(DutiesPage(context)).line.text == "The duties are being worked out."


def test_an_answer_older_than_what_is_typed_says_so(show, context_of, answered):
    context = context_of("track-day-car")
    page = show(SweepPage(context))
    answered(page)
    context.document.edit("radiator.core_height", "tall")
    page.refresh()
    answered(page)
    assert page.line.text == "The entries have one thing to mend; this is of the last case without faults."
    assert page.pictures.cards[0].isVisible()
    context.document.undo()
    page.refresh()
    answered(page)
    assert page.line.text == ""


# ---- sweep ----------------------------------------------------------------------------------------------------------


def test_the_curve_is_the_engines_sweep_of_the_duty_that_was_chosen(show, context_of, answered, qtbot, choose):
    context = context_of(TOWING)
    view, page = study(show, context, "Sweep")
    choose(by_name(view, "Duty of the study", QComboBox), context.case.duties[CLIMB].name)
    choose(by_name(view, "Over", QComboBox), "Grade")
    type_in(qtbot, view, "Over, from", "2")
    type_in(qtbot, view, "Over, to", "14 %")
    found = answered(page)
    expected = sweep(context.case, CLIMB, SweepAxis.GRADE, np.linspace(0.02, 0.14, 61))
    np.testing.assert_array_equal(found.margin, expected.margin)
    assert page.pictures.cards[0].view.plot.words.title.startswith("Climb with trailer")
    x = next(s for s in page.pictures.cards[0].view.plot.series if "coolant" in s.name).x
    assert (x[0], x[-1]) == (pytest.approx(2.0), pytest.approx(14.0))


def test_a_bare_number_gets_its_unit_when_the_line_is_left(show, context_of, answered, qtbot):
    page = show(SweepPage(context_of(TOWING)))
    line = type_in(qtbot, page, "Over, to", "50")
    qtbot.keyClick(line, Qt.Key.Key_Tab)
    assert line.text() == "50 °C"
    assert answered(page).values[-1] == pytest.approx(323.15)


def test_what_does_not_read_is_said_beneath_its_line(show, context_of, answered, qtbot):
    page = show(SweepPage(context_of(TOWING)))
    answered(page)
    type_in(qtbot, page, "Over, to", "hot")
    assert page.line.text.startswith("What is typed above does not read")
    assert page.axis.high.wrong.isVisible()
    assert not page.pictures.cards[0].isVisible()
    type_in(qtbot, page, "Over, to", "40 degC")
    assert answered(page).values[-1] == pytest.approx(313.15)
    assert not page.axis.high.wrong.isVisible()


def test_an_input_without_effect_is_refused_in_words(show, context_of, answered, qtbot):
    page = show(SweepPage(context_of(TOWING)))
    page.duty_index = 10  # on the track, its power given
    type_in(qtbot, page, "Over, from", "900 degC")
    answered(page)
    assert "would do" in page.line.text
    assert not page.pictures.cards[0].isVisible()


def test_the_values_behind_the_curve_are_copied(show, context_of, answered, qtbot):
    context = context_of("track-day-car")
    page = show(SweepPage(context))
    found = answered(page)
    context.system = UnitSystem.US
    page.refresh()
    qtbot.mouseClick(by_name(page, "Copy values of the sweep", QPushButton), Qt.MouseButton.LeftButton)
    lines = QGuiApplication.clipboard().text().splitlines()
    assert lines[0].split("\t")[:2] == ["Ambient temperature, °F", "Coolant out of the engine, °F"]
    assert len(lines) == 1 + found.values.size
    assert float(lines[1].split("\t")[0]) == pytest.approx(found.values[0] * 1.8 - 459.67, abs=0.06)


@pytest.mark.parametrize(("name", "duty"), [("track-day-car", 1), ("bench-exchanger", 0)])
def test_every_range_that_is_proposed_is_accepted(context_of, name, duty):
    """On the motorway: the same ranges are proposed for an idling car, whose fan's cycles take five times as long."""
    case = context_of(name).case
    offered = (*usual_choices(case, duty), *other_choices(case, duty))
    for choice in offered:
        span = usual_span(case, choice.path)
        assert span.low < span.high, choice
        found = sweep(case, duty, choice.path, span.values("number", 3))
        assert found.margin.shape == (3,)
    assert len({choice.path for choice in offered}) == len(offered) > 60


# ---- map ------------------------------------------------------------------------------------------------------------


def test_the_map_is_the_engines(show, context_of, answered, qtbot):
    context = context_of(TOWING)
    page = MapPage(context)
    page.duty_index = CLIMB
    show(page)
    found = answered(page)
    expected = margin_map(context.case, CLIMB, found.x, found.y)
    np.testing.assert_array_equal(found.margin, expected.margin)
    assert found.margin.min() < 0.0 < found.margin.max()
    assert found.x[0] == 0.0
    assert found.x[-1] == pytest.approx(130.0 / 3.6)
    assert page.pictures.cards[0].view.plot.spots[0].words == context.case.duties[CLIMB].name


def test_a_map_wants_two_inputs(show, context_of, answered, qtbot, choose):
    page = show(MapPage(context_of(TOWING)))
    choose(by_name(page, "Across", QComboBox), "Ambient temperature")
    answered(page)
    assert "two different inputs" in page.line.text


def test_a_bench_has_no_speed_and_sweeps_its_flows(show, context_of, answered):
    context = context_of("bench-exchanger")
    page = show(MapPage(context))
    assert answered(page) is not None
    assert (page.across.path, page.up.path) == ("duties[0].air_velocity", "duties[0].coolant_flow")
    assert page.across.combo.findText("Vehicle speed") < 0


# ---- sensitivity, limits, duties ------------------------------------------------------------------------------------


def test_the_ranking_lists_every_input_and_why_one_is_held(show, context_of, answered, qtbot):
    page = show(SensitivityPage(context_of("track-day-car")))
    found = answered(page)
    table = by_name(page, "Sensitivities", TableView)
    rows = table.rows.text.rows
    assert page.said.texts == hangs_on(found)
    assert len(rows) == len(found.ranked) + len(found.held)
    assert {row[1] for row in rows[len(found.ranked) :]} <= {why for _, why in found.held}
    qtbot.mouseClick(by_name(page, "Copy table of sensitivities", QPushButton), Qt.MouseButton.LeftButton)
    assert QGuiApplication.clipboard().text().splitlines()[0] == "Input\tStep\tValue\tChange, K"


def test_what_limits_is_said_in_the_engines_words(show, context_of, answered):
    context = context_of(TOWING)
    _, page = study(show, context, "What limits")
    found = answered(page)
    expected = size(context.case)
    assert found.duty_index == expected.duty_index == CLIMB
    assert page.why.texts == why(expected)
    assert page.mend.texts == mending(expected)
    assert page.all.texts == option_lines(expected.options)
    context.system = UnitSystem.US
    page.refresh()
    assert page.answer is found, "another system of units computes nothing"
    assert page.why.texts == why(expected, UnitSystem.US)


def test_parts_of_ones_own_come_among_the_changes(show, context_of, answered, qtbot, tmp_path):
    table = tmp_path / "fans.csv"
    table.write_text("name;fan_free_flow\nTwice the fan;4800 m3/h\n", encoding="utf-8")
    context = context_of(TOWING)
    page = show(LimitsPage(context, lambda _parent, _folder: str(table)))
    answered(page)
    qtbot.mouseClick(by_name(page, "Load a table of parts", QPushButton), Qt.MouseButton.LeftButton)
    answered(page)
    assert any(text.startswith("Twice the fan: gains") for text in page.all.texts)
    assert page.tables.told.text() == "fans.csv: 1 part"
    assert context.document.text.get("job.part_tables") == [str(table)]
    assert context.document.undo_name == "Load parts"
    table.write_text("name;fan_free_flow\nBad;much\n", encoding="utf-8")
    qtbot.mouseClick(by_name(page, "Load a table of parts", QPushButton), Qt.MouseButton.LeftButton)
    assert "line 2" in page.tables.wrong.text()
    assert page.tables.wrong.isVisible()
    qtbot.mouseClick(by_name(page, "Remove the tables of parts", QPushButton), Qt.MouseButton.LeftButton)
    answered(page)
    assert not any(text.startswith("Twice the fan") for text in page.all.texts)
    assert context.document.text.get("job.part_tables") is None
    assert not page.tables.wrong.isVisible()


def test_all_duties_stand_in_rows_with_the_checks_numbers(show, context_of):
    context = context_of(TOWING)
    context.check = check(context.case, members=0)
    view, page = study(show, context, "All duties")
    table = by_name(page, "Duties", TableView)
    assert [row[0] for row in table.rows.text.rows] == [duty.name for duty in context.check.duties]
    climb = dict(zip(table.rows.text.heads, table.rows.text.rows[CLIMB], strict=True))
    duty = context.check.duties[CLIMB]
    assert climb["Verdict"] == "Undersized"
    assert climb["Regime"] == "floating above full open"
    assert float(climb["Margin to the limit, K"]) == pytest.approx(duty.margin, abs=0.05)
    flow = float(duty.point.coolant_mass_flow[0])
    assert float(climb["Coolant through the engine, kg/s"]) == pytest.approx(flow, rel=0.01)
    assert not view.duty.isVisible()
    assert view.copy_table()
    assert len(QGuiApplication.clipboard().text().splitlines()) == 13
    assert len(context.check.courses) == len([1 for pictures, _ in page._shown if pictures.cards[0].isVisible()])
    for course, (_, words) in zip(context.check.courses, page._shown, strict=True):
        assert words.texts == cycle_sentences(course)
