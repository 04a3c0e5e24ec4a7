"""Export a report: for whom, signed or a draft, where to; with its pages beside, before and after."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from threading import Lock

from PySide6.QtCore import Qt, QUrl, Signal
from PySide6.QtGui import QDesktopServices, QImage
from PySide6.QtWidgets import (
    QCheckBox,
    QDialogButtonBox,
    QProgressBar,
    QSplitter,
    QWidget,
)

from engcalc.case.case import Case
from engcalc.case.file import SUFFIX, is_there, read_whole
from engcalc.case.text import CaseText
from engcalc.causes.base_rates import OtherRates
from engcalc.diagnosis.members.two_processes import TwoProcesses
from engcalc.diagnosis.odds.diagnosis import Diagnosis, diagnose
from engcalc.errors import FileFault
from engcalc.studies.checked import Check
from engcalc.studies.choice.candidates import Comparison
from engcalc.studies.choice.least_core import LeastCore
from engcalc.units import UnitSystem
from engcalc.vehicle.warmup_study import WarmupStudy
from engcalc.words.texts import dialog_texts, report_texts, shared_texts
from reports.build import ExportedReport, Options, build, export_report
from reports.identity import load_identity
from reports.kinds import Annex, Records, ReportKind, kind_for, usual_annex
from reports.lasting import Lasting, named_clock
from reports.letterhead import NO_SHOP, ShopProfile, letterhead_of
from reports.overwriting import in_the_way
from reports.recorded import compared_parts, has_causes, recorded, sought_core
from reports.verifying import LARGEST_FILE
from ui.book.own_history import EarlierRecord, HistoryNotUsed, own_history_of
from ui.document import Document
from ui.trusting import known_to_user
from ui.trusting import now as local_now
from ui.window.accessible import tie
from ui.window.dialogs.background import Background, Stopped, Tell, WorkingDialog, in_words
from ui.window.dialogs.identity import IdentityDialog
from ui.window.dialogs.letterhead import LetterheadDialog
from ui.window.dialogs.parts import LabelledLine, PlaceEntry, ask_open, ask_save, button, right, say_faults, size, words
from ui.window.dialogs.preview import Preview, render
from ui.window.places import place_to_write
from ui.window.plain import plain_label, says_yes
from ui.window.rhythm import AROUND_A_DIALOG, BESIDE_A_BAR, em, upright
from ui.window.scrolled import Page, scrolled
from ui.window.shown import until_left
from ui.window.still_combo import StillCombo
from ui.window.views.recorded import logs_of

KIND_WORDS = {
    ReportKind.CUSTOMER: dialog_texts.FOR_THE_CUSTOMER,
    ReportKind.SIZING: dialog_texts.FOR_SIZING_DUTIES,
    ReportKind.LESSON: dialog_texts.FOR_A_LESSON,
}
ANNEX_WORDS = {
    Annex.NONE: dialog_texts.NONE_THE_REPORT_ALONE,
    Annex.SHORT: dialog_texts.SHORT_INPUTS_EVIDENCE,
    Annex.FULL: dialog_texts.FULL_WITH_THE_WORKING_AND_EVERY_INPUT,
}
LASTING_WORDS = {
    Lasting.TIME: dialog_texts.WITH_THE_TIME_ALONE_PADES_B_T,
    Lasting.DATA: dialog_texts.WITH_THE_DATA_THAT_CHECKS_CERTIFICATES_B_LT,
    Lasting.ARCHIVE: dialog_texts.WITH_THAT_UNDER_A_TIMESTAMP_TOO_B_LTA,
}
MOST_OFFERED = 1000  # reports of cases that nobody saved, before one is offered to be written over
PRESS = Lock()  # the page library's fonts may not be used by two threads at once


class RecordAnswers:
    """What the records of a case show and what may be behind it: taken over where a view has worked it out, else worked
    out once when first asked for, on whichever thread asks."""

    def __init__(
        self,
        check: Check,
        folder: Path,
        study: WarmupStudy | None = None,
        diagnosis: Diagnosis | None = None,
        own_rates: Callable[[Case], OtherRates | None] = lambda _case: None,
        expected: EarlierRecord | HistoryNotUsed | None = None,
    ) -> None:
        self._case, self._folder, self._study, self._diagnosis = check.case, folder, study, diagnosis
        self._own_rates, self._expected = own_rates, expected
        self._lock = Lock()
        self._core: LeastCore | None = None
        self._parts: Comparison | None = None
        self._found: tuple[Records | None] | None = None

    def records(self, stopped: Stopped) -> Records | None:
        """The warm-ups, as :func:`reports.recorded.recorded`."""
        with self._lock:
            if self._found is None:
                logs = logs_of(self._case, self._folder)
                self._found = (recorded(self._case, logs, known=self._study, cancelled=stopped),)
            return self._found[0]

    def least_core(
        self, text: CaseText, kind: ReportKind, tell: Callable[[float], None], stopped: Stopped
    ) -> LeastCore | None:
        """The least core of a sizing report, sought once; as :func:`reports.recorded.sought_core`."""
        with self._lock:
            if self._core is None:
                self._core = sought_core(self._case, text, kind, progress=tell, cancelled=stopped)
            return self._core if kind is ReportKind.SIZING else None

    def compared(self, text: CaseText, kind: ReportKind, stopped: Stopped) -> Comparison | None:
        """The parts of a sizing report side by side, checked once; as :func:`reports.recorded.compared_parts`."""
        with self._lock:
            if self._parts is None:
                self._parts = compared_parts(self._case, text, kind, self._folder or Path(), cancelled=stopped)
            return self._parts if kind is ReportKind.SIZING else None

    @property
    def knows_causes(self) -> bool:
        """Whether the causes are there without further work."""
        return self._diagnosis is not None

    def causes(self, tell: Callable[[float], None], stopped: Stopped) -> Diagnosis:
        """The causes; ``tell`` is told how far it is, 0 to 1. Raises Cancelled."""
        with self._lock:
            if self._diagnosis is None:
                logs = logs_of(self._case, self._folder)
                with TwoProcesses() as both:
                    self._diagnosis = diagnose(
                        self._case,
                        logs,
                        progress=lambda share, _words: tell(share),
                        cancelled=stopped,
                        runner=both.simulate,
                        instead=self._own_rates(self._case),
                        own=own_history_of(self._expected, stopped, both.simulate),
                    )
            return self._diagnosis


@dataclass(frozen=True, eq=False)
class ReportRequest:
    """Everything that one report is made from; nothing in it changes while the report is being made."""

    check: Check
    case_text: CaseText
    kind: ReportKind
    now: datetime
    options: Options
    evidence: RecordAnswers
    causes: bool
    shop: ShopProfile

    def options_with(self, tell: Callable[[float], None], stopped: Stopped, *, causes: bool) -> Options:
        """The options with the letterhead, what the records show, and the causes where they are wanted."""
        return replace(
            self.options,
            records=self.evidence.records(stopped),
            diagnosis=self.evidence.causes(tell, stopped) if causes else None,
            letterhead=letterhead_of(self.shop),
            least_core=self.evidence.least_core(self.case_text, self.kind, tell, stopped),
            candidates=self.evidence.compared(self.case_text, self.kind, stopped),
        )


@dataclass(frozen=True)
class Signing:
    """The identity file that is to sign, its password, and the clock that stamps it: no server for none."""

    path: Path
    password: str
    server: str = ""
    lasting: Lasting = Lasting.TIME


class ExportDialog(WorkingDialog):
    """Makes one report of one check. The document is only read, once, when the dialog opens.

    ``shop_changed`` tells another letterhead, to be kept, ``identity_made`` the file of a new signing identity,
    ``report_written`` each report, ``annex_chosen`` the annex that a person wants behind a kind. ``annexes`` are those
    chosen before, by the same words.
    """

    shop_changed = Signal(object)
    identity_made = Signal(object)
    report_written = Signal(object)
    annex_chosen = Signal(str, str)  # the words of a kind and of its annex

    def __init__(
        self,
        document: Document,
        check: Check,
        system: UnitSystem,
        parent: QWidget | None = None,
        now: Callable[[], datetime] = local_now,
        identity: Path | None = None,
        evidence: RecordAnswers | None = None,
        shop: ShopProfile = NO_SHOP,
        annexes: Mapping[str, str] | None = None,
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle("Export a report")
        self.shop, self._case_path = shop, document.path
        self._check, self._text, self._system, self._now = check, document.text, system, now
        self._folder = document.folder
        self._annexes = dict(annexes or {})
        self._evidence = evidence or RecordAnswers(check, document.folder or Path())
        self._background = Background(self)  # makes the file
        self._previewing = Background(self)
        self.exported: ExportedReport | None = None
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
        usual = kind_for(self._check.case)
        self.kind.setCurrentIndex(self.kind.findData(usual))
        self.annex = StillCombo()
        for annex, said in ANNEX_WORDS.items():
            self.annex.addItem(said, annex)
        self._choose_usual_annex()
        self.causes = QCheckBox(dialog_texts.SAY_WHAT_MAY_BE_BEHIND_IT_WITH_KEY)
        self.causes.setToolTip(dialog_texts.WORKED_OUT_FROM_THE_READINGS)
        self.causes.setEnabled(self._evidence.knows_causes or has_causes(self._check.case, ReportKind.CUSTOMER))
        self.causes.setChecked(self.causes.isEnabled() and usual is ReportKind.CUSTOMER)
        self.shop_name = words(tone="muted")
        self.shop_button = button("Letter&head…")
        self._name_shop()
        self.anonymised = QCheckBox(dialog_texts.LEAVE_OUT_NAMES_WITH_KEY)
        self.anonymised.setToolTip(dialog_texts.REPORT_AND_CASE_INSIDE_IT_THEN_NAME)
        self.sign = QCheckBox("&Sign it")
        self.sign.setObjectName("sign")
        self.sign.setChecked(identity is not None)
        self.identity = PlaceEntry(
            "&Identity file",
            ask_open(dialog_texts.SIGN_WITH_THIS_IDENTITY, dialog_texts.SIGNING_IDENTITIES_P12_PFX_TOKEN_JSON),
            help_text=dialog_texts.MADE_UNDER_SIGNING_IDENTITY,
        )
        self.identity.line.setText(str(identity) if identity is not None else "")
        self.make_identity = button(dialog_texts.NONE_YET_MAKE_ONE_WITH_KEY, dialog_texts.MAKE_A_SIGNING_IDENTITY)
        self._identity_row = right(self.make_identity)
        self.password = LabelledLine(dialog_texts.PASSWORD_OF_THE_IDENTITY_WITH_KEY)
        self.password.hide_letters()
        self.server = LabelledLine(
            dialog_texts.TIMESTAMP_SERVER_IF_ANY_WITH_KEY,
            "Timestamp server",
            dialog_texts.ITS_ADDRESS_IT_IS_SENT_A_DIGEST,
        )
        self.lasting = StillCombo()
        for lasting, said in LASTING_WORDS.items():
            self.lasting.addItem(said, lasting)
        self.lasting.setAccessibleName(dialog_texts.HOW_LONG_THE_SIGNATURE_CAN_BE_CHECKED)
        self.place = PlaceEntry(
            dialog_texts.WRITE_TO_THIS_FILE_WITH_KEY,
            ask_save(dialog_texts.WRITE_THE_REPORT_TO, dialog_texts.PDF_KINDS),
            "Report file",
        )
        self.place.line.setText(str(offered_place(document)))

    def _set_up(self) -> None:
        self.export_button = button("&Export", main=True)
        self.open_button = button("&Open the file")
        self.open_button.setEnabled(False)
        self.progress = QProgressBar()
        self.progress.setRange(0, 100)
        self.progress.setAccessibleName("Making the report")
        self.progress.hide()
        self.stop_button = button("S&top")
        self.stop_button.hide()
        self.said = words()
        self.wrong = words(tone="error")
        self.wrong.hide()
        self.unsigned = words(dialog_texts.WITHOUT_A_SIGNATURE_THE_REPORT_IS_A_DRAFT, "muted")
        self.preview = Preview()
        splitter = QSplitter(Qt.Orientation.Horizontal)
        splitter.setChildrenCollapsible(False)
        splitter.addWidget(self._form())
        splitter.addWidget(self.preview)
        splitter.setSizes([30 * em(), 36 * em()])
        splitter.setStretchFactor(1, 1)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        buttons.rejected.connect(self.reject)
        layout = upright(self, around=AROUND_A_DIALOG)
        layout.addWidget(splitter, 1)
        layout.addWidget(buttons)
        size(self, 66, 44)

    def _form(self) -> QWidget:
        form = Page()
        column = upright(form, around=BESIDE_A_BAR)
        label = plain_label("&Kind of report")
        tie(label, self.kind, "Kind of report")
        behind = plain_label("Anne&x behind it")
        tie(behind, self.annex, "Annex behind it")
        for box in (self.kind, self.annex, self.lasting):
            box.setSizeAdjustPolicy(StillCombo.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
            box.setMinimumContentsLength(24)
        for widget in (
            label,
            self.kind,
            behind,
            self.annex,
            self.causes,
            self.anonymised,
            self.shop_name,
            right(self.shop_button),
            self.sign,
            self.identity,
            self._identity_row,
            self.password,
            self.server,
            self.lasting,
            self.unsigned,
            self.place,
            right(self.export_button),
            self.progress,
            right(self.stop_button),
            self.wrong,
            self.said,
            right(self.open_button),
        ):
            column.addWidget(widget)
        column.addStretch(1)
        scroll = scrolled(form, dialog_texts.WHAT_THE_REPORT_HOLDS)
        scroll.setMinimumWidth(24 * em())
        return scroll

    def _connect(self) -> None:
        self.kind.currentIndexChanged.connect(self._kind_changed)
        self.annex.activated.connect(self._take_annex)
        self.causes.toggled.connect(self.refresh_preview)
        self.shop_button.clicked.connect(self.change_letterhead)
        self.stop_button.clicked.connect(self.stop)
        self.anonymised.toggled.connect(self.refresh_preview)
        self.sign.toggled.connect(self._sign_toggled)
        self.make_identity.clicked.connect(self.ask_for_identity)
        self.identity.line.textChanged.connect(lambda _text: self._sign_toggled(self.sign.isChecked()))
        self.export_button.clicked.connect(self.export)
        self.open_button.clicked.connect(self.open_file)
        self._background.busy_changed.connect(self._busy)
        self._previewing.busy_changed.connect(self._busy)
        self._previewing.came_early.connect(self.preview.show_pages)
        for work in (self._background, self._previewing):
            work.progressed.connect(self._reached)

    # ---- doing ------------------------------------------------------------------------------------------------------

    def request(self) -> ReportRequest:
        """What stands chosen, as it is handed to the worker."""
        options = Options(
            self._system, self.anonymised.isChecked(), self._folder, annex=Annex(self.annex.currentData())
        )
        return ReportRequest(
            self._check,
            self._text,
            ReportKind(self.kind.currentData()),
            self._now(),
            options,
            self._evidence,
            self.causes.isChecked(),
            self.shop,
        )

    def _choose_usual_annex(self) -> None:
        kind = ReportKind(self.kind.currentData())
        known = {annex.word: annex for annex in Annex}
        wanted = known.get(self._annexes.get(kind.value, ""), usual_annex(kind))
        self.annex.setCurrentIndex(self.annex.findData(wanted))

    def _take_annex(self) -> None:
        """A person chose the annex: it stands behind the next report of this kind too."""
        kind, annex = ReportKind(self.kind.currentData()), Annex(self.annex.currentData())
        self._annexes[kind.value] = annex.word
        self.annex_chosen.emit(kind.value, annex.word)
        self.refresh_preview()

    def _kind_changed(self) -> None:
        self._choose_usual_annex()
        self.refresh_preview()

    def _name_shop(self) -> None:
        self.shop_name.setText(f"Letterhead of {self.shop.name}" if self.shop.name else dialog_texts.NO_LETTERHEAD)

    def change_letterhead(self) -> None:
        """Ask for the shop's profile, and draw the pages with it."""
        dialog = LetterheadDialog(self.shop, self)
        dialog.chosen.connect(self.take_letterhead)
        until_left(dialog)

    def take_letterhead(self, profile: ShopProfile) -> None:
        """From now on this shop heads the page."""
        self.shop = profile
        self._name_shop()
        self.shop_changed.emit(profile)
        self.refresh_preview()

    def ask_for_identity(self) -> None:
        """Make an identity, or bring one, and sign with it; its password is typed here once more."""
        dialog = IdentityDialog(self, self._now, self._text.typed("job.prepared_by").strip())
        dialog.ready.connect(self.take_identity)
        until_left(dialog)
        self.password.line.setFocus()

    def take_identity(self, path: Path) -> None:
        """From now on this identity signs."""
        self.identity.line.setText(str(path))
        self.identity_made.emit(path)

    def refresh_preview(self) -> None:
        """Make the pages anew for what stands chosen."""
        if self.preview.page_count == 0:
            self.preview.show_words("Making the pages…")
        request = self.request()
        self._previewing.run_long(
            lambda tell, stopped: preview(request, tell, stopped), self.preview.show_pages, self._no_preview
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
        if not self._may_go_to(path):
            return
        self.exported = None
        self.said.setText("")
        self.wrong.hide()
        self.open_button.setEnabled(False)
        self._background.run_long(
            lambda tell, stopped: make(request, path, signing, tell, stopped), self._written, self._failed
        )

    def _may_go_to(self, path: Path) -> bool:
        """Whether the report may be written there: never over its own inputs, over a signed one when asked."""
        made_from = (self._case_path, self.identity.path, self.shop.logo)
        lost = in_the_way(path, [one for one in made_from if one is not None])
        if lost == report_texts.FILE_IS_WHAT_THE_REPORT_IS_MADE_FROM:
            self.place.say(shared_texts.ANOTHER_NAME_WOULD_DO.format(lost=lost))
            return False
        return not lost or self._asks_to_go_over(path)

    def _asks_to_go_over(self, path: Path) -> bool:
        words = dialog_texts.IS_A_SIGNED_REPORT.format(name=path.name)
        return says_yes(self, dialog_texts.SIGNED_REPORT_IS_THERE_ALREADY, words)

    def stop(self) -> None:
        """Make no report, and no causes for its preview."""
        self._background.cancel()
        self._previewing.cancel()

    def _signing(self) -> Signing | None:
        path = self.identity.path
        if not self.sign.isChecked():
            return None
        if path is None:
            self.identity.say(dialog_texts.SAY_WHICH_IDENTITY_SIGNS)
            return None
        return Signing(path, self.password.text, self.server.text.strip(), Lasting(self.lasting.currentData()))

    def _written(self, exported: ExportedReport) -> None:
        self.exported = exported
        self.report_written.emit(exported)
        what = "Signed report" if exported.signed else "Draft"
        self.said.setText(
            dialog_texts.WRITTEN_TO_SHA_256.format(
                what=what, report_id=exported.report_id, path=exported.path, in_groups=in_groups(exported.sha256)
            )
        )
        self.open_button.setEnabled(True)
        self.open_button.setFocus()
        self._previewing.run(lambda: pages_of(exported.path), self.preview.show_pages, self._no_preview)

    def _failed(self, error: Exception) -> None:
        """A fault of a file names the file: that of the identity, or the report's own place."""
        given = error.faults[0].given if isinstance(error, FileFault) else ""
        file_entry = self.identity if given == str(self.identity.path) else self.place
        entries = {
            "identity.password": self.password,
            "identity": self.identity,
            "timestamp.server": self.server,
            "": file_entry,
        }
        say_faults(error, entries, self.wrong)

    def open_file(self) -> None:
        """Open the report with whatever shows PDF files on this machine."""
        if self.exported is not None and not QDesktopServices.openUrl(QUrl.fromLocalFile(str(self.exported.path))):
            self.wrong.setText(dialog_texts.NO_PROGRAM_ON_THIS_MACHINE_TOOK_THE_FILE)
            self.wrong.show()

    def _sign_toggled(self, wanted: bool) -> None:
        for entry in (self.identity, self.password, self.server, self.lasting):
            entry.setVisible(wanted)
        self._identity_row.setVisible(wanted and self.identity.path is None)
        self.unsigned.setVisible(not wanted)

    def _busy(self, busy: bool) -> None:
        self.export_button.setEnabled(not self._background.busy)
        works = self._background.busy or (busy and self.progress.isVisible())
        self._show_work(works)

    def _show_work(self, works: bool) -> None:
        self.progress.setVisible(works)
        self.stop_button.setVisible(works)
        if not works:
            self.progress.reset()

    def _reached(self, share: float) -> None:
        """Causes are being worked out: pages alone take no time that would be worth a bar."""
        self._show_work(True)
        self.progress.setValue(round(100.0 * share))


def offered_place(document: Document) -> Path:
    """Beside a saved case, by its name; else where no file stands yet: one that does is another customer's."""
    folder = place_to_write(document)
    if document.path is not None:
        return folder / f"{document.path.name.removesuffix(SUFFIX)}.pdf"
    places = [folder / f"report{number}.pdf" for number in ("", *(f"-{n}" for n in range(2, MOST_OFFERED)))]
    return next((place for place in places if not is_there(place)), places[-1])


def in_groups(digest: str) -> str:
    """A long number in groups, so that its line can break."""
    return " ".join(digest[i : i + 8] for i in range(0, len(digest), 8))


def preview(request: ReportRequest, tell: Tell, stopped: Stopped) -> list[QImage]:
    """The pages of a draft as images; while causes are still to be worked out, those without them come early."""
    if request.causes and not request.evidence.knows_causes:
        tell.early(_draft(request, request.options_with(tell, stopped, causes=False), stopped))
    return _draft(request, request.options_with(tell, stopped, causes=request.causes), stopped)


def _draft(request: ReportRequest, options: Options, stopped: Stopped) -> list[QImage]:
    return render(draft(request, options, stopped))


def draft(request: ReportRequest, options: Options, stopped: Stopped) -> bytes:
    """The PDF of a draft. Raises Cancelled when nobody waits for it any more."""
    with PRESS:
        return build(request.check, request.case_text, request.kind, request.now, options, cancelled=stopped).pdf


def pages_of(path: Path) -> list[QImage]:
    """The pages of the report that was written, as images."""
    return render(read_whole(path, "a report", LARGEST_FILE))


def make(
    request: ReportRequest, path: Path, signing: Signing | None, tell: Callable[[float], None], stopped: Stopped
) -> ExportedReport:
    """Open the identity, work out what the report needs, make it, write it."""
    identity = None if signing is None else load_identity(signing.path, signing.password)
    options = request.options_with(tell, stopped, causes=request.causes)
    if signing is not None and identity is not None and signing.server:
        clock = named_clock(signing.server, signing.lasting, identity, known_to_user().roots)
        options = replace(options, stamping=clock)
    with PRESS:
        return export_report(
            request.check,
            request.case_text,
            request.kind,
            path,
            now=request.now,
            identity=identity,
            options=options,
            cancelled=stopped,
        )
