"""The run of a screening: every log judged once, by as many processes as asked for; nothing that goes wrong stops it.

Each answer is written at once to a file of lines (JSON Lines) by a key of the log's content and of all that it was
judged with. A run that was stopped, by a person or a crash, goes on where it was: what has a line is not judged again.
"""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import FIRST_COMPLETED, CancelledError, Future, wait
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from engcalc.case.file import case_bytes, parse_case
from engcalc.case.text import CaseText
from engcalc.causes.base_rates import OtherRates
from engcalc.diagnosis.grounds import Danger, VehicleState
from engcalc.diagnosis.screening import LogJudged, judge_log, screening_case
from engcalc.errors import FileFault, HeatdocketError
from engcalc.logs.log import read_log
from engcalc.words.texts import book_texts
from ui.book.contents import digest
from ui.book.jobs import newest_case
from ui.book.store import Book
from ui.screening.crews import Crews, JudgingCrew, processes
from ui.screening.sources import BookVehicle, Source, bytes_of

JUDGE_VERSION = 5  # counts up when the same log would be judged otherwise; lines of an older one are not used
_IN_HAND = 2  # logs a process that are read ahead: memory stays the same however many there are
_THREADS = ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS")


@dataclass(frozen=True)
class Screened:
    """One log: its name and vehicle, and what it says, or in words why it was not judged."""

    source: Source
    judged: LogJudged | None
    why: str


@dataclass(frozen=True)
class ScreeningSetting:
    """What all logs of a run are judged with: the vehicle where the book does not know it, base rates, the book's
    vehicles by the SHA-256 of their logs."""

    vehicle: CaseText | None = None
    rates: OtherRates | None = None
    known: Mapping[str, BookVehicle] | None = None


@dataclass(frozen=True)
class Work:
    """One log to be judged, as it is sent to a process."""

    key: str
    log: bytes
    case: bytes
    rates: OtherRates | None


Judge = Callable[[Work], dict[str, Any]]
Tell = Callable[[int, int, Screened], None]
Stopped = Callable[[], bool]
LOOKS_UP = 0.25  # s; how often a run that waits for its processes asks whether it is wanted still


class StoppedEarlyError(Exception):
    """Somebody wants no more of a run."""


def goes_on() -> bool:
    """Of a run that nothing but Ctrl-C ends early."""
    return False


# ---- one log, in a process of its own -------------------------------------------------------------------------------


def judge(work: Work) -> dict[str, Any]:
    """Judge one log; gives its line. Whatever is wrong with a log becomes words in the line."""
    try:
        found = asdict(judge_log(parse_case(work.case), read_log(work.log), work.rates))
        json.dumps(found, allow_nan=False)
    except HeatdocketError as error:
        return {"key": work.key, "judged": None, "why": str(error)}
    except Exception as error:  # one bad log never stops a run; the line says that the fault is ours
        return {"key": work.key, "judged": None, "why": book_texts.DEFECT_OF_OURS.format(error=error)}
    return {"key": work.key, "judged": found, "why": ""}


def judge_version() -> int:
    """The version of the judge in this process."""
    return JUDGE_VERSION


# ---- what was judged before -----------------------------------------------------------------------------------------


def lines_of(path: Path) -> dict[str, dict[str, Any]]:
    """The lines of an earlier run by their key; a last one that a crash cut off is left out."""
    found = {}
    try:
        data = path.read_bytes()
    except FileNotFoundError:
        return {}
    except OSError as error:
        raise FileFault(
            str(path), book_texts.LINES_OF_THE_EARLIER_RUN_CANNOT_BE_READ.format(strerror=error.strerror or error)
        ) from error
    for line in data.split(b"\n")[:-1]:
        try:
            read = json.loads(line)
            found[read["key"]] = read
        except (ValueError, KeyError, TypeError):
            continue
    return found


def _append(path: Path, line: Mapping[str, Any]) -> None:
    data = json.dumps(line, ensure_ascii=False, allow_nan=False).encode("utf-8") + b"\n"
    try:
        with path.open("ab+") as file:
            if file.tell() and not _ends_a_line(file):
                data = b"\n" + data  # a crash cut the last line off
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
    except OSError as error:
        raise FileFault(
            str(path), book_texts.WHAT_WAS_JUDGED_CANNOT_BE_WRITTEN.format(strerror=error.strerror or error)
        ) from error


def _ends_a_line(file: Any) -> bool:
    file.seek(-1, os.SEEK_END)
    return bool(file.read(1) == b"\n")


def _judged(line: Mapping[str, Any]) -> LogJudged | None:
    found = line["judged"]
    if found is None:
        return None
    return LogJudged(**{**found, "state": VehicleState(found["state"]), "danger": Danger(found["danger"])})


# ---- the run --------------------------------------------------------------------------------------------------------


