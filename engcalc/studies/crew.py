"""Processes beside this one, which do independent parts of a study.

The time steps of an ensemble hold the interpreter's lock, so that threads gain nothing.

What is asked and in what parts does not hang on how many processes there are, so that the answer is the same with any
number of them, to the last bit. Where there is one core only, or the processes end, all is done here.
"""

from __future__ import annotations

import os
import signal
import threading
from collections.abc import Callable
from concurrent.futures import CancelledError, Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from multiprocessing import get_context
from types import TracebackType
from typing import Any, Generic, TypeVar

from engcalc.errors import Cancelled

MOST_PROCESSES = 4  # a study has no more than a few parts at a time
LOOKS = 0.2  # s; how often somebody who waits is asked whether they still do

T = TypeVar("T")
GoOn = Callable[[], None]
"""Called now and then; raises Cancelled where nobody waits any more."""

_STOP: list[Any] = []  # of one of the processes: what is set when nobody waits any more


class Asked(Generic[T]):
    """A part of a study that was asked for: done in another process meanwhile, or here once it is wanted."""

    def __init__(self, crew: Crew, work: Callable[..., T], args: tuple[Any, ...], future: Future[T] | None) -> None:
        self._crew = crew
        self._work = work
        self._args = args
        self._future = future
        self._found: list[T] = []

    @property
    def under_way(self) -> bool:
        """Whether another process has yet to do it."""
        return self._future is not None and not self._future.done()

    def result(self, go_on: GoOn) -> T:
        """What came of it, waited for. Raises what the work raises, and what ``go_on`` does."""
        if not self._found:
            self._found.append(self._waited_for(go_on))
        return self._found[0]

    def _waited_for(self, go_on: GoOn) -> T:
        while self._future is not None:
            go_on()
            try:
                return self._future.result(LOOKS)
            except TimeoutError:
                if self._future.done():  # the work's own
                    raise
            except CancelledError:  # the crew was sent home
                self._future = None
            except BrokenProcessPool:
                self._future = None
                self._crew.lost()
        return self._work(*self._args)


class Crew:
    """As many processes as this machine has cores. Use it with ``with``; they begin with the first part asked for."""

    def __init__(self, processes: int | None = None, *, asker_works: bool = False) -> None:
        """``processes``: so many, in place of one for each core; with fewer than two all is done here.

        ``asker_works``: who asks has a part of its own to do meanwhile, and is one of them.
        """
        cores = (os.cpu_count() or 1) if processes is None else processes
        self._many = min(cores, MOST_PROCESSES) - asker_works if cores > 1 else 0
        self._pool: ProcessPoolExecutor | None = None
        self._stop: Any = None
        self._begins = threading.Lock()

    @property
    def alone(self) -> bool:
        """Whether there is no other process."""
        return self._many == 0

    def __enter__(self) -> Crew:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        if self._pool is not None:
            self._stop.set()  # what is still under way was asked for in vain
            self._pool.shutdown(cancel_futures=True)

    def ask(self, work: Callable[..., T], *args: Any) -> Asked[T]:
        """Have a part done. ``work``, what it is given and what it returns go from process to process."""
        try:
            return Asked(self, work, args, None if self.alone else self._begun().submit(work, *args))
        except BrokenProcessPool:
            self.lost()
            return Asked(self, work, args, None)

    def lost(self) -> None:
        """A process has ended by itself: from here on all is done here."""
        self._many = 0

    def begin(self, loaded: Callable[[], None]) -> None:
        """Have the processes start while this one prepares what it will ask: each has then the module of ``loaded``."""
        for _ in range(self._many):
            self.ask(loaded)

    def _begun(self) -> ProcessPoolExecutor:
        with self._begins:
            if self._pool is None:
                context = get_context("spawn")
                self._stop = context.Event()
                self._pool = ProcessPoolExecutor(self._many, context, _in_a_process, (self._stop,))
            return self._pool


def nobody_stops_it() -> None:
    """Go on in a process of a crew until nobody waits any more; elsewhere without end. Raises Cancelled."""
    if _STOP and _STOP[0].is_set():
        raise Cancelled("")


def _in_a_process(stop: Any) -> None:
    """A person's Ctrl-C is for the process that asks, which then stops this one."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    _STOP.append(stop)
