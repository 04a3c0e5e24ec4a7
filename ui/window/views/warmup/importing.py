"""Bringing a log into the case: chosen or dropped, looked into on a worker, asked about where it is not recognised."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QDialog, QFileDialog, QWidget

from engcalc.errors import FileFault
from engcalc.logs.channels import SPELLINGS
from engcalc.words.texts import view_texts
from ui.window.dialogs.background import Background, in_words
from ui.window.dialogs.columns import ColumnsDialog
from ui.window.shown import until_left
from ui.window.views.logs import LogLook, entry_for, header_of, look
from ui.window.views.view import Context


def ask_log(parent: QWidget, folder: str) -> str:
    """Ask which log."""
    return QFileDialog.getOpenFileName(parent, "Choose a log", folder, view_texts.LOGS_CSV_TXT_TSV_LOG_ALL_FILES)[0]


def ask_columns(found: LogLook, parent: QWidget) -> Mapping[str, str] | None:
    """Ask which column is which; None when the person does not say."""
    dialog = ColumnsDialog(found, parent)
    return dialog.mapping if until_left(dialog) == QDialog.DialogCode.Accepted else None


class Importer(QObject):
    """Puts logs into the document, one at a time."""

    said = Signal(str, str)  # words and their tone

    def __init__(
        self, context: Context, parent: QWidget, ask: Callable[[LogLook, QWidget], Mapping[str, str] | None]
    ) -> None:
        super().__init__(parent)
        self._context, self._parent, self._ask = context, parent, ask
        self.background = Background(self)

    def take(self, path: Path, record: str, *, always_ask: bool = False) -> None:
        """Look into a file for a record; ask about its columns where needed, or always."""
        self.said.emit(view_texts.LOG_IS_BEING_READ, "muted")
        settings = self._context.settings

        def work() -> LogLook:
            return look(path, settings.columns_of(header_of(path)))

        self.background.run(
            work,
            lambda found: self._looked(found, record, always_ask),
            lambda error: self.said.emit(in_words(error), "error"),
        )

    def _looked(self, found: LogLook, record: str, always_ask: bool) -> None:
        mapping = self._context.settings.columns_of(found.header)
        if found.asks or always_ask:
            said = self._ask(found, self._parent)
            if said is None:
                self.said.emit(view_texts.LOG_WAS_NOT_TAKEN if found.asks else "", "warn")
                return
            mapping = dict(said)
            self._context.settings.remember_columns(found.header, mapping)
            found = look(found.path, mapping)
        document = self._context.document
        try:
            entry = entry_for(found.path, document.folder, mapping)
        except FileFault as fault:
            self.said.emit(str(fault), "error")
            return
        document.put(f"evidence.{record}.log", entry, "Import a log")
        document.end_step()
        self.said.emit(taken_words(found), "muted")

    def close(self) -> None:
        """End the work."""
        self.background.close()


def taken_words(found: LogLook) -> str:
    """What was recognised in a log."""
    if found.record is None:
        return f"{found.path.name}: {found.trouble}"
    channels = ", ".join(SPELLINGS[c].label.lower() for c in found.record.columns if c in SPELLINGS)
    return f"{found.path.name}: {found.record.rows} rows with {channels}."
