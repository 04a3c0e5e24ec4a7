"""The refill view: a small form with the case's coolant filled in, its answers beneath each part, and the steps."""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum
from typing import TypeVar

from PySide6.QtWidgets import QLabel, QPushButton, QVBoxLayout, QWidget

from engcalc.case.case import Case
from engcalc.errors import UnitFault
from engcalc.properties.coolant import Base
from engcalc.studies.refill import Joint
from engcalc.units import parse, show
from engcalc.words.bleeding import Fill, HeaterValve, Setup, Tank
from ui.window.accessible import tie
from ui.window.paragraph import paragraph
from ui.window.results.card import Part
from ui.window.results.lines import Sentence, Sentences
from ui.window.scrolled import Page, scrolled
from ui.window.views.columns import Columns
from ui.window.views.entries import QuietCombo, UnitEntry
from ui.window.views.refill.answers import (
    CAUTION_TEXTS,
    GROUPS,
    QUANTITIES,
    Answers,
    Quantity,
    Typed,
    answers,
    taken,
)
from ui.window.views.tables import copy_text
from ui.window.views.view import Context, View, column

E = TypeVar("E", bound=StrEnum)


class YesNo(StrEnum):
    """An answer that may be missing."""

    UNKNOWN = "not known"
    YES = "yes"
    NO = "no"


class Scale(StrEnum):
    """Which glycol the refractometer's scale is for."""

    SAME = "the coolant's own"
    ETHYLENE = Base.ETHYLENE.value
    PROPYLENE = Base.PROPYLENE.value


CHOICES: Mapping[str, tuple[str, type[StrEnum]]] = {
    "scale": ("Scale of the refractometer", Scale), "joint": ("To be opened", Joint),
    "screws": ("Bleed screws", YesNo), "fill": ("Filled by", Fill), "valve": ("Heater valve", HeaterValve),
    "rear": ("Rear heater", YesNo)}
_WITH = {"In the system": ("scale",), "Refill": ("joint",), "Trapped air": ()}
HOW_BUILT = ("screws", "fill", "valve", "rear")
_SCREWS = {YesNo.UNKNOWN: None, YesNo.YES: True, YesNo.NO: False}
FROM_CASE = "Coolant, tank and pump are those of the case; a line left empty takes the value shown in it."
WITHOUT_CASE = "The case does not read yet: mend what the form names, or type what is in the system here."


class Choice(QWidget):
    """A labelled list of words."""

    def __init__(self, label: str, options: type[StrEnum]) -> None:
        super().__init__()
        self.combo = QuietCombo()
        for option in options:
            self.combo.addItem(option.value, option)
        head = QLabel(label)
        tie(head, self.combo, label)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(head)
        layout.addWidget(self.combo)
        layout.addStretch(1)


class RefillView(View):
    """What to drain and fill in, what the mixture stands, what air is left, and how to bleed; all of it live."""

    def __init__(self, context: Context) -> None:
        super().__init__(context)
        self.lines = {key: self._line(q) for key, q in QUANTITIES.items()}
        self.choices = {key: Choice(label, options) for key, (label, options) in CHOICES.items()}
        self.said = {head: Sentences(head) for head in GROUPS}
        self.steps = Sentences("Steps")
        self._answers: Answers | None = None
        copy = QPushButton("Copy all")
        copy.setAccessibleName("Copy refill and bleeding")
        copy.setToolTip("Copy answers and steps as text")
        copy.clicked.connect(self.copy_table)
        page = Page()
        body = QVBoxLayout(page)
        body.setContentsMargins(0, 0, 0, 0)
        self.note = paragraph("About this form", "muted")
        body.addWidget(self.note)
        for head, group in GROUPS.items():
            fields = [*(self.lines[q.key] for q in group), *(self.choices[key] for key in _WITH[head])]
            body.addWidget(self._part(head, fields, self.said[head], *((copy,) if head == "In the system" else ())))
        body.addWidget(self._part("Filling and bleeding", [self.choices[k] for k in HOW_BUILT], self.steps))
        body.addStretch(1)
        area = scrolled(page)
        column(self, area, stretch=area)
        for choice in self.choices.values():
            choice.combo.activated.connect(lambda _index: self.refresh())

    def _line(self, quantity: Quantity) -> UnitEntry:
        line = UnitEntry(quantity.label, quantity.label, quantity.help)
        line.line.textChanged.connect(lambda _text: self.refresh())
        return line

    @staticmethod
    def _part(head: str, fields: list[QWidget], answers: Sentences, *beside: QWidget) -> Part:
        box = QWidget()
        layout = QVBoxLayout(box)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(Columns(fields))
        layout.addWidget(answers)
        return Part(head, box, *beside)

    # ---- reading ----------------------------------------------------------------------------------------------------

    def typed(self) -> Typed:
        """What stands in the form; a line that does not read counts as not known, and says so beneath."""
        case = self.context.case
        stands_in = taken(case)
        amounts = {key: self._read(QUANTITIES[key], line, stands_in[key]) for key, line in self.lines.items()}
        base = Base.ETHYLENE if case is None else Base(case.coolant.base)
        scale = self._chosen("scale", Scale)
        return Typed(amounts, base, base if scale is Scale.SAME else Base(scale.value), self._chosen("joint", Joint),
                     self._setup(case))

    def _setup(self, case: Case | None) -> Setup:
        return Setup(
            tank=Tank.SURGE if case is None else Tank(case.coolant.tank),
            bleed_screws=_SCREWS[self._chosen("screws", YesNo)], fill=self._chosen("fill", Fill),
            heater_valve=self._chosen("valve", HeaterValve),
            electric_pump=case is not None and case.circuit.pump_drive == "electric",
            rear_heater=self._chosen("rear", YesNo) is YesNo.YES)

    def _chosen(self, key: str, options: type[E]) -> E:
        return options(self.choices[key].combo.currentData())

    def _read(self, quantity: Quantity, line: UnitEntry, stands_in: float | None) -> float | None:
        system = self.context.system
        line.set_kind(quantity.kind, system, quantity.unit)
        line.line.setPlaceholderText("" if stands_in is None else show(stands_in, quantity.kind, system))
        if not line.text.strip():
            line.say("")
            return stands_in
        try:
            found = parse(line.full_text, quantity.kind).si
        except UnitFault as error:
            line.say(error.faults[0].wanted)
            return None
        low, high = (parse(text, quantity.kind).si for text in quantity.limits)
        inside = low <= found <= high
        line.say("" if inside else f"{quantity.limits[0]} to {quantity.limits[1]} would do")
        return found if inside else None

    # ---- showing ----------------------------------------------------------------------------------------------------

    def refresh(self) -> None:
        """Work it all out; it is a matter of a millisecond."""
        self.note.setText(FROM_CASE if self.context.case is not None else WITHOUT_CASE)
        self._answers = answers(self.typed(), self.context.system)
        for head, sentences in self._answers.parts.items():
            self.said[head].show_sentences([Sentence(text) for text in sentences])
        lines = []
        for number, step in enumerate(self._answers.steps, 1):
            lines.append(Sentence(step.text, f"{number}"))
            lines += [Sentence(CAUTION_TEXTS[key], "!", "Caution", "warn") for key in step.cautions]
        self.steps.show_sentences(lines)

    @property
    def answers(self) -> Answers | None:
        """What is shown."""
        return self._answers

    def copy_table(self) -> bool:
        """Copy answers and steps as text."""
        if self._answers is not None:
            copy_text(self._answers.text)
        return self._answers is not None