class ScreeningRun:
    """A screening of many logs. ``screened`` fills as it goes; ``again`` counts those that were judged before."""

    def __init__(
        self, sources: Sequence[Source], setting: ScreeningSetting, lines: Path, book: Book | None = None
    ) -> None:
        self.sources = list(sources)
        self.setting = setting
        self.lines = lines
        self.book = book
        self.screened: dict[int, Screened] = {}
        self.again = 0
        self.complete = False
        self._known = lines_of(lines)
        self._same: dict[str, list[int]] = {}
        self._tell: Tell | None = None
        self._stopped: Stopped = goes_on

    def go(
        self,
        workers: int,
        tell: Tell | None = None,
        judged_by: Judge = judge,
        crews: Crews | None = None,
        *,
        stopped: Stopped = goes_on,
    ) -> None:
        """Judge every log that has no line yet. KeyboardInterrupt and ``stopped`` end it early: ``complete`` then
        stays False; what is in hand is finished and kept.

        ``workers`` are processes of this machine; ``crews`` takes their place. FileFault when the lines cannot be
        written, InputError when a cluster is lost.
        """
        make = processes(workers) if crews is None else crews
        self._tell, self._stopped = tell, stopped
        waiting = self._waiting()
        with _one_thread_each():
            try:
                left = self._through(waiting, make(None), judged_by)
                while (
                    left
                ):  # a process died: each of those in hand is tried alone, so that only the one at fault is lost
                    suspect = left.pop(0)
                    if self._through(iter([suspect]), make(1), judged_by):
                        self._finished(_deadly(suspect))
                    if not left:
                        left = self._through(waiting, make(None), judged_by)
                self.complete = True
            except (KeyboardInterrupt, StoppedEarlyError):
                return

    def _through(self, waiting: Iterator[Work], crew: JudgingCrew, judged_by: Judge) -> list[Work]:
        """Send work to a crew until none waits; gives what was in hand when one of its processes died, else nothing."""
        hand: dict[Future[dict[str, Any]], Work] = {}
        try:
            while self._fill(hand, waiting, crew, judged_by):
                for future in self._waited_for(hand):
                    line = _line_of(future, hand[future], crew)
                    del hand[future]
                    self._finished(line)
        except BrokenProcessPool:
            return list(hand.values())
        except (KeyboardInterrupt, StoppedEarlyError):
            crew.close()
            for future in hand:
                if future.done() and not future.cancelled() and future.exception() is None:
                    self._finished(future.result())
            raise
        finally:
            crew.close()
        return []

    def _waited_for(self, hand: Mapping[Future[dict[str, Any]], Work]) -> set[Future[dict[str, Any]]]:
        """What is finished of what is in hand, once something is. StoppedEarlyError when nobody wants more."""
        while True:
            if self._stopped():
                raise StoppedEarlyError
            done, _ = wait(hand, None if self._stopped is goes_on else LOOKS_UP, FIRST_COMPLETED)
            if done:
                return done

    def _fill(
        self, hand: dict[Future[dict[str, Any]], Work], waiting: Iterator[Work], crew: JudgingCrew, judged_by: Judge
    ) -> bool:
        """Read ahead as many logs as the crew has in hand; whether any is."""
        while len(hand) < _IN_HAND * crew.workers and (work := next(waiting, None)) is not None:
            try:
                hand[crew.submit(judged_by, work)] = work
            except BrokenProcessPool:
                hand[Future()] = work  # in hand like the others, so that it is tried again
                raise
        return bool(hand)

    def _waiting(self) -> Iterator[Work]:
        """The logs that have to be judged, one by one; those that have a line, or cannot be read, are finished here."""
        for number, source in enumerate(self.sources):
            try:
                data = bytes_of(source, self.book)
            except FileFault as error:
                self._found(number, Screened(source, None, str(error)))
                continue
            work, self.sources[number] = self._work(source, data)
            same = self._same.setdefault(work.key, [])
            same.append(number)
            if work.key in self._known:
                self.again += len(same) == 1
                self._found(number, self._screened(number, self._known[work.key]))
            elif len(same) == 1:
                yield work

    def _work(self, source: Source, data: bytes) -> tuple[Work, Source]:
        """What is sent to a process, and the source under the name that the book has for its vehicle."""
        of_book = (self.setting.known or {}).get(digest(data))
        vehicle = self.setting.vehicle
        if of_book is not None and self.book is not None:
            vehicle = newest_case(self.book.connection, of_book.job)
        case = case_bytes(screening_case(vehicle))
        rates = self.setting.rates
        given = [JUDGE_VERSION, digest(data), digest(case), None if rates is None else dict(rates.per_cent)]
        key = hashlib.sha256(json.dumps(given, sort_keys=True).encode()).hexdigest()
        named = source if of_book is None else Source(source.name, of_book.name, source.path, source.sha256)
        return Work(key, data, case, rates), named

    def _finished(self, line: dict[str, Any]) -> None:
        _append(self.lines, line)
        self._known[line["key"]] = line
        for number in self._same[line["key"]]:
            self._found(number, self._screened(number, line))

    def _screened(self, number: int, line: Mapping[str, Any]) -> Screened:
        return Screened(self.sources[number], _judged(line), str(line["why"]))

    def _found(self, number: int, screened: Screened) -> None:
        self.screened[number] = screened
        if self._tell is not None:
            self._tell(len(self.screened), len(self.sources), screened)


def _line_of(future: Future[dict[str, Any]], work: Work, crew: JudgingCrew) -> dict[str, Any]:
    """The line of one log, in words where it ended whatever judged it. Raises what breaks a crew as a whole."""
    try:
        return future.result()
    except BrokenProcessPool:
        raise
    except (Exception, CancelledError) as error:
        if crew.lost(error):
            return _deadly(work)
        raise


def _deadly(work: Work) -> dict[str, Any]:
    """The line of a log that ends the process that judges it."""
    why = book_texts.PROCESS_THAT_JUDGED_IT_CAME_TO_AN_END
    return {"key": work.key, "judged": None, "why": why}


@contextmanager
def _one_thread_each() -> Iterator[None]:
    """Processes started within use one thread of the linear algebra each: more of them on the same cores only wait."""
    before = {name: os.environ.get(name) for name in _THREADS}
    os.environ.update(dict.fromkeys(_THREADS, "1"))
    try:
        yield
    finally:
        for name, value in before.items():
            if value is None:
                os.environ.pop(name, None)
            else:
                os.environ[name] = value
