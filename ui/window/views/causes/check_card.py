"""A check to be made: why it comes, how to do it safely, what it tells, and where its result goes in."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from engcalc.case.records import INSTRUMENTS, SEEN_FACTS, SPOT_PLACES, TIMELESS
from engcalc.diagnosis.hand_checks import CHECKS
from engcalc.diagnosis.next_check import CheckValue
from engcalc.errors import UnitFault
from engcalc.units import UnitSystem, parse, unit_for
from engcalc.words.causes import check_cautions
from engcalc.words.numbers import capital
from ui.document import Document
from ui.window.accessible import retire, tie
from ui.window.dialogs.parts import right
from ui.window.paragraph import paragraph
from ui.window.results.lines import Sentence, Sentences
from ui.window.still_combo import LETTERS, StillCombo
from ui.window.views.causes.results import Read, asked_of, instruments_for, measure_of, put_fact, put_reading
from ui.window.views.columns import Columns
from ui.window.views.entries import UnitEntry

TIME = "time"


class CheckCard(QFrame):
    """Shows one check out of those that are worth making; ``done`` says that its result was put into the document."""

    done = Signal()

    def __init__(self, document: Document) -> None:
        super().__init__()
        self.setProperty("tone", "card")
        self._document = document
        self._record, self._system = "before", UnitSystem.SI
        self._checks: tuple[CheckValue, ...] = ()
        self.choice = StillCombo(LETTERS)
        self.choice.activated.connect(lambda _index: self._show())
        head = QLabel("Check")
        tie(head, self.choice, "Check")
        self.why, self.how = paragraph("Why this check"), paragraph("How to make it")
        self.cautions = Sentences("Cautions of the check")
        self._result = QWidget()
        row = QHBoxLayout()
        row.addWidget(head)
        row.addWidget(self.choice, 1)
        self._layout = QVBoxLayout(self)
        self._layout.addLayout(row)
        for widget in (self.why, self.how, self.cautions, self._result):
            self._layout.addWidget(widget)

    @property
    def key(self) -> str:
        """The check that is shown."""
        return str(self.choice.currentData() or "")

    def show_checks(self, checks: Sequence[CheckValue], record: str, system: UnitSystem) -> None:
        """Offer these checks, the first one shown."""
        self._checks, self._record, self._system = tuple(checks), record, system
        self.choice.clear()
        for check in checks:
            self.choice.addItem(f"{CHECKS[check.key].title} (about {check.minutes:.0f} min)", check.key)
        self.setVisible(bool(checks))
        if checks:
            self._show()

    def _show(self) -> None:
        made = CHECKS[self.key]
        check = next(c for c in self._checks if c.key == self.key)
        self.why.setText(_why(check, self._checks))
        self.how.setText(f"{made.how} {made.tells}")
        case = self._document.good
        said = () if case is None else check_cautions(self.key, case)
        self.cautions.show_sentences([Sentence(text, "!", "Caution", "warn") for text in said])
        retire(self._result)
        self._layout.removeWidget(self._result)
        self._result = self._result_of(self.key)
        self._layout.addWidget(self._result)

    # ---- the result -------------------------------------------------------------------------------------------------

    def _result_of(self, key: str) -> QWidget:
        asked, box = asked_of(key), QWidget()
        layout = QVBoxLayout(box)
        layout.setContentsMargins(0, 0, 0, 0)
        for fact in asked.facts:
            layout.addWidget(self._fact(fact))
        for place in asked.places:
            layout.addWidget(self._reading(place))
        return box

    def _fact(self, fact: str) -> QWidget:
        said = SEEN_FACTS[fact]
        row = QWidget()
        layout = QHBoxLayout(row)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(paragraph(text=f"{capital(said)}:"), 1)
        for word, seen in (("Yes", True), ("No", False)):
            button = QPushButton(word)
            button.setAccessibleName(f"{word}: {said}")
            button.clicked.connect(lambda _checked=False, seen=seen: self._saw(fact, seen))
            layout.addWidget(button)
        return row

    def _saw(self, fact: str, seen: bool) -> None:
        put_fact(self._document, self._record, fact, seen)
        self.done.emit()

    def _reading(self, place: str) -> QWidget:
        name = SPOT_PLACES[place] if place != "coolant" else "outlet neck, beside the sensor"
        value = UnitEntry(capital(name), f"Reading: {name}")
        kind = measure_of(place)[0]
        value.set_kind(kind, self._system)
        value.line.setPlaceholderText(unit_for(kind, self._system))
        at = None if place in TIMELESS else self._time_of(name)
        instrument = StillCombo(LETTERS)
        for word, surface in instruments_for(place):
            instrument.addItem(INSTRUMENTS[word], (word, surface))
        held = QWidget()
        layout = QVBoxLayout(held)
        layout.setContentsMargins(0, 0, 0, 0)
        label = QLabel("Read with")
        tie(label, instrument, f"Instrument: {name}")
        layout.addWidget(label)
        layout.addWidget(instrument)
        layout.addStretch(1)
        put = QPushButton("Put in")
        put.setAccessibleName(f"Put in: {name}")
        put.clicked.connect(lambda: self._read(place, value, at, instrument))
        box = QWidget()
        column = QVBoxLayout(box)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(Columns([entry for entry in (value, at, held) if entry is not None]))
        column.addWidget(right(put))
        return box

    def _time_of(self, name: str) -> UnitEntry:
        at = UnitEntry("Time since the start", f"Time of the reading: {name}", "Left empty: at the end of the run.")
        at.set_kind(TIME, self._system)
        at.line.setPlaceholderText(f"{unit_for(TIME, self._system)}; empty: at the end")
        return at

    def _read(self, place: str, value: UnitEntry, at: UnitEntry | None, instrument: StillCombo) -> None:
        timed = at if at is not None and at.text.strip() else None
        if not _reads(value, *measure_of(place)) or (timed is not None and not _reads(timed, TIME)):
            return
        word, surface = instrument.currentData()
        time = "" if timed is None else timed.full_text
        put_reading(self._document, self._record, Read(place, value.full_text, time, word, surface))
        self.done.emit()


def _reads(entry: UnitEntry, kind: str, limits: tuple[str, str] | None = None) -> bool:
    """Whether an entry reads and lies within its limits; says beneath it why not."""
    try:
        found = parse(entry.full_text, kind).si
    except UnitFault as error:
        entry.say(error.faults[0].wanted)
        return False
    if limits is None:
        return True
    low, high = (parse(text, kind).si for text in limits)
    if not low <= found <= high:
        entry.say(f"{limits[0]} to {limits[1]} would do")
    return low <= found <= high


def _why(check: CheckValue, checks: Sequence[CheckValue]) -> str:
    if check.first:
        return "It comes first whatever the odds: a safety or leak check."
    if check.key == checks[0].key:
        return "Of the checks not made yet it settles the most for a minute of work."
    return "It settles less for a minute of work than the first in the list."
