"""A check to be made: why it comes, how to do it safely, what it tells, and where its result goes in."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QFrame, QPushButton, QWidget

from engcalc.case.records import SEEN_FACTS
from engcalc.diagnosis.checks.part_checks import EVERY_CHECK
from engcalc.units import UnitSystem
from engcalc.words.diagnosis.causes import check_cautions, check_title, how_made
from engcalc.words.diagnosis.causes_told import OfferedCheck
from engcalc.words.terms.numbers import capital, lowered
from engcalc.words.texts import view_texts
from ui.document import Document
from ui.window.accessible import retire, tie
from ui.window.paragraph import paragraph
from ui.window.plain import plain_label
from ui.window.results.lines import Sentence, Sentences
from ui.window.rhythm import AROUND_A_CARD, sideways, upright
from ui.window.still_combo import LETTERS, StillCombo
from ui.window.views.causes.reading_entry import ReadingEntry, place_name
from ui.window.views.causes.results import asked_of, put_fact

ANSWERS = (("Yes", True), ("No", False), ("Not checked", None))


class CheckCard(QFrame):
    """Shows one check out of those that are worth making; ``done`` says that its result was put into the document."""

    done = Signal()
    chosen = Signal(str)  # the key of the check that is looked at now

    def __init__(self, document: Document) -> None:
        super().__init__()
        self.setProperty("tone", "card")
        self._document = document
        self._record, self._system = "before", UnitSystem.SI
        self._checks: tuple[OfferedCheck, ...] = ()
        self._begun = ""  # the check of which something was answered and something is open still
        self._passed: set[str] = set()  # facts of it that were said not to be checked
        self.choice = StillCombo(LETTERS)
        self.choice.activated.connect(lambda _index: self._choose())
        head = plain_label("Check")
        tie(head, self.choice, "Check")
        self.why, self.tools = paragraph("Why this check", "muted"), paragraph("Tools")
        self.how, self.tells = paragraph(view_texts.HOW_TO_MAKE_IT), paragraph(view_texts.WHAT_THE_RESULT_MEANS)
        self.cautions = Sentences(view_texts.CAUTIONS_OF_THE_CHECK)
        self._result = QWidget()
        row = sideways()
        row.addWidget(head)
        row.addWidget(self.choice, 1)
        self._layout = upright(self, around=AROUND_A_CARD)
        self._layout.addLayout(row)
        for widget in (self.why, self.tools, self.how, self.tells, self.cautions, self._result):
            self._layout.addWidget(widget)

    @property
    def key(self) -> str:
        """The check that is shown."""
        return str(self.choice.currentData() or "")

    def show_checks(self, checks: Sequence[OfferedCheck], record: str, system: UnitSystem) -> None:
        """Offer these checks, the first one shown; one that is begun stays ahead until all of it is answered."""
        self._record, self._system = record, system
        others = tuple(check for check in checks if check.key != self._begun)
        self._checks = (
            (OfferedCheck(self._begun, view_texts.CHECK_IS_BEGUN), *others) if self._is_begun() else tuple(checks)
        )
        checks = self._checks
        self.choice.clear()
        for check in checks:
            self.choice.addItem(check_title(EVERY_CHECK[check.key]), check.key)
        self.setVisible(bool(checks))
        if checks:
            self._show()

    def _choose(self) -> None:
        if self.key != self._begun:
            self._begun, self._passed = "", set()
        self._show()
        self.chosen.emit(self.key)

    def _show(self) -> None:
        made = EVERY_CHECK[self.key]
        self.why.setText(next(c.why for c in self._checks if c.key == self.key))
        self.tools.setText(f"Tools: {lowered(made.tools)}")
        case = self._document.good
        self.how.setText(made.how if case is None else how_made(made, case))
        self.tells.setText(made.tells)
        said = () if case is None else check_cautions(self.key, case)
        self.cautions.show_sentences([Sentence(text, "!", "Caution", "warn") for text in said])
        retire(self._result)
        self._layout.removeWidget(self._result)
        self._result = self._result_of(self.key)
        self._layout.addWidget(self._result)

    # ---- the result -------------------------------------------------------------------------------------------------

    def _result_of(self, key: str) -> QWidget:
        asked, box = asked_of(key), QWidget()
        layout = upright(box)
        for fact in asked.facts:
            layout.addWidget(self._fact(fact))
        for place in asked.places:
            layout.addWidget(self._reading(place))
        return box

    def _fact(self, fact: str) -> QWidget:
        said = SEEN_FACTS[fact]
        row = QWidget()
        layout = sideways(row)
        layout.addWidget(paragraph(text=f"{capital(said)}:"), 1)
        noted = self._noted(fact)
        for word, seen in ANSWERS:
            button = QPushButton(word)
            button.setAccessibleName(f"{word}: {said}")
            button.setCheckable(True)
            button.setProperty("tone", "sign")
            button.setChecked(noted is seen if seen is not None else noted is None and fact in self._passed)
            button.clicked.connect(lambda _checked=False, seen=seen: self._saw(fact, seen))
            layout.addWidget(button)
        return row

    def _noted(self, fact: str) -> bool | None:
        found = self._document.text.get(f"evidence.{self._record}.seen.{fact}")
        return found if isinstance(found, bool) else None

    def _saw(self, fact: str, seen: bool | None) -> None:
        """Put an answer into the record. None: it was not checked, which is no answer."""
        self._begun = self.key
        self._passed.discard(fact)
        if seen is None:
            self._passed.add(fact)
        if seen is not None or self._noted(fact) is not None:
            put_fact(self._document, self._record, fact, seen)
        self.done.emit()
        if self._checks:
            self._show()

    def _is_begun(self) -> bool:
        """Whether a check was begun here and asks for something that nobody answered or passed over."""
        facts = asked_of(self._begun).facts if self._begun else ()
        answered = [fact for fact in facts if self._noted(fact) is not None]
        return bool(answered) and len(answered) + len(self._passed - set(answered)) < len(facts)

    def _reading(self, place: str) -> QWidget:
        entry = ReadingEntry(self._document, self._record, place, place_name(place), self._system)
        entry.put_in.connect(self.done)
        return entry
