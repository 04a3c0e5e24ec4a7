"""How honest the odds were on the workshop's own jobs: to read, and as a signed page."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtWidgets import QDialogButtonBox, QPlainTextEdit, QWidget

from engcalc.diagnosis.odds.honesty import Honesty
from engcalc.words.terms.foreign import visible_lines
from engcalc.words.texts import job_book_texts, shared_texts
from engcalc.words.workshop.book_words import HONESTY_TITLE, honesty_lines, paper_sentence
from reports.identity import load_identity
from reports.overwriting import in_the_way
from reports.shop_papers import WrittenPaper, write_honesty
from ui.trusting import now
from ui.window.dialogs.background import Background, WorkingDialog
from ui.window.dialogs.export import PRESS
from ui.window.dialogs.parts import LabelledLine, PlaceEntry, ask_open, ask_save, button, right, say_faults, size, words
from ui.window.rhythm import AROUND_A_DIALOG, upright
from ui.window.settings import Settings


class HonestyDialog(WorkingDialog):
    """The text, and where the page goes. ``counts`` as of :meth:`ui.book.in_use.BookInUse.honesty`."""

    def __init__(
        self, found: Honesty, counts: tuple[int, int], settings: Settings, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle(HONESTY_TITLE)
        self._found, self._counts, self._system = found, counts, settings.system
        self._work = Background(self)
        self.text = QPlainTextEdit(visible_lines("\n".join(honesty_lines(found, *counts))))
        self.text.setReadOnly(True)
        self.text.setTabChangesFocus(True)
        self.text.setAccessibleName(HONESTY_TITLE)
        self.place = PlaceEntry(
            job_book_texts.PAGE_AS_A_PDF_WITH_KEY, ask_save(job_book_texts.WRITE_THE_PAGE_AS, "PDF (*.pdf)")
        )
        self.identity = PlaceEntry("Signing &identity", ask_open("Signing identity", "Identities (*.p12 *.pfx)"))
        self.identity.line.setText("" if settings.identity is None else str(settings.identity))
        self.password = LabelledLine(job_book_texts.PASSWORD_OF_THE_IDENTITY_WITH_KEY)
        self.password.hide_letters()
        self.write = button("Write the p&age", main=True)
        self.write.clicked.connect(self.take)
        self.wrong, self.said = words(tone="error"), words()
        self.wrong.hide()
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        buttons.rejected.connect(self.reject)
        column = upright(self, around=AROUND_A_DIALOG)
        column.addWidget(self.text, 1)
        for widget in (
            self.place,
            self.identity,
            self.password,
            words(job_book_texts.WITHOUT_AN_IDENTITY_THE_PAGE_IS_A_DRAFT, "muted"),
            right(self.write),
        ):
            column.addWidget(widget)
        for widget in (self.wrong, self.said, buttons):
            column.addWidget(widget)
        self._work.busy_changed.connect(lambda busy: self.write.setEnabled(not busy))
        size(self, 46, 40)

    def take(self) -> None:
        """Write the page; what is wrong is said in the dialog."""
        path = self.place.path
        if path is None:
            self.place.say(job_book_texts.NAME_THE_FILE_TO_WRITE)
            return
        lost = in_the_way(path, [one for one in (self.identity.path,) if one is not None])
        if lost:
            self.place.say(shared_texts.ANOTHER_NAME_WOULD_DO.format(lost=lost))
            return
        self.wrong.hide()
        self.said.setText("")
        identity, password = self.identity.path, self.password.text
        self._work.run(lambda: self._written(path, identity, password), self._done, self._failed)

    def _written(self, path: Path, identity: Path | None, password: str) -> WrittenPaper:
        signer = None if identity is None else load_identity(identity, password)
        with PRESS:
            return write_honesty(self._found, self._counts, path, now=now(), identity=signer, system=self._system)

    def _done(self, written: WrittenPaper) -> None:
        self.said.setText(paper_sentence(str(written.path), written.report_id, written.signed))
        self.password.line.clear()

    def _failed(self, error: Exception) -> None:
        say_faults(error, {"identity.password": self.password}, self.wrong)
