"""The entry of one reading at one place: its number, when, and with what; put into a record of the case."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from engcalc.case.records import INSTRUMENTS, SPOT_PLACES, TIMELESS
from engcalc.errors import UnitFault
from engcalc.units import UnitSystem, parse, unit_for
from engcalc.words.terms.numbers import capital
from engcalc.words.texts import shared_texts, view_texts
from ui.document import Document
from ui.window.accessible import tie
from ui.window.dialogs.parts import button, right
from ui.window.plain import plain_label
from ui.window.rhythm import upright
from ui.window.still_combo import LETTERS, StillCombo
from ui.window.views.causes.results import TypedReading, instruments_for, measure_of, put_reading
from ui.window.views.columns import Columns
from ui.window.views.entries import UnitEntry

TIME = "time"


class ReadingEntry(QWidget):
    """``put_in`` says that the reading stands in the document; a wrong entry says beneath itself what would do."""

    put_in = Signal()

    def __init__(self, document: Document, record: str, place: str, name: str, system: UnitSystem) -> None:
        super().__init__()
        self._document, self._record, self._place, self._system = document, record, place, system
        self.value = UnitEntry(capital(name), f"Reading: {name}")
        kind = measure_of(place)[0]
        self.value.set_kind(kind, system)
        self.value.line.setPlaceholderText(unit_for(kind, system))
        self.at = None if place in TIMELESS else self._time_of(name)
        self.instrument = StillCombo(LETTERS)
        for word, surface in instruments_for(place):
            self.instrument.addItem(INSTRUMENTS[word], (word, surface))
        held = QWidget()
        layout = upright(held)
        label = plain_label("Read with")
        tie(label, self.instrument, f"Instrument: {name}")
        layout.addWidget(label)
        layout.addWidget(self.instrument)
        layout.addStretch(1)
        put = button("Put in", f"Put in: {name}", main=True)
        put.clicked.connect(self.take)
        column = upright(self)
        column.addWidget(Columns([entry for entry in (self.value, self.at, held) if entry is not None]))
        column.addWidget(right(put))

    def _time_of(self, name: str) -> UnitEntry:
        at = UnitEntry(
            shared_texts.TIME_SINCE_THE_START,
            view_texts.TIME_OF_THE_READING.format(name=name),
            view_texts.LEFT_EMPTY_AT_THE_END_OF_THE_RUN,
        )
        at.set_kind(TIME, self._system)
        at.line.setPlaceholderText(view_texts.EMPTY_AT_THE_END.format(time=unit_for(TIME, self._system)))
        return at

    def take(self) -> None:
        """Put the reading into the record, where it reads."""
        timed = self.at if self.at is not None and self.at.text.strip() else None
        if not _reads(self.value, *measure_of(self._place)) or (timed is not None and not _reads(timed, TIME)):
            return
        word, surface = self.instrument.currentData()
        time = "" if timed is None else timed.full_text
        put_reading(self._document, self._record, TypedReading(self._place, self.value.full_text, time, word, surface))
        self.put_in.emit()


def place_name(place: str) -> str:
    """A place in the words of the case; the coolant itself is read beside its sensor."""
    return SPOT_PLACES[place] if place != "coolant" else view_texts.OUTLET_NECK_BESIDE_THE_SENSOR


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
        entry.say(shared_texts.TO_WOULD_DO.format(limits_low=limits[0], limits_high=limits[1]))
    return low <= found <= high
