"""The button that puts a lap of a data logger into the duties."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFileDialog, QPushButton, QWidget

from engcalc.errors import InputError
from ui.window.form.binding import Binding
from ui.window.form.fields import words
from ui.window.plain import tip
from ui.window.rhythm import Gap, upright

LAPS = "Laps (*.csv *.tsv *.txt);;All files (*)"
HOW = (
    "A CSV file with time [s], speed [km/h], throttle [%] and, where it was logged, engine speed [rpm]. It becomes "
    "six duties that go round, with the air of the duty above them."
)
FIRST_MEND = "First mend what is marked in the form: the lap's power comes from the engine."


def ask_lap(parent: QWidget, folder: str) -> str:
    """Ask which file holds the lap."""
    return QFileDialog.getOpenFileName(parent, "Choose a lap", folder, LAPS)[0]


class LapButton(QWidget):
    """Reads a lap and adds its duties as one step; what is wrong with the file is said below."""

    def __init__(self, binding: Binding, ask: Callable[[QWidget, str], str] = ask_lap) -> None:
        super().__init__()
        self._binding, self._ask = binding, ask
        column = upright(self, between=Gap.HALF)
        self.button = QPushButton("A lap from a file...")
        self.button.setToolTip(tip(HOW))
        self.button.setAccessibleDescription(HOW)
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
            self._say(FIRST_MEND)
            return
        from engcalc.studies.lap_file import read_lap, with_lap  # when first asked for, to keep the start short

        try:
            changed = with_lap(document.text, case, read_lap(path), path.stem)
        except InputError as error:
            self._say("\n".join(str(fault) for fault in error.faults))
            return
        self._say("")
        document.take_text(changed, "Add a lap from a file")

    def _chosen(self) -> None:
        chosen = self._ask(self, str(self._binding.document.folder or ""))
        if chosen:
            self.add_lap(Path(chosen))

    def _say(self, said: str) -> None:
        self.wrong.setText(said)
        self.wrong.setVisible(bool(said))
