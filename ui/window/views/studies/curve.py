"""One duty over a range of one input."""

from __future__ import annotations

from functools import partial

from PySide6.QtWidgets import QPushButton

from engcalc.case.case import Case
from engcalc.case.catalogue import entry
from engcalc.errors import InputError
from engcalc.studies.sweeps import Sweep, SweepAxis, sweep
from engcalc.units import Array, plain_number, raised, to_unit, unit_for
from engcalc.words.texts import shared_texts, view_texts
from reports.plots.registry import Screen
from ui.window.dialogs.background import Stopped, Tell
from ui.window.dialogs.parts import right
from ui.window.results.card import PlaceCards
from ui.window.results.table import TableText
from ui.window.views.studies.axis import AxisChooser
from ui.window.views.studies.page import StudyPage
from ui.window.views.studies.ranges import default_pair
from ui.window.views.view import Context, Question

POINTS = 61


class SweepPage(StudyPage[Sweep]):
    """The coolant over any numeric input, with its limit."""

    def __init__(self, context: Context) -> None:
        self.axis = AxisChooser("Over")
        self.pictures = PlaceCards(Screen.SWEEP)
        self._copy = QPushButton("Copy values")
        self._copy.setAccessibleName(view_texts.COPY_VALUES_OF_THE_SWEEP)
        self._copy.setToolTip(view_texts.COPY_THE_VALUES_BEHIND_THE_CURVE_AS_A_TABLE)
        self._copy.clicked.connect(self.copy_table)
        super().__init__(context, (self.axis,), (*self.pictures.cards, right(self._copy)))
        self.axis.changed.connect(self.refresh)
        self.show_nothing()

    def question_of(self, case: Case, duty: int) -> Question[Sweep] | str:
        """The sweep over the chosen input."""
        default = default_pair(case, duty)
        bench = case.duties[duty].air_velocity is not None
        self.axis.show_choices(case, duty, default[0] if bench else SweepAxis.AMBIENT.path(duty))
        try:
            span = self.axis.read(case, self.context.system)
        except InputError:
            return view_texts.NO_INPUT
        path = self.axis.path
        values = span.values(entry(path).input.kind, POINTS)
        return Question((case, duty, path, span), partial(_work, case, duty, path, values))

    def show_answer(self, answer: Sweep) -> None:
        """Draw the curve."""
        self.show_parts()
        self.pictures.show_pictures(answer, self.context.system)

    def text_to_copy(self) -> str:
        """What the curve is drawn from."""
        return "" if self.answer is None else self.values_of(self.answer).tsv()

    def values_of(self, found: Sweep) -> TableText:
        """The curve as a table."""
        units = [unit_for(kind, self.context.system) for kind in (found.axis.kind, *_KINDS)]
        heads = (found.axis.label, shared_texts.COOLANT_OUT_OF_THE_ENGINE, "Limit", "Margin")
        columns = [
            _cells(values, kind, unit)
            for values, kind, unit in zip(
                (found.values, found.coolant_out, found.limit, found.margin),
                (found.axis.kind, *_KINDS),
                units,
                strict=True,
            )
        ]
        titles = tuple(f"{head}, {raised(unit)}" if unit else head for head, unit in zip(heads, units, strict=True))
        boils = ["yes" if b else "no" for b in found.boils.tolist()]
        return TableText((*titles, "Boils"), tuple(zip(*columns, boils, strict=True)))


_KINDS = ("temperature", "temperature", "temperature difference")


def _cells(values: Array, kind: str, unit: str) -> list[str]:
    return [plain_number(to_unit(v, unit, kind), 4, tenths="temperature" in kind) for v in values.tolist()]


def _work(case: Case, duty: int, path: str, values: Array, tell: Tell, stopped: Stopped) -> Sweep:
    return sweep(case, duty, path, values, progress=tell, cancelled=stopped)
