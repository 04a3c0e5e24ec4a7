"""A reviewer's signature on an intact signed report, in the field that was made for it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from pathlib import Path

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from engcalc.case.file import is_there
from engcalc.errors import FileFault
from engcalc.words.texts import dialog_texts
from reports.identity import load_identity
from reports.signing import countersign_file
from reports.verification import Verification, VerifyAnswer
from ui.trusting import now as local_now
from ui.window.dialogs.background import Background
from ui.window.dialogs.parts import LabelledLine, PlaceEntry, ask_open, ask_save, button, right, say_faults, words
from ui.window.rhythm import upright


class Countersigning(QWidget):
    """Identity, password and place of the countersigned report. ``written`` tells where it is."""

    written = Signal(object)

    def __init__(self, now: Callable[[], datetime] = local_now) -> None:
        super().__init__()
        self._now = now
        self._report: Path | None = None
        self._background = Background(self)
        self.identity = PlaceEntry(
            dialog_texts.IDENTITY_OF_THE_REVIEWER_WITH_KEY,
            ask_open(dialog_texts.COUNTERSIGN_WITH_THIS_IDENTITY, dialog_texts.SIGNING_IDENTITIES_P12_PFX_TOKEN_JSON),
            dialog_texts.IDENTITY_OF_THE_REVIEWER,
        )
        self.password = LabelledLine(dialog_texts.PASSWORD_OF_THE_IDENTITY_WITH_KEY)
        self.password.hide_letters()
        self.place = PlaceEntry(
            "&Write it to",
            ask_save(dialog_texts.WRITE_THE_COUNTERSIGNED_REPORT_TO, dialog_texts.PDF_KINDS),
            "Countersigned report",
        )
        self.button = button("Coun&tersign")
        self.button.clicked.connect(self.sign)
        self.wrong = words(tone="error")
        self.wrong.hide()
        column = upright(self)
        for widget in (
            words(dialog_texts.WHOEVER_REVIEWED_THIS_REPORT_MAY_SIGN_IT_TOO, "muted"),
            self.identity,
            self.password,
            self.place,
            right(self.button),
            self.wrong,
        ):
            column.addWidget(widget)
        self._background.busy_changed.connect(lambda busy: self.button.setEnabled(not busy))

    def offer(self, report: Path, found: Verification) -> None:
        """Show this for an intact report that nobody countersigned yet."""
        self._report = report
        self.place.line.setText(str(report.with_name(f"{report.stem}-countersigned.pdf")))
        self.setVisible(found.outcome is VerifyAnswer.PASSED and found.reviewer is None)

    def sign(self) -> None:
        """Countersign; what is wrong is said beneath its line."""
        report, place, identity, password = self._report, self.place.path, self.identity.path, self.password.text
        self.wrong.hide()
        if identity is None:
            self.identity.say(dialog_texts.SAY_WHOSE_IDENTITY_SIGNS)
        if place is None or is_there(place):
            self.place.say("say where to" if place is None else dialog_texts.FILE_OF_THIS_NAME_EXISTS_ALREADY)
        if report is None or identity is None or place is None or is_there(place):
            return
        now = self._now()
        self._background.run(
            lambda: countersign_file(report, place, load_identity(identity, password), now),
            lambda _sha256: self._done(place),
            self._failed,
        )

    def _done(self, place: Path) -> None:
        self.password.line.clear()
        self.written.emit(place)

    def _failed(self, error: Exception) -> None:
        given = error.faults[0].given if isinstance(error, FileFault) else ""
        entries = {
            "identity.password": self.password,
            "identity": self.identity,
            "": self.identity if given == str(self.identity.path) else self.place,
        }
        say_faults(error, entries, self.wrong)
