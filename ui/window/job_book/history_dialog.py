"""The same vehicle before: its warm-ups laid over one another, what was found and replaced each time."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtWidgets import QDialogButtonBox, QWidget

from engcalc.units import UnitSystem
from engcalc.vehicle.earlier import EarlierVisit
from engcalc.words.diagnosis.history_words import HISTORY_PICTURE, READING_VISITS, history_lines, history_table
from engcalc.words.texts import job_book_texts
from reports.plots.registry import Screen
from ui.window.dialogs.background import Background, Stopped, WorkingDialog, in_words
from ui.window.dialogs.parts import size, words
from ui.window.results.card import PlaceCards
from ui.window.results.lines import Sentence, Sentences
from ui.window.results.table import TableText
from ui.window.rhythm import AROUND_A_DIALOG, BESIDE_A_BAR, upright
from ui.window.scrolled import Page, scrolled
from ui.window.views.tables import WideTable

WORDS_COLUMNS = 9  # all of them: numbers stand with their units


class HistoryDialog(WorkingDialog):
    """``ask`` gives the visits; it runs on a thread, for the logs of each are read and fitted. It is handed what says
    whether nobody waits for it any more."""

    def __init__(
        self, ask: Callable[[Stopped], Sequence[EarlierVisit]], system: UnitSystem, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle(HISTORY_PICTURE)
        self._system = system
        self._work = Background(self)
        self.said = words(READING_VISITS)
        self.pictures = PlaceCards(Screen.EARLIER)
        self.table = WideTable(job_book_texts.RECORDS_OF_THIS_VEHICLE)
        self.lines = Sentences("Visits")
        page = Page()
        column = upright(page, around=BESIDE_A_BAR)
        column.addWidget(self.said)
        for card in self.pictures.cards:
            column.addWidget(card)
        column.addWidget(self.table)
        column.addWidget(self.lines)
        column.addStretch(1)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        buttons.rejected.connect(self.reject)
        layout = upright(self, around=AROUND_A_DIALOG)
        layout.addWidget(scrolled(page, HISTORY_PICTURE), 1)
        layout.addWidget(buttons)
        size(self, 56, 42)
        self.pictures.show_none()
        self.table.hide()
        self._work.run_long(
            lambda _tell, stopped: ask(stopped), self._show, lambda error: self.said.setText(in_words(error))
        )

    def _show(self, visits: Sequence[EarlierVisit]) -> None:
        self.said.hide()
        self.pictures.show_pictures(visits, self._system)
        self.table.put(TableText(*history_table(visits, self._system), words_columns=WORDS_COLUMNS))
        self.table.setVisible(any(visit.runs for visit in visits))
        self.lines.show_sentences([Sentence(text) for text in history_lines(visits, self._system)])
