"""The live view: the curve grows in the healthy band, what is settled and what is open, and dangers across the page."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import datetime
from pathlib import Path

from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QApplication, QFileDialog, QHBoxLayout, QPushButton, QWidget

from engcalc.case.file import NO_FOLDER
from engcalc.diagnosis.danger_now import Alarm
from engcalc.diagnosis.repair.before_after import BeforeAfter
from engcalc.errors import HeatdocketError
from engcalc.logs.log import read_log
from engcalc.vehicle.run import AFTER, BEFORE, records
from engcalc.words.answer.answer import headline
from engcalc.words.diagnosis.conclusion_words import conclusion_label
from engcalc.words.diagnosis.proof_words import proof_sentences, so_far_sentence
from engcalc.words.terms.numbers import temperature
from engcalc.words.texts import shared_texts, view_texts
from engcalc.words.workshop.drive_words import NO_TOUCH, drive_cautions, drive_lines, leg_now_line
from engcalc.words.workshop.live_words import (
    AT_STANDSTILL,
    DRIVER_DRIVES,
    ONLY_SIMULATED,
    alarm_line,
    enough_lines,
    freeze_frame_line,
    key_on_line,
    moment,
    odds_line,
    passed_line,
)
from reports.plots.registry import Screen
from ui.live.before_run import logs_beside
from ui.live.events import Connected, Event, ReadingMark, ReadingMarkKind, Sample
from ui.live.listening import EVERY, Listening, News
from ui.live.planning import LegNow, Planned, plan_for
from ui.live.ports import opener, ports
from ui.live.reading import ReadingSetting, read_vehicle
from ui.live.recording import Recording
from ui.live.replay import replayed
from ui.live.typed import BACK, TypedEvidence
from ui.live.watch import Judged, Watch, with_reading
from ui.window.dialogs.background import in_words
from ui.window.form.fields import words
from ui.window.paragraph import paragraph
from ui.window.places import place_to_write
from ui.window.plain import plain_label, tip
from ui.window.results.card import CardSection, PlaceCards
from ui.window.results.lines import Sentence, Sentences
from ui.window.rhythm import BESIDE_A_BAR, em, sideways, upright
from ui.window.scrolled import Page, scrolled
from ui.window.still_combo import LETTERS, StillCombo, own_sheet
from ui.window.theme import show_tone
from ui.window.views.live.by_hand import ByHandLine
from ui.window.views.live.work import LiveWork
from ui.window.views.logs import place_for
from ui.window.views.records import RecordChoice
from ui.window.views.view import Context, View, column
from ui.window.views.warmup.importing import ask_log

SPEEDS = (1, 5, 20, 60, 200)  # times as fast as a log was made
CURVE_BY_HEIGHT, LEAST_CURVE_EMS = 0.75, 24  # widest of a curve, over the view's height; but so wide at least
LEAST_READING_EMS = 3  # of what scrolls beneath a danger, in heights of a line


def ask_output(parent: QWidget, folder: str) -> str:
    """Ask where the log of a case without a file is to be written."""
    return QFileDialog.getSaveFileName(
        parent, view_texts.WHERE_IS_THE_LOG_TO_BE_WRITTEN, folder, view_texts.LOGS_CSV_TXT_TSV_LOG_ALL_FILES
    )[0]


class LiveView(View):
    """One reading or replay at a time; it goes on while another view is in sight."""

    def __init__(
        self,
        context: Context,
        ask_which: Callable[[QWidget, str], str] = ask_log,
        ask_where: Callable[[QWidget, str], str] = ask_output,
        every: float = EVERY,
    ) -> None:
        super().__init__(context)
        self._ask_which, self._ask_where, self._every = ask_which, ask_where, every
        self.work = LiveWork(self)
        self.work.told.connect(self._tell)
        self.work.ended.connect(self._ended)
        self._replays = False
        self._apart = ""  # why what is shown is no part of the case
        self._heard: tuple[str, ...] = ()  # what was settled when it last sounded
        self._unsubscribe = context.document.subscribe(lambda _change: self._offer_text())
        self._alarm: Alarm | None = None  # what stands across the page
        self.danger = words("", "danger")  # as high as its lines; a layout guesses more
        self.danger.setAccessibleName("Danger")
        self.danger.hide()
        self.state = paragraph(view_texts.STATE_OF_THE_READING, "muted", view_texts.IDLE_WORDS)
        self.now = plain_label()
        self.now.setProperty("type", "lead")
        self.now.setAccessibleName("Coolant now")
        self.leg = paragraph(view_texts.LEG_OF_THE_TEST_DRIVE, "muted")
        self.leg.hide()
        self.said = Sentences(view_texts.WHAT_IS_SAID_OF_IT_SO_FAR)
        self.curves = PlaceCards(Screen.LIVE)
        self.pair = PlaceCards(Screen.LIVE_PROOF)
        self.proof = Sentences(shared_texts.BEFORE_AND_AFTER_SO_FAR)
        self.proof_card = CardSection("Before and after", self.proof)
        self.drive = Sentences("Test drive")
        self.drive_card = CardSection("Test drive", self.drive)
        self.cautions = Sentences("Before you start")
        page = Page()
        body = upright(page, around=BESIDE_A_BAR)
        before = CardSection("Before you start", self.cautions)
        # the curve is in sight while nobody may touch anything: plan and cautions, read before the start, come beneath
        told = (self.said, self.proof_card, *self.pair.cards, *self.curves.cards, self.drive_card, before)
        for part in (self._bar(), self.state, self.now, self.leg, *told):
            body.addWidget(part)
        body.addStretch(1)
        area = scrolled(page, "The reading")
        area.setMinimumHeight(LEAST_READING_EMS * em())  # beneath a danger in large letters it scrolls
        column(self, self.danger, area, stretch=area)  # a danger never scrolls out of sight
        self.curves.show_none()
        self._show_proof(None)
        self._show_plan(None)
        self._enable()

    def _bar(self) -> QWidget:
        bar = QWidget()
        rows = upright(bar)
        self.records = RecordChoice()
        self.records.chosen.connect(self._say_idle)
        self.port = StillCombo(LETTERS)
        self.port.setEditable(True)
        own_sheet(self.port.lineEdit())
        self.port.setAccessibleName(view_texts.PORT_OF_THE_ADAPTER)
        self.port.setToolTip(view_texts.SERIAL_PORT_OF_THIS_COMPUTER)
        self.start = _button("Start reading", view_texts.START_READING_THE_VEHICLE, self._start_reading)
        self.stop = _button("Stop", "Stop reading", self._stop)
        self.speed = StillCombo()
        self.speed.setAccessibleName(view_texts.SPEED_OF_THE_REPLAY)
        for times in SPEEDS:
            self.speed.addItem(
                view_texts.TIMES_AS_FAST.format(times=times) if times > 1 else view_texts.AS_FAST_AS_IT_WAS, times
            )
        self.speed.setCurrentIndex(SPEEDS.index(20))
        self.replay = _button(
            "Replay a log...", view_texts.PLAY_A_LOG_AS_IF_ITS_VEHICLE_WERE_READ_NOW, self._start_replay
        )
        rows.addWidget(self.records)
        reading = _row(plain_label("Adapter at"), self.port, self.start, self.stop)
        reading.setStretchFactor(self.port, 2)  # an address stands there as a whole
        rows.addLayout(reading)
        says = view_texts.PLAN_THE_DRIVE_THAT_WOULD_SETTLE_THE_MOST
        self.plan = _button(view_texts.PLAN_A_TEST_DRIVE, says, self._start_plan)
        self.without_vehicle = QWidget()
        upright(self.without_vehicle).addLayout(_row(self.replay, self.speed, self.plan))
        rows.addWidget(self.without_vehicle)
        self.by_hand = ByHandLine()
        self.by_hand.typed.connect(self._take_typed)
        rows.addWidget(self.by_hand)
        return bar

    # ---- starting and ending ----------------------------------------------------------------------------------------

    def _start_reading(self) -> None:
        try:
            opens = opener(self.port.currentText().strip())
        except HeatdocketError as error:
            self._say(in_words(error), "error")
            return
        path = self._log_path()
        if path is not None:
            self._begin(path, lambda stop: read_vehicle(ReadingSetting(opens, stop)))

    def _start_replay(self) -> None:
        chosen = self._ask_which(self, str(self.context.document.folder or ""))
        if not chosen:
            return
        try:
            log = read_log(Path(chosen))
        except HeatdocketError as error:
            self._say(in_words(error), "error")
            return
        speed = float(self.speed.currentData())
        self._begin(None, lambda stop: replayed(log, speed, stop))

    def _start_plan(self) -> None:
        """Plan a drive for the case as it is, from a cold start."""
        if self.context.behind or self.context.case is None:
            self._say(self.context.behind or view_texts.THERE_IS_NO_CASE_WITHOUT_FAULTS_YET, "error")
            return
        record, text = self.records.record, self.context.document.text
        folder = self.context.document.folder or NO_FOLDER
        self._replays = True
        self._show_plan(None)
        self._say(view_texts.TEST_DRIVE_IS_BEING_PLANNED)
        self.work.plan(lambda stop: plan_for(text, record, folder, cold=True, cancelled=stop))
        self._enable()

    def _stop(self) -> None:
        """End what is under way; what was read is judged once more."""
        self.work.stop()
        if self.work.listening is not None:
            self._say(shared_texts.LAST_ANSWER_IS_WORKED_OUT)

    def _begin(self, path: Path | None, events: Callable[[Callable[[], bool]], Iterator[Event]]) -> None:
        """Begin to listen; nothing is written where ``path`` is None."""
        if self.context.behind or self.context.case is None:
            self._say(self.context.behind or view_texts.THERE_IS_NO_CASE_WITHOUT_FAULTS_YET, "error")
            return
        record, text = self.records.record, self.context.document.text
        try:
            beside = logs_beside(text, record, self.context.document.folder or NO_FOLDER)
            watch = Watch(text, record, "log.csv" if path is None else path.name, beside)
            recording = Recording(path)
        except HeatdocketError as error:
            self._say(in_words(error), "error")
            return
        self._replays = path is None
        self._heard = ()
        self._show_plan(None)
        self.now.setText("")
        self.said.show_sentences([])
        self.curves.show_none()
        self._show_proof(None)
        self._show_danger(None)
        self._show_leg(None)
        self._say(view_texts.LOG_IS_PLAYED if path is None else view_texts.ADAPTER_IS_LOOKED_FOR.format(path=path))
        plans = path is not None  # a log is driven already
        self.work.start(lambda stop, tell: Listening(events(stop), recording, watch, tell, self._every, plans))
        self._enable()
        self._show_apart(view_texts.LOG_PLAYED if self._replays else view_texts.VEHICLE_IS_READ)

    def _log_path(self) -> Path | None:
        """Where the reading is written: beside the case, else where the person says."""
        document = self.context.document
        name = f"live-{self.records.record}-{datetime.now():%Y%m%d-%H%M%S}.csv"
        if document.path is not None:
            return document.path.parent / name
        chosen = self._ask_where(self, str(place_to_write(document) / name))
        return Path(chosen) if chosen else None

    def _ended(self, error: Exception | None) -> None:
        listening = self.work.listening
        self._enable()
        self._show_leg(None)
        if not self._replays:
            self._show_apart("")
        if error is not None:
            self._say(in_words(error), "error")
        elif listening is not None and self._replays:
            self._say(view_texts.LOG_WAS_PLAYED)
        if listening is not None and listening.judged:
            last = listening.judged[-1]
            self._show_said(last, last.at)
        if listening is not None and not self._replays and listening.recording.samples:
            self._take_into_case(listening)

    def _show_apart(self, why: str) -> None:
        """Have the banner say that it does not speak of what stands here, and why."""
        self._apart = why
        self.context.stands_apart(why)

    def _take_into_case(self, listening: Listening) -> None:
        """The reading becomes the record of the case."""
        document, path = self.context.document, listening.recording.path
        assert path is not None
        codes = () if listening.told is None else listening.told.codes
        made = with_reading(document.text, listening.watch.record, place_for(path, document.folder), codes)
        document.take_text(made, "Live reading")
        self._say(view_texts.READING_ENDED_IT_IS_NOW_THE_RECORD.format(name=path.name))

    def _offer_text(self) -> None:
        """What is typed while it is read, such as a hose read by hand at a stop, counts with the next answer."""
        if self.work.busy and self.work.listening is not None:
            self.work.listening.watch.offer_text(self.context.document.text)

    def _take_typed(self, line: str) -> None:
        """A line typed at a stop becomes part of the record, as a step that undo takes back."""
        listening, document = self.work.listening, self.context.document
        if listening is None:
            return
        if line.casefold() == BACK and document.undo_name == view_texts.READ_BY_HAND:
            document.undo()
        else:
            typed = TypedEvidence(document.text, self.records.record, self.context.system)
            try:
                words = typed.take(line, listening.running_for)
            except HeatdocketError as error:
                self._say(in_words(error), "error")
                return
            document.take_text(typed.text, view_texts.READ_BY_HAND)
            listening.take_typed(typed.text, words)
        self.by_hand.line.clear()

    # ---- news -------------------------------------------------------------------------------------------------------

    def _tell(self, news: News) -> None:
        system = self.context.system
        if isinstance(news, Alarm):
            self._show_danger(news)
            QApplication.beep()
        elif isinstance(news, Sample):
            listening = self.work.listening
            started = None if listening is None else listening.engine_started
            self.now.setText(f"{moment(news.at, started)}  {temperature(news.value, system)}")
            dangers = None if listening is None else listening.dangers
            if dangers is not None:
                self._renew_danger(dangers.alarm)
        elif isinstance(news, Connected):
            told = news.told
            frozen = f" {freeze_frame_line(told.frozen_by, told.frozen, system)}" if told.frozen else ""
            self._say(
                view_texts.VALUES_ARE_READ.format(
                    adapter=told.adapter, protocol=told.protocol, asked_of_count=len(told.asked_of), frozen=frozen
                )
            )
        elif isinstance(news, ReadingMark):
            over = news.kind is ReadingMarkKind.ENDED
            goes_on = f" {shared_texts.LAST_ANSWER_IS_WORKED_OUT}" if over else ""
            self._say(f"{news.kind.value}: {news.words}.{goes_on}")
        elif isinstance(news, Planned):
            self._show_plan(news)
        elif isinstance(news, LegNow):
            self._show_leg(news)
        else:
            self._show_judged(news)

    def _show_judged(self, found: Judged) -> None:
        for study in () if found.whole is None else found.whole.records:
            if study.name == self.records.record:
                self.curves.show_pictures(study, self.context.system)
        self._show_proof(found.proof)
        if found.settles != self._heard:
            self._heard = found.settles
            if found.settles:
                QApplication.beep()
        self._show_said(found)

    def _show_said(self, found: Judged, ended: float | None = None) -> None:
        """What is said of the record so far, or as a whole where it ``ended`` [s]."""
        system = self.context.system
        told = [] if found.key_on is None else [key_on_line(found.key_on, system)]
        if found.whole is not None and found.odds is not None and found.conclusion is not None:
            told.insert(0, headline(found.whole.check, system))
            told.append(f"{conclusion_label(found.conclusion)}: {odds_line(found.odds)}.")
            told += enough_lines(found.enough) if found.enough is not None else ()
            told.append(passed_line(found.passed, ended))
        self.said.show_sentences([Sentence(text) for text in told if text])

    def _show_proof(self, both: BeforeAfter | None) -> None:
        """The run before the repair under the run after it as it grows, and whether the proof stands."""
        self.proof_card.setVisible(both is not None)
        if both is None:
            self.pair.show_none()
            return
        system = self.context.system
        rest = proof_sentences(both, system)[1:]
        self.proof.show_sentences([Sentence(text) for text in (so_far_sentence(both, system), *rest)])
        self.pair.show_pictures(both, system)

    def _say_idle(self) -> None:
        """What to do next, and where a run before the repair comes from while there is none."""
        case = self.context.case
        wanted = self.records.record == AFTER and case is not None and BEFORE not in records(case)
        if not self.work.busy:
            self._say(f"{view_texts.IDLE_WORDS} {view_texts.NO_RUN_BEFORE}" if wanted else view_texts.IDLE_WORDS)

    def _show_plan(self, planned: Planned | None) -> None:
        self.drive_card.setVisible(planned is not None)
        of_drive = () if planned is None else drive_cautions(planned.drive)
        says_it = NO_TOUCH in of_drive  # the plan's own words for the same
        cautions = dict.fromkeys((*(() if says_it else (DRIVER_DRIVES,)), *of_drive, *AT_STANDSTILL, ONLY_SIMULATED))
        self.cautions.show_sentences([Sentence(text) for text in cautions])
        if planned is not None:
            self.drive.show_sentences([Sentence(text) for text in drive_lines(planned.drive, found=planned.found)])
            if self.work.listening is None:
                self._say(view_texts.IDLE_WORDS)

    def _show_leg(self, leg: LegNow | None) -> None:
        """What is driven now: read at a glance, with nothing to touch."""
        self.leg.setText("" if leg is None else leg_now_line(leg.drive, leg.number))
        self.leg.setVisible(leg is not None)

    def _renew_danger(self, alarm: Alarm | None) -> None:
        """The danger that stands, with the numbers as they are now. A lesser one does not take its place."""
        shown = self._alarm
        if alarm is None or (shown is not None and alarm.code is shown.code):
            self._show_danger(alarm)

    def _show_danger(self, alarm: Alarm | None) -> None:
        self._alarm = alarm
        self.danger.setText("" if alarm is None else alarm_line(alarm, self.context.system))
        self.danger.setVisible(alarm is not None)

    def _say(self, words: str, tone: str = "muted") -> None:
        self.state.setText(words)
        show_tone(self.state, tone)

    def _enable(self) -> None:
        for widget in (self.start, self.replay, self.port, self.speed, self.records, self.plan):
            widget.setEnabled(not self.work.busy)
        self.stop.setEnabled(self.work.busy)
        for row in (self.records, self.without_vehicle):  # of no use meanwhile: room for the curve
            row.setVisible(not self.work.busy)
        self.by_hand.setVisible(self.work.busy and not self._replays)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """A curve is no wider than it may be to stand in sight as a whole."""
        super().resizeEvent(event)
        widest = max(round(CURVE_BY_HEIGHT * self.height()), LEAST_CURVE_EMS * em())
        for card in (*self.curves.cards, *self.pair.cards):
            card.setMaximumWidth(widest)

    # ---- as every view ----------------------------------------------------------------------------------------------

    def refresh(self) -> None:
        """The ports that are there now; what was read stays."""
        typed = self.port.currentText()
        self.port.clear()
        self.port.addItems(ports())
        self.port.setEditText(typed or self.port.itemText(0))
        if self._apart:
            self.context.stands_apart(self._apart)

    def leave(self) -> None:
        """Another view is of the case again."""
        if self._apart:
            self.context.stands_apart("")

    def close_view(self) -> None:
        """The case is closed: end the reading; what was read is on disk."""
        self._unsubscribe()
        self._unsubscribe = lambda: None
        self.work.close()


def _button(text: str, says: str, does: Callable[[], object]) -> QPushButton:
    button = QPushButton(text)
    button.setAccessibleName(says)
    button.setToolTip(tip(says))
    button.clicked.connect(lambda _checked=False: does())
    return button


def _row(*widgets: QWidget) -> QHBoxLayout:
    row = sideways()
    for widget in widgets:
        row.addWidget(widget)
    row.addStretch(1)
    return row
