"""From the key to the paint of the new verdict: correct in every run, measured with --benchmark-enable."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtWidgets import QApplication, QLineEdit

from ui.window.accessible import by_name
from ui.window.main_window import MainWindow, example_files
from ui.window.worker import ThreadExecutor


class Painted(QObject):
    """Counts the paints of a widget."""

    def __init__(self, watched: QObject) -> None:
        super().__init__()
        self.count = 0
        watched.installEventFilter(self)

    def eventFilter(self, _watched: QObject, event: QEvent) -> bool:
        self.count += event.type() is QEvent.Type.Paint
        return False


@pytest.fixture
def track(make_window, qtbot) -> Iterator[MainWindow]:
    window = make_window(executor=ThreadExecutor())
    window.open_example(next(p for p in example_files() if "track-day" in p.name))
    window.workspace.form.open_sections(("radiator",))
    qtbot.waitUntil(lambda: window.workspace.check is not None and not window.checker.busy, timeout=30_000)
    yield window
    window.close()


def test_from_key_to_the_paint_of_the_new_verdict(track, qtbot, benchmark):
    line = by_name(track, "Radiator: Core height", QLineEdit)
    painted = Painted(track.workspace.results.verdict)

    def answered() -> bool:
        return track.workspace.current_check() is not None and not track.checker.busy

    line.setFocus()
    line.selectAll()
    qtbot.keyClicks(line, "400.")
    qtbot.waitUntil(answered, timeout=30_000)

    def key() -> None:
        """One more digit of a millimetre."""
        old, before = track.workspace.check, painted.count
        qtbot.keyClick(line, Qt.Key.Key_1)
        while track.workspace.check is old or painted.count == before or track.workspace.current_check() is None:
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
