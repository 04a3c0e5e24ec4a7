"""A list to choose from that the wheel does not turn."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import QComboBox


class StillCombo(QComboBox):
    """Closed, it leaves the wheel to the page that is scrolled; its open list is a widget of its own and takes it."""

    def __init__(self) -> None:
        super().__init__()
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Qt's hook."""
        event.ignore()
