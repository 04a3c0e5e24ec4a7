"""The charts of a duty in the window: a slider moves the point by hand and by key, and undo takes the stroke back."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

import worked_examples
from engcalc.words.lesson.teaching_words import NO_DUTY
from reports.plots.describe import Chart
from ui.document import Document
from ui.window.settings import Settings
from ui.window.start_page import WayIn
from ui.window.views.charts.view import SLID, ChartsView
from ui.window.views.view import Context

HILL = "Hill, 7 % at 80 km/h"


@pytest.fixture
def view(show, context_of) -> ChartsView:
    found = show(ChartsView(context_of("tow-and-track")))
    found.duty.setCurrentText(HILL)
    return found


def point_of(view: ChartsView) -> tuple[float, float]:
    plot = view.pictures.cards[0].view.plot
    assert isinstance(plot, Chart)
    (spot,) = plot.spots
    return spot.x, spot.y


def row(view: ChartsView, end: str):
    return next(one for one in view.sliders.rows if one.path.endswith(end))


def test_every_chart_of_a_duty_on_the_road_is_drawn(view):
    assert all(card.view.plot is not None for card in view.pictures.cards)
    assert len(view.pictures.cards) == 7
    assert len(view.sliders.rows) == len(SLID) - 2  # neither air velocity nor coolant flow was given
    assert view.table.model().rowCount() == 5


def test_the_point_moves_while_the_hand_does_and_undo_takes_the_stroke_back(view):
    document, before = view.context.document, point_of(view)
    slider = row(view, "pump_flow").slider
    slider.setSliderDown(True)
    seen = []
    for place in range(slider.value() + 1, slider.value() + 6):
        slider.setValue(place)
        seen.append(point_of(view))
    slider.setSliderDown(False)
    assert len({before, *seen}) == 6, "each place of the slider has a point of its own"
    document.undo()
    view.refresh()
    assert point_of(view) == before


def test_the_arrow_keys_move_the_point_and_a_stroke_is_one_step(view, qtbot):
    document, before = view.context.document, point_of(view)
    slider = row(view, "core_height").slider
    slider.setFocus()
    place = slider.value()
    qtbot.keyPress(slider, Qt.Key.Key_Right)
    qtbot.keyPress(slider, Qt.Key.Key_Right)
    assert slider.is_held
    assert point_of(view) != before
    qtbot.keyRelease(slider, Qt.Key.Key_Right)
    assert (slider.is_held, slider.value()) == (False, place + 2)
    first = point_of(view)
    qtbot.keyClick(slider, Qt.Key.Key_PageUp)
    assert slider.value() == place + 12
    document.undo()
    view.refresh()
    assert point_of(view) == pytest.approx(first, rel=1e-3)
    document.undo()
    view.refresh()
    assert point_of(view) == before
    assert slider.value() == place


@pytest.mark.parametrize("typed", ["1e9 kW", "x" * 300])
def test_where_something_else_than_a_quantity_is_typed_the_last_good_number_stays(view, typed):
    """Found by the monkey of the campaign: the view was shown over a field that read as nothing, and raised."""
    height = row(view, "core_height")
    said = height.value.text()
    view.context.document.edit(height.path, typed)
    view.refresh()
    assert row(view, "core_height").value.text() == said


def test_a_bench_without_a_duty_says_where_its_charts_are(show, context_of):
    found = show(ChartsView(context_of("double-pipe")))
    assert found.line.text() == NO_DUTY
    assert not any(card.isVisible() for card in found.pictures.cards)


def test_an_empty_lesson_has_nothing_to_draw(show, tmp_path):
    """A radiator that nobody entered carried 6e-15 kW, and its axis ended the program."""
    found = show(ChartsView(Context(Document(WayIn.LESSON.value.text), Settings(tmp_path / "window.ini"))))
    assert found.line.text() == NO_DUTY


def test_a_move_of_the_slider_to_its_paint(view, benchmark):
    """Aim: 50 ms on a quiet machine, from the slider's new place to everything painted."""
    slider = row(view, "ambient").slider
    slider.setSliderDown(True)
    places = iter(range(slider.value() + 1, 200))

    def move() -> None:
        slider.setValue(next(places))
        QApplication.processEvents()

    before = point_of(view)
    benchmark.pedantic(move, rounds=30, iterations=1)
    slider.setSliderDown(False)
    assert point_of(view) != before


def test_the_whole_check_waits_until_the_hand_lets_go(window, executor):
    """It ran beside each move, and the move waited for it."""
    window.open_example(worked_examples.folder() / "tow-and-track.heatcase.json")
    executor.run()
    window.workspace.open_step("detail")
    window.workspace.stage.show_view("Charts")
    view = window.findChild(ChartsView)
    executor.held.clear()
    slider = row(view, "core_height").slider
    slider.setSliderDown(True)
    for place in range(slider.value() + 1, slider.value() + 4):
        slider.setValue(place)
    assert executor.held == []
    before = window.document.text
    slider.setSliderDown(False)
    assert len(executor.held) == 1
    assert window.document.text == before
    window.document.edit("radiator.core_height", "400 mm")
    assert len(executor.held) == 2


def test_a_picture_is_laid_out_once_for_a_width(view, monkeypatch):
    """A layout asks for heights again and again, of pictures out of sight too."""
    picture = view.pictures.cards[0].view
    picture.heightForWidth(700)
    laid: list[float] = []
    monkeypatch.setattr(type(picture), "picture", lambda _self, width: laid.append(width))
    assert [picture.heightForWidth(width) for width in (700, 700)] == [picture.heightForWidth(700)] * 2
    assert laid == []
    picture.heightForWidth(701)
    assert laid == [701.0]


def test_no_column_is_left_out_where_they_do_not_all_fit(view):
    """The second column went first: the heat."""
    view.resize(320, 800)
    assert sum(view.table.columnWidth(c) for c in range(3)) > view.table.viewport().width()
    assert not [c for c in range(3) if view.table.isColumnHidden(c)]
