"""Every list to choose from leaves the wheel to the page."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import QApplication, QLineEdit, QWidget

from ui.window.still_combo import StillCombo, StillNumber, StillSlider

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
            event = turned(combo, turn)
            assert combo.currentIndex() == 1
            assert not event.isAccepted(), "the page scrolls"


def turned(widget: QWidget, turn: int) -> QWheelEvent:
    """The wheel turned over the middle of a widget."""
    middle = widget.rect().center()
    event = QWheelEvent(
        middle,
        widget.mapToGlobal(middle),
        QPoint(),
        QPoint(0, turn),
        Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier,
        Qt.ScrollPhase.NoScrollPhase,
        False,
    )
    QApplication.sendEvent(widget, event)
    return event


@pytest.mark.parametrize("kind", [StillNumber, StillSlider])
def test_the_wheel_turns_it_only_once_it_was_clicked_into(qtbot, kind):
    other, number = QLineEdit(), kind()
    for widget in (other, number):
        qtbot.addWidget(widget)
        widget.show()
    other.setFocus()
    assert not turned(number, 120).isAccepted(), "the page scrolls"
    assert number.value() == 0
    number.activateWindow()
    number.setFocus()
    qtbot.waitUntil(number.hasFocus)
    turned(number, 120)
    assert number.value() > 0


def test_the_window_makes_no_other_lists():
    assert [str(path) for path in WINDOW.rglob("*.py") if "QComboBox()" in path.read_text(encoding="utf-8")] == []


def test_a_line_longer_than_its_room_ends_in_dots(qtbot):
    combo = StillCombo(8)
    qtbot.addWidget(combo)
    combo.addItems(["delivery van – box or panel van with a long roof"])
    combo.resize(160, combo.sizeHint().height())
    combo.show()
    assert combo.drawn.startswith("delivery")
    assert combo.drawn.endswith("…")
    combo.resize(900, combo.height())
    assert combo.drawn == combo.currentText()
    combo.grab()  # is painted without a word of Qt
