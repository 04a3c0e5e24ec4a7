"""Every list to choose from leaves the wheel to the page."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import QApplication

from ui.window.still_combo import StillCombo

WINDOW = Path(__file__).resolve().parents[3] / "ui" / "window"


def test_the_wheel_does_not_turn_it_with_or_without_the_keyboard(qtbot):
    combo = StillCombo()
    qtbot.addWidget(combo)
    combo.addItems(["one", "two", "three"])
    combo.setCurrentIndex(1)
    combo.show()
    for focused in (False, True):
        if focused:
            combo.setFocus()
        for turn in (-120, 120):
            middle = combo.rect().center()
            event = QWheelEvent(
                middle,
                combo.mapToGlobal(middle),
                QPoint(),
                QPoint(0, turn),
                Qt.MouseButton.NoButton,
                Qt.KeyboardModifier.NoModifier,
                Qt.ScrollPhase.NoScrollPhase,
                False,
            )
            QApplication.sendEvent(combo, event)
            assert combo.currentIndex() == 1
            assert not event.isAccepted(), "the page scrolls"


def test_the_window_makes_no_other_lists():
    assert [str(path) for path in WINDOW.rglob("*.py") if "QComboBox()" in path.read_text(encoding="utf-8")] == []
