"""The causes view: what may be behind the complaint and how sure that is, and what to check next."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path

from PySide6.QtWidgets import QCheckBox, QDialog, QPushButton, QWidget

from engcalc.case.bench_rules import has_engine
from engcalc.case.case import Case
from engcalc.case.cause_rates import own_rates
from engcalc.case.naming import without_names
from engcalc.causes.base_rates import NO_REASON, PER_CENT, OtherRates
from engcalc.diagnosis.checks.circuit_places import READ_AT, CircuitPlace
from engcalc.diagnosis.checks.found_causes import found_causes
from engcalc.diagnosis.grounds import VehicleState
from engcalc.diagnosis.members.two_processes import TwoProcesses
from engcalc.diagnosis.odds.diagnosis import Diagnosis, EarlyOdds, diagnose
from engcalc.diagnosis.odds.sampler import Effort
from engcalc.diagnosis.settled import with_odds
from engcalc.errors import HeatdocketError
from engcalc.units import UnitSystem, plain_number
from engcalc.vehicle.run import latest_record, records
from engcalc.words.answer.answer import comes_before_odds, state_told
from engcalc.words.diagnosis.causes import EARLY, early_sentences, evidence_sentence, group_sentence
from engcalc.words.diagnosis.causes_told import (
    EVIDENCE_HEAD,
    NEAREST,
    NOT_ENOUGH,
    WHAT_IT_RESTS_ON,
    check_heading,
    evidence_row,
    named_causes,
    odds_lines,
    offered_checks,
    starting_words,
    told_groups,
)
from engcalc.words.diagnosis.conclusion_words import NextStepWords
from engcalc.words.diagnosis.own_history_words import OWN_HISTORY, OWN_HISTORY_TIP, not_used_words
from engcalc.words.lesson.bench_words import NO_CAUSES
from engcalc.words.texts import shared_texts, view_texts
from reports.plots.registry import Screen
from ui.book.own_history import FITTED, EarlierRecord, HistoryNotUsed, NoHistory, own_history_of
from ui.window.dialogs.background import Stopped, Tell
from ui.window.form.wrapping import WrappingRow
from ui.window.paragraph import paragraph
from ui.window.plain import tip
from ui.window.results.card import CardSection, PlaceCards
from ui.window.results.lines import Sentence, Sentences
from ui.window.results.table import TableText
from ui.window.shown import until_left
from ui.window.views.causes.check_card import CheckCard
from ui.window.views.causes.rates import RatesDialog
from ui.window.views.reading_dialog import take_reading
from ui.window.views.recorded import logs_of, stamps
from ui.window.views.records import RecordChoice
from ui.window.views.tables import WideTable
from ui.window.views.view import Context, PartsView, Question, column

FITTED_BY = 0.4  # share of the work after which the vehicle's own record is fitted, about


AskRates = Callable[[str, Mapping[str, float], QWidget], Mapping[str, float] | None]


def ask_for_rates(reason: str, own: Mapping[str, float], parent: QWidget) -> Mapping[str, float] | None:
    """Ask for base rates of one's own; None when the person leaves them."""
    dialog = RatesDialog(reason, own, parent)
    return dialog.own if until_left(dialog) == QDialog.DialogCode.Accepted else None


