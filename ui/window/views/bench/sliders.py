"""Sliders of what a problem gives: a move is an edit of the case, a stroke of the hand one step for undo."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QLabel, QWidget

from engcalc.case.bench_rules import PROBLEM_NUMBERS
from engcalc.case.case import Case
from engcalc.case.catalogue import entry
from engcalc.units import UnitSystem, plain_number, show, to_unit, unit_for
from ui.document import Document
from ui.window.plain import plain_label
from ui.window.rhythm import gridded
from ui.window.still_combo import StillSlider

STEPS = 200  # of a slider, end to end
SPAN = 30.0  # K that a temperature may be moved either way; common practice, no source
FACTOR = 3.0  # by which any other number may be moved either way; common practice, no source
TEMPERATURE = "temperature"


@dataclass
class SliderRow:
    """One number: its place in the case, its kind, the ends of its slider [SI]."""

    path: str
    kind: str
    low: float
    high: float
    slider: StillSlider
    value: QLabel

    def at(self, place: int) -> float:
        """The number [SI] at a place of the slider: evenly for temperatures, else by equal factors."""
        share = place / STEPS
        if self.kind == TEMPERATURE:
            return self.low + share * (self.high - self.low)
        return float(self.low * (self.high / self.low) ** share)

    def place_of(self, number: float) -> int:
        """The place of the slider nearest to a number [SI]; at an end where it lies beyond."""
        inside = min(max(number, self.low), self.high)
        if self.kind == TEMPERATURE:
            return round(STEPS * (inside - self.low) / (self.high - self.low))
        places = (i for i in range(STEPS + 1))
        return min(places, key=lambda i: abs(self.at(i) - inside))


class ProblemSliders(QWidget):
    """The numbers that the first problem gives."""

    moved = Signal()

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self.rows: list[SliderRow] = []
        self._grid = gridded(self)
        self._grid.setColumnStretch(1, 1)
        self._system = UnitSystem.SI

    def show_problem(self, case: Case, system: UnitSystem) -> None:
        """Follow the case: rows are made anew only when other numbers are given."""
        self._system = system
        given = {
            f"problems[0].{name}": float(value[0])
            for name in (PROBLEM_NUMBERS if case.problems else ())
            if (value := getattr(case.problems[0], name)) is not None
        }
        kinds = {path: case.given[path].kind for path in given}
        if [(row.path, row.kind) for row in self.rows] != [(path, kinds[path]) for path in given]:
            self._make(given, kinds)
        for row in self.rows:
            row.slider.blockSignals(True)
            if not row.slider.isSliderDown():
                row.slider.setValue(row.place_of(given[row.path]))
            row.slider.blockSignals(False)
            row.value.setText(show(given[row.path], row.kind, system, 4))

    @property
    def is_moving(self) -> bool:
        """Whether a hand holds one of them."""
        return any(row.slider.isSliderDown() for row in self.rows)

    def _make(self, given: dict[str, float], kinds: dict[str, str]) -> None:
        while self._grid.count():
            item = self._grid.takeAt(0)
            widget = item.widget() if item is not None else None
            if widget is not None:
                widget.hide()
                widget.deleteLater()
        self.rows = [self._row(i, path, kinds[path], number) for i, (path, number) in enumerate(given.items())]

    def _row(self, at: int, path: str, kind: str, number: float) -> SliderRow:
        label = entry(path).input.label
        slider = StillSlider(self)
        slider.setRange(0, STEPS)
        slider.setAccessibleName(f"Problem 1: {label}")
        value = plain_label(parent=self)
        by_degrees = kind == TEMPERATURE
        low, high = (number - SPAN, number + SPAN) if by_degrees else (number / FACTOR, number * FACTOR)
        row = SliderRow(path, kind, low, high, slider, value)
        slider.setValue(row.place_of(number))
        slider.valueChanged.connect(lambda place: self._slide(row, place))
        slider.sliderReleased.connect(self._release)
        for column, widget in enumerate((plain_label(label, parent=self), slider, value)):
            self._grid.addWidget(widget, at, column)
        return row

    def _release(self) -> None:
        """The hand lets go: what is moved next is a step of its own."""
        self._document.end_step()
        self.moved.emit()

    def _slide(self, row: SliderRow, place: int) -> None:
        """Put the number at the slider's place into the case."""
        unit = unit_for(row.kind, self._system)
        number = to_unit(row.at(place), unit, row.kind)
        digits = plain_number(number, 4, tenths=row.kind == TEMPERATURE)
        self._document.edit(row.path, f"{digits} {unit}".strip())
        self.moved.emit()
