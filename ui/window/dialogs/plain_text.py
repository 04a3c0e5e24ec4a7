"""Plain text to read and to copy: the about page, the report of crashes."""

from __future__ import annotations

from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QDialog, QDialogButtonBox, QPlainTextEdit, QWidget

from engcalc.words.terms.foreign import visible_lines
from ui.window.dialogs.parts import size, words
from ui.window.rhythm import AROUND_A_DIALOG, upright


class PlainTextDialog(QDialog):
    """A text with a button that copies all of it; ``said`` stands above it."""

    def __init__(self, parent: QWidget, title: str, text: str, said: str = "") -> None:
        super().__init__(parent)
        self.setWindowTitle(title)
        self.text = QPlainTextEdit(visible_lines(text))
        self.text.setReadOnly(True)
        self.text.setTabChangesFocus(True)
        self.text.setAccessibleName(title)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        buttons.rejected.connect(self.reject)
        self.copy = buttons.addButton("&Copy", QDialogButtonBox.ButtonRole.ActionRole)
        self.copy.clicked.connect(lambda: QGuiApplication.clipboard().setText(self.text.toPlainText()))
        self.copy.setEnabled(bool(text))
        column = upright(self, around=AROUND_A_DIALOG)
        above = words(said)
        above.setVisible(bool(said))
        self.text.setVisible(bool(text))
        column.addWidget(above)
        column.addWidget(self.text, 1)
        if not text:
            column.addStretch(1)
        column.addWidget(buttons)
        self.copy.setAutoDefault(False)  # the box would make its first button the default one
        buttons.button(QDialogButtonBox.StandardButton.Close).setDefault(True)  # return closes what was only read
        size(self, 46, 30 if text else 10)
