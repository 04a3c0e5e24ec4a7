"""Sliders of a case's numbers: a move is an edit of the case, a stroke of hand or key one step for undo."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QLabel, QWidget

from engcalc.case.bench_rules import PROBLEM_NUMBERS
from engcalc.case.case import Case
from engcalc.case.catalogue import entry
from engcalc.units import UnitSystem, plain_number, raised, to_unit, unit_for
from engcalc.words.lesson.bench_words import printing
from ui.document import Document
from ui.window.form.quantity import unit_of
from ui.window.plain import plain_label
from ui.window.rhythm import gridded
from ui.window.still_combo import StillSlider

STEPS = 200  # of a slider, end to end
SPAN = 30.0  # K that a temperature may be moved either way; common practice, no source
FACTOR = 3.0  # by which any other number may be moved either way; common practice, no source
TEMPERATURE = "temperature"
AIR_FLOW, LIQUID_FLOW = "air flow", "coolant flow"  # the same units; in each, others are shown in US customary units


@dataclass(frozen=True)
class SlidNumber:
    """A number that may be slid: its place in the case, its kind, the number and the ends of its slider [SI]."""

    path: str
    kind: str
    number: float
    low: float
    high: float
    evenly: bool  # by equal steps; else by equal factors

    def at(self, place: int) -> float:
        """The number [SI] at a place of the slider."""
        share = place / STEPS
        if self.evenly:
            return self.low + share * (self.high - self.low)
        return float(self.low * (self.high / self.low) ** share)

    def place_of(self, number: float) -> int:
        """The place of the slider nearest to a number [SI]; at an end where it lies beyond."""
        inside = min(max(number, self.low), self.high)
        return min(range(STEPS + 1), key=lambda place: abs(self.at(place) - inside))


def _kind_of(case: Case, name: str) -> str:
    """The kind in which a number of the first problem is shown: a flow by volume goes by the fluid, not by the side."""
    kind = case.given[f"problems[0].{name}"].kind
    if kind not in (AIR_FLOW, LIQUID_FLOW):
        return kind
    stream = case.hot_stream if name == "hot_flow" else case.cold_stream
    return AIR_FLOW if stream.fluid == "air" else LIQUID_FLOW


def numbers_of_problem(case: Case) -> tuple[SlidNumber, ...]:
    """What the first problem of a bench gives."""
    found = []
    for name in PROBLEM_NUMBERS if case.problems else ():
        value = getattr(case.problems[0], name)
        if value is None:
            continue
        path, number = f"problems[0].{name}", float(value[0])
        kind = _kind_of(case, name)
        evenly = kind == TEMPERATURE
        low, high = (number - SPAN, number + SPAN) if evenly else (number / FACTOR, number * FACTOR)
        found.append(SlidNumber(path, kind, number, low, high, evenly))
    return tuple(found)


@dataclass
class SliderRow:
    """A number with its slider and the label that tells it."""

    slid: SlidNumber
    slider: StillSlider
    value: QLabel

    @property
    def path(self) -> str:
        """The number's place in the case."""
        return self.slid.path


class CaseSliders(QWidget):
    """Some numbers of the case, one slider each. ``name`` begins what a screen reader says of each."""

    moved = Signal()
    rested = Signal()  # the hand has let go

    def __init__(self, document: Document, name: str) -> None:
        super().__init__()
        self._document, self._name = document, name
        self.rows: list[SliderRow] = []
        self._grid = gridded(self)
        self._grid.setColumnStretch(1, 1)
        self._system = UnitSystem.SI

    def show_numbers(self, numbers: Sequence[SlidNumber], system: UnitSystem) -> None:
        """Follow the case: rows are made anew only when there are other numbers."""
        self._system = system
        if [(row.path, row.slid.kind) for row in self.rows] != [(one.path, one.kind) for one in numbers]:
            self._make(numbers)
        for row, now in zip(self.rows, numbers, strict=True):
            row.slider.blockSignals(True)
            if not row.slider.is_held and abs(row.slid.at(row.slider.value()) - now.number) > 1e-3 * abs(now.number):
                row.slider.setValue(row.slid.place_of(now.number))
            row.slider.blockSignals(False)
            row.value.setText(self._told(row, now))

    def _told(self, row: SliderRow, now: SlidNumber) -> str:
        """The number, and once it was moved where it began."""
        unit = self._unit_of(now)
        said, began = (printing(_in_unit(number, unit, now.kind)) for number in (now.number, row.slid.number))
        return said if said == began else f"{said}, from {began}"

    def _unit_of(self, slid: SlidNumber) -> str:
        """The unit in which a number was typed; the system's own in US customary units, or where none was typed.

        What is typed by now may be no quantity at all: the number shown is then the last good one.
        """
        typed = self._document.text.typed(slid.path)
        found = unit_of(typed, (slid.kind,)) if typed and self._system is UnitSystem.SI else None
        return found.spelling if found and found.spelling else unit_for(slid.kind, self._system)

    @property
    def is_moving(self) -> bool:
        """Whether a hand or a key holds one of them."""
        return any(row.slider.is_held for row in self.rows)

    def _make(self, numbers: Sequence[SlidNumber]) -> None:
        while self._grid.count():
            item = self._grid.takeAt(0)
            widget = item.widget() if item is not None else None
            if widget is not None:
                widget.hide()
                widget.deleteLater()
        self.rows = [self._row(i, one) for i, one in enumerate(numbers)]

    def _row(self, at: int, slid: SlidNumber) -> SliderRow:
        label = entry(slid.path).input.label
        slider = StillSlider(self)
        slider.setRange(0, STEPS)
        slider.setAccessibleName(f"{self._name}: {label}")
        value = plain_label(parent=self)
        row = SliderRow(slid, slider, value)
        slider.setValue(slid.place_of(slid.number))
        slider.valueChanged.connect(lambda place: self._slide(row, place))
        slider.rested.connect(lambda: self._release(row))
        for column, widget in enumerate((plain_label(label, parent=self), slider, value)):
            self._grid.addWidget(widget, at, column)
        return row

    def _release(self, row: SliderRow) -> None:
        """The hand lets go: all follows, and what is moved next is a step of its own."""
        self._document.let_go(row.path)
        self.rested.emit()

    def _slide(self, row: SliderRow, place: int) -> None:
        """Put the number at the slider's place into the case."""
        put = self._document.slide if row.slider.is_held else self._document.edit
        put(row.path, _in_unit(row.slid.at(place), self._unit_of(row.slid), row.slid.kind))
        self.moved.emit()


def _in_unit(si: float, unit: str, kind: str) -> str:
    """A number [SI] in a unit, to four digits, a temperature to a tenth."""
    return f"{plain_number(to_unit(si, unit, kind), 4, tenths=kind == TEMPERATURE)} {raised(unit)}".strip()
