"""What the window does with the job book: opens a job, keeps a case, asks how a job ended, tells how honest it was."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject

from engcalc.errors import HeatdocketError
from engcalc.words.texts import job_book_texts, window_texts
from ui.window.main_window import MainWindow
from ui.window.shown import until_left

if TYPE_CHECKING:
    from reports.build import ExportedReport


class JobBookActions(QObject):
    """The job book of a window. The dialogs are imported when they are first asked for."""

    def __init__(self, window: MainWindow) -> None:
        super().__init__(window)
        self._window = window
        window.saved.connect(self.keep_again)
        window.report_written.connect(self.keep_report)
        window.job_wanted.connect(self.open_job)
        window.book_wanted.connect(self.job_book)
        window.outcome_wanted.connect(self.how_it_ended)

    def job_book(self) -> None:
        """Choose or make the book, and all that is done with it as a whole."""
        from ui.window.job_book.book_dialog import BookDialog

        dialog = BookDialog(self._window.settings, self._window)
        dialog.changed.connect(self._window.book_changed)
        until_left(dialog)

    def find_job(self) -> None:
        """Find a job by any word, open or closed, and open its case."""
        from ui.window.job_book.find_dialog import FindDialog

        book = self._window.book
        if book is None:
            self.job_book()
            return
        dialog = FindDialog(book.find, self._window)
        until_left(dialog)
        job = dialog.job
        if job is not None:
            self.open_job(job)

    def open_job(self, job: int) -> None:
        """Open the newest case of a job."""
        book = self._window.book
        if book is None:
            return
        try:
            case, said = book.lay_out(job)
        except HeatdocketError as error:
            self._refused(job_book_texts.THIS_JOB_CANNOT_BE_OPENED, error)
            return
        if self._window.open_path(case) and said:
            self._window.tell(said, stays=True)

    def keep(self) -> int | None:
        """Keep the open case in the book; the number of its job. None where it was not kept."""
        window, book = self._window, self._window.book
        document = window.document
        if document is None:
            return None
        if book is None:
            window.prompts.tell(window, "No job book", window_texts.NO_JOB_BOOK_IS_IN_USE_YET)
            self.job_book()
            return None
        if (document.dirty or document.path is None) and not window.save():
            from engcalc.words.workshop.book_words import SAVE_FIRST

            window.tell(SAVE_FIRST)
            return None
        assert document.path is not None  # it was saved
        return self._kept(document.path)

    def keep_again(self, path: Path) -> None:
        """A case was saved: one that the book has goes into it as it is now."""
        book = self._window.book
        if book is None:
            return
        try:
            known = book.is_known(path)
        except HeatdocketError:
            return  # the case itself is saved; the book says why when somebody asks something of it
        if known:
            self._kept(path)

    def keep_report(self, exported: ExportedReport) -> None:
        """A report was written: a signed one goes into the book with its case, now or once that is kept."""
        window, book = self._window, self._window.book
        workspace = window.workspace
        if workspace is None or not exported.signed:
            return
        workspace.signed.append(exported.path)
        case = workspace.document.path
        if book is not None and case is not None and book.is_known(case):
            self._kept(case)

    def _kept(self, path: Path) -> int | None:
        window, book = self._window, self._window.book
        assert book is not None  # asked before
        workspace = window.workspace
        found = None if workspace is None else workspace.side.current_causes()
        try:
            kept = book.keep(path, found, () if workspace is None else tuple(workspace.signed))
        except HeatdocketError as error:
            self._refused(job_book_texts.CASE_WAS_NOT_KEPT_IN_THE_JOB_BOOK, error)
            return None
        window.tell(" ".join(kept.said))
        return kept.job

    def how_it_ended(self) -> None:
        """Ask how the job of the open case ended; the case and its odds are kept first."""
        from engcalc.words.workshop.book_words import ODDS_FIRST
        from ui.window.job_book.outcome_dialog import OutcomeDialog

        window = self._window
        job = self.keep()
        book, workspace = window.book, window.workspace
        if job is None or book is None or workspace is None:
            return
        found = workspace.side.current_causes()
        try:
            earlier = book.outcomes(job)
        except HeatdocketError as error:
            self._refused(job_book_texts.JOB_BOOK_CANNOT_BE_READ, error)
            return
        dialog = OutcomeDialog(
            job,
            [] if found is None else [cause.fault for cause in found.causes],
            earlier,
            lambda outcome: book.record(job, outcome),
            note="" if found is not None else ODDS_FIRST,
            replaced=workspace.document.text.typed("job.work_done"),
            parent=window,
        )
        until_left(dialog)
        if dialog.said:
            window.tell(dialog.said, stays=True)
            window.book_changed()

    def all_kept(self) -> None:
        """Everything that the book keeps of the job of the open case; its reports are verified anew."""
        from ui.window.dialogs.plain_text import PlainTextDialog

        window, book = self._window, self._window.book
        if book is None:
            self.job_book()
            return
        document = window.document
        try:
            job = None if document is None else book.job_of(document.path)
            lines = [] if job is None else book.page(job)
        except HeatdocketError as error:
            self._refused(job_book_texts.JOB_BOOK_CANNOT_BE_READ, error)
            return
        if job is None:
            window.tell(job_book_texts.THIS_CASE_IS_NOT_IN_THE_JOB_BOOK)
            return
        title = job_book_texts.ALL_THAT_IS_KEPT_OF_JOB.format(job=job)
        until_left(PlainTextDialog(window, title, "\n".join(lines)))

    def vehicle_before(self) -> None:
        """The visits of the open case's vehicle, their warm-ups laid over one another."""
        from ui.window.job_book.history_dialog import HistoryDialog

        window, job = self._window, self.keep()
        book = window.book
        if job is None or book is None:
            return
        dialog = HistoryDialog(lambda stopped: book.history(job, cancelled=stopped), window.settings.system, window)
        until_left(dialog)

    def honesty(self) -> None:
        """How many of the claims came true on the workshop's own jobs."""
        from ui.window.job_book.honesty_dialog import HonestyDialog

        window, book = self._window, self._window.book
        if book is None:
            self.job_book()
            return
        try:
            found, counts = book.honesty()
        except HeatdocketError as error:
            self._refused(job_book_texts.JOB_BOOK_CANNOT_BE_READ, error)
            return
        dialog = HonestyDialog(found, counts, window.settings, window)
        until_left(dialog)

    def screening(self) -> None:
        """Screen many logs, and open one of the vehicles."""
        from ui.window.job_book.screening_dialog import ScreeningDialog

        window = self._window
        dialog = ScreeningDialog(window.settings.book, window)
        dialog.case_wanted.connect(window.open_path)
        dialog.job_wanted.connect(self.open_job)
        until_left(dialog)

    def _refused(self, title: str, error: HeatdocketError) -> None:
        self._window.prompts.tell(self._window, title, str(error))
