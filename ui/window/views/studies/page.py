"""What every page of the studies shares: its question's place, its line of waiting, its pictures and words."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeVar

from PySide6.QtCore import QEvent
from PySide6.QtWidgets import QWidget

from engcalc.case.bench_rules import has_duty_to_study
from engcalc.case.case import Case
from engcalc.words.sizing.sizing_words import ONLY_BENCH
from engcalc.words.texts import view_texts
from ui.window.results.card import PictureCard
from ui.window.results.table import TableView
from ui.window.views.view import Context, PartsView, Question, column

A = TypeVar("A")


class StudyPage(PartsView[A]):
    """One study of the chosen duty. ``duty_index`` is set before each refresh; None stands for the hardest duty.

    ``of_one_duty`` is False of a study that looks at all duties together: then none is asked for.
    """

    of_one_duty = True

    def __init__(self, context: Context, above: Sequence[QWidget], below: Sequence[QWidget]) -> None:
        super().__init__(context)
        self.duty_index: int | None = None
        area = self.page_of(*below)
        column(self, *above, self.line, area, stretch=area)

    @property
    def cards(self) -> tuple[PictureCard, ...]:
        """The pictures of the page."""
        return tuple(self.findChildren(PictureCard))

    def question(self) -> Question[A] | str:
        """What is to be worked out for the chosen duty."""
        case = self.context.case
        if case is None:
            return view_texts.THERE_IS_NO_CASE_WITHOUT_FAULTS_YET
        if not has_duty_to_study(case):
            return ONLY_BENCH
        return self.question_of(case, min(self.duty_index or 0, len(case.duties) - 1))

    def question_of(self, case: Case, duty: int) -> Question[A] | str:
        """What is to be worked out for a duty of a case."""
        raise NotImplementedError  # each kind its own; Qt's metaclass leaves no room for an abstract class

    def changeEvent(self, event: QEvent) -> None:
        """Another type or palette: tables and pictures measure themselves anew."""
        super().changeEvent(event)
        if event.type() in (QEvent.Type.PaletteChange, QEvent.Type.FontChange):
            for table in self.findChildren(TableView):
                table.fit()
            for card in self.findChildren(PictureCard):
                card.view.updateGeometry()
