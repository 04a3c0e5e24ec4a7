"""Tables of the views, and what is copied as text."""

from __future__ import annotations

from PySide6.QtGui import QGuiApplication

from ui.window.results.table import TableView


def copy_text(text: str) -> None:
    """Put a text on the clipboard."""
    QGuiApplication.clipboard().setText(text)


class WideTable(TableView):
    """A table whose columns all stay: where they do not fit it scrolls sideways."""

    def _make_room(self) -> None:
        for column in range(self.rows.columnCount()):
            self.setColumnHidden(column, False)
