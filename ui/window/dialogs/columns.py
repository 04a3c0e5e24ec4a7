"""Saying which column of a log is what, where that was not recognised."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtWidgets import QDialog, QDialogButtonBox, QWidget

from engcalc.words.texts import dialog_texts, shared_texts
from ui.window.dialogs.parts import size, words
from ui.window.plain import plain_label
from ui.window.rhythm import AROUND_A_DIALOG, BESIDE_A_BAR, gridded, upright
from ui.window.scrolled import Page, scrolled
from ui.window.still_combo import LETTERS, StillCombo
from ui.window.views.logs import WHAT, LogLook, look

NOTHING = "not used"


class ColumnsDialog(QDialog):
    """A list of what each column may be. ``mapping`` holds what was said once it was accepted."""

    def __init__(self, found: LogLook, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle(f"Columns of {found.path.name}")
        self.found = found
        self.mapping: Mapping[str, str] = {}
        self._automatic = {column.name: column.key for column in look(found.path, {}).columns}
        self._lists: dict[str, StillCombo] = {}
        self._trouble = words(found.trouble, "error")
        self._trouble.setVisible(bool(found.trouble))
        page = Page()
        self._fill(page)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Ok | QDialogButtonBox.StandardButton.Cancel)
        buttons.button(QDialogButtonBox.StandardButton.Ok).setText("Use these")
        buttons.accepted.connect(self._accept)
        buttons.rejected.connect(self.reject)
        layout = upright(self, around=AROUND_A_DIALOG)
        layout.addWidget(words(dialog_texts.SAY_WHAT_THE_COLUMNS_HOLD))
        layout.addWidget(scrolled(page, shared_texts.COLUMNS_OF_THE_LOG), 1)
        layout.addWidget(self._trouble)
        layout.addWidget(buttons)
        size(self, 44, 30)

    def _fill(self, page: Page) -> None:
        grid = gridded(page, around=BESIDE_A_BAR)
        for at, head in enumerate(("Column", "Begins with", "Holds")):
            grid.addWidget(plain_label(head, tone="heading"), 0, at)
        for row, column in enumerate(self.found.columns, 1):
            choice = StillCombo(LETTERS)
            choice.setAccessibleName(f"{column.name} holds")
            choice.addItem(NOTHING, "")
            for key, label in WHAT.items():
                choice.addItem(label, key)
            choice.setCurrentIndex(max(choice.findData(column.key), 0))
            self._lists[column.name] = choice
            grid.addWidget(words(column.name), row, 0)
            grid.addWidget(words(", ".join(column.samples), "muted"), row, 1)
            grid.addWidget(choice, row, 2)
        grid.setRowStretch(len(self.found.columns) + 1, 1)
        for at in range(3):
            grid.setColumnStretch(at, 1)

    def chosen(self) -> dict[str, list[str]]:
        """Columns by what they were said to hold."""
        found: dict[str, list[str]] = {}
        for name, choice in self._lists.items():
            if choice.currentData():
                found.setdefault(str(choice.currentData()), []).append(name)
        return found

    def _accept(self) -> None:
        """Take it when the log reads with it; else say what is still in the way."""
        chosen = self.chosen()
        twice = [WHAT[key] for key, names in chosen.items() if len(names) > 1]
        if twice:
            self._say(dialog_texts.TWO_COLUMNS_CANNOT_BOTH_BE.format(twice=", ".join(twice)))
            return
        mapping = {key: names[0] for key, names in chosen.items() if self._automatic.get(names[0]) != key}
        read = look(self.found.path, mapping)
        if read.record is None:
            self._say(read.trouble)
        elif read.asks:
            self._say(dialog_texts.NO_COLUMN_HOLDS_THE_COOLANT_TEMPERATURE_YET)
        else:
            self.mapping = mapping
            self.accept()

    def _say(self, trouble: str) -> None:
        self._trouble.setText(trouble)
        self._trouble.setVisible(bool(trouble))
