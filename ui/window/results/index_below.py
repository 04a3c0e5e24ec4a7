"""A symbol's index below the line, where Unicode has no letters for it: in cells of a table and in text to read."""

from __future__ import annotations

from html import escape

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QPointF
from PySide6.QtGui import QFontMetricsF, QPainter, QPalette
from PySide6.QtWidgets import QApplication, QStyle, QStyledItemDelegate, QStyleOptionViewItem

from ui.window import rhythm

LOWER = 0.25  # by so much of the letter's height the index stands below its line


def with_index(symbol: str) -> str:
    """A symbol for text to read, in Markdown or HTML.

    >>> with_index("T_h,in"), with_index("NTU")
    ('T<sub>h,in</sub>', 'NTU')
    """
    letter, line, index = symbol.partition("_")
    return f"{escape(letter)}<sub>{escape(index)}</sub>" if line else escape(letter)


class IndexBelow(QStyledItemDelegate):
    """Draws cells of symbols such as ``T_h,in``; what is copied or read aloud stays as the model has it."""

    def paint(
        self, painter: QPainter, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> None:
        """The cell as any other, its text in two sizes."""
        cell = QStyleOptionViewItem(option)
        self.initStyleOption(cell, index)
        letter, _, below = cell.text.partition("_")
        style = cell.widget.style() if cell.widget else QApplication.style()
        place = style.subElementRect(QStyle.SubElement.SE_ItemViewItemText, cell, cell.widget)
        cell.text = ""
        style.drawControl(QStyle.ControlElement.CE_ItemViewItem, cell, painter, cell.widget)
        selected = bool(cell.state & QStyle.StateFlag.State_Selected)
        colour = QPalette.ColorRole.HighlightedText if selected else QPalette.ColorRole.Text
        metrics = QFontMetricsF(cell.font)
        gap = style.pixelMetric(QStyle.PixelMetric.PM_FocusFrameHMargin, None, cell.widget) + 1
        start = QPointF(place.left() + gap, place.center().y() + (metrics.ascent() - metrics.descent()) / 2.0)
        painter.save()
        painter.setClipRect(cell.rect)
        painter.setPen(cell.palette.color(colour))
        painter.setFont(cell.font)
        painter.drawText(start, letter)
        painter.setFont(rhythm.index_type(cell.font))
        painter.drawText(start + QPointF(metrics.horizontalAdvance(letter), LOWER * metrics.ascent()), below)
        painter.restore()
