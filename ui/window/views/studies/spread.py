"""How sure one duty is: the chance with its error, intervals of the results, and which input to measure next."""

from __future__ import annotations

from functools import partial

from engcalc.case.case import Case
from engcalc.studies.spread.spread_study import DutySpread, duty_spread
from engcalc.words.sizing.spread_words import INTERVAL_HEAD, SHARE_HEAD, interval_rows, share_rows, spread_sentences
from engcalc.words.texts import view_texts
from ui.window.dialogs.background import Stopped, Tell
from ui.window.results.card import CardSection
from ui.window.results.lines import Sentence, Sentences
from ui.window.results.table import TableText
from ui.window.views.studies.page import StudyPage
from ui.window.views.tables import WideTable
from ui.window.views.view import Context, Question


class SpreadPage(StudyPage[DutySpread]):
    """The inputs' uncertainty drawn through the chosen duty."""

    def __init__(self, context: Context) -> None:
        self.said = Sentences(view_texts.HOW_SURE_IT_IS)
        self.intervals, self.shares = (
            WideTable(view_texts.INTERVALS_OF_THE_RESULTS),
            WideTable(view_texts.SHARES_OF_THE_VARIANCE),
        )
        self.sources = CardSection(view_texts.WHAT_THE_UNCERTAINTY_COMES_FROM, self.shares)
        super().__init__(
            context,
            (),
            (
                CardSection(view_texts.HOW_SURE_IT_IS, self.said),
                self.sources,
                CardSection(view_texts.RESULTS_WITH_THEIR_UNCERTAINTY, self.intervals),
            ),
        )
        self.show_nothing()

    def question_of(self, case: Case, duty: int) -> Question[DutySpread] | str:
        """The spread of the duty."""
        return Question((case, duty), partial(_work, case, duty))

    def show_answer(self, answer: DutySpread) -> None:
        """Say it and list it; where nothing uncertain moves the coolant there are no sources to list."""
        self.show_parts()
        system = self.context.system
        self.said.show_sentences([Sentence(text) for text in spread_sentences(answer, system)])
        self.shares.put(TableText(SHARE_HEAD, share_rows(answer, system), words_columns=1))
        self.sources.setVisible(bool(answer.shares))
        self.intervals.put(TableText(INTERVAL_HEAD, interval_rows(answer, system), words_columns=1))


def _work(case: Case, duty: int, tell: Tell, stopped: Stopped) -> DutySpread:
    return duty_spread(case, duty, progress=tell, cancelled=stopped)
