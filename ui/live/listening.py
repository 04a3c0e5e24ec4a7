"""A reading and its judgement side by side: samples are taken on one thread, the answer is renewed on another.

Whoever listens is told of a danger with the very sample that shows it, and of the renewed answer every few seconds.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

from engcalc.case.text import CaseText
from engcalc.diagnosis.danger_now import Alarm, DangerWatch
from engcalc.errors import Cancelled
from engcalc.logs.channels import Channel
from ui.live.events import Connected, Event, ReadingMark, ReadingMarkKind, Sample
from ui.live.link import VehicleTold
from ui.live.planning import LegNow, Planned
from ui.live.recording import Recording, recorded
from ui.live.watch import Judged, Watch

EVERY = 10.0  # s; between two answers, at most, where one takes less

News = Event | Alarm | Judged | Planned | LegNow
"""What a listener is told: events as they come, dangers, renewed answers, test drives as they are planned, and which of
their legs is due."""


@dataclass(eq=False)
class Listening:
    """One reading from its first event to its last.

    ``tell`` is called with all news, on the thread of :meth:`run` but for the answers, which come on their own.
    """

    events: Iterator[Event]
    recording: Recording
    watch: Watch
    tell: Callable[[News], None]
    every: float = EVERY
    plans: bool = False  # whether a test drive is planned
    told: VehicleTold | None = None
    judged: list[Judged] = field(default_factory=list)
    planned: list[Planned] = field(default_factory=list)
    alarms: list[Alarm] = field(default_factory=list)
    dangers: DangerWatch | None = None
    engine_started: float | None = None  # s since reading began; None: not yet, or nobody tells
    latest: float = 0.0  # s since reading began, of the last sample
    failed: Exception | None = None
    _planner: threading.Thread | None = None  # makes a plan beside the answers: that takes longer than one of them
    _leg: LegNow | None = None  # the one that was told last
    _over: threading.Event = field(default_factory=threading.Event)
    _abandoned: threading.Event = field(default_factory=threading.Event)
    _seen: int = 0  # bytes of the record that the last answer is of

    def run(self) -> None:
        """Listen to the end. Raises what the reading or the judgement raises; the record is kept in any case."""
        dangers = self.dangers = self.watch.dangers()
        judge = threading.Thread(target=self._judge, name="live answer", daemon=True)
        judge.start()
        try:
            for event in recorded(self.events, self.recording):
                if isinstance(event, Connected):
                    self.told = event.told
                if isinstance(event, Sample):
                    self._note_start(event)
                self.tell(event)
                if isinstance(event, Sample) and (alarm := dangers.take(event.at, event.channel, event.value)):
                    self.alarms.append(alarm)
                    self.tell(alarm)
                if isinstance(event, Sample):
                    self._tell_leg()
                if self.failed is not None:
                    break
        finally:
            self._over.set()
            self.recording.close()
            judge.join()
        if self.failed is not None:
            raise self.failed

    @property
    def running_for(self) -> float:
        """How long [s] the engine had run at the last sample; since reading began, where nobody tells its speed."""
        if self.engine_started is None:
            return 0.0 if Channel.ENGINE_SPEED in self.recording.samples else self.latest
        return self.latest - self.engine_started

    def take_typed(self, text: CaseText, words: str) -> None:
        """What a person typed meanwhile counts from the next answer on, and is noted beside the samples. From any
        thread."""
        self.watch.offer_text(text)
        mark = ReadingMark(self.latest, ReadingMarkKind.TYPED, words)
        self.recording.take(mark)
        self.tell(mark)

    def _note_start(self, sample: Sample) -> None:
        self.latest = sample.at
        turns = sample.channel is Channel.ENGINE_SPEED and sample.value > 0.0
        if turns and self.engine_started is None:
            self.engine_started = sample.at

    def _tell_leg(self) -> None:
        """Tell which leg of the latest plan is due, once."""
        planned = self.planned[-1] if self.planned else None
        number = None if planned is None or self.engine_started is None else planned.leg_at(self.running_for)
        leg = None if planned is None or planned.drive is None or number is None else LegNow(planned.drive, number)
        if leg != self._leg:
            self._leg = leg
            if leg is not None:
                self.tell(leg)

    def abandon(self) -> None:
        """Nobody waits for an answer any more; the record is kept."""
        self._abandoned.set()

    def _judge(self) -> None:
        """Renew the answer until the reading is over, and once more when it is."""
        if self.plans:
            self._plan_beside(self._plan_first)
        begun = time.monotonic()
        while not self._over.wait(max(self.every - (time.monotonic() - begun), 0.05)):
            begun = time.monotonic()
            if not self._tried(self._renew):
                return
        if self._planner is not None:
            self._planner.join()
        self._tried(lambda: self._renew(last=True))

    def _plan_beside(self, work: Callable[[], None]) -> None:
        """Make a plan on a thread of its own, one at a time."""
        if self._planner is None or not self._planner.is_alive():
            self._planner = threading.Thread(target=lambda: self._tried(work), name="test drive", daemon=True)
            self._planner.start()

    def _tried(self, work: Callable[[], None]) -> bool:
        """Do a part of the judgement; False where nothing more is to be judged."""
        try:
            work()
        except Cancelled:
            return not self._abandoned.is_set()  # else only a plan for which it was too late
        except Exception as error:  # carried to whoever listens; a thread's own would go nowhere
            self.failed = error
            return False
        return True

    def _plan_first(self) -> None:
        """Plan a drive before there is anything to judge."""
        self._take_plan(self.watch.plan_first(self._is_late))

    def _plan_again(self, last: bool) -> None:
        """Plan on where that is due."""
        cancelled = self._abandoned.is_set if last else self._is_late
        planned = self.watch.plan_again(self.judged[-1], self.told, last, cancelled)
        if planned is not None:
            self._take_plan(planned)

    def _is_late(self) -> bool:
        """Whether the reading is over: what is still open then is planned anew."""
        return self._over.is_set() or self._abandoned.is_set()

    def _take_plan(self, planned: Planned) -> None:
        self.planned.append(planned)
        self.tell(planned)

    def _renew(self, last: bool = False) -> None:
        """Judge the record as it is, where it has grown, and plan on where that is due."""
        log = self.recording.so_far()
        is_new = len(log) != self._seen or self.watch.has_offer
        if not (is_new or last):
            return
        if is_new:
            self._seen = len(log)
            found = self.watch.judge(log, self.told, self._abandoned.is_set, last=last)
            if found is not None:
                self.judged.append(found)
                self.tell(found)
        if self.plans and self.judged and last:
            self._plan_again(last)
        elif self.plans and self.judged:
            self._plan_beside(lambda: self._plan_again(last))
