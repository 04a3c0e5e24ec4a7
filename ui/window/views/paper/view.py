"""The paper view: the pages of the report of what stands typed, made anew after each change, and the way to export."""

from __future__ import annotations

from functools import partial
from pathlib import Path

from PySide6.QtGui import QImage
from PySide6.QtWidgets import QPushButton

from engcalc.case.text import CaseText
from engcalc.studies.checked import Check
from engcalc.units import UnitSystem
from engcalc.words.texts import view_texts
from reports.build import Options, working_pages
from reports.kinds import kind_for
from ui.trusting import now as local_now
from ui.window.dialogs.background import Stopped, Tell
from ui.window.dialogs.export import PRESS, RecordAnswers, ReportRequest, draft
from ui.window.dialogs.parts import right
from ui.window.dialogs.preview import Preview, render
from ui.window.views.paper.folded import Fold, FoldedPages, folds_of
from ui.window.views.view import Context, LongView, Question, column


class PaperView(LongView[list[QImage]]):
    """The pages of a draft, of the kind that suits the job."""

    def __init__(self, context: Context) -> None:
        super().__init__(context)
        self.preview = Preview()
        self.export = QPushButton("Export...")
        self.export.setProperty("tone", "main")
        self.export.setAccessibleName("Export a report")
        self.export.setToolTip(view_texts.SIGN_AND_WRITE_THE_REPORT)
        self.export.clicked.connect(context.export)
        column(self, right(self.export), self.line, self.preview, stretch=self.preview)
        self.show_nothing()

    def question(self) -> Question[list[QImage]] | str:
        """The report of what stands typed."""
        check = answered_check(self.context)
        if isinstance(check, str):
            return check
        kind = kind_for(check.case)
        folder, text, system = self.context.document.folder, self.context.document.text, self.context.system
        evidence = RecordAnswers(check, folder or Path(), *self.context.worked_out())
        options = Options(system, False, folder)
        shop = self.context.settings.shop
        request = ReportRequest(check, text, kind, local_now(), options, evidence, evidence.knows_causes, shop)
        return Question((text, kind, system, evidence.knows_causes, shop), partial(_work, request))

    def show_answer(self, answer: list[QImage]) -> None:
        """Show the pages."""
        self.preview.show_pages(answer)

    def show_nothing(self) -> None:
        """Take the pages away."""
        self.preview.show_words("")


class WorkingView(LongView[tuple[Fold, ...]]):
    """The working alone, folded by its steps: each number with its formula, as the report prints it."""

    def __init__(self, context: Context) -> None:
        super().__init__(context)
        self.folded = FoldedPages(view_texts.WORKING_STEP_BY_STEP)
        column(self, self.line, self.folded, stretch=self.folded)
        self.show_nothing()

    def question(self) -> Question[tuple[Fold, ...]] | str:
        """The working of what stands typed."""
        check = answered_check(self.context)
        if isinstance(check, str):
            return check
        text, system = self.context.document.text, self.context.system
        return Question((text, system), partial(_working, check, text, system))

    def show_answer(self, answer: tuple[Fold, ...]) -> None:
        """Show the steps."""
        self.folded.show_folds(answer, view_texts.NOTHING_WORKED)

    def show_nothing(self) -> None:
        """Take the steps away."""
        self.folded.show_folds(())


def answered_check(context: Context) -> Check | str:
    """The check of what stands typed, or in words why there is none yet."""
    case, check = context.case, context.check
    if case is None:
        return view_texts.THERE_IS_NO_CASE_WITHOUT_FAULTS_YET
    if check is None or check.unfinished or check.first_look or check.case is not case:
        return view_texts.NO_ANSWER
    return check


def _work(request: ReportRequest, tell: Tell, stopped: Stopped) -> list[QImage]:
    options = request.options_with(tell, stopped, causes=request.causes)
    return render(draft(request, options, stopped))


def _working(check: Check, text: CaseText, system: UnitSystem, _tell: Tell, stopped: Stopped) -> tuple[Fold, ...]:
    with PRESS:
        pdf = working_pages(check, text, local_now(), system, stopped)
    return () if pdf is None else folds_of(pdf)
