"""Work away from the window: an immutable request goes out, an answer comes back and counts only if it is the newest.

The main thread makes requests and applies answers; a pure function computes. A new request cancels the running one, and
of those that wait only the newest is kept. First comes a fast answer without uncertainty, then the uncertain one.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

from PySide6.QtCore import QObject, QRunnable, QThreadPool, QTimer, Signal

from engcalc.case.case import Case
from engcalc.errors import HeatdocketError
from ui import crashes
from ui.window.messenger import Messenger, close_with_the_program

if TYPE_CHECKING:
    from engcalc.studies.checked import Check

FAST, FULL = 0, 200  # members of the two stages
REFINE_AFTER_MS = 150  # a pause in typing before the longer work begins


class CheckFunction(Protocol):
    """The engine's check, or what stands in for it."""

    def __call__(
        self,
        case: Case,
        *,
        folder: Path,
        members: int,
        progress: Callable[[float], None],
        cancelled: Callable[[], bool],
    ) -> Check: ...


@dataclass(frozen=True, eq=False)
class Request:
    """What is to be computed. ``stop`` is set when nobody waits for it any more; ``folder`` holds the case's logs."""

    number: int
    case: Case
    members: int
    stop: threading.Event
    folder: Path = Path()


@dataclass(frozen=True, eq=False)
class Answer:
    """What came of a request: a check, or why there is none. ``defect`` says that the reason is a fault of ours."""

    request: Request
    check: Check | None
    reason: str = ""
    defect: bool = False


Work = Callable[[], Answer]
Deliver = Callable[[Answer], None]


class Executor(Protocol):
    """Runs work somewhere and delivers its answer in the main thread."""

    def submit(self, work: Work, deliver: Deliver) -> None:
        """Run ``work``, then call ``deliver`` in the main thread."""

    def close(self) -> None:
        """Take no more work and wait for the running one."""


class _ComputeJob(QRunnable):
    def __init__(self, work: Work, done: Callable[[Answer], None]) -> None:
        super().__init__()
        self._work, self._done = work, done

    def run(self) -> None:
        """Qt's hook."""
        self._done(self._work())


class ThreadExecutor(QObject):
    """One worker thread; of the work that waits only the newest is kept."""

    def __init__(self) -> None:
        super().__init__()
        self._pool = QThreadPool(self)
        self._pool.setMaxThreadCount(1)
        self._running: Deliver | None = None
        self._waiting: tuple[Work, Deliver] | None = None
        self._closed = False
        self._done = Messenger(self._finished)

    def submit(self, work: Work, deliver: Deliver) -> None:
        """Run ``work`` next, in place of what waits."""
        if self._closed:
            return
        if self._running is not None:
            self._waiting = (work, deliver)
            return
        self._running = deliver
        self._pool.start(_ComputeJob(work, self._done.say))

    def _finished(self, answer: Answer) -> None:
        deliver, self._running = self._running, None
        waiting, self._waiting = self._waiting, None
        if self._closed:
            return
        if waiting is not None:
            self.submit(*waiting)
        if deliver is not None:
            deliver(answer)

    def close(self) -> None:
        """Take no more work and wait for the running one."""
        self._closed = True
        self._waiting = None
        self._pool.waitForDone()


class Checker(QObject):
    """Keeps the newest case's check coming."""

    answered = Signal(object)  # a Check
    failed = Signal(str, bool)  # the reason, and whether it is a defect of ours
    progressed = Signal(float)  # share of the running work, 0 to 1
    busy_changed = Signal(bool)

    def __init__(self, check: CheckFunction, executor: Executor, refine_after_ms: int = REFINE_AFTER_MS) -> None:
        super().__init__()
        self._check, self._executor = check, executor
        self._number = 0
        self._newest: Request | None = None
        self._refine = QTimer(self)
        self._refine.setSingleShot(True)
        self._refine.setInterval(refine_after_ms)
        self._refine.timeout.connect(self._go_on)
        self._share = Messenger(self._tell)
        close_with_the_program(self.close)

    @property
    def busy(self) -> bool:
        """Whether an answer is still to come."""
        return self._newest is not None

    def request(self, case: Case, folder: Path = Path()) -> None:
        """Check this case, its logs in ``folder``; whatever was asked before no longer counts."""
        self._begin(case, folder, FAST)

    def cancel(self) -> None:
        """Wait for no answer any more."""
        self._refine.stop()
        if self._newest is not None:
            self._newest.stop.set()
            self._newest = None
            self.busy_changed.emit(False)

    def close(self) -> None:
        """Cancel, and end the executor."""
        self.cancel()
        self._executor.close()

    def _begin(self, case: Case, folder: Path, members: int) -> None:
        was_busy = self.busy
        self._refine.stop()
        if self._newest is not None:
            self._newest.stop.set()
        self._number += 1
        request = Request(self._number, case, members, threading.Event(), folder)
        self._newest = request
        if not was_busy:
            self.busy_changed.emit(True)
        self._executor.submit(partial(compute, self._check, request, _telling(request, self._share)), self._take)

    def _tell(self, share: float) -> None:
        self.progressed.emit(share)

    def _take(self, answer: Answer) -> None:
        """Apply an answer, unless a newer request went out meanwhile."""
        if self._newest is None or answer.request.number != self._newest.number:
            return
        if answer.check is None:
            self._newest = None
            self.busy_changed.emit(False)
            self.failed.emit(answer.reason, answer.defect)
            return
        self.answered.emit(answer.check)
        if answer.request.members == FAST:
            self._refine.start()
            return
        self._newest = None
        self.busy_changed.emit(False)

    def _go_on(self) -> None:
        if self._newest is not None:
            self._begin(self._newest.case, self._newest.folder, FULL)


def _telling(request: Request, messenger: Messenger[float]) -> Callable[[float], None]:
    """On the worker: passes on how far a request is, while it is wanted. It does not hold who asked."""

    def tell(share: float) -> None:
        if not request.stop.is_set():
            messenger.say(share)

    return tell


def compute(check: CheckFunction, request: Request, progress: Callable[[float], None]) -> Answer:
    """The answer to a request; runs on the worker. What goes wrong becomes words, never an exception in Qt."""
    if request.stop.is_set():
        return Answer(request, None, "no longer wanted")
    try:
        return Answer(
            request,
            check(
                request.case,
                folder=request.folder,
                members=request.members,
                progress=progress,
                cancelled=request.stop.is_set,
            ),
        )
    except HeatdocketError as error:
        return Answer(request, None, str(error))
    except Exception as error:  # a defect of ours must be said in the window, not end the worker
        crashes.note(error, "the check")
        return Answer(request, None, f"{type(error).__name__}: {error}", defect=True)
