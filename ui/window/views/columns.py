"""Widgets beside one another, in as many columns as there is room for."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QEvent
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QWidget

from ui.window.rhythm import Gap, em, gridded

NARROWEST = 13  # lines of text; the width of a column


class Columns(QWidget):
    """Lays its widgets out row by row, anew when its width or the type changes."""

    def __init__(self, widgets: Sequence[QWidget]) -> None:
        super().__init__()
        self._widgets = tuple(widgets)
        self._columns = 0
        self._grid = gridded(self, down=Gap.ONE)
        self._lay(1)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Qt's hook."""
        super().resizeEvent(event)
        self._lay(max(1, event.size().width() // (NARROWEST * em())))

    def changeEvent(self, event: QEvent) -> None:
        """Another size of text holds another number of columns."""
        super().changeEvent(event)
        if event.type() is QEvent.Type.FontChange:
            self._lay(max(1, self.width() // (NARROWEST * em())))

    def _lay(self, columns: int) -> None:
        columns = min(columns, len(self._widgets))
        if columns == self._columns:
            return
        for at in range(self._columns):
            self._grid.setColumnStretch(at, 0)
        self._columns = columns
        for at, widget in enumerate(self._widgets):
            self._grid.addWidget(widget, at // columns, at % columns)
        for at in range(columns):
            self._grid.setColumnStretch(at, 1)
