"""What the coolant temperature of one duty hangs on, and where heat and flow meet their resistance."""

from __future__ import annotations

from functools import partial

from PySide6.QtWidgets import QPushButton

from engcalc.case.case import Case
from engcalc.studies.spread.sensitivity import Sensitivities, Sensitivity, sensitivity
from engcalc.units import UnitSystem, plain_number, show, to_unit, unit_for
from engcalc.words.sizing.sizing_words import hangs_on, step_words
from engcalc.words.texts import shared_texts, view_texts
from reports.plots.registry import Screen
from ui.window.accessible import name_of
from ui.window.dialogs.background import Stopped, Tell
from ui.window.results.card import CardSection, PlaceCards
from ui.window.results.lines import Sentence, Sentences
from ui.window.results.table import TableText
from ui.window.views.studies.page import StudyPage
from ui.window.views.tables import WideTable
from ui.window.views.view import Context, Question

DIFFERENCE = "temperature difference"
FELT = 0.005  # K; what is smaller rounds to nothing in the table


class SensitivityPage(StudyPage[Sensitivities]):
    """Every input ranked by what it does to the coolant temperature."""

    def __init__(self, context: Context) -> None:
        self.pictures = PlaceCards(Screen.SENSITIVITY)
        self.table = WideTable("Sensitivities")
        copy = QPushButton("Copy table")
        copy.setAccessibleName(view_texts.COPY_TABLE_OF_SENSITIVITIES)
        copy.clicked.connect(self.copy_table)
        self.said = Sentences(shared_texts.WHAT_THE_TEMPERATURE_HANGS_ON)
        super().__init__(context, (), (self.said, *self.pictures.cards, CardSection("All inputs", self.table, copy)))
        self.show_nothing()

    def question_of(self, case: Case, duty: int) -> Question[Sensitivities] | str:
        """The sensitivities of the duty."""
        return Question((case, duty), partial(_work, case, duty))

    def show_answer(self, answer: Sensitivities) -> None:
        """Draw the ranking and the shares, and list every input."""
        self.show_parts()
        system = self.context.system
        self.said.show_sentences([Sentence(text) for text in hangs_on(answer, system)])
        self.pictures.show_pictures(answer, system)
        self.table.put(ranking_table(answer, system))


def ranking_table(found: Sensitivities, system: UnitSystem) -> TableText:
    """Every input with what it does, then those that could not be moved, with the reason."""
    unit = unit_for(DIFFERENCE, system)
    rows = [
        (
            name_of(s.path),
            _counts(s, system),
            show(s.value, s.kind, system),
            plain_number(to_unit(s.change, unit, DIFFERENCE), 2) if abs(s.change) >= FELT else "0",
        )
        for s in found.ranked
    ]
    held = [(name_of(path), why, "", "–") for path, why in found.held]
    return TableText(("Input", "Step", "Value", f"Change, {unit}"), (*rows, *held), words_columns=2)


def _counts(found: Sensitivity, system: UnitSystem) -> str:
    sides = view_texts.TRIED_ON_ONE_SIDE_ONLY if found.one_sided else ""
    return f"{step_words(found, system)}{sides}" + ("" if found.solved else view_texts.CHANGE_IS_AT_LEAST_THIS)


def _work(case: Case, duty: int, tell: Tell, stopped: Stopped) -> Sensitivities:
    return sensitivity(case, duty, progress=tell, cancelled=stopped)
