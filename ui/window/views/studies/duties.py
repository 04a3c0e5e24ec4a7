"""All duties of the case, one row each: flows, opening, temperatures, regime, limit and margin."""

from __future__ import annotations

from PySide6.QtWidgets import QPushButton

from engcalc.case.bench_rules import has_duty_to_study
from engcalc.studies.checked import Check, DutyCheck
from engcalc.studies.duties.cycle import Cycle
from engcalc.system.state import Status
from engcalc.units import UnitSystem, plain_number, raised, to_unit, unit_for
from engcalc.words.answer.results import BY_KEY
from engcalc.words.sizing.sizing_words import ONLY_BENCH, cycle_sentences
from engcalc.words.terms.glossary import TERMS
from engcalc.words.texts import view_texts
from reports.plots.registry import Screen
from ui.window.paragraph import paragraph
from ui.window.results.card import CardSection, PlaceCards
from ui.window.results.lines import Sentence, Sentences
from ui.window.results.table import TableText
from ui.window.results.verdict_bar import SIGNS
from ui.window.rhythm import BESIDE_A_BAR, upright
from ui.window.scrolled import Page, scrolled
from ui.window.views.tables import WideTable
from ui.window.views.view import Context, View, column
from ui.window.views.waiting import WaitingLine

COLUMNS = (
    "coolant_out_degC",
    "limit_degC",
    "margin_K",
    "boiling_degC",
    "thermostat_opening",
    "coolant_flow_kg_s",
    "radiator_flow_kg_s",
    "heater_flow_kg_s",
    "bypass_flow_kg_s",
    "air_velocity_m_s",
    "fan_on_share",
    "radiator_out_degC",
    "vent_degC",
    "heat_to_coolant_W",
    "limiting_ambient_degC",
)
"""Keys of the results shown, in the order of the columns."""


class DutiesPage(View):
    """The check's duties side by side; what is to be seen here is the check's own, nothing is computed anew."""

    def __init__(self, context: Context) -> None:
        super().__init__(context)
        self.line = WaitingLine()
        self.table = WideTable("Duties")
        copy = QPushButton("Copy table")
        copy.setAccessibleName(view_texts.COPY_TABLE_OF_DUTIES)
        copy.clicked.connect(self.copy_table)
        page = Page()
        self._part = CardSection("All duties", self.table, copy)
        body = upright(page, around=BESIDE_A_BAR)
        body.addWidget(paragraph(tone="muted", text=view_texts.ONE_ROW_FOR_EACH_DUTY))
        body.addWidget(self._part)
        self._courses = upright()
        body.addLayout(self._courses)
        body.addStretch(1)
        self._shown: list[tuple[PlaceCards[Cycle], Sentences]] = []
        area = scrolled(page, "Duties in time")
        column(self, self.line, area, stretch=area)

    def refresh(self) -> None:
        """Show the duties of the newest check."""
        case = self.context.case
        if case is not None and not has_duty_to_study(case):
            self._show_none()
            return
        check = self.context.check
        self._part.setVisible(check is not None)
        self.line.say(self.context.behind if check is not None else view_texts.DUTIES_ARE_BEING_WORKED_OUT)
        if check is not None:
            self.table.put(duties_table(check, self.context.system))
            self._show_courses(check, self.context.system)

    def _show_none(self) -> None:
        """An exchanger on a bench has no duty."""
        self._part.hide()
        self.line.say(ONLY_BENCH)
        for pictures, words in self._shown:
            pictures.show_none()
            words.show_sentences([])

    def _show_courses(self, check: Check, system: UnitSystem) -> None:
        """Laps, work cycles and duties that follow one another, each as a curve with its words."""
        while len(self._shown) < len(check.courses):
            self._add_course(len(self._shown) + 1)
        for i, (pictures, words) in enumerate(self._shown):
            course = check.courses[i] if i < len(check.courses) else None
            if course is None:
                pictures.show_none()
                words.show_sentences([])
            else:
                pictures.show_pictures(course, system)
                words.show_sentences([Sentence(text) for text in cycle_sentences(course, system)])

    def _add_course(self, number: int) -> None:
        """Room for one more course: its pictures, and its words beneath them."""
        pictures = PlaceCards(Screen.COURSES, number=number)
        words = Sentences(view_texts.COURSE_IN_TIME.format(number=number))
        for widget in (*pictures.cards, words):
            self._courses.addWidget(widget)
        self._shown.append((pictures, words))

    def close_view(self) -> None:
        """Nothing to end but the line."""
        self.line.close_line()


def duties_table(check: Check, system: UnitSystem) -> TableText:
    """One row for each duty; columns without any value are left out."""
    keys = [key for key in COLUMNS if any(BY_KEY[key].getter(duty) is not None for duty in check.duties)]
    heads = [f"{BY_KEY[key].label}, {raised(unit_for(BY_KEY[key].kind, system))}".rstrip(", ") for key in keys]
    rows = [
        (duty.name, SIGNS[duty.verdict].word, regime_words(duty), *(_cell(duty, key, system) for key in keys))
        for duty in check.duties
    ]
    return TableText(("Duty", "Verdict", "Regime", *heads), tuple(rows), tuple(TERMS.get(row[2], "") for row in rows))


def regime_words(duty: DutyCheck) -> str:
    """How the duty runs, or why it has no answer."""
    return duty.regime.value if duty.status is Status.SOLVED else duty.status.value


def _cell(duty: DutyCheck, key: str, system: UnitSystem) -> str:
    row = BY_KEY[key]
    value = row.getter(duty)
    if value is None:
        return "–"
    return plain_number(to_unit(value, unit_for(row.kind, system), row.kind), tenths="temperature" in row.kind)
