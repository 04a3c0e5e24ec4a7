"""The before/after view: two curves and one sentence that a customer understands, and what they rest on."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path

from PySide6.QtWidgets import QPushButton, QWidget

from engcalc.case.case import Case
from engcalc.diagnosis.repair.before_after import BeforeAfter, compare
from engcalc.vehicle.run import RECORDS, records
from engcalc.vehicle.warmup_study import study
from engcalc.words.answer.warmup_words import TITLES
from engcalc.words.diagnosis.proof_words import proof_sentence, proof_sentences
from engcalc.words.texts import view_texts
from reports.plots.registry import Screen
from ui.window.dialogs.background import Stopped, Tell
from ui.window.dialogs.parts import button, right
from ui.window.paragraph import paragraph
from ui.window.results.card import CardSection, PlaceCards
from ui.window.results.lines import Sentence, Sentences
from ui.window.theme import show_tone
from ui.window.views.recorded import logs_of, stamps
from ui.window.views.view import Context, PartsView, Question, column
from ui.window.views.warmup.importing import Importer, ask_columns, ask_log

STUDIED = 0.5  # share of the work that both studies take, about


class ProofView(PartsView[BeforeAfter | None]):
    """What the repair changed, whether that proves it, and what is still open."""

    asks_in = "muted"  # a second record is no fault: the answer may well be green without it

    def __init__(self, context: Context, ask: Callable[[QWidget, str], str] = ask_log) -> None:
        super().__init__(context)
        self._ask = ask
        self.importer = Importer(context, self, ask_columns)
        self.importer.said.connect(self._tell)
        self.told = paragraph("Log", "muted")
        self.told.hide()
        self.loads = right(*(self._load(record) for record in RECORDS))
        self.sentence = paragraph("What changed")
        self.sentence.setProperty("tone", "heading")
        self.pictures = PlaceCards(Screen.PROOF)
        self.rest = Sentences(view_texts.WHAT_THAT_RESTS_ON)
        copy = QPushButton("Copy words")
        copy.setAccessibleName(view_texts.COPY_THE_WORDS_OF_BEFORE_AND_AFTER)
        copy.clicked.connect(self.copy_table)
        area = self.page_of(
            self.sentence, *self.pictures.cards, CardSection(self.rest.accessibleName(), self.rest), right(copy)
        )
        column(self, self.loads, self.told, self.line, area, stretch=area)
        self.show_nothing()

    def _load(self, record: str) -> QPushButton:
        name = f"Import a log: {TITLES[record].lower()}..."
        load = button(name, name.rstrip("."))
        load.clicked.connect(lambda: self._choose(record))
        return load

    def _choose(self, record: str) -> None:
        chosen = self._ask(self, str(self.context.document.folder or ""))
        if chosen:
            self.importer.take(Path(chosen), record)

    def _tell(self, words: str, tone: str) -> None:
        show_tone(self.told, tone)
        self.told.setText(words)
        self.told.setVisible(bool(words))
        self.refresh()

    def close_view(self) -> None:
        """End all work."""
        super().close_view()
        self.importer.close()

    def question(self) -> Question[BeforeAfter | None] | str:
        """Both records laid together, where the case has both."""
        case, folder = self.context.case, self.context.document.folder or Path()
        if case is None:
            return view_texts.THERE_IS_NO_CASE_WITHOUT_FAULTS_YET
        if set(records(case)) != set(RECORDS):
            return view_texts.TWO_WANTED
        return Question((case, stamps(case, folder)), partial(_work, case, folder))

    def show_answer(self, answer: BeforeAfter | None) -> None:
        """Say it and draw it."""
        if answer is None:
            self.show_nothing()
            self.line.say(view_texts.TWO_WANTED, self.asks_in)
            return
        self.show_parts()
        system = self.context.system
        self.sentence.setText(proof_sentence(answer, system))
        self.pictures.show_pictures(answer, system)
        self.rest.show_sentences([Sentence(text) for text in proof_sentences(answer, system)[1:]])

    def text_to_copy(self) -> str:
        """The words: there is no table here."""
        if self.answer is None:
            return ""
        return "\n".join(proof_sentences(self.answer, self.context.system)) + "\n"


def _work(case: Case, folder: Path, tell: Tell, stopped: Stopped) -> BeforeAfter | None:
    found = study(
        case, logs_of(case, folder), fits=False, progress=lambda share: tell(STUDIED * share), cancelled=stopped
    )
    return compare(found, cancelled=stopped)
