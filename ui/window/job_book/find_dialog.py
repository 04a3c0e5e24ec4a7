"""Finds a job by any word."""

from __future__ import annotations

from PySide6.QtWidgets import QDialog, QDialogButtonBox, QWidget

from engcalc.words.workshop.book_words import EVERY_JOB
from ui.window.dialogs.parts import size
from ui.window.job_book.job_list import Find, JobList
from ui.window.rhythm import AROUND_A_DIALOG, upright


class FindDialog(QDialog):
    """``job`` is the number of the job to open, once accepted; else None."""

    def __init__(self, find: Find, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Find a job")
        self.job: int | None = None
        self.jobs = JobList(find, EVERY_JOB, lines=8)
        self.jobs.chosen.connect(self.take)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Open | QDialogButtonBox.StandardButton.Close)
        buttons.accepted.connect(self.jobs.open_first)
        buttons.rejected.connect(self.reject)
        column = upright(self, around=AROUND_A_DIALOG)
        column.addWidget(self.jobs, 1)
        column.addWidget(buttons)
        size(self, 44, 34)
        self.jobs.search.line.setFocus()

    def take(self, job: int) -> None:
        """This job it is."""
        self.job = job
        self.accept()
