"""The table of results: one row for each result, one column for each duty; copied as tab-separated text."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QPersistentModelIndex, QRect, QSize, Qt
from PySide6.QtGui import QGuiApplication, QKeyEvent, QKeySequence, QResizeEvent
from PySide6.QtWidgets import QAbstractItemView, QSizePolicy, QTableView, QWidget

from ui.window.rhythm import em

SYMBOLS = 1  # the column of symbols
WIDEST_HEAD = 7  # lines of text; a longer head is wrapped

NOWHERE = QModelIndex()
Index = QModelIndex | QPersistentModelIndex


@dataclass(frozen=True)
class TableText:
    """A table as it is read: heads of the columns, and rows of as many cells; ``helps`` explains each row."""

    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    helps: tuple[str, ...] = ()
    words_columns: int = 3  # of the columns, those that hold words and units; the rest are numbers

    def tsv(self, rows: Sequence[int] | None = None) -> str:
        """Heads and rows (all, or those given) as tab-separated text."""
        chosen = self.rows if rows is None else [self.rows[i] for i in rows]
        return "\n".join("\t".join(line) for line in (self.heads, *chosen)) + "\n"


class TableModel(QAbstractTableModel):
    """Holds a :class:`TableText`; a text of the same shape replaces it in place."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.text = TableText((), ())

    def put(self, text: TableText) -> None:
        """Show another text; only when rows or columns differ in number is the view told to start afresh."""
        same = len(text.rows) == len(self.text.rows) and len(text.heads) == len(self.text.heads)
        if not same:
            self.beginResetModel()
        self.text = text
        if not same:
            self.endResetModel()
        elif text.rows:
            last = self.index(len(text.rows) - 1, len(text.heads) - 1)
            self.dataChanged.emit(self.index(0, 0), last)
            self.headerDataChanged.emit(Qt.Orientation.Horizontal, 0, len(text.heads) - 1)

    def rowCount(self, parent: Index = NOWHERE) -> int:
        return 0 if parent.isValid() else len(self.text.rows)

    def columnCount(self, parent: Index = NOWHERE) -> int:
        return 0 if parent.isValid() else len(self.text.heads)

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        if role == Qt.ItemDataRole.DisplayRole:
            return self.text.rows[index.row()][index.column()]
        if role == Qt.ItemDataRole.ToolTipRole and self.text.helps:
            return self.text.helps[index.row()]
        if role == Qt.ItemDataRole.AccessibleTextRole:
            return self._spoken(index.row(), index.column())
        if role == Qt.ItemDataRole.TextAlignmentRole and index.column() >= self.text.words_columns:
            return int(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        return None

    def _spoken(self, row: int, column: int) -> str:
        cells = self.text.rows[row]
        if column < self.text.words_columns:
            return cells[column]
        return f"{cells[0]}, {self.text.heads[column]}: {cells[column]} {cells[self.text.words_columns - 1]}".strip()

    def headerData(self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        if orientation is Qt.Orientation.Horizontal and role == Qt.ItemDataRole.DisplayRole:
            return self.text.heads[section]
        return None


class TableView(QTableView):
    """A read-only table as high as its rows, so that the page scrolls and not the table."""

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(name)
        self.rows = TableModel(self)
        self.setModel(self.rows)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setAlternatingRowColors(True)
        self.setShowGrid(False)
        self.setWordWrap(False)
        self.setTabKeyNavigation(False)
        self.verticalHeader().hide()
        self.horizontalHeader().setHighlightSections(False)
        self.horizontalHeader().setDefaultAlignment(Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setHorizontalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self._fitted_for: tuple[object, ...] = ()
        self._widths: list[int] = []
        self._wanted = 0

    def put(self, text: TableText) -> None:
        """Show a text."""
        self.rows.put(text)
        self.fit()

    def fit(self) -> None:
        """Row heights and column widths for the texts and type in use; measured only when these can have changed."""
        text = self.rows.text
        longest = tuple(max(map(len, column)) for column in zip(text.heads, *text.rows, strict=True))
        wanted = (text.heads, len(text.rows), longest, self.font().toString())
        if wanted == self._fitted_for or not text.heads:
            return
        self._fitted_for = wanted
        line, metrics = em(), self.fontMetrics()
        self.verticalHeader().setDefaultSectionSize(round(1.5 * line))
        highest = line
        self._widths.clear()
        for column, head in enumerate(text.heads):
            cells = max((metrics.horizontalAdvance(row[column]) for row in text.rows), default=0)
            width = max(cells, min(metrics.horizontalAdvance(head), WIDEST_HEAD * line)) + line
            wrapped = metrics.boundingRect(
                QRect(0, 0, width - line // 2, 100 * line),
                int(Qt.TextFlag.TextWordWrap | Qt.AlignmentFlag.AlignHCenter),
                head,
            )
            highest = max(highest, wrapped.height())
            self.setColumnHidden(column, False)
            self.horizontalHeader().resizeSection(column, width)
            self._widths.append(width)
        self.horizontalHeader().setFixedHeight(highest + line // 2)
        self._make_room()
        self.updateGeometry()

    def show_column(self, column: int) -> None:
        """Keep a column in sight, now and after a change of size."""
        self._wanted = column
        self._make_room()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Leave the symbols out where they would push the numbers out of sight."""
        super().resizeEvent(event)
        self._make_room()

    def _make_room(self) -> None:
        """Where the columns do not all fit, leave out the symbols; then all numbers but those of the wanted column."""
        room, first = self.viewport().width(), self.rows.text.words_columns
        narrow = sum(self._widths) > room
        narrower = narrow and sum(self._widths) - self._widths[SYMBOLS] > room
        for column in range(len(self._widths)):
            other = column >= first and column != self._wanted
            self.setColumnHidden(column, (narrow and column == SYMBOLS) or (narrower and other))

    def copied_text(self) -> str:
        """The selected rows, or all, as tab-separated text."""
        chosen = sorted(index.row() for index in self.selectionModel().selectedRows())
        return self.rows.text.tsv(chosen or None)

    def copy(self) -> None:
        """Put the selected rows, or all, on the clipboard."""
        QGuiApplication.clipboard().setText(self.copied_text())

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.matches(QKeySequence.StandardKey.Copy):
            self.copy()
        else:
            super().keyPressEvent(event)

    def sizeHint(self) -> QSize:
        rows = self.verticalHeader().length()
        bar = self.horizontalScrollBar().sizeHint().height()
        return QSize(30 * em(), self.horizontalHeader().height() + rows + bar + 4)

    def minimumSizeHint(self) -> QSize:
        return QSize(16 * em(), self.sizeHint().height())
