"""Text of others in the window: shown as it stands, never taken for markup.

Qt takes a text that looks like HTML for HTML: in labels, message boxes and tool tips. A case or a file's name could so
bring its own fonts and links, or fetch a picture.
"""

from __future__ import annotations

from html import escape

from PySide6 import QtGui
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel, QMessageBox, QWidget

from engcalc.words.foreign import visible_lines


def plain_label(text: str = "", parent: QWidget | None = None) -> QLabel:
    """A label that shows its text as it stands."""
    label = QLabel(parent)
    label.setTextFormat(Qt.TextFormat.PlainText)
    label.setText(text)
    return label


def tip(text: str) -> str:
    """A tool tip that shows ``text`` as it stands."""
    shown = visible_lines(text)
    return f"<span>{escape(shown)}</span>" if QtGui.Qt.mightBeRichText(shown) else shown


def plain_box(parent: QWidget, icon: QMessageBox.Icon, title: str, text: str) -> QMessageBox:
    """A message box that shows its text as it stands; buttons are for the caller to add."""
    box = QMessageBox(icon, visible_lines(title), "", QMessageBox.StandardButton.NoButton, parent)
    box.setTextFormat(Qt.TextFormat.PlainText)
    box.setText(visible_lines(text))
    return box
