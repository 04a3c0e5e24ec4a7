"""A row of widgets that goes on in the next line where the width ends."""

from __future__ import annotations

from PySide6.QtCore import QPoint, QRect, QSize, Qt
from PySide6.QtWidgets import QLayout, QLayoutItem, QWidget

from ui.window.rhythm import Gap, keep_gaps


class WrappingRow(QLayout):
    """Lays its widgets side by side, and those that find no room beneath."""

    def __init__(self, parent: QWidget | None = None, *, headed: bool = False) -> None:
        """``headed``: the first widget is a label, and further lines begin behind it."""
        super().__init__(parent)
        self._headed = headed
        self._items: list[QLayoutItem] = []
        keep_gaps(self, across=Gap.HALF)

    def addItem(self, item: QLayoutItem) -> None:
        """Qt's hook."""
        self._items.append(item)

    def count(self) -> int:
        """Qt's hook."""
        return len(self._items)

    def itemAt(self, index: int) -> QLayoutItem | None:
        """Qt's hook; None beyond the end."""
        return self._items[index] if 0 <= index < len(self._items) else None

    def takeAt(self, index: int) -> QLayoutItem | None:
        """Qt's hook; None beyond the end."""
        return self._items.pop(index) if 0 <= index < len(self._items) else None

    def expandingDirections(self) -> Qt.Orientation:
        """Qt's hook: it takes no more than it needs."""
        return Qt.Orientation(0)

    def hasHeightForWidth(self) -> bool:
        """Qt's hook."""
        return True

    def heightForWidth(self, width: int) -> int:
        """Qt's hook."""
        return self._place(QRect(0, 0, width, 0), move=False)

    def setGeometry(self, rect: QRect) -> None:
        """Qt's hook."""
        super().setGeometry(rect)
        self._place(rect, move=True)

    def sizeHint(self) -> QSize:
        """Qt's hook."""
        return self.minimumSize()

    def minimumSize(self) -> QSize:
        """Qt's hook: the widest of its widgets, behind the label where there is one."""
        size = QSize(0, 0)
        for item in self._items:
            size = size.expandedTo(item.minimumSize())
        return QSize(size.width() + self._head_width(), size.height())

    def _head_width(self) -> int:
        """The room that further lines leave free at their beginning, where what stands beside it has room enough."""
        if not self._headed or not self._items:
            return 0
        return self._items[0].sizeHint().expandedTo(self._items[0].minimumSize()).width() + Gap.HALF.px

    def _place(self, rect: QRect, *, move: bool) -> int:
        """Put each widget in its place where asked to; the height that all lines take."""
        x, y, line = rect.x(), rect.y(), 0
        begin = rect.x() + self._head_width()
        for item in self._items:
            size = item.sizeHint()
            if x > begin and x + size.width() > rect.right() + 1:
                x, y, line = begin, y + line + Gap.HALF.px, 0
            if move:
                item.setGeometry(QRect(QPoint(x, y), size))
            x, line = x + size.width() + Gap.HALF.px, max(line, size.height())
        return y + line - rect.y()
