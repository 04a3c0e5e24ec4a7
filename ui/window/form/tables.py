"""Fields that hold a table of two columns: readings over time, and the columns of a log."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, Qt
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import (
    QAbstractItemDelegate,
    QApplication,
    QFileDialog,
    QHeaderView,
    QLineEdit,
    QPushButton,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QTableWidget,
    QTableWidgetItem,
    QWidget,
)

from engcalc.errors import FileFault, InputFault
from engcalc.words.texts import form_texts
from ui.window.form.binding import Binding
from ui.window.form.fields import Field, row_of, show_line
from ui.window.form.quantity import completed, system_unit
from ui.window.plain import tip
from ui.window.rhythm import em
from ui.window.views.logs import place_for

MOST_PASTED = 2000  # rows taken from the clipboard at once
ROWS_SHOWN = 6

Rows = list[tuple[str, str]]


class NamedCells(QStyledItemDelegate):
    """Gives the editor of a cell a name: its column and row."""

    def createEditor(
        self, parent: QWidget, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> QWidget:
        """Qt's hook."""
        editor = super().createEditor(parent, option, index)
        column = index.model().headerData(index.column(), Qt.Orientation.Horizontal)
        editor.setAccessibleName(f"{column}, row {index.row() + 1}")
        return editor


_STEPS = {  # Tab and its reverse in a cell, by the hint that Qt makes of them
    QAbstractItemDelegate.EndEditHint.EditNextItem: True,
    QAbstractItemDelegate.EndEditHint.EditPreviousItem: False,
}