class CausesView(PartsView[Diagnosis]):
    """Odds in words, groups, evidence, curves, and the next check whose result goes back with one click."""

    def __init__(self, context: Context, effort: Effort | None = None, ask_rates: AskRates | None = None) -> None:
        super().__init__(context)
        self._effort, self._ask_rates = effort, ask_rates or ask_for_rates
        self._expected: Expected = None
        self.warning, self.early = paragraph("Not enough", "warn"), paragraph("Odds so far", "warn")
        self.odds, self.groups, self.rates = Sentences("Causes"), Sentences("Groups"), paragraph("Base rates", "muted")
        self.check = CheckCard(context.document)
        self.check.done.connect(self.refresh)
        self.check.chosen.connect(self._light)
        self.table = WideTable("Evidence")
        self.unused = Sentences("Not used")
        self.pictures = PlaceCards(Screen.CAUSES)
        for card in self.pictures.cards:
            card.view.tapped.connect(self._take_reading)
        self._groups = CardSection(view_texts.NOT_TO_BE_TOLD_APART, self.groups)
        self.urgent = Sentences("What comes first")
        self._urgent = CardSection("What comes first", self.urgent)
        self._next = CardSection("Next check", self.check)
        self._unused = CardSection("Not used", self.unused)
        self._odds = CardSection(view_texts.WHAT_MAY_BE_BEHIND_IT, self.odds)
        area = self.page_of(
            self.warning,
            self.early,
            self._odds,
            self._urgent,
            self._groups,
            self._next,
            self._evidence(),
            self._unused,
            *self.pictures.cards,
            self.rates,
        )
        column(self, self._bar(), self.line, area, stretch=area)
        self.show_nothing()

    def _light(self, key: str) -> None:
        """Mark the places of the check that was chosen in the card in place of the first one's."""
        found = self.answer
        if found is not None:
            ahead = sorted(found.next_checks, key=lambda check: check.key != key)
            self.pictures.show_pictures(replace(found, next_checks=tuple(ahead)), self.context.system)

    def _take_reading(self, place: str) -> None:
        """A place of the circuit was clicked: its reading goes into the record that was weighed."""
        spot = READ_AT[CircuitPlace(place)]
        if take_reading(self.context.document, spot, self.context.system, self, self.record):
            self.refresh()

    def _evidence(self) -> CardSection:
        copy = QPushButton("Copy table")
        copy.setAccessibleName(view_texts.COPY_TABLE_OF_EVIDENCE)
        copy.clicked.connect(self.copy_table)
        return CardSection(WHAT_IT_RESTS_ON, self.table, copy)

    def _bar(self) -> QWidget:
        self.records = RecordChoice()
        if self.context.case is not None:
            self.records.choose(latest_record(self.context.case))
        self.records.chosen.connect(self.refresh)
        self.history = QCheckBox(OWN_HISTORY)
        self.history.setToolTip(tip(OWN_HISTORY_TIP))
        self.history.setChecked(self.context.settings.own_history)
        self.history.setVisible(self.context.settings.book is not None)
        self.history.clicked.connect(self._switch_history)
        self.pairs = QCheckBox(view_texts.TWO_FAULTS_AT_ONCE)
        self.pairs.setToolTip(view_texts.TRY_PAIRS_OF_THE_LEADING_CAUSES_TOO)
        self.pairs.clicked.connect(lambda _checked: self.refresh())
        rates = QPushButton("Base rates...")
        rates.setAccessibleName(view_texts.BASE_RATES_OF_THE_CAUSES)
        rates.setToolTip(view_texts.HOW_OFTEN_EACH_CAUSE_IS_BEHIND_A_VISIT_BEFORE)
        rates.clicked.connect(self._edit_rates)
        ended = QPushButton("How it ended...")
        ended.setAccessibleName(shared_texts.HOW_THE_JOB_ENDED)
        ended.setToolTip(view_texts.WHAT_WAS_FOUND_AT_FAULT)
        ended.clicked.connect(lambda _checked: self.context.ended())
        bar = QWidget()
        row = WrappingRow(bar)  # at twice the size of text they fill two lines
        for one in (self.records, self.history, self.pairs, rates, ended):
            row.addWidget(one)
        return bar

    def _switch_history(self, own: bool) -> None:
        """Expect of the vehicle what its own record showed, or what its class shows."""
        self.context.settings.own_history = own
        self.refresh()

    def _edit_rates(self) -> None:
        case = self.context.case
        reason = NO_REASON if case is None or case.job.reason not in PER_CENT else case.job.reason
        own = {} if case is None else own_rates(case.base_rates)
        found = self._ask_rates(reason or NO_REASON, own, self)
        if found is not None and found != own:
            self.context.document.end_step()
            self.context.document.put(
                "base_rates", {key: f"{plain_number(w)} %" for key, w in found.items()} or None, "Change base rates"
            )
            self.context.document.end_step()
            self.refresh()

    @property
    def record(self) -> str:
        """The record that is chosen."""
        return self.records.record

    def question(self) -> Question[Diagnosis] | str:
        """The diagnosis of the chosen record."""
        case, folder = self.context.case, self.context.document.folder or Path()
        if case is None:
            return view_texts.THERE_IS_NO_CASE_WITHOUT_FAULTS_YET
        if not has_engine(case):
            return NO_CAUSES
        if self.record not in records(case):
            return view_texts.NO_RECORD
        try:
            rates = self.context.own_rates(case)
        except HeatdocketError as error:
            return f"{view_texts.NO_OWN_RATES} {error}"
        try:
            history = self.context.own_history()
        except HeatdocketError as error:
            return f"{view_texts.NO_OWN_HISTORY} {error}"
        self._show_switch(history)
        asked = _Asked(case, folder, self.record, self.pairs.isChecked(), self._effort, self.answer, rates, history)
        matter = without_names(self.context.document.text)  # a name that is typed restarts nothing
        # Where the case lies is no part of it: one that is saved for the first time keeps its odds. Logs have stamps.
        key = (
            matter,
            asked.record,
            asked.pairs,
            asked.effort,
            rates_key(rates),
            history_key(history),
            stamps(case, folder),
        )
        return Question(key, partial(_work, asked))

    def _show_switch(self, expected: Expected) -> None:
        """The switch stands where the book has earlier visits of the vehicle, or where it was switched off."""
        settings = self.context.settings
        first_visit = isinstance(expected, HistoryNotUsed) and expected.why is NoHistory.NO_VISIT
        self.history.setVisible(settings.book is not None and not first_visit)
        self.history.setChecked(settings.own_history)
        self._expected = expected

    def show_answer(self, answer: Diagnosis) -> None:
        """Say the odds, what carries them, and what to do next."""
        system = self.context.system
        self.show_parts()
        self.warning.setText(NOT_ENOUGH)
        self.warning.setVisible(not answer.enough)
        self.early.hide()
        self._say(self._groups, self.groups, [Sentence(group_sentence(group)) for group in told_groups(answer)])
        self._say(self._unused, self.unused, [Sentence(f"{text[:1].upper()}{text[1:]}.") for text in answer.unused])
        check = self.context.check
        weighed = None if check is None else with_odds(check, answer.record, answer.causes)
        urgent = None if weighed is None else comes_before_odds(weighed, answer.record)
        state = None if weighed is None else state_told(weighed, answer.record)
        self.odds.show_sentences(odds_sentences(answer, system, state))
        self.urgent.show_sentences([] if urgent is None else urgent_sentences(urgent))
        self._urgent.setVisible(urgent is not None)
        offered = offered_checks(answer, after_another=urgent is not None)
        self.check.show_checks(offered, answer.record, system)
        self._next.set_title(check_heading(answer, after_another=urgent is not None))
        self._next.setVisible(bool(offered))
        self.table.put(evidence_table(answer, system))
        self.pictures.show_pictures(answer, system)
        not_used = no_history_words(self._expected)
        self.rates.setText("\n\n".join([*starting_words(answer), *([not_used] if not_used else [])]))
        if self.current() is answer:
            self.context.weighed(answer)

    def show_early(self, answer: EarlyOdds) -> None:
        """Say the odds as they stand before the end, and nothing else: what carries them comes with the final ones."""
        self.show_nothing()
        self.early.setText(EARLY[answer.stage])
        case = self.context.case
        found = () if case is None else found_causes(case, self.record)
        self.odds.show_sentences([Sentence(text) for text in early_sentences(answer, found)])
        for part in (self.early, self._odds):
            part.show()

    @staticmethod
    def _say(part: CardSection, sentences: Sentences, said: list[Sentence]) -> None:
        sentences.show_sentences(said)
        part.setVisible(bool(said))


