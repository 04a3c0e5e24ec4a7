"""What limits a duty, and which changes mend it: in words, as a picture, with the person's own parts among them."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from PySide6.QtWidgets import QWidget

from engcalc.case.case import Case
from engcalc.studies.choice.sizing import Sizing, size
from engcalc.studies.choice.tables import CataloguePart as TablePart
from engcalc.words.sizing.sizing_words import mending, option_lines, why
from engcalc.words.texts import shared_texts, view_texts
from reports.plots.registry import Screen
from ui.window.dialogs.background import Stopped, Tell
from ui.window.results.card import CardSection, PlaceCards
from ui.window.results.lines import Sentence, Sentences
from ui.window.views.studies.page import StudyPage
from ui.window.views.studies.part_tables import PartTables, ask_table
from ui.window.views.view import Context, Question


class LimitsPage(StudyPage[Sizing]):
    """Why the duty fails, what mends it, and everything that was tried."""

    def __init__(self, context: Context, ask: Callable[[QWidget, str], str] = ask_table) -> None:
        self.tables = PartTables(context, self.refresh, ask)
        self.why, self.mend = Sentences("What limits"), Sentences(shared_texts.WHAT_WOULD_MEND_IT)
        self.all = Sentences("All changes tried")
        self.pictures = PlaceCards(Screen.LIMITS)
        super().__init__(
            context,
            (),
            (
                CardSection("What limits", self.why),
                CardSection(shared_texts.WHAT_WOULD_MEND_IT, self.mend),
                *self.pictures.cards,
                CardSection(view_texts.PARTS_OF_YOUR_OWN, self.tables),
                CardSection(view_texts.ALL_CHANGES_TRIED, self.all),
            ),
        )
        self.show_nothing()

    def question_of(self, case: Case, duty: int) -> Question[Sizing] | str:
        """The sizing of the chosen duty, or of the hardest one."""
        parts = self.tables.parts()
        index = None if self.duty_index is None else duty
        return Question((case, index, parts), partial(_work, case, index, parts))

    def show_answer(self, answer: Sizing) -> None:
        """Say it and draw it."""
        self.show_parts()
        system = self.context.system
        self.why.show_sentences([Sentence(text) for text in why(answer, system)])
        self.mend.show_sentences([Sentence(text) for text in mending(answer, system)])
        self.pictures.show_pictures(answer, system)
        self.all.show_sentences([Sentence(text) for text in option_lines(answer.options, system)])


def _work(case: Case, index: int | None, parts: tuple[TablePart, ...], tell: Tell, stopped: Stopped) -> Sizing:
    return size(case, parts, index, progress=tell, cancelled=stopped)
