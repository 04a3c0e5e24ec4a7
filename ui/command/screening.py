"""Screening on the command line: many logs judged and ranked."""

from __future__ import annotations

import argparse
import os
import sys
import time
from contextlib import nullcontext
from typing import TYPE_CHECKING

from engcalc.errors import InputError, InputFault

if TYPE_CHECKING:
    from ui.book.store import Book
    from ui.command.answer import Answer
    from ui.screening.crews import Crews
    from ui.screening.run import Screened, ScreeningSetting


def screen_command(options: argparse.Namespace) -> Answer:
    """``heatdocket screen``: every log judged as screening, vehicles ranked. InputError with what is at fault.

    Progress goes to standard error, a line for each log. Ctrl-C ends the run; the same command goes on with it.
    """
    from engcalc.words.screening_words import run_lines, screening_lines
    from ui.book.store import Book
    from ui.screening.run import ScreeningRun
    from ui.screening.sources import book_sources, named_sources
    from ui.screening.tables import LINES, everything, made_folder, not_judged, vehicles_of, write_tables

    with nullcontext() if options.book is None else Book.open(options.book) as book:
        sources = named_sources(options.logs) if options.logs or book is None else book_sources(book)
        if not sources:
            wanted = "at least one log, a folder with logs, or a job book with logs in it would do"
            raise InputError((InputFault("LOGS", "", wanted),))
        folder = made_folder(options.output)
        run = ScreeningRun(sources, _setting(options, book), folder / LINES, book)
        progress = _Progress()
        run.go(options.workers or os.cpu_count() or 1, progress.tell, crews=_crews(options))
    vehicles = vehicles_of(run)
    write_tables(folder, run, vehicles)
    fresh = len(run.screened) - run.again
    lines = [*screening_lines(vehicles, not_judged(run)), ""]
    lines += run_lines(len(sources), run.again, run.complete, progress.seconds, fresh)
    return {**everything(run, vehicles), "folder": str(folder)}, [*lines, str(folder)]


def _crews(options: argparse.Namespace) -> Crews | None:
    """The cluster that was named, if one was. Nothing of the network is touched else."""
    if options.scheduler is None:
        return None
    from ui.screening.crews import cluster
    from ui.screening.run import judge_version

    if options.workers is not None:
        wanted = "the scheduler's own workers count; leave --workers out"
        raise InputError((InputFault("--workers", str(options.workers), wanted),))
    return cluster(options.scheduler, judge_version)


def _setting(options: argparse.Namespace, book: Book | None) -> ScreeningSetting:
    """What the logs are judged with."""
    from engcalc.case.file import read_case
    from engcalc.causes.base_rates import NO_REASON, OtherRates
    from engcalc.causes.counted_rates import counted_rates
    from engcalc.words.book_words import rates_basis
    from ui.book.claims import counted_jobs
    from ui.screening.run import ScreeningSetting
    from ui.screening.sources import book_vehicles

    vehicle = None if options.case is None else read_case(options.case)
    if book is None:
        return ScreeningSetting(vehicle)
    counted = counted_rates(counted_jobs(book), NO_REASON)
    return ScreeningSetting(vehicle, OtherRates(counted.per_cent, rates_basis(counted)), book_vehicles(book))


class _Progress:
    """Tells each log on standard error, with the time that is left by the pace of those judged now."""

    def __init__(self) -> None:
        self._start = time.monotonic()

    @property
    def seconds(self) -> float:
        """Since the start."""
        return time.monotonic() - self._start

    def tell(self, done: int, total: int, screened: Screened) -> None:
        """One more log is finished."""
        from engcalc.words.screening_words import progress_line

        left = self.seconds * (total - done) / done if done > 1 else None
        sys.stderr.write(progress_line(done, total, screened.source.name, left) + "\n")
        sys.stderr.flush()
