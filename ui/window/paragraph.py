"""Words that wrap and can be copied from: the one way to stand running text in the window."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel, QSizePolicy


def paragraph(name: str = "", tone: str = "", text: str = "") -> QLabel:
    """A label that wraps, shows its text as it is and can be copied from; ``tone`` is one of the theme's."""
    label = QLabel(text)
    label.setWordWrap(True)
    label.setTextFormat(Qt.TextFormat.PlainText)
    label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse
                                  | Qt.TextInteractionFlag.TextSelectableByKeyboard)
    label.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Minimum)
    if name:
        label.setAccessibleName(name)
    if tone:
        label.setProperty("tone", tone)
    return label
