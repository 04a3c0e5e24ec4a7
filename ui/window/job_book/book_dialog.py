"""The job book itself: where it lies, whose base rates count, folders in and out, a copy, a customer taken out."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QStringListModel, Qt, QTimer, Signal
from PySide6.QtWidgets import QCheckBox, QCompleter, QDialogButtonBox, QFileDialog, QLineEdit, QMessageBox, QWidget

from engcalc.causes.counted_rates import OUTSIDE_WEIGHT
from engcalc.errors import HeatdocketError
from engcalc.words.terms.foreign import visible
from engcalc.words.texts import job_book_texts
from engcalc.words.workshop.book_words import AT_WORK, BOOK_INTRO, FORGETTING, OUTCOMES_TOLD, OWN_RATES_TOLD
from ui.book.in_use import BookInUse
from ui.book.store import SUFFIX
from ui.window.dialogs.background import Background, WorkingDialog, in_words
from ui.window.dialogs.parts import LabelledLine, PlaceEntry, ask_open, ask_save, button, say_faults, size, words
from ui.window.dialogs.plain_text import PlainTextDialog
from ui.window.plain import plain_box
from ui.window.rhythm import AROUND_A_DIALOG, BESIDE_A_BAR, sideways, upright
from ui.window.scrolled import Page, scrolled
from ui.window.settings import Settings
from ui.window.shown import until_left

if TYPE_CHECKING:
    from reports.identity import Identity

KINDS = f"Job books (*{SUFFIX})"
Choose = Callable[[QWidget, str], str]


def choose_book(parent: QWidget, now: str) -> str:
    """Ask for the file of a job book, one that is there or a new one."""
    option = QFileDialog.Option.DontConfirmOverwrite  # a book that is there is opened, never written over
    chosen = QFileDialog.getSaveFileName(parent, job_book_texts.OPEN_OR_MAKE_A_JOB_BOOK, now, KINDS, options=option)[0]
    return chosen if not chosen or chosen.endswith(SUFFIX) else chosen + SUFFIX


def choose_folder(parent: QWidget, title: str) -> str:
    """Ask for a folder."""
    return QFileDialog.getExistingDirectory(parent, title)


def ask_whether_sure(parent: QWidget, customer: str) -> bool:
    """Ask before a customer is taken out for good."""
    button = QMessageBox.StandardButton
    said = job_book_texts.TAKE_OUT_WITH_ALL_JOBS.format(customer=visible(customer))
    box = plain_box(parent, QMessageBox.Icon.Warning, job_book_texts.TAKE_OUT_A_CUSTOMER, said)
    box.setStandardButtons(button.Yes | button.Cancel)
    box.setDefaultButton(button.Cancel)
    return bool(until_left(box) == button.Yes)


def _identity(path: Path | None, password: str) -> Identity | None:
    """The signing identity; None without a password: then nothing is signed."""
    if path is None or not password:
        return None
    from reports.identity import load_identity

    return load_identity(path, password)


class BookDialog(WorkingDialog):
    """Everything of the book that is not a single job. ``changed`` tells that another book or other rates count."""

    changed = Signal()

    def __init__(self, settings: Settings, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Job book")
        self._settings = settings
        self._work = Background(self)
        self.ask_folder: Callable[[QWidget, str], str] = choose_folder
        self.ask_copy: Choose = ask_save(job_book_texts.WRITE_A_COPY_OF_THE_JOB_BOOK, KINDS)
        self.ask_backup: Choose = ask_open(job_book_texts.PUT_THIS_COPY_IN_THE_JOB_BOOKS_PLACE, KINDS)
        self.ask_outcomes_out: Choose = ask_save("Write our outcomes", job_book_texts.OUTCOME_KINDS)
        self.ask_outcomes_in: Choose = ask_open(
            job_book_texts.OUTCOMES_OF_ANOTHER_WORKSHOP, job_book_texts.OUTCOME_KINDS
        )
        self.sure: Callable[[QWidget, str], bool] = ask_whether_sure
        self.place = PlaceEntry(
            job_book_texts.JOB_BOOKS_FILE_WITH_KEY,
            choose_book,
            help_text=job_book_texts.ITS_NAME_ENDS_IN.format(suffix=SUFFIX),
        )
        self.place.line.setText("" if settings.book is None else str(settings.book))
        self.use = button("&Use this book", main=True)
        self.use.clicked.connect(self.take)
        self.own_rates = QCheckBox(job_book_texts.USE_THE_WORKSHOPS_OWN_BASE_RATES_WITH_KEY)
        self.own_rates.setChecked(settings.own_rates)
        self.own_rates.toggled.connect(self._rates)
        self.show_rates = button(job_book_texts.SHOW_THE_RATES_WITH_KEY)
        self.show_rates.clicked.connect(self.tell_rates)
        self.bring = button("&Import a folder…")
        self.bring.clicked.connect(self.import_folder)
        self.out = button("&Export as files…")
        self.out.clicked.connect(self.export_folder)
        self.copy = button("Write a &copy…")
        self.copy.clicked.connect(self.write_copy)
        self.put_back = button(job_book_texts.PUT_A_COPY_BACK_WITH_KEY)
        self.put_back.clicked.connect(self.restore)
        self.source = LabelledLine(job_book_texts.OUTCOMES_OF_ANOTHER_WORKSHOP_WITH_KEY, help_text="Their name")
        self.weight = LabelledLine(job_book_texts.WEIGHT_OF_THEIRS_WITH_KEY)
        self.weight.line.setText(str(OUTSIDE_WEIGHT))
        self.outcomes_in = button("Rea&d them in…")
        self.outcomes_in.clicked.connect(self.take_outcomes)
        self.outcomes_out = button("&Give our outcomes…")
        self.outcomes_out.clicked.connect(self.give_outcomes)
        self.password = LabelledLine(
            job_book_texts.PASSWORD_OF_THE_SIGNING_IDENTITY_WITH_KEY, help_text=job_book_texts.OURS_ALONE_ARE_SIGNED
        )
        self.password.line.setEchoMode(QLineEdit.EchoMode.Password)
        self.customer = LabelledLine(
            job_book_texts.TAKE_OUT_A_CUSTOMER_WITH_EVERYTHING_WITH_KEY, help_text="The whole name"
        )
        self._names = QStringListModel(self)
        self.customer.line.setCompleter(self._completer())
        self.why = LabelledLine(
            job_book_texts.KEEP_THEIR_SIGNED_REPORTS_BECAUSE_WITH_KEY, help_text=job_book_texts.SUCH_AS_A_LAW
        )
        self.forget = button("&Take out")
        self.forget.clicked.connect(self.take_out)
        self.wrong, self.said = words(tone="error"), words()
        self.wrong.hide()
        self._lay()
        self._work.busy_changed.connect(lambda _busy: self._enable())
        self._enable()
        self._name_customers()

    def _lay(self) -> None:
        page = Page()
        column = upright(page, around=BESIDE_A_BAR)
        self.place.row.addWidget(self.use)
        folders = sideways()
        for widget in (self.bring, self.out, self.copy, self.put_back):
            folders.addWidget(widget)
        folders.addStretch(1)
        self.weight.row.addWidget(self.outcomes_in)
        rates = sideways()
        rates.addWidget(self.own_rates, 1)
        rates.addWidget(self.show_rates)
        self.password.row.addWidget(self.outcomes_out)
        self.customer.row.addWidget(self.forget)
        column.addWidget(words(BOOK_INTRO, "muted"))
        column.addWidget(self.place)
        column.addLayout(rates)
        column.addWidget(words(OWN_RATES_TOLD, "muted"))
        column.addLayout(folders)
        column.addWidget(words(OUTCOMES_TOLD, "muted"))
        column.addWidget(self.source)
        column.addWidget(self.weight)
        column.addWidget(self.password)
        column.addWidget(self.customer)
        column.addWidget(self.why)
        column.addWidget(words(" ".join(FORGETTING), "muted"))
        column.addWidget(self.wrong)
        column.addWidget(self.said)
        column.addStretch(1)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        buttons.rejected.connect(self.reject)
        layout = upright(self, around=AROUND_A_DIALOG)
        self._area = scrolled(page, "Job book")
        layout.addWidget(self._area, 1)
        layout.addWidget(buttons)
        size(self, 50, 46)

    def _completer(self) -> QCompleter:
        """Names of the book that have what is typed anywhere in them."""
        found = QCompleter(self._names, self)
        found.setCaseSensitivity(Qt.CaseSensitivity.CaseInsensitive)
        found.setFilterMode(Qt.MatchFlag.MatchContains)
        return found

    def _name_customers(self) -> None:
        path = self._settings.book
        try:
            self._names.setStringList([] if path is None else BookInUse(path).customers())
        except HeatdocketError:  # said by whatever is asked of the book
            self._names.setStringList([])

    def _enable(self) -> None:
        there = self._settings.book is not None and not self._work.busy
        whole = (self.own_rates, self.show_rates, self.bring, self.out, self.copy, self.put_back)
        outcomes = (self.source, self.weight, self.outcomes_in, self.password, self.outcomes_out)
        for widget in (*whole, *outcomes, self.customer, self.why, self.forget):
            widget.setEnabled(there)
        self.use.setEnabled(not self._work.busy)

    def take(self) -> None:
        """Use the book at the place typed; a new one is made where there is none."""
        path = self.place.path
        if path is None:
            self.place.say(job_book_texts.NAME_A_FILE)
            return
        try:
            BookInUse(path).make()
        except HeatdocketError as error:
            self.place.say(in_words(error))
            return
        self._settings.book = path
        self._say(job_book_texts.THIS_JOB_BOOK_IS_USED_FROM_NOW_ON.format(path=path))
        self._enable()
        self._name_customers()
        self.changed.emit()

    def tell_rates(self) -> None:
        """Show the workshop's own base rates beside those shipped, with what they weigh."""
        path = self._settings.book
        if path is None:
            return
        try:
            told = "\n".join(BookInUse(path).rates_told())
        except HeatdocketError as error:
            self._failed(error)
            return
        until_left(PlainTextDialog(self, job_book_texts.WORKSHOPS_OWN_BASE_RATES, told))

    def _rates(self, own: bool) -> None:
        self._settings.own_rates = own
        self.changed.emit()

    # ---- whole folders ----------------------------------------------------------------------------------------------

    def import_folder(self) -> None:
        """Keep every case, report and log of a folder."""
        folder = self.ask_folder(self, job_book_texts.KEEP_EVERY_CASE)
        if folder:
            self._run(lambda book: book.import_folder(Path(folder)))

    def export_folder(self) -> None:
        """Write the book as files into a new folder."""
        folder = self.ask_folder(self, job_book_texts.WHERE_THE_FOLDER_OF_THE_EXPORTED_BOOK)
        if folder:
            self._run(lambda book: book.export_into(Path(folder)))

    def write_copy(self) -> None:
        """Write a whole copy of the book."""
        chosen = self.ask_copy(self, "")
        if chosen:
            self._run(lambda book: book.write_copy(Path(chosen)))

    def restore(self) -> None:
        """Put a copy or a daily backup in the book's place."""
        chosen = self.ask_backup(self, "")
        if chosen:
            self._run(lambda book: book.restore(Path(chosen)))

    # ---- outcomes of workshops --------------------------------------------------------------------------------------

    def give_outcomes(self) -> None:
        """Write the confirmed outcomes, anonymised; signed where the password of the signing identity is typed."""
        password, identity = self.password.text, self._settings.identity
        if password and identity is None:
            self.password.say(job_book_texts.THERE_IS_NO_SIGNING_IDENTITY_YET)
            return
        chosen = self.ask_outcomes_out(self, "")
        if chosen:
            self._run(lambda book: book.give(Path(chosen), _identity(identity, password)))

    def take_outcomes(self) -> None:
        """Read in the outcomes of another workshop."""
        source = self.source.text.strip()
        if not source:
            self.source.say(job_book_texts.TYPE_WHO_GAVE_THEM)
            return
        try:
            weight = float(self.weight.text)
        except ValueError:
            self.weight.say(job_book_texts.NUMBER_OVER_0_AND_AT_MOST_1)
            return
        chosen = self.ask_outcomes_in(self, "")
        if chosen:
            self._run(lambda book: book.take(Path(chosen), source, weight))

    def take_out(self) -> None:
        """Take out the customer whose whole name stands typed."""
        name = self.customer.text.strip()
        if not name:
            self.customer.say(job_book_texts.TYPE_THE_WHOLE_NAME_OF_THE_CUSTOMER)
            return
        why = self.why.text.strip()
        if self.sure(self, name):
            self._run(lambda book: book.forget(name, why))

    def _run(self, work: Callable[[BookInUse], list[str]]) -> None:
        path = self._settings.book
        if path is None:
            return
        self.wrong.hide()
        self._say(AT_WORK)
        self._work.run(lambda: work(BookInUse(path)), self._done, self._failed)

    def _say(self, text: str) -> None:
        """Say it, and bring it in sight once it is laid out."""
        self.said.setText(text)
        QTimer.singleShot(0, self, lambda: self._area.ensureWidgetVisible(self.said, 0, 0))

    def _done(self, said: list[str]) -> None:
        self._say("\n".join(said))
        self._name_customers()
        self.customer.line.clear()
        self.password.line.clear()
        self.changed.emit()

    def _failed(self, error: Exception) -> None:
        self.said.setText("")
        say_faults(
            error, {"customer": self.customer, "identity.password": self.password, "weight": self.weight}, self.wrong
        )
