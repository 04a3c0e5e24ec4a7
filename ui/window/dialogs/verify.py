"""Check any signed report: is it intact, who signed, and which case does it carry."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from PySide6.QtCore import Signal
from PySide6.QtGui import QDragEnterEvent, QDropEvent
from PySide6.QtWidgets import (
    QCheckBox,
    QDialogButtonBox,
    QFrame,
    QLabel,
    QWidget,
)

from engcalc.case.file import SUFFIX, is_folder, is_there, read_whole, write_whole
from engcalc.errors import FileFault
from engcalc.words.texts import dialog_texts, shared_texts
from reports.verification import FoundState, Verification, VerifyAnswer
from reports.verification_words import FINGERPRINT
from reports.verifying import LARGEST_FILE
from ui.carrying import places_beside, write_beside
from ui.trusting import INTACT, Examined, counted, examined, reports_in, verified, worst_of
from ui.trusting import now as local_now
from ui.window.dialogs.background import Background, WorkingDialog, in_words
from ui.window.dialogs.countersign import Countersigning
from ui.window.dialogs.known import KnowingSigner
from ui.window.dialogs.parts import PlaceEntry, ask_open, ask_save, button, right, size, words
from ui.window.dropped import dropped_file
from ui.window.plain import plain_label
from ui.window.rhythm import AROUND_A_CARD, AROUND_A_DIALOG, BESIDE_A_BAR, sideways, upright
from ui.window.scrolled import Page, scrolled
from ui.window.theme import show_tone

CASE_KINDS = shared_texts.CASE_KINDS.format(suffix=SUFFIX)
SIGNS = {  # shape, word, colour of the theme
    VerifyAnswer.PASSED: ("●", "Intact", "good"),
    VerifyAnswer.FAILED: ("▲", "Broken", "error"),
    VerifyAnswer.UNDETERMINED: ("◆", "Could not tell", "warn"),
}


OF_FOLDERS = {INTACT: VerifyAnswer.PASSED, "broken": VerifyAnswer.FAILED}
"""How the worst report of a folder is signed; any other state is that nothing can be told."""


class VerifyDialog(WorkingDialog):
    """Choose or drop a report; what was found is said in words. ``open_wanted`` asks to open the saved case."""

    open_wanted = Signal(object)

    def __init__(self, parent: QWidget | None = None, report: Path | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle(dialog_texts.CHECK_A_SIGNED_REPORT)
        self.setAcceptDrops(True)
        self._background = Background(self)
        self.found: Verification | None = None
        self.report = PlaceEntry(
            "&Report to check",
            ask_open("Check a report", dialog_texts.PDF_KINDS),
            "Report to check",
            dialog_texts.PDF_MADE_HERE_OR_BY_SOMEONE_ELSE,
        )
        self.check_button = button("&Check", main=True)
        self.check_button.clicked.connect(self.check)
        self.report.row.addWidget(self.check_button)
        self._make_result()
        self._set_up()
        self._background.busy_changed.connect(lambda busy: self.check_button.setEnabled(not busy))
        if report is not None:
            self.report.line.setText(str(report))
            self.check()

    def _make_result(self) -> None:
        self._sign, self.outcome = plain_label(), plain_label()
        for label in (self._sign, self.outcome):
            label.setProperty("type", "lead")
        self.summary: list[QLabel] = []
        self.case_place = PlaceEntry(
            dialog_texts.SAVE_ITS_CASE_AS_WITH_KEY,
            ask_save("Save the case", CASE_KINDS),
            dialog_texts.PLACE_FOR_THE_CASE,
            dialog_texts.CASE_THAT_THE_REPORT_CARRIES,
        )
        self.anyway = QCheckBox(dialog_texts.SAVE_IT_ALTHOUGH_THE_REPORT_WITH_KEY)
        self.anyway.toggled.connect(self._allow_saving)
        self.save_button = button("Save the case")
        self.save_button.clicked.connect(self.save_case)
        self.open_button = button(dialog_texts.SAVE_AND_OPEN_IT_WITH_KEY)
        self.open_button.clicked.connect(self.save_and_open)
        self.knowing = KnowingSigner()
        self.knowing.known.connect(self.check)
        self.countersigning = Countersigning()
        self.countersigning.written.connect(self._countersigned)
        self.said = words(tone="muted")

    def _set_up(self) -> None:
        head = sideways()
        head.addWidget(self._sign)
        head.addWidget(self.outcome, 1)
        self._result = QFrame()
        self._result.setProperty("tone", "card")
        self._result.setAccessibleName("What was found")
        self._inside = upright(self._result, around=AROUND_A_CARD)
        self._inside.addLayout(head)
        self._case = QWidget()
        about_case = upright(self._case)
        about_case.addWidget(self.case_place)
        about_case.addWidget(self.anyway)
        about_case.addWidget(right(self.save_button, self.open_button))
        body = Page()
        column = upright(body, around=BESIDE_A_BAR)
        for widget in (self.report, self._result, self._case, self.knowing, self.countersigning, self.said):
            column.addWidget(widget)
        column.addStretch(1)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        buttons.rejected.connect(self.reject)
        layout = upright(self, around=AROUND_A_DIALOG)
        layout.addWidget(scrolled(body, dialog_texts.REPORT_AND_WHAT_WAS_FOUND), 1)
        layout.addWidget(buttons)
        self._clear()
        size(self, 42, 38)

    def _clear(self) -> None:
        for part in (self._result, self._case, self.knowing, self.countersigning):
            part.hide()

    # ---- doing ------------------------------------------------------------------------------------------------------

    def check(self) -> None:
        """Check the report that is named."""
        path = self.report.path
        self._clear()
        self.said.setText("")
        if path is None:
            self.report.say("say which report")
            return
        self.said.setText("Checking…")
        if is_folder(path):
            self._background.run(lambda: _examined(path), self._show_many, self._failed)
        else:
            self._background.run(lambda: _verified(path), self._show, self._failed)

    def _failed(self, error: Exception) -> None:
        self.said.setText("")
        self.report.say(error.faults[0].wanted if isinstance(error, FileFault) else in_words(error))

    def _show(self, found: Verification) -> None:
        self.found = found
        self._say(*SIGNS[found.outcome], found.summary)
        self._case.setVisible(found.case_bytes is not None)
        self.anyway.setChecked(False)
        self.anyway.setVisible(found.state is not FoundState.INTACT)
        self._allow_saving()
        if found.case_bytes is not None and self.report.path is not None:
            self.case_place.line.setText(str(self.report.path.with_suffix(SUFFIX)))
        if self.report.path is not None:
            self.knowing.offer(self.report.path, found)
            self.countersigning.offer(self.report.path, found)

    def _show_many(self, rows: list[Examined]) -> None:
        """A folder: a line for each report, under the sign of the worst."""
        self.found = None
        worst = worst_of(rows)
        outcome = SIGNS[OF_FOLDERS.get(worst, VerifyAnswer.UNDETERMINED)]
        self._say(*outcome, (counted(rows), *(one.line for one in rows)))

    def _say(self, shape: str, word: str, tone: str, lines: Sequence[str]) -> None:
        for label, text in ((self._sign, shape), (self.outcome, word)):
            label.setText(text)
            show_tone(label, tone)
        self.outcome.setAccessibleName(f"Outcome: {word}")
        for label in self.summary:
            self._inside.removeWidget(label)
            label.deleteLater()
        self.summary = [words(line, fixed=line.startswith(FINGERPRINT)) for line in lines]
        for label in self.summary:
            self._inside.addWidget(label)
        self._result.show()
        self.said.setText("")

    def _allow_saving(self) -> None:
        """The case of a report that is not intact is saved only by one who says so."""
        intact = self.found is not None and self.found.state is FoundState.INTACT
        for one in (self.save_button, self.open_button):
            one.setEnabled(intact or self.anyway.isChecked())

    def _countersigned(self, path: Path) -> None:
        self.report.line.setText(str(path))
        self.check()

    def save_case(self) -> Path | None:
        """Write the case that the report carries, byte for byte; says where, or why not."""
        path = self.case_place.path
        if self.found is None or self.found.case_bytes is None:
            return None
        if path is None:
            self.case_place.say("say where")
            return None
        if is_there(path):
            self.case_place.say(shared_texts.FILE_OF_THIS_NAME_EXISTS_ALREADY)
            return None
        try:
            beside = places_beside(path, self.found.files)
            taken = [place.name for place in beside if is_there(place)]
            if taken:
                self.case_place.say(dialog_texts.GOES_WITH_IT_AND_EXISTS_THERE_ALREADY.format(taken=", ".join(taken)))
                return None
            write_whole(path, self.found.case_bytes)
            write_beside(beside)
        except FileFault as fault:
            self.case_place.say(fault.faults[0].wanted)
            return None
        with_it = shared_texts.AND_WITH_IT.format(beside=", ".join(place.name for place in beside)) if beside else ""
        self.said.setText(dialog_texts.CASE_WAS_SAVED_AS.format(path=path, with_it=with_it))
        return path

    def save_and_open(self) -> None:
        """Save the case and ask the window to open it."""
        path = self.save_case()
        if path is not None:
            self.accept()
            self.open_wanted.emit(path)

    # ---- Qt's hooks -------------------------------------------------------------------------------------------------

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        """A PDF may be dropped."""
        if dropped_file(event, ".pdf") is not None:
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        """Check the PDF that was dropped."""
        path = dropped_file(event, ".pdf")
        if path is not None:
            event.acceptProposedAction()
            self.report.line.setText(str(path))
            self.check()


def _verified(path: Path) -> Verification:
    return verified(read_whole(path, "a report", LARGEST_FILE), local_now())


def _examined(folder: Path) -> list[Examined]:
    now = local_now()
    return [examined(path, now) for path in reports_in([folder])]
