"""The visits of one vehicle: what was measured each time, and how each ended."""

from __future__ import annotations

from collections.abc import Callable

from engcalc.case.case import Case
from engcalc.case.file import parse_case
from engcalc.case.resolve import resolve
from engcalc.diagnosis.repair.before_after import left_open
from engcalc.errors import InputError
from engcalc.vehicle.earlier import EarlierVisit, LeftOpen, MeasuredRun, measured_runs, spots_read
from engcalc.vehicle.run import Run
from engcalc.words.texts import book_texts
from ui.book.jobs import newest_case_bytes, outcomes_of, show_job
from ui.book.kept_logs import logs_of_job, read_kept
from ui.book.own_history import DatedVisit, in_order
from ui.book.store import Book

Stop = Callable[[], bool] | None


def visits_of_vehicle(
    book: Book, job: int, *, fits: bool = True, cancelled: Callable[[], bool] | None = None
) -> tuple[EarlierVisit, ...]:
    """Every visit of the vehicle of a job, that one among them, the oldest first. InputError without such a job.

    ``fits``: with what the valve leaves open in each record, which takes a second or two for each. Raises Cancelled.
    """
    page = show_job(book, job)
    days = [DatedVisit(number, show_job(book, number).line.day) for number in (job, *page.others)]
    return tuple(_visit(book, visit.job, fits, cancelled) for visit in in_order(days))


def _visit(book: Book, job: int, fits: bool, cancelled: Stop) -> EarlierVisit:
    ended = outcomes_of(book.connection, job)
    day = show_job(book, job).line.day
    try:
        case = _case(book, job)
        runs = _runs(book, job, case, fits, cancelled)
    except InputError as error:
        return EarlierVisit(job, day, (), ended[-1] if ended else None, str(error))
    return EarlierVisit(job, day, runs, ended[-1] if ended else None, spots=spots_read(case))


def _case(book: Book, job: int) -> Case:
    """The newest case of a job. InputError where its numbers cannot be read."""
    found = resolve(parse_case(newest_case_bytes(book.connection, job), book_texts.CASE_OF_JOB.format(job=job)))
    if not isinstance(found, Case):
        raise InputError(found.faults)
    return found


def _runs(book: Book, job: int, case: Case, fits: bool, cancelled: Stop) -> tuple[MeasuredRun, ...]:
    """What was measured."""

    def fitted(run: Run) -> LeftOpen | None:
        return left_open(case, run, cancelled=cancelled) if fits else None

    return measured_runs(case, read_kept(case, logs_of_job(book, job)), fitted)
