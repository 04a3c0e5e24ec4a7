"""The job book itself: where it lies, whose base rates count, folders in and out, a copy, a customer taken out."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QCheckBox, QDialogButtonBox, QFileDialog, QLineEdit, QMessageBox, QWidget

from engcalc.errors import HeatdocketError
from engcalc.words.book_words import BOOK_INTRO, FORGETTING, OUTCOMES_TOLD, OWN_RATES_TOLD
from engcalc.words.foreign import visible
from ui.book.in_use import BookInUse
from ui.book.store import SUFFIX
from ui.window.dialogs.background import Background, WorkingDialog, in_words
from ui.window.dialogs.parts import LabelledLine, PlaceEntry, ask_open, ask_save, button, say_faults, size, words
from ui.window.plain import plain_box
from ui.window.rhythm import AROUND_A_DIALOG, BESIDE_A_BAR, sideways, upright
from ui.window.scrolled import Page, scrolled
from ui.window.settings import Settings

if TYPE_CHECKING:
    from reports.identity import Identity

KINDS = f"Job books (*{SUFFIX})"
OUTCOME_KINDS = "Outcomes (*.jsonl);;All files (*)"
Choose = Callable[[QWidget, str], str]


def choose_book(parent: QWidget, now: str) -> str:
    """Ask for the file of a job book, one that is there or a new one."""
    option = QFileDialog.Option.DontConfirmOverwrite  # a book that is there is opened, never written over
    chosen = QFileDialog.getSaveFileName(parent, "Open or make a job book", now, KINDS, options=option)[0]
    return chosen if not chosen or chosen.endswith(SUFFIX) else chosen + SUFFIX


def choose_folder(parent: QWidget, title: str) -> str:
    """Ask for a folder."""
    return QFileDialog.getExistingDirectory(parent, title)


def ask_whether_sure(parent: QWidget, customer: str) -> bool:
    """Ask before a customer is taken out for good."""
    button = QMessageBox.StandardButton
    said = f"Take out {visible(customer)} with all jobs, cases, logs and reports? It cannot be undone."
    box = plain_box(parent, QMessageBox.Icon.Warning, "Take out a customer", said)
    box.setStandardButtons(button.Yes | button.Cancel)
    box.setDefaultButton(button.Cancel)
    return bool(box.exec() == button.Yes)


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
        self.ask_copy: Choose = ask_save("Write a copy of the job book", KINDS)
        self.ask_backup: Choose = ask_open("Put this copy in the job book's place", KINDS)
        self.ask_outcomes_out: Choose = ask_save("Write our outcomes", OUTCOME_KINDS)
        self.ask_outcomes_in: Choose = ask_open("Outcomes of another workshop", OUTCOME_KINDS)
        self.sure: Callable[[QWidget, str], bool] = ask_whether_sure
        self.place = PlaceEntry("The job &book's file", choose_book, help_text=f"Its name ends in {SUFFIX}")
        self.place.line.setText("" if settings.book is None else str(settings.book))
        self.use = button("&Use this book", main=True)
        self.use.clicked.connect(self.take)
        self.own_rates = QCheckBox("Use the workshop's &own base rates")
        self.own_rates.setChecked(settings.own_rates)
        self.own_rates.toggled.connect(self._rates)
        self.bring = button("&Import a folder…")
        self.bring.clicked.connect(self.import_folder)
        self.out = button("&Export as files…")
        self.out.clicked.connect(self.export_folder)
        self.copy = button("Write a &copy…")
        self.copy.clicked.connect(self.write_copy)
        self.put_back = button("Put a cop&y back…")
        self.put_back.clicked.connect(self.restore)
        self.source = LabelledLine(
            "Outcomes of another workshop, by the &name of who gave them", help_text="Their name"
        )
        self.outcomes_in = button("Rea&d them in…")
        self.outcomes_in.clicked.connect(self.take_outcomes)
        self.outcomes_out = button("&Give our outcomes…")
        self.outcomes_out.clicked.connect(self.give_outcomes)
        self.password = LabelledLine(
            "&Password of the signing identity; empty: not signed", help_text="Ours alone are signed"
        )
        self.password.line.setEchoMode(QLineEdit.EchoMode.Password)
        self.customer = LabelledLine("Take out a cu&stomer with everything that is theirs", help_text="The whole name")
        self.why = LabelledLine("&Keep their signed reports because", help_text="Such as a law; empty: they go too")
        self.forget = button("&Take out")
        self.forget.clicked.connect(self.take_out)
        self.wrong, self.said = words(tone="error"), words()
        self.wrong.hide()
        self._lay()
        self._work.busy_changed.connect(lambda _busy: self._enable())
        self._enable()

    def _lay(self) -> None:
        page = Page()
        column = upright(page, around=BESIDE_A_BAR)
        self.place.row.addWidget(self.use)
        folders = sideways()
        for widget in (self.bring, self.out, self.copy, self.put_back):
            folders.addWidget(widget)
        folders.addStretch(1)
        self.source.row.addWidget(self.outcomes_in)
        self.password.row.addWidget(self.outcomes_out)
        self.customer.row.addWidget(self.forget)
        column.addWidget(words(BOOK_INTRO, "muted"))
        column.addWidget(self.place)
        column.addWidget(self.own_rates)
        column.addWidget(words(OWN_RATES_TOLD, "muted"))
        column.addLayout(folders)
        column.addWidget(words(OUTCOMES_TOLD, "muted"))
        column.addWidget(self.source)
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
        layout.addWidget(scrolled(page, "Job book"), 1)
        layout.addWidget(buttons)
        size(self, 50, 42)

    def _enable(self) -> None:
        there = self._settings.book is not None and not self._work.busy
        whole = (self.own_rates, self.bring, self.out, self.copy, self.put_back)
        outcomes = (self.source, self.outcomes_in, self.password, self.outcomes_out)
        for widget in (*whole, *outcomes, self.customer, self.why, self.forget):
            widget.setEnabled(there)
        self.use.setEnabled(not self._work.busy)

    def take(self) -> None:
        """Use the book at the place typed; a new one is made where there is none."""
        path = self.place.path
        if path is None:
            self.place.say("Name a file: one that is there is opened, a new name makes a new book.")
            return
        try:
            BookInUse(path).make()
        except HeatdocketError as error:
            self.place.say(in_words(error))
            return
        self._settings.book = path
        self.said.setText(f"This job book is used from now on: {path}")
        self._enable()
        self.changed.emit()

    def _rates(self, own: bool) -> None:
        self._settings.own_rates = own
        self.changed.emit()

    # ---- whole folders ----------------------------------------------------------------------------------------------

    def import_folder(self) -> None:
        """Keep every case, report and log of a folder."""
        folder = self.ask_folder(self, "Keep every case, report and log of this folder")
        if folder:
            self._run(lambda book: book.import_folder(Path(folder)))

    def export_folder(self) -> None:
        """Write the book as files into a new folder."""
        folder = self.ask_folder(self, "Where the folder of the exported book is to be made")
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
            self.password.say("There is no signing identity yet: make one under Signing identity.")
            return
        chosen = self.ask_outcomes_out(self, "")
        if chosen:
            self._run(lambda book: book.give(Path(chosen), _identity(identity, password)))

    def take_outcomes(self) -> None:
        """Read in the outcomes of another workshop."""
        source = self.source.text.strip()
        if not source:
            self.source.say("Type who gave them.")
            return
        chosen = self.ask_outcomes_in(self, "")
        if chosen:
            self._run(lambda book: book.take(Path(chosen), source))

    def take_out(self) -> None:
        """Take out the customer whose whole name stands typed."""
        name = self.customer.text.strip()
        if not name:
            self.customer.say("Type the whole name of the customer.")
            return
        why = self.why.text.strip()
        if self.sure(self, name):
            self._run(lambda book: book.forget(name, why))

    def _run(self, work: Callable[[BookInUse], list[str]]) -> None:
        path = self._settings.book
        if path is None:
            return
        self.wrong.hide()
        self.said.setText("")
        self._work.run(lambda: work(BookInUse(path)), self._done, self._failed)

    def _done(self, said: list[str]) -> None:
        self.said.setText("\n".join(said))
        self.customer.line.clear()
        self.password.line.clear()
        self.changed.emit()

    def _failed(self, error: Exception) -> None:
        say_faults(error, {"customer": self.customer, "identity.password": self.password}, self.wrong)
