"""Text of others in the window: shown as it stands, never taken for markup.

Qt takes a text that looks like HTML for HTML: in labels, message boxes and tool tips. A case or a file's name could so
bring its own fonts and links, or fetch a picture. Labels and boxes are therefore made here and nowhere else.
"""

from __future__ import annotations

from html import escape

from PySide6 import QtGui
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel, QMessageBox, QWidget

from engcalc.words.terms.foreign import visible_lines
from ui.window.shown import until_left


class PlainLabel(QLabel):
    """A label that shows its text as it stands, signs that draw nothing by their number."""

    def __init__(self, text: str = "", parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setTextFormat(Qt.TextFormat.PlainText)
        self.setText(text)

    def setText(self, text: str) -> None:
        """As Qt's."""
        super().setText(visible_lines(text))


def plain_label(text: str = "", parent: QWidget | None = None, *, tone: str = "") -> QLabel:
    """A label that shows its text as it stands; ``tone`` is one of the theme's."""
    label = PlainLabel(text, parent)
    if tone:
        label.setProperty("tone", tone)
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


def says_yes(parent: QWidget, title: str, text: str) -> bool:
    """Ask what is answered with yes or by leaving it; the text is shown as it stands."""
    choice = QMessageBox.StandardButton
    box = plain_box(parent, QMessageBox.Icon.Question, title, text)
    box.setStandardButtons(choice.Yes | choice.Cancel)
    box.setDefaultButton(choice.Cancel)
    return choice(until_left(box)) is choice.Yes
