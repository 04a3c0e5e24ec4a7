"""The warm-up view: how the coolant came up, against what a healthy vehicle of this kind would have shown."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial
from pathlib import Path

from PySide6.QtWidgets import QPushButton, QWidget

from engcalc.case.bench_rules import has_engine
from engcalc.case.case import Case
from engcalc.diagnosis.checks.circuit_places import READ_AT, CircuitPlace
from engcalc.vehicle.run import RECORDS
from engcalc.vehicle.warmup_study import RecordStudy, WarmupStudy, study
from engcalc.words.answer.warmup_words import TITLES, warmup_sentences
from engcalc.words.lesson.bench_words import NO_WARM_UP
from engcalc.words.texts import shared_texts, view_texts
from reports.plots.describe import Chart, Plot
from reports.plots.lines import at_moment
from reports.plots.registry import Screen
from ui.window.dialogs.background import Stopped, Tell
from ui.window.dialogs.parts import right
from ui.window.paragraph import paragraph
from ui.window.results.card import CardSection, PlaceCards
from ui.window.results.lines import Sentence, Sentences
from ui.window.theme import show_tone
from ui.window.views.columns import Columns
from ui.window.views.logs import LogLook
from ui.window.views.reading_dialog import take_reading
from ui.window.views.recorded import logs_of, stamps
from ui.window.views.records import RecordChoice
from ui.window.views.tables import WideTable
from ui.window.views.view import Context, PartsView, Question, column
from ui.window.views.warmup.importing import Importer, ask_columns, ask_log
from ui.window.views.warmup.moment import MomentPanel
from ui.window.views.warmup.times import times_table


class WarmupView(PartsView[WarmupStudy]):
    """One record at a time: its curve, its times, what was done to its log, and what nobody noted."""

    def __init__(
        self,
        context: Context,
        ask: Callable[[QWidget, str], str] = ask_log,
        ask_which: Callable[[LogLook, QWidget], Mapping[str, str] | None] = ask_columns,
    ) -> None:
        super().__init__(context)
        self._ask = ask
        self.importer = Importer(context, self, ask_which)
        self.told = paragraph("Log", "muted")
        self.empty = paragraph("Nothing measured", "muted")
        self.head = paragraph(view_texts.VERDICT_ON_THE_WARM_UP)
        self.said, self.notes = Sentences(view_texts.WHAT_THE_VERDICT_RESTS_ON), Sentences(view_texts.DONE_TO_THE_LOG)
        self.curves, self.further = PlaceCards(Screen.WARMUP), PlaceCards(Screen.WARMUP_END)
        self.moment = MomentPanel()
        self.moment.moved.connect(self._mark_moment)
        self.moment.tapped.connect(self._take_reading)
        self._curves: tuple[Plot | None, ...] = ()
        self.table = WideTable("Times to temperature")
        self._words = {
            sentences: CardSection(sentences.accessibleName(), sentences) for sentences in (self.said, self.notes)
        }
        area = self.page_of(
            self.head,
            self.empty,
            *self.curves.cards,
            self.moment,
            self._times(),
            self._words[self.said],
            self._words[self.notes],
            *self.further.cards,
        )
        column(self, self._bar(), self.told, self.line, area, stretch=area)
        self.told.hide()
        self.importer.said.connect(self._tell)
        self.show_nothing()

    def _times(self) -> CardSection:
        copy = QPushButton("Copy table")
        copy.setAccessibleName(view_texts.COPY_TABLE_OF_TIMES)
        copy.clicked.connect(self.copy_table)
        return CardSection("Times to temperature", self.table, copy)

    def _bar(self) -> QWidget:
        self.records = RecordChoice()
        self.records.chosen.connect(self.refresh)
        load, self._columns = QPushButton("Import a log..."), QPushButton("Columns...")
        load.setAccessibleName("Import a log")
        load.clicked.connect(self._choose)
        self._columns.setAccessibleName(shared_texts.COLUMNS_OF_THE_LOG)
        self._columns.setToolTip(view_texts.SAY_WHICH_COLUMN_OF_THE_LOG_IS_WHAT)
        self._columns.clicked.connect(self._map)
        return Columns([self.records, right(load, self._columns)])

    # ---- logs -------------------------------------------------------------------------------------------------------

    @property
    def record(self) -> str:
        """The record that is chosen."""
        return self.records.record

    def import_log(self, path: Path) -> None:
        """Bring a log into the chosen record."""
        self.importer.take(path, self.record)

    def _choose(self) -> None:
        chosen = self._ask(self, str(self.context.document.folder or ""))
        if chosen:
            self.import_log(Path(chosen))

    def _map(self) -> None:
        path = self._log_path()
        if path is not None:
            self.importer.take(path, self.record, always_ask=True)

    def _log_path(self) -> Path | None:
        """The log that the chosen record names."""
        file = self.context.document.text.typed(f"evidence.{self.record}.log.file")
        return (self.context.document.folder or Path()) / file if file else None

    def _tell(self, words: str, tone: str) -> None:
        self.told.setText(words)
        show_tone(self.told, tone)
        self.told.setVisible(bool(words))
        self.refresh()

    # ---- asking and showing -----------------------------------------------------------------------------------------

    def question(self) -> Question[WarmupStudy] | str:
        """The study of every record of the case; its logs are part of the question."""
        self._columns.setEnabled(self._log_path() is not None)
        case, folder = self.context.case, self.context.document.folder or Path()
        if case is None:
            return view_texts.THERE_IS_NO_CASE_WITHOUT_FAULTS_YET
        if not has_engine(case):
            return NO_WARM_UP
        return Question((case, stamps(case, folder)), partial(_work, case, folder))

    def show_answer(self, answer: WarmupStudy) -> None:
        """Show the chosen record; where the case has none, its first duty from cold."""
        found = {record.name: record for record in answer.records}
        record = found.get(self.record)
        if record is None and self.record == RECORDS[0]:
            record = answer.records[0] if answer.records[0].name not in RECORDS else None
        if record is None:
            self.show_nothing()
            self.line.say(
                view_texts.NOTHING_IS_KNOWN_YET.format(titles=TITLES[self.record], how=view_texts.IMPORT_A_LOG), "muted"
            )
            return
        self._show_record(record)

    def _show_record(self, record: RecordStudy) -> None:
        system = self.context.system
        self.show_parts()
        self.empty.setText("" if record.measured is not None else view_texts.IMPORT_A_LOG)
        self.empty.setVisible(record.measured is None)
        self.curves.show_pictures(record, system)
        self._curves = tuple(card.view.plot for card in self.curves.cards)
        if self.context.case is not None:
            self.moment.show_record(self.context.case, record, system)
        self.further.show_pictures(record, system)
        self.table.put(times_table(record, system))
        measured = record.measured
        faults = [Sentence(text, "■", "Fault", "error") for text in (measured.faults if measured is not None else ())]
        notes = measured.notes if measured is not None else ()
        head, *rest = warmup_sentences(record, system)
        self.head.setText(head)
        for sentences, shown in (
            (self.said, [*faults, *(Sentence(s) for s in rest)]),
            (self.notes, [Sentence(f"{text[:1].upper()}{text[1:]}.") for text in notes]),
        ):
            sentences.show_sentences(shown)
            self._words[sentences].setVisible(bool(shown))

    def _mark_moment(self, at: float) -> None:
        """A line in the curve's picture at the moment that the slider chooses."""
        card, plot = self.curves.cards[0], self._curves[0]
        if isinstance(plot, Chart):
            card.view.show_plot(at_moment(plot, at, self.context.system))

    def _take_reading(self, place: str) -> None:
        """A place of the circuit was clicked: a reading there, at the moment that is looked at."""
        spot, system = READ_AT[CircuitPlace(place)], self.context.system
        if take_reading(self.context.document, spot, system, self, self.record, self.moment.at):
            self.refresh()

    def close_view(self) -> None:
        """End all work."""
        super().close_view()
        self.importer.close()


def _work(case: Case, folder: Path, tell: Tell, stopped: Stopped) -> WarmupStudy:
    """Read the logs and study every record."""
    return study(case, logs_of(case, folder), progress=tell, cancelled=stopped)
