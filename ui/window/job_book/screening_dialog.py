"""Many logs screened from the window: which, how far it is, stop and go on, vehicles in order, one of them opened."""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path
from threading import Event

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QCheckBox, QDialogButtonBox, QFileDialog, QProgressBar, QWidget

from engcalc.case.file import SUFFIX
from engcalc.errors import HeatdocketError
from engcalc.words.terms.foreign import visible, visible_lines
from engcalc.words.texts import job_book_texts, shared_texts
from engcalc.words.workshop.screening_words import (
    BOOK_IN_SCREENING,
    GOES_ON,
    MARK_A_VEHICLE,
    NO_FOLDER_CHOSEN,
    NO_LOGS_CHOSEN,
    SCREENING,
    SCREENING_INTRO,
    STOPPING,
    WINDOW_HEADS,
    progress_line,
    time_left,
    window_row,
)
from ui.screening.asked import (
    ScreeningAsked,
    ScreeningFound,
    case_of_vehicle,
    job_of_vehicle,
    judge_all,
    known_before,
    write_found,
)
from ui.screening.run import Screened
from ui.window.dialogs.background import Background, Stopped, Tell, WorkingDialog
from ui.window.dialogs.export import PRESS
from ui.window.dialogs.parts import PlaceEntry, ask_open, button, right, say_faults, size, words
from ui.window.results.table import TableText
from ui.window.rhythm import AROUND_A_DIALOG, BESIDE_A_BAR, upright
from ui.window.scrolled import Page, scrolled
from ui.window.views.tables import WideTable

CASE_KINDS = shared_texts.CASE_KINDS.format(suffix=SUFFIX)


def ask_folder(title: str) -> Callable[[QWidget, str], str]:
    """A question for a folder."""
    return lambda parent, now: QFileDialog.getExistingDirectory(parent, title, now)


