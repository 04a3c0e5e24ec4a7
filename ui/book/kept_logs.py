"""The logs of a job as the book keeps them, read with its case."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from tempfile import TemporaryDirectory

from engcalc.case.case import Case
from engcalc.logs.record import LogRecord
from engcalc.vehicle.run import read_logs
from ui.book.contents import content
from ui.book.folders import inside
from ui.book.jobs import files_of
from ui.book.store import Book


def logs_of_job(book: Book, job: int) -> dict[str, bytes]:
    """The bytes of each log of a job, by the name that its case has for it. FileFault when one is damaged."""
    files = files_of(book.connection, job)
    return {inside(file.name): content(book.connection, file.sha256) for file in files if file.kind == "log"}


def read_kept(case: Case, logs: Mapping[str, bytes]) -> dict[str, LogRecord]:
    """The logs that a case names; they lie in a folder for as long as they are read. InputError as ``read_logs``."""
    with TemporaryDirectory(prefix="heatdocket-") as name:
        folder = Path(name)
        for log, data in logs.items():
            path = folder / log
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(data)
        return read_logs(case, folder)
