"""The circuit at a moment of the warm-up: a slider in minutes under the curve, and the picture that follows it."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QWidget

from engcalc.case.case import Case
from engcalc.units import UnitSystem
from engcalc.vehicle.moment import RecordMoment
from engcalc.vehicle.warmup_study import RecordStudy
from engcalc.words.terms.numbers import minutes
from engcalc.words.texts import view_texts
from reports.plots.registry import Screen
from ui.window.accessible import tie
from ui.window.plain import plain_label
from ui.window.results.card import PlaceCards
from ui.window.rhythm import sideways, upright
from ui.window.still_combo import StillSlider

STEP, PAGE = 30.0, 300.0  # s, that an arrow key and a page key move it


class MomentPanel(QWidget):
    """Slider and picture. ``moved`` tells the time [s] that is looked at, ``tapped`` the place that was clicked."""

    moved = Signal(float)
    tapped = Signal(str)

    def __init__(self) -> None:
        super().__init__()
        self._case: Case | None = None
        self._record: RecordStudy | None = None
        self._system = UnitSystem.SI
        self.slider = StillSlider()
        self.slider.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.slider.valueChanged.connect(lambda _at: self._follow())
        label = plain_label(view_texts.MINUTES_AFTER_THE_START)
        tie(label, self.slider, view_texts.MINUTES_AFTER_THE_START)
        self.told = plain_label()
        self.cards = PlaceCards(Screen.WARMUP_CIRCUIT)
        row = sideways()
        row.addWidget(label)
        row.addWidget(self.slider, 1)
        row.addWidget(self.told)
        layout = upright(self)
        layout.addLayout(row)
        for card in self.cards.cards:
            card.view.tapped.connect(self.tapped)
            layout.addWidget(card)

    @property
    def at(self) -> float:
        """The time that is looked at [s from the start]."""
        return 0.0 if self._record is None else float(self._record.nominal.time[self.slider.value()])

    def show_record(self, case: Case, record: RecordStudy, system: UnitSystem) -> None:
        """Show a record; the moment stays where it was if the record is as long, else it goes to the end."""
        time = record.nominal.time
        kept = self.slider.value() if self._record is not None and record.name == self._record.name else -1
        self._case, self._record, self._system = case, record, system
        every = float(time[1] - time[0]) if len(time) > 1 else STEP
        self.slider.blockSignals(True)
        self.slider.setRange(0, len(time) - 1)
        self.slider.setSingleStep(max(1, round(STEP / every)))
        self.slider.setPageStep(max(1, round(PAGE / every)))
        self.slider.setValue(kept if 0 <= kept < len(time) else len(time) - 1)
        self.slider.blockSignals(False)
        self._follow()

    def _follow(self) -> None:
        if self._case is None or self._record is None:
            return
        self.told.setText(minutes(self.at))
        self.cards.show_pictures(RecordMoment(self._case, self._record, self.at), self._system)
        self.moved.emit(self.at)
