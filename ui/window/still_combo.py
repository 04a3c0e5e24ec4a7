"""What the wheel does not turn: lists to choose from, and tabs."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import QComboBox, QTabBar

from ui.window.rhythm import em

LETTERS = 12  # of a list that stands among other entries of a view


class StillCombo(QComboBox):
    """Closed, it leaves the wheel to the page that is scrolled; its open list is a widget of its own and takes it.

    With a number of ``letters`` it may be narrower than its longest line.
    """

    def __init__(self, letters: int = 0) -> None:
        super().__init__()
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        if letters:
            self.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
            self.setMinimumContentsLength(letters)

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Qt's hook."""
        event.ignore()


class StillTabs(QTabBar):
    """Tabs that the wheel does not turn, high enough for letters that reach below the line."""

    def __init__(self, name: str) -> None:
        super().__init__()
        self.setAccessibleName(name)
        self.setExpanding(False)
        self.setDrawBase(False)
        self.setUsesScrollButtons(True)

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Qt's hook."""
        event.ignore()

    def tabSizeHint(self, index: int) -> QSize:
        """Qt's hook: the style sets a tab that is not chosen lower and cuts its text."""
        wanted = super().tabSizeHint(index)
        return QSize(wanted.width(), wanted.height() + em() // 2)
