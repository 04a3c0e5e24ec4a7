"""Work of a dialog or view on a thread of its own; its answer comes back in the main thread unless overtaken.

Long work is handed two functions: one tells how far it is and what is there already, one asks whether anybody still
waits for it.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, TypeVar

from PySide6.QtCore import QObject, QRunnable, QThreadPool, Signal
from PySide6.QtGui import QCloseEvent
from PySide6.QtWidgets import QDialog

from engcalc.errors import HeatdocketError, InputError
from engcalc.words.answer.input_words import fault_words
from engcalc.words.texts import dialog_texts
from ui import crashes
from ui.window.messenger import Messenger, close_with_the_program

Stopped = Callable[[], bool]


@dataclass(frozen=True, eq=False)
class WorkOutcome:
    """What came of numbered work: its answer, or the error that ended it."""

    number: int
    answer: Any = None  # a signal of Qt carries it, and forgets its type
    error: Exception | None = None


def _ignore(_answer: object) -> None:
    pass


@dataclass(frozen=True, eq=False)
class Tell:
    """On the thread: passes on what numbered work tells, for as long as somebody waits for it."""

    number: int
    stop: threading.Event
    share: Callable[[float], None]
    outcome: Callable[[WorkOutcome], None]

    def __call__(self, share: float) -> None:
        """How far it is, 0 to 1."""
        if not self.stop.is_set():
            self.share(share)

    def early(self, answer: object) -> None:
        """An answer before the final one."""
        if not self.stop.is_set():
            self.outcome(WorkOutcome(self.number, answer))


A = TypeVar("A")
LongWork = Callable[[Tell, Stopped], A]


class _Job(QRunnable):
    def __init__(self, number: int, work: Callable[[], object], done: Callable[[WorkOutcome], None]) -> None:
        super().__init__()
        self._number, self._work, self._done = number, work, done

    def run(self) -> None:
        """Qt's hook. Whatever goes wrong is carried to the main thread, where it becomes words."""
        try:
            self._done(WorkOutcome(self._number, self._work()))
        except Exception as error:  # said in the dialog; an exception here would end the program
            if not isinstance(error, HeatdocketError):
                crashes.note(error, dialog_texts.WORK_BESIDE_THE_WINDOW)
            self._done(WorkOutcome(self._number, error=error))


class _Wanted:
    """Whether anybody still waits for the newest work."""

    def __init__(self) -> None:
        self.stop = threading.Event()

    def no_more(self) -> None:
        """Nobody does; what comes after is another matter."""
        self.stop.set()
        self.stop = threading.Event()


class Background(QObject):
    """Runs one piece of work at a time. ``run`` again, and the answer to what ran before is dropped."""

    busy_changed = Signal(bool)
    progressed = Signal(float)
    came_early = Signal(object)  # an answer before the final one

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._pool = QThreadPool(self)
        self._pool.setMaxThreadCount(1)
        self._number = 0
        self._wanted = _Wanted()
        self._done: Callable[[Any], None] = _ignore
        self._failed: Callable[[Exception], None] = _ignore
        self._busy = False
        self._share, self._early = Messenger(self._tell), Messenger(self._pass_on)
        self._finished = Messenger(self._take)
        wanted = self._wanted  # not by self: it is gone by then
        self.destroyed.connect(lambda: wanted.no_more())  # noqa: PLW0108 - of a bound method PySide holds no object
        close_with_the_program(self.close)

    @property
    def busy(self) -> bool:
        """Whether an answer is still to come."""
        return self._busy

    def run(self, work: Callable[[], A], done: Callable[[A], None], failed: Callable[[Exception], None]) -> None:
        """Run ``work`` on the thread; then call ``done`` with its answer or ``failed`` with its error, here."""
        self.run_long(lambda _tell, _stopped: work(), done, failed)

    def run_long(self, work: LongWork[A], done: Callable[[A], None], failed: Callable[[Exception], None]) -> None:
        """As ``run``, for work that tells how far it is and ends early once nobody waits for it."""
        self._overtake()
        stop = self._wanted.stop
        tell = Tell(self._number, stop, self._share.say, self._early.say)
        self._done, self._failed = done, failed
        self._set_busy(True)
        self._pool.start(_Job(self._number, lambda: work(tell, stop.is_set), self._finished.say))

    def cancel(self) -> None:
        """Want no answer any more."""
        self._overtake()
        self._set_busy(False)

    def close(self) -> None:
        """Want no answer any more, and wait until the thread is idle."""
        self._overtake()
        self._pool.waitForDone()
        self._set_busy(False)

    def _overtake(self) -> None:
        """Whatever runs or waits no longer counts, and is told so."""
        self._number += 1
        self._wanted.no_more()
        self._pool.clear()

    def _tell(self, share: float) -> None:
        self.progressed.emit(share)

    def _pass_on(self, outcome: WorkOutcome) -> None:
        if outcome.number == self._number:
            self.came_early.emit(outcome.answer)

    def _take(self, outcome: WorkOutcome) -> None:
        if outcome.number != self._number:
            return
        self._set_busy(False)
        if outcome.error is None:
            self._done(outcome.answer)
        else:
            self._failed(outcome.error)

    def _set_busy(self, busy: bool) -> None:
        if busy is not self._busy:
            self._busy = busy
            self.busy_changed.emit(busy)


class WorkingDialog(QDialog):
    """A dialog with work on threads of its own. It ends before the dialog closes: no file is left half made."""

    def done(self, code: int) -> None:
        """Close; running work ends first."""
        self._end()
        super().done(code)

    def closeEvent(self, event: QCloseEvent) -> None:
        """As :meth:`done`."""
        self._end()
        super().closeEvent(event)

    def _end(self) -> None:
        for background in self.findChildren(Background):
            background.close()


def in_words(error: Exception) -> str:
    """An error for a person: ours say what to do; anything else is a defect and says so."""
    if isinstance(error, InputError):
        return "\n".join(fault_words(fault) for fault in error.faults)
    if isinstance(error, HeatdocketError):
        return str(error)
    return dialog_texts.DEFECT_OF_HEATDOCKET_ENDED_THIS.format(name=type(error).__name__, error=error)
