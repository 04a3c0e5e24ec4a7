"""The circuit in the window: the slider of a warm-up, and a click on a hose that takes a reading at that place."""

from __future__ import annotations

import time

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import QDialog, QLineEdit, QPushButton
from widgets import by_name

from engcalc.diagnosis.checks.circuit_places import READ_AT, CircuitPlace
from engcalc.units import UnitSystem
from reports.plots.describe import CircuitPlot
from ui.window.results.drawing import PictureView
from ui.window.results.panel import ResultsPanel
from ui.window.views import reading_dialog
from ui.window.views.reading_dialog import PlaceReadingDialog
from ui.window.views.side import ResultsSide
from ui.window.views.warmup.view import WarmupView

A_MOVE = 0.050  # s; the slider's aim for one move, build, layout and paint


@pytest.fixture
def view(show, context_of, answered) -> WarmupView:
    made = show(WarmupView(context_of("van-no-heat")))
    answered(made)
    return made


def picture(view: WarmupView) -> PictureView:
    return view.moment.cards.cards[0].view


def circuit(view: WarmupView) -> CircuitPlot:
    plot = picture(view).plot
    assert isinstance(plot, CircuitPlot)
    return plot


def test_the_slider_stands_at_the_end_and_the_picture_tells_that_moment(view):
    record = view.answer.records[0]
    assert view.moment.at == record.nominal.time[-1]
    last = float(record.nominal.coolant[-1, 0]) - 273.15
    assert f"out {last:.0f} °C" in circuit(view).at(CircuitPlace.ENGINE).now
    assert "35 min after the start" in circuit(view).words.title


def test_the_keys_move_the_moment_and_the_line_in_the_curve(view, qtbot):
    slider, record = view.moment.slider, view.answer.records[0]
    slider.setFocus()
    qtbot.keyClick(slider, Qt.Key.Key_Home)
    assert view.moment.at == 0.0
    qtbot.keyClick(slider, Qt.Key.Key_PageUp)
    assert view.moment.at == 300.0
    qtbot.keyClick(slider, Qt.Key.Key_Right)
    assert view.moment.at == 330.0
    i = slider.value()
    assert circuit(view).at(CircuitPlace.LOWER_HOSE).now[0] == f"{record.nominal.lower_hose[i, 0] - 273.15:.0f} °C"
    assert circuit(view).opening == record.nominal.opening[i, 0]
    marks = view.curves.cards[0].view.plot.x_marks
    assert [mark.at for mark in marks] == [pytest.approx(5.5)]
    assert view.moment.told.text() == "5.5 min"


def test_a_move_of_the_slider_takes_under_its_aim(view):
    slider, own = view.moment.slider, []
    for at in range(20, 300, 40):
        begun = time.process_time()
        slider.setValue(at)
        picture(view).grab()
        own.append(time.process_time() - begun)
    assert min(own) < A_MOVE  # the least: a machine that others use too adds to the rest


def test_readings_stand_at_their_places_beside_healthy_vehicles(view):
    marks = circuit(view).at(CircuitPlace.UPPER_HOSE).marks
    low, high = view.answer.records[0].spot_ranges[1]
    told = next(mark.words for mark in marks if mark.words.startswith("read"))
    assert told.startswith("read 14 °C at 6 min; healthy ")
    assert f"{high - 273.15:.0f} °C" in told
    # K; from a hose that the metal neck alone warms to the few vans whose thermostat opens by then
    assert low < 280.0 < high


def tap(view: PictureView, key: str, qtbot) -> None:
    box = view.spots_of(key)[0].box
    at = QPoint(round(0.5 * (box.left + box.right)), round(0.5 * (box.top + box.bottom)))
    qtbot.mouseClick(view, Qt.MouseButton.LeftButton, pos=at)


@pytest.mark.parametrize("place", list(READ_AT))
def test_a_click_tells_the_place_and_no_other(view, qtbot, place):
    told: list[str] = []
    view.moment.tapped.disconnect()
    view.moment.tapped.connect(told.append)
    tap(picture(view), place, qtbot)
    assert told == [place]


def test_the_arrow_keys_go_from_place_to_place_and_return_takes_it(view, qtbot):
    told: list[str] = []
    view.moment.tapped.disconnect()
    view.moment.tapped.connect(told.append)
    shown = picture(view)
    shown.setFocus()
    qtbot.keyClick(shown, Qt.Key.Key_Return)
    assert told == []
    qtbot.keyClick(shown, Qt.Key.Key_Right)
    qtbot.keyClick(shown, Qt.Key.Key_Right)
    qtbot.keyClick(shown, Qt.Key.Key_Left)
    qtbot.keyClick(shown, Qt.Key.Key_Return)
    assert told == [circuit(view).taps[0]]
    assert shown.accessibleDescription().startswith(f"Take a reading: {told[0]}")


def answer_dialog(monkeypatch, typed: str) -> list[PlaceReadingDialog]:
    """Let every dialog of a reading be answered by a number, as a person would type it."""
    seen: list[PlaceReadingDialog] = []

    def exec_(dialog: PlaceReadingDialog) -> int:
        seen.append(dialog)
        by_name(dialog, dialog.entry.value.line.accessibleName(), QLineEdit).setText(typed)
        put = next(b for b in dialog.findChildren(QPushButton) if b.text() == "Put in")
        put.click()
        return dialog.result()

    monkeypatch.setattr(PlaceReadingDialog, "exec", exec_)
    return seen


def test_a_click_on_a_hose_takes_a_reading_there_at_the_moment_looked_at(view, qtbot, monkeypatch):
    document = view.context.document
    view.moment.slider.setValue(72)  # 6 min in steps of 5 s
    seen = answer_dialog(monkeypatch, "41")
    before = len(document.text.get("evidence.before.spots"))
    tap(picture(view), CircuitPlace.LOWER_HOSE, qtbot)
    assert seen[0].windowTitle() == "Take a reading: lower radiator hose"
    added = document.text.get("evidence.before.spots")[before]
    assert (added["what"], added["value"], added["at"]) == ("lower_hose", "41 °C", "6 min")


def test_a_number_that_cannot_be_is_kept_and_said(view, qtbot, monkeypatch):
    document = view.context.document
    before = document.text.get("evidence.before.spots")
    seen = answer_dialog(monkeypatch, "warm")
    tap(picture(view), CircuitPlace.LOWER_HOSE, qtbot)
    assert seen[0].result() == QDialog.DialogCode.Rejected
    assert document.text.get("evidence.before.spots") == before


def test_the_circuit_of_a_duty_takes_readings_into_the_latest_record(qtbot, context_of, monkeypatch):
    context = context_of("van-no-heat")
    results = ResultsPanel()
    side = ResultsSide(results, context)
    qtbot.addWidget(side)
    asked: list[tuple[str, UnitSystem]] = []
    monkeypatch.setattr(
        reading_dialog, "take_reading", lambda _document, place, system, _parent: asked.append((place, system))
    )
    results.place_tapped.emit(CircuitPlace.HEATER_OUT)
    assert asked == [("heater_outlet_hose", UnitSystem.SI)]
    side.close_side()
