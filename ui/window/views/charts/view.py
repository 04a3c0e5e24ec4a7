"""Charts of one duty that follow its sliders: the point moves while the hand or the key does."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

import numpy as np
from PySide6.QtWidgets import QWidget

from engcalc.case.bench_rules import has_duty_to_draw
from engcalc.case.case import Case, value_at
from engcalc.case.catalogue import entry
from engcalc.errors import RangeError
from engcalc.studies.teaching import TaughtDuty, shortcuts, taught
from engcalc.units import parse
from engcalc.words.lesson.teaching_words import (
    CHARTS_TITLE,
    CHOSEN_DUTY,
    NO_DUTY,
    NO_POINT,
    SHORTCUT_HEAD,
    SHORTCUT_LEAD,
    SHORTCUT_TITLE,
    SLIDERS_TITLE,
    shortcut_rows,
)
from engcalc.words.texts import view_texts
from reports.plots.registry import Screen
from ui.window.dialogs.parts import words
from ui.window.plain import plain_label
from ui.window.results.card import CardSection, PlaceCards
from ui.window.results.table import TableText
from ui.window.rhythm import BESIDE_A_BAR, sideways, upright
from ui.window.scrolled import Page, scrolled
from ui.window.still_combo import StillCombo
from ui.window.views.sliders import CaseSliders, SlidNumber
from ui.window.views.tables import WideTable
from ui.window.views.view import Context, View, column

SLID = (
    "duties[].ambient",
    "duties[].vehicle_speed",
    "duties[].grade",
    "duties[].air_velocity",
    "duties[].coolant_flow",
    "radiator.core_height",
    "radiator.blocked_face",
    "coolant.concentration",
    "airflow.fan_free_flow",
    "circuit.pump_flow",
)
"""What may be slid, where the duty has it."""


class ChartsView(View):
    """One duty's charts over its sliders."""

    def __init__(self, context: Context) -> None:
        super().__init__(context)
        self.line = words("", "muted")
        self.duty = StillCombo()
        self.duty.setAccessibleName(view_texts.DUTY_OF_THE_CHARTS)
        self.duty.currentIndexChanged.connect(lambda _at: self.refresh())
        self.sliders = CaseSliders(context.document, "Charts")
        self.sliders.moved.connect(self.refresh)
        self.sliders.rested.connect(self.refresh)
        self.pictures = PlaceCards(Screen.TEACHING, self)
        self.table = WideTable(view_texts.WHAT_A_COMMON_APPROXIMATION_COSTS, self)
        page = Page()
        body = upright(page, around=BESIDE_A_BAR)
        body.addWidget(self.line)
        self._chosen = self._choice()
        body.addWidget(self._chosen)
        self._slid = CardSection(SLIDERS_TITLE, self.sliders, parent=self)
        body.addWidget(self._slid)
        for card in self.pictures.cards:
            body.addWidget(card)
        self._costs = CardSection(SHORTCUT_TITLE, self.table, parent=self)
        body.addWidget(self._costs)
        body.addStretch(1)
        column(self, scrolled(page, CHARTS_TITLE))

    def _choice(self) -> QWidget:
        box = QWidget(self)
        row = sideways(box)
        label = plain_label(CHOSEN_DUTY, parent=box)
        label.setBuddy(self.duty)
        row.addWidget(label)
        row.addWidget(self.duty)
        row.addStretch(1)
        return box

    def refresh(self) -> None:
        """Draw the chosen duty of what stands in the document."""
        case = self.context.case
        if case is None or not has_duty_to_draw(case):
            self._nothing(view_texts.THERE_IS_NO_CASE_WITHOUT_FAULTS_YET if case is None else NO_DUTY)
            return
        index = self._follow_duties(case)
        try:
            found = taught(case, index)
        except RangeError as error:
            self._nothing(str(error))
            return
        self.line.setText(self.context.behind if found.solved else NO_POINT)
        self._chosen.setVisible(len(case.duties) > 1)
        self.sliders.show_numbers(tuple(_numbers(case, index)), self.context.system)
        self._slid.show()
        moving = self.sliders.is_moving
        self.pictures.show_pictures(found, self.context.system, in_sight_only=moving)
        if not moving:
            self._show_costs(found)  # the table follows when the hand lets go

    def _follow_duties(self, case: Case) -> int:
        names = [duty.name or f"duty {i + 1}" for i, duty in enumerate(case.duties)]
        if [self.duty.itemText(i) for i in range(self.duty.count())] != names:
            at = max(self.duty.currentIndex(), 0)
            self.duty.blockSignals(True)
            self.duty.clear()
            self.duty.addItems(names)
            self.duty.setCurrentIndex(min(at, len(names) - 1))
            self.duty.blockSignals(False)
        return max(self.duty.currentIndex(), 0)

    def _show_costs(self, found: TaughtDuty) -> None:
        costs = shortcuts(found)
        self._costs.setVisible(bool(costs))
        if costs:
            rows = shortcut_rows(float(found.core.Q[0]), costs, self.context.system)
            self.table.put(TableText(SHORTCUT_HEAD, rows, (SHORTCUT_LEAD,) * len(rows), words_columns=1))

    def _nothing(self, why: str) -> None:
        self.line.setText(why)
        self._chosen.hide()
        self._slid.hide()
        self._costs.hide()
        self.pictures.show_none()


@lru_cache(maxsize=256)
def _usual(path: str) -> tuple[float, float]:
    """The ends of what is usual for an input [SI]."""
    declared = entry(path).input
    assert declared.usual is not None  # every number of SLID states what is usual
    low, high = (parse(text, declared.kind).si for text in declared.usual)
    return low, high


def _numbers(case: Case, index: int) -> Iterator[SlidNumber]:
    """What may be slid of a duty, between the ends of what is usual, and the number itself at least."""
    for pattern in SLID:
        path = pattern.replace("[]", f"[{index}]")
        value = value_at(case, path)
        if not isinstance(value, np.ndarray) or value.size != 1 or not np.isfinite(value).all():
            continue
        low, high = _usual(path)
        number = float(value[0])
        kind = entry(path).input.kind
        yield SlidNumber(path, kind, number, min(low, number), max(high, number), evenly=True)