def odds_sentences(found: Diagnosis, system: UnitSystem, state: VehicleState | None) -> list[Sentence]:
    """The causes worth naming, numbered, and what is left for all others together; ``state`` as concluded."""
    named = len(named_causes(found))
    return [
        Sentence(text, f"{i}") if i <= named else Sentence(text)
        for i, text in enumerate(odds_lines(found, system, state), 1)
    ]


def urgent_sentences(step: NextStepWords) -> list[Sentence]:
    """What a danger or a found fault asks for, and its cautions."""
    return [Sentence(step.text), *(Sentence(text, "!", "Caution", "warn") for text in step.caution_texts)]


def evidence_table(found: Diagnosis, system: UnitSystem) -> TableText:
    """What was read or seen, what health and the likeliest cause would show, and which way it points."""
    best = found.best.fault
    rows = tuple(evidence_row(item, best, system) for item in found.evidence)
    helps = tuple(f"{evidence_sentence(item, best, system)} {NEAREST}" for item in found.evidence)
    return TableText(EVIDENCE_HEAD, rows, helps, words_columns=5)


@dataclass(frozen=True)
class _Asked:
    """What a diagnosis is asked for."""

    case: Case
    folder: Path
    record: str
    pairs: bool
    effort: Effort | None
    earlier: Diagnosis | None
    rates: OtherRates | None
    history: Expected


Expected = EarlierRecord | HistoryNotUsed | None
"""What is expected of the vehicle: its record, not fitted yet; why there is none; None where it does not count."""


def history_key(expected: Expected) -> tuple[object, ...]:
    """What tells this history from another one."""
    if isinstance(expected, EarlierRecord):
        return expected.key, expected.changed
    return () if expected is None else (expected.why, expected.job)


def no_history_words(expected: Expected) -> str:
    """Why nothing of the vehicle's own counts, where somebody might expect it; else empty."""
    found = FITTED.known(expected) if isinstance(expected, EarlierRecord) else expected
    if not isinstance(found, HistoryNotUsed) or found.why is NoHistory.NO_VISIT:
        return ""
    return not_used_words(found.why, found.job, found.day)


def rates_key(rates: OtherRates | None) -> tuple[object, ...]:
    """What tells these base rates from others."""
    return () if rates is None else (rates.basis, *sorted(rates.per_cent.items()))


def _work(asked: _Asked, tell: Tell, stopped: Stopped) -> Diagnosis:
    logs = logs_of(asked.case, asked.folder)
    with TwoProcesses() as both:
        own = own_history_of(asked.history, stopped, both.simulate, lambda share, _words: tell(FITTED_BY * share))
        begun = 0.0 if own is None else FITTED_BY
        return diagnose(
            asked.case,
            logs,
            record=asked.record,
            pairs=asked.pairs,
            effort=asked.effort,
            cancelled=stopped,
            progress=lambda share, _words: tell(begun + (1.0 - begun) * share),
            early=tell.early,
            runner=both.simulate,
            earlier=asked.earlier,
            instead=asked.rates,
            own=own,
        )
