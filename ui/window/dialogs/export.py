"""Export a report: for whom, signed or a draft, where to; with its pages beside, before and after."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from threading import Lock

from PySide6.QtCore import Qt, QUrl
from PySide6.QtGui import QDesktopServices, QImage
from PySide6.QtWidgets import (
    QCheckBox,
    QDialogButtonBox,
    QLabel,
    QProgressBar,
    QSplitter,
    QVBoxLayout,
    QWidget,
)

from engcalc.case.file import SUFFIX, read_whole
from engcalc.case.text import CaseText
from engcalc.diagnosis.diagnosis import Diagnosis
from engcalc.errors import FileFault
from engcalc.studies.checked import Check
from engcalc.units import UnitSystem
from engcalc.vehicle.warmup_study import WarmupStudy
from reports.build import Exported, Options, build, export_report
from reports.identity import load_identity
from reports.kinds import Records, ReportKind
from reports.recorded import recorded
from reports.verifying import LARGEST_FILE
from ui.document import Document
from ui.window.accessible import tie
from ui.window.dialogs.background import Background, Stopped, WorkingDialog, in_words
from ui.window.dialogs.identity import KINDS as IDENTITY_KINDS
from ui.window.dialogs.identity import local_now
from ui.window.dialogs.parts import LabelledLine, PlaceEntry, ask_open, ask_save, button, right, say_faults, size, words
from ui.window.dialogs.preview import Preview, render
from ui.window.scrolled import Page, scrolled
from ui.window.still_combo import StillCombo
from ui.window.theme import em
from ui.window.views.recorded import logs_of

PDF_KINDS = "Reports (*.pdf);;All files (*)"
KIND_WORDS = {
    ReportKind.CUSTOMER: "For the customer: what is wrong, in plain words",
    ReportKind.SIZING: "For sizing: duties, limits, results and working",
}
PRESS = Lock()  # the page library's fonts may not be used by two threads at once
UNSIGNED = "Without a signature the report is a draft, and DRAFT stands on each page."


class RecordAnswers:
    """What the records of a case show: taken over where a view has worked it out, else worked out once when first asked
    for, on whichever thread asks. ``diagnosis`` is that of the causes view, if it has one of what stands typed."""

    def __init__(
        self, check: Check, folder: Path, study: WarmupStudy | None = None, diagnosis: Diagnosis | None = None
    ) -> None:
        self.diagnosis = diagnosis
        self._case, self._folder, self._study = check.case, folder, study
        self._lock = Lock()
        self._found: tuple[Records | None] | None = None

    def records(self, stopped: Stopped) -> Records | None:
        """The warm-ups, as :func:`reports.recorded.recorded`."""
        with self._lock:
            if self._found is None:
                logs = logs_of(self._case, self._folder)
                self._found = (recorded(self._case, logs, known=self._study, cancelled=stopped),)
            return self._found[0]


@dataclass(frozen=True, eq=False)
class ReportRequest:
    """Everything that one report is made from; nothing in it changes while the report is being made."""

    check: Check
    case_text: CaseText
    kind: ReportKind
    now: datetime
    options: Options
    evidence: RecordAnswers

    def options_with(self, stopped: Stopped) -> Options:
        """The options with what the records show."""
        return replace(self.options, records=self.evidence.records(stopped), diagnosis=self.evidence.diagnosis)


@dataclass(frozen=True)
class Signing:
    """The identity file that is to sign, and its password."""

    path: Path
    password: str


class ExportDialog(WorkingDialog):
    """Makes one report of one check. The document is only read, once, when the dialog opens."""

    def __init__(
        self,
        document: Document,
        check: Check,
        system: UnitSystem,
        parent: QWidget | None = None,
        now: Callable[[], datetime] = local_now,
        identity: Path | None = None,
        evidence: RecordAnswers | None = None,
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle("Export a report")
        self._check, self._text, self._system, self._now = check, document.text, system, now
        self._folder = document.folder
        self._evidence = evidence or RecordAnswers(check, document.folder or Path())
        self._background = Background(self)  # makes the file
        self._previewing = Background(self)
        self.exported: Exported | None = None
        self._make_entries(document, identity)
        self._set_up()
        self._connect()
        self._sign_toggled(self.sign.isChecked())
        self.refresh_preview()

    # ---- putting together -------------------------------------------------------------------------------------------

    def _make_entries(self, document: Document, identity: Path | None) -> None:
        self.kind = StillCombo()
        for kind, said in KIND_WORDS.items():
            self.kind.addItem(said, kind)
        self.anonymised = QCheckBox("&Leave out names, numbers and pictures")
        self.anonymised.setToolTip(
            "Customer, registration and the like stand neither in the report nor in the case that it carries"
        )
        self.sign = QCheckBox("&Sign it")
        self.sign.setObjectName("sign")
        self.sign.setChecked(identity is not None)
        self.identity = PlaceEntry(
            "&Identity file",
            ask_open("Sign with this identity", IDENTITY_KINDS),
            help_text="Made under Signing identity, or brought along (PKCS#12)",
        )
        self.identity.line.setText(str(identity) if identity is not None else "")
        self.password = LabelledLine("&Password of the identity")
        self.password.hide_letters()
        self.place = PlaceEntry("Write to this &file", ask_save("Write the report to", PDF_KINDS), "Report file")
        name = document.path.name.removesuffix(SUFFIX) if document.path is not None else "report"
        self.place.line.setText(str((document.folder or Path.home()) / f"{name}.pdf"))

    def _set_up(self) -> None:
        self.export_button = button("&Export", main=True)
        self.open_button = button("&Open the file")
        self.open_button.setEnabled(False)
        self.progress = QProgressBar()
        self.progress.setRange(0, 0)
        self.progress.setAccessibleName("Making the report")
        self.progress.hide()
        self.said = words()
        self.wrong = words(tone="error")
        self.wrong.hide()
        self.unsigned = words(UNSIGNED, "muted")
        self.preview = Preview()
        splitter = QSplitter(Qt.Orientation.Horizontal)
        splitter.setChildrenCollapsible(False)
        splitter.addWidget(self._form())
        splitter.addWidget(self.preview)
        splitter.setSizes([30 * em(), 36 * em()])
        splitter.setStretchFactor(1, 1)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        buttons.rejected.connect(self.reject)
        layout = QVBoxLayout(self)
        layout.addWidget(splitter, 1)
        layout.addWidget(buttons)
        size(self, 66, 44)

    def _form(self) -> QWidget:
        form = Page()
        column = QVBoxLayout(form)
        label = QLabel("&Kind of report")
        tie(label, self.kind, "Kind of report")
        self.kind.setSizeAdjustPolicy(StillCombo.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.kind.setMinimumContentsLength(24)
        for widget in (
            label,
            self.kind,
            self.anonymised,
            self.sign,
            self.identity,
            self.password,
            self.unsigned,
            self.place,
            right(self.export_button),
            self.progress,
            self.wrong,
            self.said,
            right(self.open_button),
        ):
            column.addWidget(widget)
        column.addStretch(1)
        scroll = scrolled(form)
        scroll.setMinimumWidth(24 * em())
        return scroll

    def _connect(self) -> None:
        self.kind.currentIndexChanged.connect(self.refresh_preview)
        self.anonymised.toggled.connect(self.refresh_preview)
        self.sign.toggled.connect(self._sign_toggled)
        self.export_button.clicked.connect(self.export)
        self.open_button.clicked.connect(self.open_file)
        self._background.busy_changed.connect(self._busy)

    # ---- doing ------------------------------------------------------------------------------------------------------

    def request(self) -> ReportRequest:
        """What stands chosen, as it is handed to the worker."""
        options = Options(self._system, self.anonymised.isChecked(), self._folder)
        return ReportRequest(
            self._check, self._text, ReportKind(self.kind.currentData()), self._now(), options, self._evidence
        )

    def refresh_preview(self) -> None:
        """Make the pages anew for what stands chosen."""
        if self.preview.page_count == 0:
            self.preview.show_words("Making the pages…")
        request = self.request()
        self._previewing.run_long(
            lambda _tell, stopped: preview(request, stopped), self.preview.show_pages, self._no_preview
        )

    def _no_preview(self, error: Exception) -> None:
        self.preview.show_words(in_words(error))

    def export(self) -> None:
        """Make the report and write it; what is wrong is said beneath its line."""
        signing = self._signing()
        path = self.place.path
        if path is None:
            self.place.say("say where to")
        if path is None or (self.sign.isChecked() and signing is None):
            return
        request = self.request()
        path = path if path.suffix.lower() == ".pdf" else path.with_name(path.name + ".pdf")
        self.exported = None
        self.said.setText("")
        self.wrong.hide()
        self.open_button.setEnabled(False)
        self._background.run_long(
            lambda _tell, stopped: make(request, path, signing, stopped), self._written, self._failed
        )

    def _signing(self) -> Signing | None:
        path = self.identity.path
        if not self.sign.isChecked():
            return None
        if path is None:
            self.identity.say("say which identity signs, or export a draft")
            return None
        return Signing(path, self.password.text)

    def _written(self, exported: Exported) -> None:
        self.exported = exported
        what = "Signed report" if exported.signed else "Draft"
        self.said.setText(
            f"{what} {exported.report_id} written to {exported.path}\nSHA-256 {in_groups(exported.sha256)}"
        )
        self.open_button.setEnabled(True)
        self.open_button.setFocus()
        self._previewing.run(lambda: pages_of(exported.path), self.preview.show_pages, self._no_preview)

    def _failed(self, error: Exception) -> None:
        """A fault of a file names the file: that of the identity, or the report's own place."""
        given = error.faults[0].given if isinstance(error, FileFault) else ""
        file_entry = self.identity if given == str(self.identity.path) else self.place
        entries = {"identity.password": self.password, "identity": self.identity, "": file_entry}
        say_faults(error, entries, self.wrong)

    def open_file(self) -> None:
        """Open the report with whatever shows PDF files on this machine."""
        if self.exported is not None and not QDesktopServices.openUrl(QUrl.fromLocalFile(str(self.exported.path))):
            self.wrong.setText("No program on this machine took the file; open it by hand.")
            self.wrong.show()

    def _sign_toggled(self, wanted: bool) -> None:
        for entry in (self.identity, self.password):
            entry.setVisible(wanted)
        self.unsigned.setVisible(not wanted)

    def _busy(self, busy: bool) -> None:
        self.progress.setVisible(busy)
        self.export_button.setEnabled(not busy)


def in_groups(digest: str) -> str:
    """A long number in groups, so that its line can break."""
    return " ".join(digest[i : i + 8] for i in range(0, len(digest), 8))


def preview(request: ReportRequest, stopped: Stopped) -> list[QImage]:
    """The pages of a draft as images."""
    return render(draft(request, stopped))


def draft(request: ReportRequest, stopped: Stopped) -> bytes:
    """The PDF of a draft."""
    options = request.options_with(stopped)
    with PRESS:
        return build(request.check, request.case_text, request.kind, request.now, options).pdf


def pages_of(path: Path) -> list[QImage]:
    """The pages of the report that was written, as images."""
    return render(read_whole(path, "a report", LARGEST_FILE))


def make(request: ReportRequest, path: Path, signing: Signing | None, stopped: Stopped) -> Exported:
    """Open the identity, work out what the report needs, make it, write it."""
    identity = None if signing is None else load_identity(signing.path, signing.password)
    options = request.options_with(stopped)
    with PRESS:
        return export_report(
            request.check, request.case_text, request.kind, path, now=request.now, identity=identity, options=options
        )
