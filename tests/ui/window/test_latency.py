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
