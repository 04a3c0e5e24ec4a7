"""Which record of the case is looked at: as it was found, or after the repair."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QButtonGroup, QPushButton, QWidget

from engcalc.vehicle.run import RECORDS
from engcalc.words.answer.warmup_words import TITLES
from ui.window.rhythm import Gap, sideways


class RecordChoice(QWidget):
    """Two buttons, one of them down."""

    chosen = Signal()

    def __init__(self) -> None:
        super().__init__()
        row = sideways(self, between=Gap.NONE)
        self._group = QButtonGroup(self)
        for number, name in enumerate(RECORDS):
            button = QPushButton(TITLES[name])
            button.setCheckable(True)
            button.setChecked(number == 0)
            button.setProperty("tone", "choice")
            button.setAccessibleName(f"Record: {TITLES[name]}")
            self._group.addButton(button, number)
            row.addWidget(button)
        row.addStretch(1)
        self._group.idClicked.connect(lambda _number: self.chosen.emit())

    def choose(self, record: str) -> None:
        """Put the button of this record down; nobody is told."""
        self._group.button(RECORDS.index(record)).setChecked(True)

    @property
    def record(self) -> str:
        """The record that is chosen, by its key in the case."""
        return RECORDS[self._group.checkedId()]
