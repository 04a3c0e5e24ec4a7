"""What is said of work on the job book, by window and command line alike."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from engcalc.words.book_words import (
    FORGETTING,
    NOT_SIGNED,
    NOTHING_TO_KEEP,
    exported_sentence,
    forgotten_sentence,
    kept_reports_sentence,
    kept_sentence,
    line_not_taken_sentence,
    loose_log_sentence,
    missing_sentence,
    not_kept_sentence,
    renamed_sentence,
    report_kept_sentence,
    signer_sentence,
    taken_sentence,
    vin_sentence,
)
from ui.book.folders import ExportedBook, Imported
from ui.book.forgetting import Forgotten
from ui.book.jobs import Added
from ui.book.reports import AddedReport
from ui.book.sharing import ReadIn


def added_lines(added: Added) -> list[str]:
    """A case that was added."""
    told = vin_sentence(added.vin_state, added.vin)
    missing = [missing_sentence(name) for name in added.missing]
    return [kept_sentence(added.name, added.job, added.new_job, added.new_case), *missing, *([told] if told else [])]


def report_lines(report: AddedReport) -> list[str]:
    """A report that was added."""
    return [report_kept_sentence(report.name, report.job, report.verified.summary[0])]


def imported_lines(done: Imported) -> list[str]:
    """A folder that was read."""
    lines = [line for added in done.cases for line in added_lines(added)]
    lines += [line for report in done.reports for line in report_lines(report)]
    lines += [loose_log_sentence(name) for name in done.loose_logs]
    lines += [not_kept_sentence(path, why) for path, why in done.refused]
    return lines or [NOTHING_TO_KEEP]


def exported_lines(folder: Path, done: ExportedBook) -> list[str]:
    """A book that was written as files."""
    return [
        exported_sentence(str(folder), done.jobs, done.files),
        *(renamed_sentence(name) for name in done.renamed),
    ]


def forgotten_lines(gone: Forgotten, why_reports_stay: str = "") -> list[str]:
    """A customer who was taken out."""
    counts = {
        "job": gone.jobs,
        "case": gone.cases,
        "file": gone.files,
        "outcome": gone.outcomes,
        "vehicle": gone.vehicles,
    }
    kept: Sequence[str] = [kept_reports_sentence(gone.kept_reports, why_reports_stay)] if gone.kept_reports else []
    return [forgotten_sentence(gone.name, counts, gone.backups), *kept, *FORGETTING]


def taken_lines(done: ReadIn, source: str, weight: float) -> list[str]:
    """Outcomes of another workshop that were read in."""
    by, known = done.signer, None if done.signer is None else done.signer.known
    since, another = ("", False) if known is None else (f"{known.since:%Y-%m-%d}", known.another)
    signed = NOT_SIGNED if by is None else signer_sentence(by.name, by.fingerprint, since, another)
    refused = [line_not_taken_sentence(number, why) for number, why in done.refused]
    return [taken_sentence(done.new, done.known, source, weight), signed, *refused]
