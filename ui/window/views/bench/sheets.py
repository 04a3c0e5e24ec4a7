"""Problem sheets as a view of the lesson: the same entries, preview, files and marks as the dialog."""

from __future__ import annotations

from PySide6.QtCore import Qt

from ui.window.dialogs.worksheet import WorksheetDialog, symbols_of
from ui.window.places import place_to_write
from ui.window.views.view import Context, View, column


class _InPlace(WorksheetDialog):
    """The dialog within a view: nothing closes it but the case."""

    def reject(self) -> None:
        """Stay."""


class SheetsView(View):
    """Poses a topic to a class; what is chosen here is no part of the case."""

    def __init__(self, context: Context) -> None:
        super().__init__(context)
        self._symbols = symbols_of(context.document.text)
        self.sheets = _InPlace(context.system, place_to_write(context.document), self, self._symbols)
        self.sheets.setWindowFlags(Qt.WindowType.Widget)
        self.sheets.close_buttons.hide()
        column(self, self.sheets)

    def refresh(self) -> None:
        """Follow the symbols of the case when they change; nothing else of it stands here."""
        stated = symbols_of(self.context.document.text)
        if stated is not self._symbols:
            self._symbols = stated
            self.sheets.choose_symbols(stated)
        self.sheets.show()

    def close_view(self) -> None:
        """End what is being drawn or written."""
        self.sheets.done(0)
