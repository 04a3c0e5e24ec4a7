"""One open case: the answer on top, the steps of its job along the left edge, the step that is open, and the checks
that keep them in step."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, Qt, QTimer, Signal
from PySide6.QtWidgets import QButtonGroup, QHBoxLayout, QPushButton, QWidget

from engcalc.case.case import Case
from engcalc.case.naming import without_names
from engcalc.case.sections.job import NAMES
from engcalc.case.text import CaseText
from engcalc.units import UnitSystem
from engcalc.words.texts import shared_texts, window_texts
from ui.document import Document, TextChange
from ui.window.form.panel import FormPanel
from ui.window.jobs.rail import Rail, RailLine, StepMark
from ui.window.jobs.stage import StepStage
from ui.window.jobs.standing import Standing
from ui.window.jobs.steps import JobSteps, Step, job_of
from ui.window.plain import plain_label
from ui.window.rhythm import Edges, Gap, sideways, upright
from ui.window.settings import Settings
from ui.window.worker import Checker

if TYPE_CHECKING:
    from engcalc.diagnosis.odds.diagnosis import Diagnosis
    from engcalc.studies.checked import Check
    from ui.window.results.panel import ResultsPanel
    from ui.window.views.side import ResultsSide


SLOW_MS = 300


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
    """Answer, steps, entries, views and checks of one document."""

    system_wanted = Signal(object)
    checked = Signal(object)  # the newest Check
    said = Signal(str)  # what the program is doing, for the status line
    step_changed = Signal()  # another step is open, or the job has other steps
    export_wanted = Signal()
    outcome_wanted = Signal()

    def __init__(
        self,
        document: Document,
        settings: Settings,
        checker: Checker,
        results: Callable[[], ResultsPanel] = make_results,
    ) -> None:
        super().__init__()
        self.document, self.checker = document, checker
        self.check: Check | None = None
        self._apart = ""  # why what is shown beside the form is no part of the case
        self._answered_text: CaseText | None = None  # what the check answers, names apart
        system = settings.system
        self._exported: CaseText | None = None
        self.signed: list[Path] = []  # reports that were signed of this case since it was opened
        self.form = FormPanel(document, system)
        self.form.elsewhere.connect(self._open_for)
        self.results = results()
        self.side = make_side(self.results, document, settings, system)
        self.side.context.export = self.export_wanted.emit
        self.side.context.ended = self.outcome_wanted.emit
        self.side.context.weighed = self._weighed
        self.side.context.stands_apart = self._show_apart
        self.stage = StepStage(self.form, self.side)
        self.splitter = self.stage.splitter
        self.rail = Rail()
        self.rail.chosen.connect(self.open_step)
        self.rail.pointed.connect(self.focus_entries)
        self._lay()
        self._slow = QTimer(self)  # an answer that takes long is said to be on its way
        self._slow.setSingleShot(True)
        self._slow.setInterval(SLOW_MS)
        self._slow.timeout.connect(lambda: self.results.show_stale(shared_texts.ANSWER_TO_WHAT_IS_TYPED_NOW_IS_BEING))
        self._unsubscribe = document.subscribe(self._changed)
        checker.answered.connect(self._answered)
        checker.failed.connect(self._failed)
        checker.busy_changed.connect(self._busy)
        self.set_system(system)
        self._name()
        best = self.job.helps_most(self.standing)
        self.open_step((best or self.job.steps[0]).key)
        self.ask()

    def _lay(self) -> None:
        column = upright(self, between=Gap.NONE)
        column.addLayout(self._bar())
        answer = sideways(around=Edges(left=Gap.ONE, right=Gap.ONE, bottom=Gap.ONE))
        answer.addWidget(self.results.verdict)
        column.addLayout(answer)
        row = sideways(between=Gap.NONE)
        row.addWidget(self.rail)
        row.addWidget(self.stage, 1)
        column.addLayout(row, 1)

    # ---- steps ------------------------------------------------------------------------------------------------------

    @property
    def job(self) -> JobSteps:
        """The job that the case is, with its steps."""
        return job_of(self.document.text)

    @property
    def step(self) -> Step:
        """The step that is open."""
        assert self.stage.step is not None  # one is, from the beginning
        return self.stage.step

    @property
    def standing(self) -> Standing:
        """What the steps are judged by now."""
        return Standing(self.document.text, self.current_check(), self._exported)

    def open_step(self, key: str) -> None:
        """Open a step; its entries come into sight with the view that belongs to it."""
        step = self.job.step(key)
        self.stage.show_step(step, step.opens_at(self.standing))
        self._show_steps()
        self.step_changed.emit()

    def open_step_number(self, number: int) -> None:
        """Open a step by its place in the job, from 1; nothing happens where there is none."""
        if number <= len(self.job.steps):
            self.open_step(self.job.steps[number - 1].key)

    def _open_for(self, path: str) -> None:
        """Open the step in which the field at a path stands."""
        self.open_step(self.job.holding(path).key)

    def _show_steps(self) -> None:
        now, job = self.standing, self.job
        faults = [fault.path for fault in self.document.faults]
        best = None if faults else job.helps_most(now)  # what is to mend comes first
        self.rail.show_lines([_rail_line(step, now, best, faults) for step in job.steps], self.step.key)

    def note_export(self, text: CaseText) -> None:
        """A report of this text was written."""
        self._exported = text
        self._show_steps()

    def import_log(self, path: Path) -> None:
        """Take a log into the record that the step is about."""
        if self.step.key not in ("readings", "proof"):
            self.open_step(self.job.holding("evidence.before").key)
        self.side.import_log(path, after=self.step.key == "proof")
        self.stage.show_view(self.side.name)

    def next_region(self) -> None:
        """Give the keyboard to the next region: rail, entries, view, and round again."""
        regions = [self.rail, *(part for part in (self.form, self.side) if part.isVisible())]
        now = self.window().focusWidget()
        at = next((i for i, part in enumerate(regions) if now is not None and part.isAncestorOf(now)), -1)
        target = regions[(at + 1) % len(regions)]
        if target is self.rail:
            self.rail.go_to_rail()
        elif target is self.form:
            self.focus_entries()
        else:
            _first_that_takes_keys(self.side).setFocus(Qt.FocusReason.ShortcutFocusReason)

    def focus_entries(self) -> None:
        """Give the keyboard to the first entry of the step; to the rail where it has none."""
        if not self.form.isVisibleTo(self):
            self.rail.go_to_rail()
            return
        field = self.form.first_field() or _first_that_takes_keys(self.form)
        field.setFocus(Qt.FocusReason.ShortcutFocusReason)

    def changeEvent(self, event: QEvent) -> None:
        """Another size of text."""
        super().changeEvent(event)
        if event.type() is QEvent.Type.FontChange:
            self.rail.restyle()

    def _bar(self) -> QHBoxLayout:
        bar = sideways(between=Gap.NONE, around=Edges(Gap.ONE, Gap.HALF, Gap.ONE, Gap.HALF))
        self._title = plain_label()
        bar.addWidget(self._title, 1)
        bar.addWidget(plain_label("Units: "))
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
        if change.path in ("", "job.reason") and self.step not in self.job.steps:
            self.open_step(self.step.key)
        if change.alters_text and self.document.in_hand:
            self._slow.start()  # the answer shown is soon behind; it is asked for when the hand lets go
        elif change.alters_text and not (change.path in NAMES and self._renamed()):
            self.ask()
        if change.alters_text:
            self.side.document_changed()
        self._show_steps()

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
        count = len(self.document.faults)
        if self.check is None or _answers_nothing(self.check):
            self.results.show_no_answer(stale_words(count, has_answer=False))
        else:
            self.results.show_stale(stale_words(count, has_answer=True))

    def stop(self) -> None:
        """Stop the check under way and say what the answer shown is worth."""
        self._slow.stop()
        self.checker.cancel()
        self.results.show_stale(
            window_texts.STOPPED_ODDS if self.current_check() is not None else window_texts.CHECK_WAS_STOPPED
        )

    def _answered(self, check: Check) -> None:
        self._slow.stop()
        odds = self.side.current_causes()
        self.check = check = check if odds is None else counted_in(check, odds)
        if check.case is self.document.good and not check.unfinished:
            self._answered_text = without_names(self.document.text)
        self.results.show_check(check, stale=False)
        if self._apart:
            self.results.show_stale(self._apart)
        self.side.show_check(check)
        self._show_steps()
        self.checked.emit(check)

    def _weighed(self, odds: Diagnosis) -> None:
        """Final odds are there: what they settle, and what they ask for next, counts in the answer."""
        check = self.current_check()
        if check is None:
            return
        counted = counted_in(check, odds)
        if (counted.odds, counted.asked_by_odds) != (check.odds, check.asked_by_odds):
            self._answered(check)

    def _show_apart(self, why: str) -> None:
        """While something is shown that is no part of the case, the banner says that it speaks of something else."""
        self._apart = why
        if why:
            self.results.show_stale(why)
        elif self.current_check() is not None:
            self.results.show_stale("")
        else:
            self.ask()

    def _failed(self, reason: str, defect: bool) -> None:
        self._slow.stop()
        lead = window_texts.DEFECT_OF_HEATDOCKET_KEPT_THE_CHECK if defect else "No answer"
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


def counted_in(check: Check, odds: Diagnosis) -> Check:
    """The check with what these odds settle, and what they ask for next."""
    from engcalc.diagnosis.settled import with_odds  # odds are there, so that all of these are loaded
    from engcalc.studies.checked import AskedByOdds
    from engcalc.words.diagnosis.causes_told import next_by_odds

    asks = next_by_odds(odds)
    asked = AskedByOdds(odds.record, None if asks is None else asks.key)
    return replace(with_odds(check, odds.record, odds.causes), asked_by_odds=asked)


def _answers_nothing(check: Check) -> bool:
    from engcalc.words.answer.answer import answers_nothing  # a check is there, so that it is loaded

    return answers_nothing(check)


def stale_words(count: int, has_answer: bool) -> str:
    """Why the answer shown is not of what stands typed."""
    mend = "one thing" if count == 1 else f"{count} things"
    last = window_texts.THIS_IS_THE_LAST_GOOD_ANSWER if has_answer else window_texts.THERE_IS_NO_ANSWER_YET
    return window_texts.ENTRIES_HAVE_TO_MEND.format(mend=mend, last=last)


def _rail_line(step: Step, now: Standing, best: Step | None, faults: list[str]) -> RailLine:
    """A step with its mark; what is to mend in it speaks first."""
    wrong = 0 if step.whole_form else sum(1 for path in faults if step.holds(path))
    state = step.state(now)
    if wrong:
        return RailLine(step, StepMark.WRONG, str(wrong))
    if step.whole_form:
        return RailLine(step, StepMark.ALWAYS, state.line)
    if step is best:
        return RailLine(step, StepMark.NEXT, state.line)
    return RailLine(step, StepMark.DONE if state.done else StepMark.OPEN, state.line)


def _first_that_takes_keys(root: QWidget) -> QWidget:
    """The first widget in sight that a person reaches with Tab; the root itself where there is none."""
    for widget in root.findChildren(QWidget):
        if widget.isVisibleTo(root) and widget.isEnabled() and widget.focusPolicy() & Qt.FocusPolicy.TabFocus:
            return widget
    return root
