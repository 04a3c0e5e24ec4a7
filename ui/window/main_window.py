"""The one window: start page or open case, files, unsaved work, and what menus ask of it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QTimer, Signal
from PySide6.QtGui import QCloseEvent, QDragEnterEvent, QDropEvent
from PySide6.QtWidgets import QApplication, QMainWindow, QStackedWidget

from engcalc.case.case import Case
from engcalc.case.file import SUFFIX, read_case
from engcalc.case.text import CaseText
from engcalc.errors import HeatdocketError, InputError
from engcalc.units import UnitSystem
from engcalc.words.terms.foreign import visible
from engcalc.words.texts import window_texts
from ui.document import ChangedOutside, Document, free_name_beside
from ui.recovery import Recovered, Recovery, found, passed_over
from ui.window import theme
from ui.window.accessible import retire
from ui.window.dropped import LOGS, dropped_file
from ui.window.memory import LEFT_FOR_MS, give_back
from ui.window.places import place_to_write
from ui.window.plain import plain_label
from ui.window.progress import Progress
from ui.window.prompts import Prompts, SavedElsewhere, Unsaved
from ui.window.rhythm import em
from ui.window.settings import Settings
from ui.window.start_page import StartPage, WayIn
from ui.window.tab_order import tab_to_next
from ui.window.worker import Checker, CheckFunction, Executor, ThreadExecutor
from ui.window.workspace import Workspace, make_results

if TYPE_CHECKING:
    from engcalc.causes.base_rates import OtherRates
    from engcalc.studies.checked import Check
    from ui.book.in_use import BookInUse
    from ui.book.jobs import JobLine
    from ui.book.own_history import EarlierRecord, HistoryNotUsed
    from ui.window.results.panel import ResultsPanel

MOST_NAMED = 3  # files that a message names
KEEP_AFTER_MS = 3000  # from the first unsaved change to its copy on the disk
MOST_JOBS = 50  # that the start page lists
TOLD_MS = 8000  # a line in the status bar


def engine_check(
    case: Case,
    *,
    folder: Path,
    members: int,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> Check:
    """The engine's check with the case's records.

    Imported on the worker when first asked for, to keep the start short.
    """
    from engcalc.diagnosis.whole_check import check_with_records
    from ui.window.views.recorded import logs_of

    logs = logs_of(case, folder) if members else {}
    return check_with_records(case, logs, members=members, progress=progress, cancelled=cancelled).check


def example_files() -> list[Path]:
    """The examples that came with the program."""
    import worked_examples

    return sorted(worked_examples.folder().rglob(f"*{SUFFIX}"))


class MainWindow(QMainWindow):
    """The window. Everything that reaches out - disk places, the clock, questions, the engine - can be handed in.

    Menus and other ways to act stand on top of it (:mod:`ui.window.menus`): the window knows nothing of them.
    """

    export_wanted = Signal()  # somebody asks for a report of the open case
    report_written = Signal(object)  # the Exported report of the open case
    saved = Signal(object)  # the path of the case that was saved
    job_wanted = Signal(int)  # the number of a job of the book that is to be opened
    book_wanted = Signal()  # somebody asks for the job book itself
    outcome_wanted = Signal()  # somebody asks to enter how the job ended
    state_changed = Signal()  # what can be done now, or what is chosen, may be another

    def __init__(
        self,
        settings: Settings,
        unsaved_folder: Path,
        *,
        check: CheckFunction = engine_check,
        executor: Executor | None = None,
        prompts: Prompts | None = None,
        now: Callable[[], datetime] = datetime.now,
        results: Callable[[], ResultsPanel] = make_results,
    ) -> None:
        super().__init__()
        theme.dress(self)
        self.settings, self.prompts = settings, prompts or Prompts()
        self._now, self._unsaved_folder, self._make_results = now, unsaved_folder, results
        self._recovery = Recovery(unsaved_folder)
        self.checker = Checker(check, executor or ThreadExecutor())
        self.checker.setParent(self)
        self.workspace: Workspace | None = None
        self._book: BookInUse | None = None
        self._keep = QTimer(self)
        self._keep.setSingleShot(True)
        self._keep.setInterval(KEEP_AFTER_MS)
        self._keep.timeout.connect(self.keep_unsaved)
        self.gives_back = QTimer(self)
        self.gives_back.setSingleShot(True)
        self.gives_back.setInterval(LEFT_FOR_MS)
        self.gives_back.timeout.connect(give_back)
        self.start_page = StartPage()
        self._stack = QStackedWidget()
        self._stack.addWidget(self.start_page)
        self.setCentralWidget(self._stack)
        self._doing = plain_label()
        self.statusBar().addPermanentWidget(self._doing)
        self._progress = Progress(self.checker)
        self._progress.stopped.connect(self.stop_check)
        self.statusBar().addPermanentWidget(self._progress)
        self.setAcceptDrops(True)
        self._connect_start_page()
        self._restore_place()
        self.show_start()

    def _connect_start_page(self) -> None:
        page = self.start_page
        page.started.connect(self.start)
        page.chosen.connect(self.open_path)
        page.example_chosen.connect(self.open_example)
        page.restored.connect(self.restore)
        page.forgotten.connect(self._forget)
        page.job_chosen.connect(self.job_wanted)
        page.book_asked.connect(self.book_wanted)

    def _restore_place(self) -> None:
        place = self.settings.geometry
        if place is None or not self.restoreGeometry(place):
            room = self.screen().availableGeometry().size()
            self.resize(min(80 * em(), room.width()), min(50 * em(), room.height()))

    # -- documents ----------------------------------------------------------------------------------------------

    @property
    def document(self) -> Document | None:
        """The open case, if any."""
        return None if self.workspace is None else self.workspace.document

    def show_start(self) -> None:
        """Show the start page."""
        self._let_go()
        self._show_cases()
        self._stack.setCurrentWidget(self.start_page)
        self._name_window()
        self.state_changed.emit()

    def start(self, way: WayIn) -> None:
        """Begin a new case by one of the three ways in."""
        if self.may_leave():
            self._show(Document(way.value.text))

    def new_case(self) -> None:
        """Leave the open case for the start page, where a new one begins."""
        if self.may_leave():
            self.show_start()

    def choose_and_open(self) -> None:
        """Ask which case, and open it."""
        document = self.document
        path = self.prompts.open_name(self, document.folder if document is not None else None)
        if path is not None:
            self.open_path(path)

    def open_path(self, path: Path) -> bool:
        """Open a case file; says in words why when it cannot be."""
        if not self.may_leave():
            return False
        try:
            document = Document.read(path)
        except InputError as error:
            self.prompts.tell(self, window_texts.THIS_CASE_CANNOT_BE_OPENED, str(error))
            return False
        self.settings.remember(path)
        self._show(document)
        return True

    def open_example(self, path: Path) -> None:
        """Open an example as a new case: the example itself stays as it is."""
        if not self.may_leave():
            return
        try:
            self._show(Document(read_case(path), beside=path.parent))
        except InputError as error:
            self.prompts.tell(self, window_texts.THIS_EXAMPLE_CANNOT_BE_OPENED, str(error))

    def restore(self, work: Recovered) -> None:
        """Go on with unsaved work that was found."""
        if not self.may_leave():
            return
        self._show(Document(work.text, work.case_path, saved=_on_disk(work.case_path)))
        self.keep_unsaved()
        work.forget()

    def _forget(self, work: Recovered) -> None:
        work.forget()
        self.show_start()

    def _show(self, document: Document) -> None:
        self._let_go()
        document.resolve()
        self.workspace = Workspace(document, self.settings, self.checker, self._make_results)
        self.workspace.system_wanted.connect(self.set_system)
        self.workspace.said.connect(self._doing.setText)
        self.workspace.step_changed.connect(self.state_changed)
        self.workspace.export_wanted.connect(self.export_wanted)
        self.workspace.outcome_wanted.connect(self.outcome_wanted)
        self.workspace.side.context.own_rates = self.own_rates
        self.workspace.side.context.own_history = self.own_history
        document.subscribe(lambda _change: self._changed())
        self._stack.addWidget(self.workspace)
        self._stack.setCurrentWidget(self.workspace)
        split = self.settings.splitter
        if split is not None:
            self.workspace.splitter.restoreState(split)
        self.workspace.focus_entries()
        self._changed()

    def _let_go(self) -> None:
        """Close the workspace, if there is one. Unsaved work has been asked about before."""
        self._keep.stop()
        self._recovery.forget()
        if self.workspace is not None:
            self.settings.splitter = self.workspace.splitter.saveState()
            self.workspace.close_case()
            self._stack.removeWidget(self.workspace)
            retire(self.workspace)
            self.workspace = None
            self._doing.setText("")
            self.gives_back.start()

    def _changed(self) -> None:
        document = self.document
        if document is not None and document.dirty and not self._keep.isActive():
            self._keep.start()
        self._name_window()
        self.state_changed.emit()

    def _name_window(self) -> None:
        document = self.document
        self.setWindowTitle("Heatdocket" if document is None else f"{document.name}[*] \u2013 Heatdocket")
        self.setWindowModified(document is not None and document.dirty)

    # -- saving -------------------------------------------------------------------------------------------------

    def save(self) -> bool:
        """Save the open case; asks where when it has no file yet."""
        document = self.document
        if document is None:
            return False
        return self.save_as() if document.path is None else self._save_to(document, document.path)

    def save_as(self) -> bool:
        """Ask where, and save there."""
        document = self.document
        if document is None:
            return False
        title = "".join(c for c in document.text.typed("job.title") if c.isalnum() or c in " -_").strip()[:60]
        suggested = document.path or place_to_write(document) / f"{title or 'case'}{SUFFIX}"
        path = self.prompts.save_name(self, suggested)
        return path is not None and self._save_to(document, path)

    def _save_beside_another(self, document: Document, path: Path) -> bool:
        """Somebody else saved this case meanwhile: ask, and lose neither unless told to."""
        said = self.prompts.changed_outside(self, document.name)
        if said is SavedElsewhere.KEEP_BOTH:
            return self._save_to(document, free_name_beside(path))
        if said is SavedElsewhere.REPLACE:
            document.accept_outside()
            return self._save_to(document, path)
        return False

    def _save_to(self, document: Document, path: Path) -> bool:
        try:
            document.save(path)
        except ChangedOutside:
            return self._save_beside_another(document, path)
        except HeatdocketError as error:
            self.prompts.tell(self, window_texts.CASE_WAS_NOT_SAVED, str(error))
            return False
        self._keep.stop()
        self._recovery.forget()
        self.settings.remember(path)
        self.state_changed.emit()
        self.tell(f"Saved: {path}")
        self.saved.emit(path)
        return True

    def may_leave(self) -> bool:
        """Whether the open case may be closed: it is saved, or the person says what is to become of it."""
        document = self.document
        if document is None or not document.dirty:
            return True
        answer = self.prompts.unsaved(self, document.name)
        return answer is Unsaved.DISCARD or (answer is Unsaved.SAVE and self.save())

    def _show_cases(self) -> None:
        """The start page with what can be gone on with; kept work that cannot be read is told, not offered."""
        find = None if self.book is None else self._open_jobs
        self.start_page.show_cases(self.settings.recent, example_files(), found(self._unsaved_folder), find)
        unread = passed_over(self._unsaved_folder)
        if unread:
            names = ", ".join(file.name for file in unread[:MOST_NAMED])
            self.tell(
                window_texts.KEPT_WORK_THAT_CANNOT_BE_READ.format(unsaved_folder=self._unsaved_folder, names=names)
            )

    def keep_unsaved(self) -> bool:
        """Write unsaved work beside, so that a crash loses little; whether nothing is at risk then."""
        document = self.document
        if document is None or not document.dirty:
            self._recovery.forget()
            return True
        try:
            self._recovery.keep(document.text, document.path, self._now())
        except HeatdocketError as error:
            self.tell(window_texts.UNSAVED_WORK_COULD_NOT_BE_KEPT.format(error=error))
            return False
        return True

    # -- the job book -------------------------------------------------------------------------------------------

    @property
    def book(self) -> BookInUse | None:
        """The job book in use; None where none was chosen. Its file may be gone: what is asked of it says so."""
        path = self.settings.book
        if path is None:
            return None
        if self._book is None or self._book.path != path:
            from ui.book.in_use import BookInUse

            self._book = BookInUse(path)
        return self._book

    def _open_jobs(self, words: str) -> tuple[JobLine, ...]:
        """The open jobs; all jobs that have the words where there are any."""
        return () if self.book is None else self.book.find(words, open_only=not words, limit=MOST_JOBS)

    def own_rates(self, case: Case) -> OtherRates | None:
        """The workshop's own base rates, where they are to count. FileFault when they cannot be read."""
        return self.book.own_rates(case) if self.book is not None and self.settings.own_rates else None

    def own_history(self) -> EarlierRecord | HistoryNotUsed | None:
        """The record that is expected of the open case's vehicle, or why there is none; None where it does not count.

        FileFault when the job book cannot be read.
        """
        document = self.document
        if self.book is None or document is None or not self.settings.own_history:
            return None
        return self.book.earlier_record(document.text, document.path)

    def book_changed(self) -> None:
        """Another book or other rates count, or a job ended: what rests on them follows."""
        if self.workspace is None:
            self._show_cases()
        else:
            self.workspace.side.document_changed()

    # -- display ------------------------------------------------------------------------------------------------

    def set_system(self, system: UnitSystem) -> None:
        """Show numbers in the other system of units."""
        self.settings.system = system
        if self.workspace is not None:
            self.workspace.set_system(system)
        self.state_changed.emit()

    def set_look(self, look: theme.Look) -> None:
        """Change the palette."""
        self.settings.look = look
        self.apply_look()

    def set_text_size(self, percent: int) -> None:
        """Change the size of the text."""
        self.settings.text_size = percent
        self.apply_look()

    def apply_look(self) -> None:
        """Take the remembered palette and size into use."""
        theme.apply(_application(), self.settings.look, self.settings.text_size)
        if self.workspace is None:
            self._show_cases()
        self.state_changed.emit()

    def stop_check(self) -> None:
        """Work out no answer to what stands typed."""
        if self.workspace is not None:
            self.workspace.stop()

    def check_again(self) -> None:
        """Work the answer out once more."""
        if self.workspace is not None:
            self.workspace.ask()

    def tell(self, text: str, *, stays: bool = False) -> None:
        """Say something in the status bar: for a while, or until something else is said there."""
        self.statusBar().showMessage(visible(text), 0 if stays else TOLD_MS)

    # -- Qt's hooks ---------------------------------------------------------------------------------------------

    def focusNextPrevChild(self, forwards: bool) -> bool:
        """Qt's hook: Tab goes on as the eye does."""
        moved = tab_to_next((self.centralWidget(), self.statusBar()), forwards=forwards)
        return moved or super().focusNextPrevChild(forwards)

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        """A case file may be dropped, and on an open case a log."""
        if dropped_file(event, ".json" if self.workspace is None else (".json", *LOGS)) is not None:
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        """Open the case that was dropped, or take the log into the open one."""
        path, log = dropped_file(event, ".json"), dropped_file(event, LOGS)
        if path is not None:
            event.acceptProposedAction()
            self.open_path(path)
        elif log is not None and self.workspace is not None:
            event.acceptProposedAction()
            self.workspace.import_log(log)

    def closeEvent(self, event: QCloseEvent) -> None:
        """Ask about unsaved work, remember the window's place, end the worker."""
        if not self.may_leave():
            event.ignore()
            return
        self.settings.geometry = self.saveGeometry()
        self._let_go()
        self.gives_back.stop()
        self.checker.close()
        self.settings.write()
        event.accept()


def _on_disk(path: Path | None) -> CaseText:
    """What is saved at a place; an empty case when nothing there reads."""
    if path is None:
        return CaseText()
    try:
        return read_case(path)
    except InputError:
        return CaseText()


def _application() -> QApplication:
    application = QApplication.instance()
    assert isinstance(application, QApplication)  # a window lives in one
    return application
