"""Choosing an input and the range over which a study varies it."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from engcalc.case.case import Case
from engcalc.case.catalogue import entry
from engcalc.errors import InputError
from engcalc.units import UnitSystem, parse
from ui.window.accessible import tie
from ui.window.form.fields import show_line
from ui.window.plain import plain_label
from ui.window.rhythm import Gap, sideways, upright
from ui.window.still_combo import LETTERS, StillCombo
from ui.window.views.entries import UnitEntry
from ui.window.views.studies.ranges import (
    InputRange,
    end_words,
    ordered,
    other_choices,
    unit_words,
    usual_choices,
    usual_span,
)


class AxisChooser(QWidget):
    """One input out of all numeric ones, and two ends; empty ends stand for the usual range."""

    changed = Signal()

    def __init__(self, name: str) -> None:
        super().__init__()
        self._paths: tuple[str, ...] = ()
        self.combo = StillCombo(LETTERS)
        head = plain_label(name)
        tie(head, self.combo, name)
        self.low, self.high = UnitEntry("From", f"{name}, from"), UnitEntry("To", f"{name}, to")
        box = upright(between=Gap.HALF)
        box.addWidget(head)
        box.addWidget(self.combo)
        box.addStretch(1)
        row = sideways(self)
        row.addLayout(box, 2)
        row.addWidget(self.low, 1)
        row.addWidget(self.high, 1)
        self.combo.activated.connect(self._chosen)
        for end in (self.low, self.high):
            end.line.textChanged.connect(lambda _text: self.changed.emit())

    @property
    def path(self) -> str:
        """The path of the chosen input."""
        return str(self.combo.currentData() or "")

    def choose(self, path: str) -> None:
        """Choose an input."""
        self.combo.setCurrentIndex(max(self.combo.findData(path), 0))

    def _chosen(self) -> None:
        for end in (self.low, self.high):
            show_line(end.line, "")
        self.changed.emit()

    def show_choices(self, case: Case, duty_index: int, default: str) -> None:
        """Offer what this duty has; the choice stays where it can, also from one duty to another."""
        usual, others = usual_choices(case, duty_index), other_choices(case, duty_index)
        paths = tuple(choice.path for choice in (*usual, *others))
        if paths == self._paths:
            return
        head, _, rest = self.path.partition("].")
        wanted = f"duties[{duty_index}].{rest}" if head.startswith("duties[") else self.path
        self._paths = paths
        self.combo.clear()
        for choice in usual:
            self.combo.addItem(choice.label, choice.path)
        self.combo.insertSeparator(self.combo.count())
        for choice in others:
            self.combo.addItem(choice.label, choice.path)
        self.choose(wanted if wanted in paths else default)

    def read(self, case: Case, system: UnitSystem) -> InputRange:
        """The span as typed. Raises InputError; what does not read is said beneath its line."""
        usual = usual_span(case, self.path)
        ends = [self._read(end, si, system) for end, si in ((self.low, usual.low), (self.high, usual.high))]
        faults = tuple(f for end in ends if isinstance(end, InputError) for f in end.faults)
        if faults:
            raise InputError(faults)
        return ordered(self.path, *(end for end in ends if isinstance(end, float)))

    def _read(self, end: UnitEntry, si: float, system: UnitSystem) -> float | InputError:
        end.set_kind(entry(self.path).input.kind, system, unit_words(self.path, system))
        end.line.setPlaceholderText(end_words(self.path, si, system))
        try:
            found = parse(end.full_text, entry(self.path).input.kind).si if end.text.strip() else si
        except InputError as error:
            end.say(error.faults[0].wanted)
            return error
        end.say("")
        return found
