"""Jobs of the book in a list that narrows while somebody types."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QListWidget, QListWidgetItem, QWidget

from engcalc.errors import HeatdocketError
from engcalc.words.texts import job_book_texts
from engcalc.words.workshop.book_words import JOBS_FOUND, NO_OPEN_JOB, NONE_FOUND, job_lines
from ui.book.jobs import JobLine
from ui.window.accessible import tie
from ui.window.dialogs.background import in_words
from ui.window.dialogs.parts import LabelledLine, words
from ui.window.plain import plain_label
from ui.window.rhythm import Gap, em, upright

Find = Callable[[str], tuple[JobLine, ...]]


class JobList(QWidget):
    """A search line over a list of jobs. ``chosen`` carries the number of the job that is to be opened.

    Without a word it shows what ``find`` gives for the empty text, under ``title``; with words the jobs that
    have them, open or closed.
    """

    chosen = Signal(int)

    def __init__(self, find: Find, title: str, *, lines: int = 6) -> None:
        super().__init__()
        self._find = find
        self.search = LabelledLine(job_book_texts.SEARCH_LABEL, help_text=job_book_texts.SEARCH_HELP)
        self.search.line.setClearButtonEnabled(True)
        self.list = QListWidget()
        self.list.setAlternatingRowColors(True)
        self.list.setWordWrap(True)
        self.list.setMinimumHeight(lines * 2 * em())
        self._title = title
        self.head = plain_label(title, tone="step title")
        self.said = words(tone="muted")
        column = upright(self, between=Gap.HALF)
        for widget in (self.head, self.search, self.list, self.said):
            column.addWidget(widget)
        self.search.line.textChanged.connect(lambda _text: self.refresh())
        self.search.line.returnPressed.connect(self.open_first)
        self.list.itemActivated.connect(self._open)
        self.refresh()

    @property
    def job(self) -> int | None:
        """The job that the list marks; None where it marks none."""
        item = self.list.currentItem()
        return None if item is None else int(item.data(Qt.ItemDataRole.UserRole))

    def refresh(self) -> None:
        """Show the jobs that have the words."""
        self.list.clear()
        typed = self.search.text.strip()
        title = JOBS_FOUND if typed else self._title
        self.head.setText(title)
        tie(self.head, self.list, title)
        try:
            found = self._find(typed)
        except HeatdocketError as error:
            self._say(in_words(error))
            return
        for line in found:
            item = QListWidgetItem("\n".join(job_lines(line.job, line.day, line.state, _who(line), line.complaint)))
            item.setData(Qt.ItemDataRole.UserRole, line.job)
            self.list.addItem(item)
        self._say("" if found else NONE_FOUND if typed else NO_OPEN_JOB)

    def open_first(self) -> None:
        """Open the marked job, or the first of the list."""
        job = self.job
        if job is None and self.list.count():
            job = int(self.list.item(0).data(Qt.ItemDataRole.UserRole))
        if job is not None:
            self.chosen.emit(job)

    def _open(self, item: QListWidgetItem) -> None:
        self.chosen.emit(int(item.data(Qt.ItemDataRole.UserRole)))

    def _say(self, text: str) -> None:
        self.said.setText(text)
        self.said.setVisible(bool(text))


def _who(line: JobLine) -> tuple[str, ...]:
    return tuple(text for text in (line.registration, line.vehicle, line.customer) if text)
