"""The button that puts a usual duty among the duties."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QMenu, QPushButton, QWidget

from engcalc.words.sizing.ready_words import READY_BUTTON, READY_HOW, READY_LABELS
from engcalc.words.texts import form_texts
from ui.window.form.binding import Binding
from ui.window.form.fields import words
from ui.window.plain import tip
from ui.window.rhythm import Gap, upright


class ReadyButton(QWidget):
    """A menu of usual duties; the chosen one is added as one step."""

    def __init__(self, binding: Binding) -> None:
        super().__init__()
        self._binding = binding
        column = upright(self, between=Gap.HALF)
        self.button = QPushButton(READY_BUTTON)
        self.button.setToolTip(tip(READY_HOW))
        self.button.setAccessibleDescription(READY_HOW)
        self.menu = QMenu(self.button)
        for word, label in READY_LABELS.items():
            self.menu.addAction(label).triggered.connect(partial(self._chosen, word))
        self.button.setMenu(self.menu)
        self.wrong = words("", "error")
        self.wrong.setVisible(False)
        column.addWidget(self.button, 0, Qt.AlignmentFlag.AlignLeft)
        column.addWidget(self.wrong)

    def add_duty(self, word: str) -> None:
        """Add the duties of this word; one step that undo takes back."""
        document = self._binding.document
        case = None if document.faults else document.good
        self.wrong.setText(form_texts.FIRST_MEND if case is None else "")
        self.wrong.setVisible(case is None)
        if case is None:
            return
        from engcalc.studies.duties.ready_duties import with_ready  # when first asked for, to keep the start short

        document.take_text(with_ready(document.text, case, word), form_texts.ADD_A_USUAL_DUTY)

    def _chosen(self, word: str, _checked: bool = False) -> None:
        self.add_duty(word)
