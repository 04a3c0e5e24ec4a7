"""One line beside a reading: what is read by hand at a stop, typed in short and taken with the moment's time."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QLineEdit, QWidget

from engcalc.words.texts import view_texts
from ui.window.plain import plain_label, tip
from ui.window.rhythm import sideways


class ByHandLine(QWidget):
    """A line that is sent by Enter; whoever takes it clears it."""

    typed = Signal(str)

    def __init__(self) -> None:
        super().__init__()
        self.line = QLineEdit()
        self.line.setPlaceholderText(view_texts.SUCH_AS_UPPER_HOSE_60)
        self.line.setAccessibleName(view_texts.READ_BY_HAND_AT_A_STOP)
        self.line.setToolTip(tip(view_texts.WHAT_CAN_BE_TYPED))
        self.line.returnPressed.connect(self._send)
        row = sideways(self)
        label = plain_label(view_texts.READ_BY_HAND)
        label.setBuddy(self.line)
        row.addWidget(label)
        row.addWidget(self.line, 1)

    def _send(self) -> None:
        line = self.line.text().strip()
        if line:
            self.typed.emit(line)
