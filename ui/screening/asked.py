"""A screening as somebody asks for it: which logs, what they are judged with, where the answers go. Command line and
window run this and nothing else."""

from __future__ import annotations

import os
import re
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from engcalc.case.file import SUFFIX, case_bytes, is_there, read_case, write_whole
from engcalc.case.text import CaseText
from engcalc.causes.base_rates import NO_REASON, OtherRates
from engcalc.causes.counted_rates import counted_rates
from engcalc.diagnosis.ranking import Ranked
from engcalc.diagnosis.screening import LOG, screening_case
from engcalc.errors import InputError, InputFault
from engcalc.words.texts import book_texts
from engcalc.words.workshop.book_words import rates_basis
from engcalc.words.workshop.screening_words import run_lines, screening_lines
from ui.book.claims import counted_jobs
from ui.book.contents import digest
from ui.book.store import Book
from ui.screening.crews import Crews
from ui.screening.run import ScreeningRun, ScreeningSetting, Stopped, Tell, goes_on
from ui.screening.sources import Source, book_sources, book_vehicles, bytes_of, named_sources
from ui.screening.tables import LINES, made_folder, not_judged, vehicles_of, write_tables

CASES = "vehicles"  # the folder beside the tables in which vehicles are laid out
_LONGEST_NAME = 60  # letters of a vehicle's folder


@dataclass(frozen=True)
class ScreeningAsked:
    """Logs and folders (none: every log of the book), the folder for what is found, a job book, a case that says what
    the vehicles are that the book does not know, and how many processes (None: one for each core)."""

    logs: tuple[Path, ...]
    out: Path
    book: Path | None = None
    case: Path | None = None
    workers: int | None = None


@dataclass(frozen=True, eq=False)
class ScreeningFound:
    """What came of it: the run, its vehicles in order, and how long it took [s]."""

    asked: ScreeningAsked
    run: ScreeningRun
    vehicles: list[Ranked]
    seconds: float

    @property
    def lines(self) -> list[str]:
        """What a person reads of it."""
        run = self.run
        fresh = len(run.screened) - run.again
        told = run_lines(len(run.sources), run.again, run.complete, self.seconds, fresh)
        return [*screening_lines(self.vehicles, not_judged(run)), "", *told]


def judge_all(
    asked: ScreeningAsked, tell: Tell | None = None, *, crews: Crews | None = None, stopped: Stopped = goes_on
) -> ScreeningFound:
    """Judge every log that has no answer yet in the folder.

    ``stopped`` ends it early, and so does KeyboardInterrupt: what was judged stands then in the folder, and the same
    asked again goes on. InputError and FileFault with what is at fault.
    """
    with _opened(asked.book) as book:
        sources = named_sources(asked.logs) if asked.logs or book is None else book_sources(book)
        if not sources:
            wanted = book_texts.AT_LEAST_ONE_LOG
            raise InputError((InputFault("LOGS", "", wanted),))
        folder = made_folder(asked.out)
        run = ScreeningRun(sources, _setting(asked, book), folder / LINES, book)
        begun = time.monotonic()
        run.go(asked.workers or os.cpu_count() or 1, tell, crews=crews, stopped=stopped)
        seconds = time.monotonic() - begun
    return ScreeningFound(asked, run, vehicles_of(run), seconds)


def write_found(found: ScreeningFound) -> None:
    """Write table, JSON and pages into the folder. FileFault when they cannot be written."""
    write_tables(found.asked.out, found.run, found.vehicles)


def known_before(out: Path) -> bool:
    """Whether an earlier run left its answers in this folder."""
    return is_there(out / LINES)


def case_of_vehicle(found: ScreeningFound, rank: int) -> Path:
    """The case of the vehicle at this rank (from 1) with its newest log beside it, in a folder of its own; one that
    was laid out before stays as it is. FileFault when it cannot be written."""
    vehicle = found.vehicles[rank - 1].vehicle
    source = _newest(found.run, vehicle)
    name = re.sub(r"[^\w.-]+", "_", vehicle)[:_LONGEST_NAME].strip(".") or "vehicle"
    folder = made_folder(made_folder(found.asked.out / CASES) / f"{rank}-{name}")
    case = folder / f"vehicle{SUFFIX}"
    if is_there(case):
        return case
    with _opened(found.asked.book) as book:
        write_whole(folder / LOG, bytes_of(source, book))
    tree = dict(screening_case(found.run.setting.vehicle).tree)
    tree["job"] = {**tree["job"], "title": "From a screening", "vehicle": vehicle}
    write_whole(case, case_bytes(CaseText(tree)))
    return case


def job_of_vehicle(found: ScreeningFound, rank: int) -> int | None:
    """The job in the book that the newest log of this vehicle is of; None where the book does not know it."""
    known = found.run.setting.known or {}
    source = _newest(found.run, found.vehicles[rank - 1].vehicle)
    with _opened(found.asked.book) as book:
        one = known.get(source.sha256 or digest(bytes_of(source, book)))
    return None if one is None else one.job


def _newest(run: ScreeningRun, vehicle: str) -> Source:
    """The last of the vehicle's logs that was judged."""
    own = [one.source for _, one in sorted(run.screened.items()) if one.source.vehicle == vehicle and one.judged]
    return own[-1]


@contextmanager
def _opened(path: Path | None) -> Iterator[Book | None]:
    if path is None:
        yield None
        return
    with Book.open(path) as book:
        yield book


def _setting(asked: ScreeningAsked, book: Book | None) -> ScreeningSetting:
    """What the logs are judged with."""
    vehicle = None if asked.case is None else read_case(asked.case)
    if book is None:
        return ScreeningSetting(vehicle)
    counted = counted_rates(counted_jobs(book), NO_REASON)
    return ScreeningSetting(vehicle, OtherRates(counted.per_cent, rates_basis(counted)), book_vehicles(book))