class ScreeningDialog(WorkingDialog):
    """Asks, runs and shows a screening. ``case_wanted`` carries the case of a vehicle to be opened, ``job_wanted`` its
    job where the book has one. ``workers``: processes, None for one each core."""

    case_wanted = Signal(object)
    job_wanted = Signal(int)

    def __init__(self, book: Path | None, parent: QWidget | None = None, workers: int | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle(SCREENING)
        self._book, self._workers = book, workers
        self._work = Background(self)
        self._stop = Event()
        self.found: ScreeningFound | None = None
        self._make_entries()
        self._lay()
        self._work.busy_changed.connect(self._busy)
        self._work.progressed.connect(lambda share: self.progress.setValue(round(100.0 * share)))
        self._work.came_early.connect(self.said.setText)
        self._busy(False)

    def _make_entries(self) -> None:
        self.logs = PlaceEntry("Folder of &logs", ask_folder(job_book_texts.FOLDER_OF_LOGS), "Folder of logs")
        self.use_book = QCheckBox(job_book_texts.USE_THE_JOB_BOOK_WITH_KEY)
        self.use_book.setEnabled(self._book is not None)
        self.case = PlaceEntry(
            job_book_texts.CASE_THAT_SAYS_WHAT_THE_OTHER_VEHICLES_ARE_WITH_KEY,
            ask_open(job_book_texts.CASE_OF_SUCH_A_VEHICLE, CASE_KINDS),
            job_book_texts.CASE_OF_SUCH_A_VEHICLE_SHORT,
        )
        self.out = PlaceEntry(
            job_book_texts.FOLDER_FOR_WHAT_IS_FOUND_WITH_KEY,
            ask_folder(job_book_texts.FOLDER_FOR_TABLE),
            job_book_texts.FOLDER_FOR_WHAT_IS_FOUND,
        )
        self.out.line.textChanged.connect(lambda _text: self._tell_earlier())
        self.start = button("&Screen", main=True)
        self.start.clicked.connect(self.run)
        self.stop = button("S&top")
        self.stop.clicked.connect(self.end_early)
        self.progress = QProgressBar()
        self.progress.setRange(0, 100)
        self.progress.setAccessibleName(job_book_texts.HOW_FAR_THE_SCREENING_IS)
        self.said, self.wrong = words(), words(tone="error")
        self.table = WideTable(job_book_texts.VEHICLES_BY_WHAT_TO_LOOK_AT_FIRST)
        self.table.selectionModel().selectionChanged.connect(lambda *_: self._enable())
        self.table.doubleClicked.connect(lambda _index: self.open_vehicle())
        self.open_button = button("&Open this vehicle")
        self.open_button.clicked.connect(self.open_vehicle)
        self.told = words()

    def _lay(self) -> None:
        page = Page()
        column = upright(page, around=BESIDE_A_BAR)
        column.addWidget(words(SCREENING_INTRO, "muted"))
        for widget in (
            self.logs,
            self.use_book,
            words(BOOK_IN_SCREENING, "muted"),
            self.case,
            self.out,
            right(self.stop, self.start),
        ):
            column.addWidget(widget)
        for widget in (self.progress, self.said, self.wrong, right(self.open_button), self.table, self.told):
            column.addWidget(widget)
        column.addStretch(1)
        for widget in (self.progress, self.wrong, self.table, self.open_button):
            widget.hide()
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        buttons.rejected.connect(self.reject)
        layout = upright(self, around=AROUND_A_DIALOG)
        layout.addWidget(scrolled(page, SCREENING), 1)
        layout.addWidget(buttons)
        size(self, 70, 44)

    # ---- running ----------------------------------------------------------------------------------------------------

    def run(self) -> None:
        """Screen what stands chosen; where an earlier run was stopped it goes on."""
        asked = self._asked()
        if asked is None:
            return
        self.wrong.hide()
        self._stop = Event()
        self._work.run_long(lambda tell, stopped: self._screened(asked, tell, stopped), self._show, self._failed)

    def _asked(self) -> ScreeningAsked | None:
        """What stands chosen; None where something is missing, which is said beneath its line."""
        book = self._book if self.use_book.isChecked() else None
        logs, out = self.logs.path, self.out.path
        if logs is None and book is None:
            self.logs.say(NO_LOGS_CHOSEN)
        if out is None:
            self.out.say(NO_FOLDER_CHOSEN)
        if out is None or (logs is None and book is None):
            return None
        return ScreeningAsked(() if logs is None else (logs,), out, book, self.case.path, self._workers)

    def _screened(self, asked: ScreeningAsked, tell: Tell, stopped: Stopped) -> ScreeningFound:
        """On the thread: the whole run."""
        begun, stop = time.monotonic(), self._stop

        def one_more(done: int, total: int, screened: Screened) -> None:
            left = time_left(time.monotonic() - begun, done, total)
            tell(done / total)
            tell.early(progress_line(done, total, visible(screened.source.name), left))

        found = judge_all(asked, one_more, stopped=lambda: stop.is_set() or stopped())
        with PRESS:
            write_found(found)
        return found

    def end_early(self) -> None:
        """Judge no more logs; those in hand are finished, and what was judged is shown."""
        self._stop.set()
        self.stop.setEnabled(False)
        self.said.setText(STOPPING)

    def _show(self, found: ScreeningFound) -> None:
        self.found = found
        rows = tuple(_cells(window_row(rank, one)) for rank, one in enumerate(found.vehicles, 1))
        self.table.put(TableText(WINDOW_HEADS, rows, words_columns=len(WINDOW_HEADS)))
        self.table.setVisible(bool(rows))
        self.open_button.setVisible(bool(rows))
        self.told.setText(visible_lines("\n".join([*found.lines, str(found.asked.out)])))
        self.said.setText(MARK_A_VEHICLE if rows else "")
        self._enable()

    def _failed(self, error: Exception) -> None:
        self.said.setText("")
        say_faults(error, {"LOGS": self.logs}, self.wrong)

    def _tell_earlier(self) -> None:
        out = self.out.path
        self.said.setText(GOES_ON if out is not None and known_before(out) else "")

    def _busy(self, busy: bool) -> None:
        self.progress.setVisible(busy)
        self.progress.reset()
        for widget in (self.logs, self.case, self.out, self.start):
            widget.setEnabled(not busy)
        self.use_book.setEnabled(not busy and self._book is not None)
        self.stop.setEnabled(busy)
        self._enable()

    # ---- one vehicle ------------------------------------------------------------------------------------------------

    def _marked(self) -> int | None:
        """The rank of the vehicle that the table marks."""
        rows = self.table.selectionModel().selectedRows()
        return rows[0].row() + 1 if rows else None

    def _enable(self) -> None:
        self.open_button.setEnabled(not self._work.busy and self._marked() is not None)

    def open_vehicle(self) -> None:
        """Open the marked vehicle: its job where the book has one, else a case of it with its newest log."""
        found, rank = self.found, self._marked()
        if found is None or rank is None or self._work.busy:
            return
        try:
            job = job_of_vehicle(found, rank)
            case = case_of_vehicle(found, rank) if job is None else None
        except HeatdocketError as error:
            self._failed(error)
            return
        self.accept()
        if case is None:
            self.job_wanted.emit(job)
        else:
            self.case_wanted.emit(case)


def _cells(row: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(visible(cell) for cell in row)
