"""Who judges the logs: processes of this machine, or the workers of a cluster that somebody named.

A crew takes work and gives futures of :mod:`concurrent.futures`; the run does not know which crew it has. Only the
cluster's touches the network, and only the address that was named.
"""

from __future__ import annotations

import signal
from collections.abc import Callable
from concurrent.futures import CancelledError, Future, ProcessPoolExecutor
from contextlib import suppress
from multiprocessing import get_context
from typing import TYPE_CHECKING, Any, Protocol, TypeVar

from engcalc.errors import InputError, InputFault
from engcalc.words.texts import book_texts

if TYPE_CHECKING:
    from distributed import Client

A = TypeVar("A")
W = TypeVar("W")
PATIENCE = 30.0  # s; for a scheduler to answer, and for the first of its workers to come
EXTRA = "pip install 'heatdocket[cluster]'"


class JudgingCrew(Protocol):
    """What judges. ``workers``: how many logs it judges at a time."""

    workers: int

    def submit(self, work: Callable[[W], A], on: W) -> Future[A]:
        """Hand it one piece of work. Raises BrokenProcessPool when it cannot work any more."""

    def lost(self, error: BaseException) -> bool:
        """Whether an error of a future says that this one piece ended every worker that tried it."""

    def close(self) -> None:
        """Wait for what is being judged, and let go of the rest."""


Crews = Callable[[int | None], JudgingCrew]
"""A new crew; of so many workers at most, where a number is given."""


# ---- processes of this machine --------------------------------------------------------------------------------------


class Processes:
    """So many processes, which end with the run."""

    def __init__(self, workers: int) -> None:
        self.workers = workers
        self._pool = ProcessPoolExecutor(workers, get_context("spawn"), _in_a_process)

    def submit(self, work: Callable[[W], A], on: W) -> Future[A]:
        """As :meth:`JudgingCrew.submit`."""
        return self._pool.submit(work, on)

    def lost(self, error: BaseException) -> bool:  # noqa: ARG002  # a pool breaks as a whole, and says so by itself
        """As :meth:`JudgingCrew.lost`."""
        return False

    def close(self) -> None:
        """As :meth:`JudgingCrew.close`."""
        self._pool.shutdown(wait=True, cancel_futures=True)


def _in_a_process() -> None:
    """A person's Ctrl-C is for the run, which then waits for what is in hand."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)


def processes(workers: int) -> Crews:
    """Crews of so many processes of this machine."""
    return lambda most: Processes(workers if most is None else min(most, workers))


# ---- a cluster ------------------------------------------------------------------------------------------------------


class Cluster:
    """The workers of a scheduler of dask.distributed, for as long as the run takes; they stay when it ends."""

    def __init__(self, address: str, judges: Callable[[], int]) -> None:
        """``judges`` gives the version of the judge; every worker has to give the same. InputError otherwise."""
        self._address = address
        self._client = _connected(address)
        try:
            _must_judge_alike(self._client, address, judges)
            self.workers = sum(worker["nthreads"] for worker in self._client.scheduler_info(-1)["workers"].values())
        except BaseException:
            self._client.close()
            raise
        self._executor = self._client.get_executor(pure=False)
        self._hand: set[Future[Any]] = set()

    def submit(self, work: Callable[[W], A], on: W) -> Future[A]:
        """As :meth:`JudgingCrew.submit`."""
        found: Future[A] = self._executor.submit(work, on)
        self._hand.add(found)
        found.add_done_callback(self._hand.discard)
        return found

    def lost(self, error: BaseException) -> bool:
        """As :meth:`JudgingCrew.lost`. InputError when it is the scheduler that is lost."""
        from distributed.scheduler import KilledWorker

        if isinstance(error, KilledWorker):
            return True
        if isinstance(error, CancelledError | OSError):
            raise _no_scheduler(self._address, book_texts.IT_DOES_NOT_ANSWER_ANY_MORE) from error
        return False

    def close(self) -> None:
        """As :meth:`JudgingCrew.close`."""
        for future in list(self._hand):
            future.cancel()
        with suppress(OSError):  # a scheduler that is gone has let go already
            self._client.close()


def cluster(address: str, judges: Callable[[], int]) -> Crews:
    """The crew of a cluster, whose workers are its own affair."""
    return lambda _most: Cluster(address, judges)


def _connected(address: str) -> Client:
    try:
        from distributed import Client
    except ImportError:
        raise _no_scheduler(address, book_texts.THIS_NEEDS_WHAT_BRINGS.format(extra=EXTRA)) from None
    try:
        client = Client(address, timeout=PATIENCE, set_as_default=False)
    except (OSError, ValueError) as error:
        raise _no_scheduler(address, book_texts.NO_SCHEDULER_ANSWERS_THERE) from error
    try:
        client.wait_for_workers(1, timeout=PATIENCE)
    except TimeoutError:
        client.close()
        raise _no_scheduler(address, book_texts.SCHEDULER_HAS_NO_WORKER) from None
    return client


def _must_judge_alike(client: Client, address: str, judges: Callable[[], int]) -> None:
    """InputError unless every worker has this program, and its judge of this version."""
    try:
        versions = set(client.run(judges).values())
    except Exception as error:  # whatever a worker says that has no such program
        raise _no_scheduler(address, book_texts.WORKER_THERE_CANNOT_RUN_HEATDOCKET.format(error=error)) from error
    if versions != {judges()}:
        raise _no_scheduler(address, book_texts.WORKER_THERE_HAS_ANOTHER_VERSION)


def _no_scheduler(address: str, wanted: str) -> InputError:
    return InputError((InputFault("--scheduler", address, wanted),))
