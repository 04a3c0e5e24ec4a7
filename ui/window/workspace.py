"""One open case: its form on the left, its results on the right, and the checks that keep them in step."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QButtonGroup, QHBoxLayout, QLabel, QPushButton, QSplitter, QVBoxLayout, QWidget

from engcalc.case.case import Case
from engcalc.case.declare import DetailLevel
from engcalc.case.naming import without_names
from engcalc.case.sections.job import NAMES
from engcalc.case.text import CaseText
from engcalc.units import UnitSystem
from ui.document import Document, TextChange
from ui.window.form.panel import FormPanel
from ui.window.settings import Settings
from ui.window.theme import em
from ui.window.worker import Checker

if TYPE_CHECKING:
    from engcalc.studies.checked import Check
    from ui.window.results.panel import ResultsPanel
    from ui.window.views.side import ResultsSide


SLOW_MS = 300
RESULTS_EMS = 23  # lines of text that the results need to stand without scrolling sideways
STOPPED = "The check was stopped. F5 works the answer out."
STOPPED_ODDS = "The check was stopped before its odds were worked out. F5 works them out."
UNDER_WAY = "The answer to what stands typed now is being worked out."


def make_results() -> ResultsPanel:
    """The results side; imported when a case is first opened, to keep the start short."""
    from ui.window.results.panel import ResultsPanel

    return ResultsPanel()


def make_side(results: ResultsPanel, document: Document, settings: Settings, system: UnitSystem) -> ResultsSide:
    """The verdict with the other views beside it."""
    from ui.window.views.side import ResultsSide
    from ui.window.views.view import Context

    return ResultsSide(results, Context(document, settings, system))


class Workspace(QWidget):
    """Form, results and checks of one document."""

    system_wanted = Signal(object)
    checked = Signal(object)  # the newest Check
    said = Signal(str)  # what the program is doing, for the status line

    def __init__(
        self,
        document: Document,
        settings: Settings,
        checker: Checker,
        depth: DetailLevel | None = None,
        results: Callable[[], ResultsPanel] = make_results,
    ) -> None:
        super().__init__()
        self.document, self.checker = document, checker
        self.check: Check | None = None
        self._answered_text: CaseText | None = None  # what the check answers, names apart
        system = settings.system
        self.form = FormPanel(document, system, depth)
        self.results = results()
        self.side = make_side(self.results, document, settings, system)
        self.splitter = QSplitter(Qt.Orientation.Horizontal)
        self.splitter.setChildrenCollapsible(False)
        self.splitter.addWidget(self.form)
        self.splitter.addWidget(self.side)
        self.splitter.setStretchFactor(0, 2)
        self.splitter.setStretchFactor(1, 3)
        self.splitter.setSizes([420, 580])  # shares of the width
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addLayout(self._bar())
        column.addWidget(self.splitter, 1)
        self._slow = QTimer(self)  # an answer that takes long is said to be on its way
        self._slow.setSingleShot(True)
        self._slow.setInterval(SLOW_MS)
        self._slow.timeout.connect(lambda: self.results.show_stale(UNDER_WAY))
        self._unsubscribe = document.subscribe(self._changed)
        checker.answered.connect(self._answered)
        checker.failed.connect(self._failed)
        checker.busy_changed.connect(self._busy)
        self.set_system(system)
        self._name()
        self.ask()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Where the results would have to scroll sideways the form makes room, as far as it can."""
        super().resizeEvent(event)
        if self.splitter.sizes()[1] < RESULTS_EMS * em():
            self.splitter.setSizes([0, self.width()])

    def _bar(self) -> QHBoxLayout:
        bar = QHBoxLayout()
        bar.setContentsMargins(em() // 2, em() // 4, em() // 2, em() // 4)
        bar.setSpacing(0)
        self._title = QLabel()
        self._title.setTextFormat(Qt.TextFormat.PlainText)
        bar.addWidget(self._title, 1)
        bar.addWidget(QLabel("Units: "))
        self._systems = QButtonGroup(self)
        for number, system in enumerate(UnitSystem):
            button = QPushButton(system.value)
            button.setCheckable(True)
            button.setProperty("tone", "choice")
            button.setAccessibleName(f"Units: {system.value}")
            button.clicked.connect(lambda _checked=False, system=system: self.system_wanted.emit(system))
            self._systems.addButton(button, number)
            bar.addWidget(button)
        return bar

    def set_system(self, system: UnitSystem) -> None:
        """Show everything in this system of units; nothing typed changes, nothing is computed."""
        self._systems.button(list(UnitSystem).index(system)).setChecked(True)
        self.form.set_system(system)
        self.side.set_system(system)

    def _name(self) -> None:
        title = self.document.text.typed("job.title")
        self._title.setText(title if title else self.document.name)

    def _changed(self, change: TextChange) -> None:
        if change.path in ("", "job.title"):
            self._name()
        if change.path and not (change.path in NAMES and self._renamed()):
            self.ask()
        if change.path:
            self.side.document_changed()

    def _renamed(self) -> bool:
        """Put the new names into the answer there is, where it answers all else that stands typed: no name is worth a
        check."""
        answer = self.document.resolve()
        if self.check is None or not isinstance(answer, Case) or self._answered_text is None:
            return False
        if self.checker.busy or without_names(self.document.text) != self._answered_text:
            return False
        self._answered(replace(self.check, case=answer))
        return True

    def ask(self) -> None:
        """Ask for a check of what stands typed, or say why there is none."""
        answer = self.document.resolve()
        if isinstance(answer, Case):
            self._slow.start()
            self.checker.request(answer, self.document.folder or Path())
            return
        self._slow.stop()
        self.checker.cancel()
        self.results.show_stale(stale_words(len(self.document.faults), self.check is not None))

    def stop(self) -> None:
        """Stop the check under way and say what the answer shown is worth."""
        self._slow.stop()
        self.checker.cancel()
        self.results.show_stale(STOPPED_ODDS if self.current_check() is not None else STOPPED)

    def _answered(self, check: Check) -> None:
        self._slow.stop()
        self.check = check
        if check.case is self.document.good and not check.unfinished:
            self._answered_text = without_names(self.document.text)
        self.results.show_check(check, stale=False)
        self.side.show_check(check)
        self.checked.emit(check)

    def _failed(self, reason: str, defect: bool) -> None:
        self._slow.stop()
        lead = "A defect of Heatdocket kept the check from ending" if defect else "No answer"
        self.results.show_stale(f"{lead}: {reason}")
        self.said.emit(reason)

    def _busy(self, busy: bool) -> None:
        self.said.emit("Checking..." if busy else "")

    def current_check(self) -> Check | None:
        """The check of exactly what stands typed; None while there is none."""
        is_case = isinstance(self.document.resolve(), Case)
        return self.check if is_case and self.check is not None and self.check.case is self.document.good else None

    def close_case(self) -> None:
        """Let go of the document and stop computing."""
        self._slow.stop()
        self._unsubscribe()
        self.checker.answered.disconnect(self._answered)
        self.checker.failed.disconnect(self._failed)
        self.checker.busy_changed.disconnect(self._busy)
        self.checker.cancel()
        self.side.close_side()
        self.form.close_form()


def stale_words(count: int, has_answer: bool) -> str:
    """Why the answer shown is not of what stands typed."""
    mend = "one thing" if count == 1 else f"{count} things"
    last = "this is the last good answer" if has_answer else "there is no answer yet"
    return f"The entries have {mend} to mend; {last}."
