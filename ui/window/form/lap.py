"""The button that puts a lap of a data logger into the duties."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFileDialog, QPushButton, QWidget

from engcalc.errors import InputError
from engcalc.words.answer.input_words import fault_words
from engcalc.words.texts import form_texts
from ui.window.form.binding import Binding
from ui.window.form.fields import words
from ui.window.plain import tip
from ui.window.rhythm import Gap, upright


def ask_lap(parent: QWidget, folder: str) -> str:
    """Ask which file holds the lap."""
    return QFileDialog.getOpenFileName(parent, "Choose a lap", folder, form_texts.LAPS_CSV_TSV_TXT_ALL_FILES)[0]


class LapButton(QWidget):
    """Reads a lap and adds its duties as one step; what is wrong with the file is said below."""

    def __init__(self, binding: Binding, ask: Callable[[QWidget, str], str] = ask_lap) -> None:
        super().__init__()
        self._binding, self._ask = binding, ask
        column = upright(self, between=Gap.HALF)
        self.button = QPushButton(form_texts.LAP_FROM_A_FILE)
        self.button.setToolTip(tip(form_texts.CSV_FILE_WITH_TIME_S))
        self.button.setAccessibleDescription(form_texts.CSV_FILE_WITH_TIME_S)
        self.button.clicked.connect(self._chosen)
        self.wrong = words("", "error")
        self.wrong.setVisible(False)
        column.addWidget(self.button, 0, Qt.AlignmentFlag.AlignLeft)
        column.addWidget(self.wrong)

    def add_lap(self, path: Path) -> None:
        """Add the duties of a lap; one step that undo takes back."""
        document = self._binding.document
        case = None if document.faults else document.good
        if case is None:
            self._say(form_texts.FIRST_MEND)
            return
        from engcalc.studies.duties.lap_file import read_lap, with_lap  # when first asked for, to keep the start short

        try:
            changed = with_lap(document.text, case, read_lap(path), path.stem)
        except InputError as error:
            self._say("\n".join(fault_words(fault) for fault in error.faults))
            return
        self._say("")
        document.take_text(changed, form_texts.ADD_A_LAP_FROM_A_FILE)

    def _chosen(self) -> None:
        chosen = self._ask(self, str(self._binding.document.folder or ""))
        if chosen:
            self.add_lap(Path(chosen))

    def _say(self, said: str) -> None:
        self.wrong.setText(said)
        self.wrong.setVisible(bool(said))