class PairTable(QTableWidget):
    """Two columns of text, always with an empty row at the end; pasting fills rows from the clipboard."""

    def __init__(self, headers: tuple[str, str], name: str, edited: Callable[[], None]) -> None:
        super().__init__(1, 2)
        self._edited = edited
        self.setHorizontalHeaderLabels(headers)
        self.setAccessibleName(name)
        self.setTabKeyNavigation(False)
        self.setItemDelegate(NamedCells(self))
        self.setEditTriggers(QTableWidget.EditTrigger.AllEditTriggers)
        self.horizontalHeader().setSectionResizeMode(QHeaderView.ResizeMode.Stretch)
        self.verticalHeader().setDefaultSectionSize(em() * 7 // 4)
        self.setFixedHeight(em() * 2 * (ROWS_SHOWN + 1))
        self.itemChanged.connect(lambda _item: self._changed())
        for sequence, action in (
            (QKeySequence(QKeySequence.StandardKey.Paste), self.paste),
            (QKeySequence(QKeySequence.StandardKey.Delete), self.clear_chosen),
        ):
            QShortcut(sequence, self, action, context=Qt.ShortcutContext.WidgetShortcut)

    def closeEditor(self, editor: QWidget, hint: QAbstractItemDelegate.EndEditHint) -> None:
        """Qt's hook: Tab goes from cell to cell, and out of the table behind the last one or before the first."""
        forwards = _STEPS.get(hint)
        if forwards is None or not self._at_end(forwards):
            super().closeEditor(editor, hint)
            return
        super().closeEditor(editor, QAbstractItemDelegate.EndEditHint.NoHint)
        self.focusNextPrevChild(forwards)

    def _at_end(self, forwards: bool) -> bool:
        cell = self.currentRow(), self.currentColumn()
        return cell == ((self.rowCount() - 1, self.columnCount() - 1) if forwards else (0, 0))

    def rows(self) -> Rows:
        """Every row in which something is typed."""
        every = ((self._text(row, 0), self._text(row, 1)) for row in range(self.rowCount()))
        return [pair for pair in every if any(pair)]

    def _text(self, row: int, column: int) -> str:
        item = self.item(row, column)
        return "" if item is None else item.text().strip()

    def show_rows(self, rows: Rows) -> None:
        """Show rows without telling anybody."""
        self.blockSignals(True)
        self.setRowCount(len(rows) + 1)
        for row, pair in enumerate([*rows, ("", "")]):
            for column, text in enumerate(pair):
                self.setItem(row, column, QTableWidgetItem(text))
        self.blockSignals(False)

    def _changed(self) -> None:
        if any(self._text(self.rowCount() - 1, column) for column in (0, 1)):
            self.blockSignals(True)
            self.setRowCount(self.rowCount() + 1)
            self.blockSignals(False)
        self._edited()

    def paste(self) -> None:
        """Take rows from the clipboard, cells parted by tab or semicolon, in at the current row."""
        lines = [x for x in QApplication.clipboard().text().splitlines() if x.strip()][:MOST_PASTED]
        new = [tuple([*x.replace(";", "\t").split("\t"), ""][:2]) for x in lines]
        at = max(0, self.currentRow())
        rows = self.rows()
        self.show_rows([*rows[:at], *((a.strip(), b.strip()) for a, b in new), *rows[at + len(new) :]])
        self._edited()

    def clear_chosen(self) -> None:
        """Empty the chosen cells; a row left empty goes."""
        self.blockSignals(True)
        for item in self.selectedItems():
            item.setText("")
        self.blockSignals(False)
        self._edited()
        self.show_rows(self.rows())


class PairsField(Field):
    """Minutes since the start and temperatures."""

    def __init__(self, binding: Binding, path: str, label: str = "", name: str = "") -> None:
        super().__init__(binding, path, label, name)
        self._sent: object = object()
        self._table = PairTable(("Minutes", "Temperature"), self.name, self._edited)
        self._lay(self._table)
        binding.add(self)

    def watch(self, editor: QWidget) -> None:
        """The table's own cells edit; only help is wanted here."""
        editor.setToolTip(tip(self.input.help))

    def _edited(self) -> None:
        unit = system_unit(self.input.kind, self.binding.system)
        value = [
            [minutes, completed(text, unit, (self.input.kind,), frozenset())] for minutes, text in self._table.rows()
        ]
        self._sent = value or None
        self.binding.document.end_step()
        self.binding.document.put(self.path, self._sent)

    def refresh(self) -> None:
        """Show the pairs, unless they are the ones this table just sent."""
        found = self.binding.document.text.get(self.path)
        if found != self._sent:
            self._sent = found
            self._table.show_rows([_pair(item) for item in found] if isinstance(found, list) else [])
        self.set_hint(self.input.help)

    def fault_words(self, fault: InputFault) -> str:
        """Name the row."""
        at = fault.path.removeprefix(self.path)
        row = at[1:].partition("]")[0]
        said = super().fault_words(fault)
        return f"Row {int(row) + 1}: {said}" if row.isdigit() else said


def _pair(item: object) -> tuple[str, str]:
    if isinstance(item, list):
        cells = ["" if x is None else str(x) for x in item[:2]]
        first, second = [*cells, "", ""][:2]
        return first, second
    return str(item), ""


class LogField(Field):
    """A log file beside the case, and which of its columns is which channel."""

    def __init__(self, binding: Binding, path: str, label: str = "", name: str = "") -> None:
        super().__init__(binding, path, label, name)
        self._line = QLineEdit()
        choose = QPushButton("Choose...")
        choose.setAccessibleName(form_texts.CHOOSE_THE_FILE.format(name=self.name))
        choose.clicked.connect(self._choose)
        self._columns = PairTable(("Channel", form_texts.COLUMN_IN_THE_FILE), f"{self.name}, columns", self._edited)
        self._lay(self._line, row_of(self._line, choose))
        self._column.insertWidget(2, self._columns)
        self._line.textChanged.connect(lambda _text: self._edited())
        self._sent: object = object()
        binding.add(self)

    def _choose(self) -> None:
        folder = self.binding.document.folder
        chosen, _ = QFileDialog.getOpenFileName(self, "Choose a log", str(folder or ""))
        if chosen:
            try:
                self._line.setText(place_for(Path(chosen), folder))
            except FileFault:
                self._line.setText(chosen)  # its fault is said where faults are

    def _edited(self) -> None:
        columns = {channel: column for channel, column in self._columns.rows() if channel}
        value: dict[str, object] = {"file": self._line.text()} if self._line.text() or columns else {}
        if columns:
            value["columns"] = columns
        self._sent = value or None
        self.binding.document.put(self.path, self._sent)

    def refresh(self) -> None:
        """Show the file and its columns."""
        found = self.binding.document.text.get(self.path)
        if found != self._sent:
            self._sent = found
            log = found if isinstance(found, dict) else {}
            show_line(self._line, str(log.get("file", "")))
            columns = log.get("columns")
            self._columns.show_rows([(str(k), str(v)) for k, v in columns.items()] if isinstance(columns, dict) else [])
        self._columns.setVisible(bool(self._line.text()))
