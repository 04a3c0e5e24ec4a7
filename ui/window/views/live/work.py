"""A live reading on threads of its own: its news come as signals in the main thread."""

from __future__ import annotations

import threading
from collections.abc import Callable

from PySide6.QtCore import QObject, Signal

from engcalc.errors import Cancelled, HeatdocketError
from engcalc.logs.channels import Channel
from ui import crashes
from ui.live.events import ReadingMark, ReadingMarkKind, Sample
from ui.live.listening import Listening, News
from ui.live.planning import Planned, Planning
from ui.window.messenger import Messenger, close_with_the_program


class LiveWork(QObject):
    """One reading at a time."""

    told = Signal(object)  # news: of samples only the coolant's
    ended = Signal(object)  # the error that ended it, or None

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.listening: Listening | None = None
        self._work: Listening | Planning | None = None
        self._thread: threading.Thread | None = None
        self._stop = threading.Event()
        self._news, self._end = Messenger(self._tell), Messenger(self._ended)
        close_with_the_program(self.close)

    @property
    def busy(self) -> bool:
        """Whether a reading is under way, its last answer included."""
        return self._thread is not None

    def start(self, make: Callable[[Callable[[], bool], Callable[[News], None]], Listening]) -> None:
        """Begin a reading; ``make`` is given what asks whether to stop, and what takes the news."""
        self._stop = threading.Event()
        self.listening = make(self._stop.is_set, self._pass_on)
        self._begin(self.listening)

    def plan(self, make: Callable[[Callable[[], bool]], Planned]) -> None:
        """Plan a test drive, nothing else; ``make`` is given what asks whether to stop."""
        self._stop = threading.Event()
        self.listening = None
        self._begin(Planning(lambda abandoned: make(lambda: abandoned() or self._stop.is_set()), self._pass_on))

    def _begin(self, work: Listening | Planning) -> None:
        self._work = work
        self._thread = threading.Thread(target=lambda: self._run(work), name="live reading", daemon=True)
        self._thread.start()

    def stop(self) -> None:
        """End the reading; its record is judged once more."""
        self._stop.set()

    def close(self) -> None:
        """End the reading, want no answer, and wait until its threads are gone. The record is kept."""
        self._stop.set()
        if self._work is not None:
            self._work.abandon()
        if self._thread is not None:
            self._thread.join()
            self._thread = None

    def _run(self, work: Listening | Planning) -> None:
        try:
            work.run()
            self._end.say(None)
        except Cancelled:
            self._end.say(None)
        except Exception as error:  # becomes words in the view; here it would end the program
            if not isinstance(error, HeatdocketError):
                crashes.note(error, "a live reading")
            self._end.say(error)

    def _pass_on(self, news: News) -> None:
        """On either thread. Samples of other channels, and rates, are of no use to the screen."""
        of_use = not isinstance(news, Sample | ReadingMark) or (
            news.channel is Channel.COOLANT if isinstance(news, Sample) else news.kind is not ReadingMarkKind.RATES
        )
        if of_use:
            self._news.say(news)

    def _tell(self, news: News) -> None:
        self.told.emit(news)

    def _ended(self, error: Exception | None) -> None:
        if self._thread is not None:
            self._thread.join()
            self._thread = None
        self.ended.emit(error)
