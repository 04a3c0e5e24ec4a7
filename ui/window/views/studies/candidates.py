"""Real parts side by side over every duty; any one goes into the case with one click."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QListWidget, QListWidgetItem, QWidget

from engcalc.case.case import Case
from engcalc.case.text import CaseText
from engcalc.errors import InputError
from engcalc.studies.choice.candidates import MOST, Comparison, chosen_parts, compare_parts, with_part
from engcalc.studies.choice.tables import CataloguePart
from engcalc.studies.crew import Crew
from engcalc.units import UnitSystem
from engcalc.words.answer.input_words import fault_words
from engcalc.words.sizing.candidate_words import HEAD, NO_PARTS, candidate_name, comparison_rows, comparison_sentences
from engcalc.words.texts import view_texts
from ui.window.dialogs.background import Stopped, Tell
from ui.window.results.card import CardSection
from ui.window.results.lines import Sentence, Sentences
from ui.window.results.table import TableText
from ui.window.rhythm import em
from ui.window.views.studies.adopting import AdoptRow
from ui.window.views.studies.page import StudyPage
from ui.window.views.studies.part_tables import PartTables, ask_table
from ui.window.views.tables import WideTable
from ui.window.views.view import Context, Question, column

WHICH = view_texts.PARTS_TO_LAY_SIDE_BY_SIDE.format(most=MOST)
LINES_SHOWN = 3  # of the list of parts


class CandidatesPage(StudyPage[Comparison]):
    """Up to six parts of the tables beside the case as it is, and a button that puts the chosen one into the case."""

    of_one_duty = False

    def __init__(self, context: Context, ask: Callable[[QWidget, str], str] = ask_table) -> None:
        self.tables = PartTables(context, self.refresh, ask)
        self.which = QListWidget()
        self.which.setAccessibleName(WHICH)
        self.which.setFixedHeight(LINES_SHOWN * 2 * em())
        self.which.itemChanged.connect(lambda _item: self._choose())
        self.said = Sentences(view_texts.PARTS_SIDE_BY_SIDE)
        self.table = WideTable(view_texts.PARTS_OVER_EVERY_DUTY)
        self.choice = AdoptRow(context.document, "part")
        parts = QWidget()
        column(parts, self.tables, self.which)
        super().__init__(
            context,
            (CardSection(view_texts.PARTS_OF_YOUR_OWN, parts),),
            (
                CardSection(view_texts.PARTS_SIDE_BY_SIDE, self.said),
                CardSection("The choice", self.choice),
                CardSection("Over every duty", self.table),
            ),
        )
        self.show_nothing()

    def question_of(self, case: Case, _duty: int) -> Question[Comparison] | str:
        """The comparison of the parts that the case names; in words what is missing."""
        parts = self.tables.parts()
        self._list(parts, case.job.candidates)
        if not parts:
            return NO_PARTS
        try:
            chosen = chosen_parts(parts, case.job.candidates, "job.candidates")
        except InputError as error:
            return "\n".join(f"{fault_words(fault)}." for fault in error.faults)
        return Question((case, chosen), partial(_work, self.context.document.text, chosen))

    def _list(self, parts: tuple[CataloguePart, ...], named: tuple[str, ...]) -> None:
        """Every part of the tables, those that are laid side by side ticked."""
        self.which.blockSignals(True)
        self.which.clear()
        shown = named or tuple(part.name for part in parts[:MOST])
        for part in parts:
            item = QListWidgetItem(part.name, self.which)
            ticked = part.name in shown
            item.setFlags(item.flags() | Qt.ItemFlag.ItemIsUserCheckable)
            item.setCheckState(Qt.CheckState.Checked if ticked else Qt.CheckState.Unchecked)
        self.which.blockSignals(False)
        self.which.setVisible(len(parts) > 1)

    def _choose(self) -> None:
        """Name the ticked parts in the case; one step of undo."""
        items = [self.which.item(i) for i in range(self.which.count())]
        ticked = [item.text() for item in items if item.checkState() is Qt.CheckState.Checked]
        document = self.context.document
        document.end_step()
        document.put("job.candidates", ticked or None, view_texts.CHOOSE_PARTS_TO_COMPARE)
        document.end_step()
        document.resolve()
        self.refresh()

    def show_answer(self, answer: Comparison) -> None:
        """Say it, list it, and offer what can be adopted."""
        self.show_parts()
        system = self.context.system
        self.said.show_sentences([Sentence(text) for text in comparison_sentences(answer, system)])
        self.table.put(comparison_table(answer, system))
        self.choice.offer(
            (candidate_name(candidate), partial(with_part, part=candidate.part))
            for candidate in answer.candidates
            if candidate.part is not None and candidate.text is not None
        )


def comparison_table(found: Comparison, system: UnitSystem) -> TableText:
    """Every part in every duty."""
    return TableText(HEAD, comparison_rows(found, system), words_columns=len(HEAD))


def _work(text: CaseText, parts: tuple[CataloguePart, ...], tell: Tell, stopped: Stopped) -> Comparison:
    with Crew() as crew:
        return compare_parts(text, parts, progress=tell, cancelled=stopped, crew=crew)
