"""From the key to the paint of the new verdict: correct in every run, measured with --benchmark-enable."""

from __future__ import annotations

import time
from collections.abc import Iterator

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QLineEdit
from widgets import by_name, open_sections

from ui.window.main_window import MainWindow, example_files
from ui.window.results.verdict_bar import WORKING, sign_of
from ui.window.start_page import WayIn
from ui.window.views.bench.view import BenchView
from ui.window.worker import ThreadExecutor

pytestmark = pytest.mark.fresh

PATIENCE = 30.0  # s until an answer has to be there
READ_WARM = [{"what": "coolant", "value": "90 degC", "at": "30 min", "instrument": "scan_tool"}]


@pytest.fixture
def track(make_window, qtbot) -> Iterator[MainWindow]:
    window = make_window(executor=ThreadExecutor())
    window.open_example(next(p for p in example_files() if "track-day" in p.name))
    open_sections(window.workspace.form, ("radiator",))
    qtbot.waitUntil(lambda: window.workspace.check is not None and not window.checker.busy, timeout=30_000)
    yield window
    window.close()


def test_from_key_to_the_paint_of_the_new_verdict(track, qtbot, benchmark):
    line = by_name(track, "Radiator: Core height", QLineEdit)

    def answered() -> bool:
        return track.workspace.current_check() is not None and not track.checker.busy

    line.setFocus()
    line.selectAll()
    qtbot.keyClicks(line, "400.")
    qtbot.waitUntil(answered, timeout=30_000)

    def key() -> None:
        """One more digit of a millimetre; then all that it changed is painted, which may be next to nothing."""
        old, end = track.workspace.check, time.monotonic() + PATIENCE
        qtbot.keyClick(line, Qt.Key.Key_1)
        while track.workspace.check is old or track.workspace.current_check() is None:
            assert time.monotonic() < end
            QApplication.processEvents()
        QApplication.processEvents()

    benchmark.pedantic(key, rounds=12, iterations=1)
    shown = track.workspace.current_check()
    assert shown.case.radiator.core_height[0] > 0.4
    assert by_name(track, "Radiator: Core height", QLineEdit).text().startswith("400.1")


def test_a_key_that_makes_the_entry_wrong_is_answered_without_the_engine(track, qtbot):
    line = by_name(track, "Radiator: Core height", QLineEdit)
    line.setFocus()
    check = track.workspace.check
    line.selectAll()
    qtbot.keyClick(line, Qt.Key.Key_X)
    assert track.workspace.results.verdict.isVisible()
    assert track.workspace.check is check
    assert track.workspace.current_check() is None


@pytest.fixture
def idled(make_window, qtbot) -> Iterator[MainWindow]:
    """A family car that idled on a hot day, its readings still to be typed."""
    window = make_window(executor=ThreadExecutor())
    window.start(WayIn.COMPLAINT)
    for path, typed in (
        ("vehicle.class", "family car"),
        ("evidence.before.ambient", "33 degC"),
        ("evidence.before.heater_setting", "off"),
        ("evidence.before.driving", "idling"),
    ):
        window.document.edit(path, typed)
    qtbot.waitUntil(lambda: window.workspace.check is not None and not window.checker.busy, timeout=30_000)
    yield window
    window.close()


def test_from_the_last_key_of_a_reading_to_its_verdict(idled, qtbot, benchmark):
    """All of it, the healthy vehicles that the reading is held against too. Aim: half a second on a quiet machine."""
    line = by_name(idled, "Before the repair: Coolant reading", QLineEdit)

    def from_anew() -> None:
        idled.document.put_items("evidence.before.spots", [{"value": "9", "at": "30 min"}])
        qtbot.waitUntil(lambda: not idled.checker.busy, timeout=30_000)
        line.setFocus()
        line.end(False)

    def key() -> None:
        qtbot.keyClick(line, Qt.Key.Key_0)
        qtbot.waitUntil(lambda: not idled.checker.busy, timeout=30_000)

    benchmark.pedantic(key, setup=from_anew, rounds=4, iterations=1)
    assert sign_of(idled.workspace.current_check()).word == "Healthy"


def test_a_reading_is_weighed_after_the_first_answer_and_a_danger_before_it(case, executor, qtbot):
    """The answer to each key leaves the readings out: it gives no verdict then, but a danger at once."""
    case.document.put_items("evidence.before.spots", READ_WARM)
    executor.run()
    banner = case.workspace.results.verdict
    assert banner.accessibleDescription().startswith(WORKING.word)
    case.document.put("evidence.before.spots[0].value", "113 degC")
    case.document.put("evidence.before.seen.fan_runs_when_hot", False)
    executor.run()
    assert case.workspace.check.readings == ()
    assert banner.accessibleDescription().startswith("Stop: do not drive on")
    case.document.put("evidence.before.seen", None)
    case.document.put("evidence.before.spots[0].value", "90 degC")
    executor.run()
    qtbot.waitUntil(lambda: bool(executor.held))
    executor.run()
    assert banner.accessibleDescription().startswith("Healthy")
    assert len(case.workspace.check.readings) == 1


@pytest.fixture
def bench(make_window, qtbot) -> Iterator[MainWindow]:
    """The class's exchanger, its bench beside the form."""
    window = make_window(executor=ThreadExecutor())
    window.open_example(next(p for p in example_files() if "double-pipe" in p.name))
    qtbot.waitUntil(lambda: window.workspace.check is not None and not window.checker.busy, timeout=30_000)
    window.workspace.open_step("rig")  # its form stands beside the bench
    window.workspace.side.show_view("Bench")
    qtbot.waitUntil(lambda: bool(window.findChild(BenchView)), timeout=30_000)
    yield window
    window.close()


def test_from_a_sliders_move_to_the_paint_of_its_point(bench, qtbot, benchmark):
    """Aim: 50 ms on a quiet machine."""
    view = bench.findChild(BenchView)
    row = next(row for row in view.sliders.rows if row.path.endswith("conductance"))
    row.slider.setSliderDown(True)
    began, before = row.slider.value(), _point_of(view)

    def move() -> None:
        row.slider.setValue(row.slider.value() + 1)
        QApplication.processEvents()

    benchmark.pedantic(move, rounds=20, iterations=1, warmup_rounds=1)
    assert row.slider.value() > began
    assert _point_of(view) > before
    row.slider.setSliderDown(False)


def _point_of(view: BenchView) -> float:
    """NTU of the first problem as it is drawn."""
    spots = next(card.view.plot.spots for card in view.pictures.cards if card.view.plot and card.view.plot.spots)
    return next(spot.x for spot in spots if spot.words == "Next size")


def test_while_a_hand_slides_only_the_field_at_that_place_follows_and_afterwards_all_do(bench, monkeypatch):
    view, form = bench.findChild(BenchView), bench.workspace.form
    followed: list[str] = []
    for field in form.binding.fields():
        refresh = field.refresh
        monkeypatch.setattr(field, "refresh", lambda f=field, r=refresh: (followed.append(f.path), r())[1])
    row = next(row for row in view.sliders.rows if row.path.endswith("conductance"))
    row.slider.setSliderDown(True)
    row.slider.setValue(row.slider.value() + 5)
    assert set(followed) <= {row.path}
    row.slider.setSliderDown(False)
    assert len(set(followed)) > 20
