"""A check that takes long shows how far it is and can be stopped; one that is quick shows nothing."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QObject, Qt, Signal
from PySide6.QtWidgets import QLabel, QProgressBar, QPushButton
from widgets import by_name

from engcalc.words.texts import window_texts
from ui.window.main_window import MainWindow
from ui.window.progress import Progress
from ui.window.start_page import WayIn

pytestmark = pytest.mark.fresh


class Works(QObject):
    """Stands in for what works: only its signals matter here."""

    busy_changed = Signal(bool)
    progressed = Signal(float)


@pytest.fixture
def works() -> Works:
    return Works()


@pytest.fixture
def progress(works, qtbot) -> Progress:
    shown = Progress(works, long_ms=0)
    qtbot.addWidget(shown)
    return shown


def test_what_takes_long_shows_how_far_it_is(progress, works, qtbot):
    works.busy_changed.emit(True)
    qtbot.waitUntil(progress.isVisible)
    works.progressed.emit(0.4)
    assert by_name(progress, "Progress of the check", QProgressBar).value() == 40
    works.busy_changed.emit(False)
    assert not progress.isVisible()


def test_what_is_done_before_shows_nothing(progress, works, qtbot):
    works.busy_changed.emit(True)
    works.busy_changed.emit(False)
    qtbot.waitUntil(lambda: not progress._long.isActive())
    assert not progress.isVisible()


def test_the_button_asks_to_stop(progress, works, qtbot):
    works.busy_changed.emit(True)
    qtbot.waitUntil(progress.isVisible)
    with qtbot.waitSignal(progress.stopped):
        qtbot.keyClick(by_name(progress, "Stop the check", QPushButton), Qt.Key.Key_Space)


def stale(window: MainWindow) -> str:
    return window.workspace.results.verdict.findChild(QLabel, "stale").text()


def test_a_stopped_check_says_so_and_is_worked_out_again_by_key(window, executor, qtbot):
    window.start(WayIn.COMPLAINT)
    window.stop_check()
    assert not window.checker.busy
    assert stale(window) == window_texts.CHECK_WAS_STOPPED
    executor.run()
    assert window.workspace.check is None  # an answer that nobody waits for is dropped
    qtbot.keyClick(window, Qt.Key.Key_F5)
    executor.run()
    assert window.workspace.current_check() is not None
    assert stale(window) == ""


def test_an_answer_without_its_odds_stays_and_says_so(window, executor):
    window.start(WayIn.COMPLAINT)
    executor.run()
    window.stop_check()
    assert window.workspace.current_check() is not None
    assert stale(window) == window_texts.STOPPED_ODDS
