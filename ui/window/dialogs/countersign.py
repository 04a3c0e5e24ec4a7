"""A reviewer's signature on an intact signed report, in the field that was made for it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from pathlib import Path

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from engcalc.case.file import is_there
from engcalc.errors import FileFault
from reports.identity import load_identity
from reports.signing import countersign_file
from reports.verification import Verification, VerifyAnswer
from ui.trusting import now as local_now
from ui.window.dialogs.background import Background
from ui.window.dialogs.identity import KINDS as IDENTITY_KINDS
from ui.window.dialogs.parts import LabelledLine, PlaceEntry, ask_open, ask_save, button, right, say_faults, words
from ui.window.rhythm import upright

PDF_KINDS = "Reports (*.pdf);;All files (*)"
INTRO = (
    "Whoever reviewed this report may sign it too. The author's signature stays as it is, and so does this "
    "file: the countersigned report is written to another."
)


class Countersigning(QWidget):
    """Identity, password and place of the countersigned report. ``written`` tells where it is."""

    written = Signal(object)

    def __init__(self, now: Callable[[], datetime] = local_now) -> None:
        super().__init__()
        self._now = now
        self._report: Path | None = None
        self._background = Background(self)
        self.identity = PlaceEntry(
            "&Identity of the reviewer",
            ask_open("Countersign with this identity", IDENTITY_KINDS),
            "Identity of the reviewer",
        )
        self.password = LabelledLine("&Password of the identity")
        self.password.hide_letters()
        self.place = PlaceEntry(
            "&Write it to", ask_save("Write the countersigned report to", PDF_KINDS), "Countersigned report"
        )
        self.button = button("Coun&tersign")
        self.button.clicked.connect(self.sign)
        self.wrong = words(tone="error")
        self.wrong.hide()
        column = upright(self)
        for widget in (words(INTRO, "muted"), self.identity, self.password, self.place, right(self.button), self.wrong):
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
            self.identity.say("say whose identity signs")
        if place is None or is_there(place):
            self.place.say("say where to" if place is None else "a file of this name exists already; choose another")
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
