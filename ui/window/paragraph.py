"""Words that wrap and can be copied from: the one way to stand running text in the window."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel, QSizePolicy

from engcalc.units import unbroken
from engcalc.words.terms.foreign import visible_lines


class Paragraph(QLabel):
    """A label whose lines never end between a number and its unit; ``text`` is what was set."""

    def __init__(self, text: str = "") -> None:
        super().__init__()
        self.setText(text)

    def setText(self, text: str) -> None:
        """As Qt's."""
        self._text = text
        super().setText(unbroken(visible_lines(text)))

    def text(self) -> str:
        """As Qt's."""
        return self._text


def paragraph(name: str = "", tone: str = "", text: str = "") -> QLabel:
    """A label that wraps, shows its text as it is and can be copied from; ``tone`` is one of the theme's."""
    label = Paragraph(text)
    label.setWordWrap(True)
    label.setTextFormat(Qt.TextFormat.PlainText)
    label.setTextInteractionFlags(
        Qt.TextInteractionFlag.TextSelectableByMouse | Qt.TextInteractionFlag.TextSelectableByKeyboard
    )
    label.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Minimum)
    if name:
        label.setAccessibleName(name)
    if tone:
        label.setProperty("tone", tone)
    return label
