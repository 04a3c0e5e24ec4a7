"""The visits of one vehicle: what was measured each time, and how each ended."""

from __future__ import annotations

from pathlib import Path
from tempfile import TemporaryDirectory

from engcalc.case.case import Case
from engcalc.case.file import parse_case
from engcalc.case.resolve import resolve
from engcalc.errors import InputError
from engcalc.vehicle.earlier import EarlierVisit, MeasuredRun, measured_runs, spots_read
from engcalc.vehicle.run import read_logs
from ui.book.contents import content
from ui.book.folders import inside
from ui.book.jobs import files_of, newest_case_bytes, outcomes_of, show_job
from ui.book.store import Book


def visits_of_vehicle(book: Book, job: int) -> tuple[EarlierVisit, ...]:
    """Every visit of the vehicle of a job, that one among them, the oldest first. InputError without such a job."""
    page = show_job(book, job)
    return tuple(_visit(book, number) for number in sorted((job, *page.others)))


def _visit(book: Book, job: int) -> EarlierVisit:
    ended = outcomes_of(book.connection, job)
    day = show_job(book, job).line.day
    try:
        case = _case(book, job)
        runs = _runs(book, job, case)
    except InputError as error:
        return EarlierVisit(job, day, (), ended[-1] if ended else None, str(error))
    return EarlierVisit(job, day, runs, ended[-1] if ended else None, spots=spots_read(case))


def _case(book: Book, job: int) -> Case:
    """The newest case of a job. InputError where its numbers cannot be read."""
    found = resolve(parse_case(newest_case_bytes(book.connection, job), f"the case of job {job}"))
    if not isinstance(found, Case):
        raise InputError(found.faults)
    return found


def _runs(book: Book, job: int, case: Case) -> tuple[MeasuredRun, ...]:
    """What was measured; the logs of the job are written beside its case for as long as they are read."""
    with TemporaryDirectory(prefix="heatdocket-") as name:
        folder = Path(name)
        for file in files_of(book.connection, job):
            if file.kind == "log":
                path = folder / inside(file.name)
                path.parent.mkdir(parents=True, exist_ok=True)
                path.write_bytes(content(book.connection, file.sha256))
        return measured_runs(case, read_logs(case, folder))
