"""What is said of work on the job book, by window and command line alike."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path

from engcalc.case.vin import vin_state
from engcalc.causes.counted_rates import CountedJob, counted_rates
from engcalc.words.texts import book_texts
from engcalc.words.workshop.book_words import (
    FORGETTING,
    NOT_SIGNED,
    NOTHING_TO_KEEP,
    RATES_NOTE,
    exported_sentence,
    forgotten_sentence,
    kept_reports_sentence,
    kept_sentence,
    line_not_taken_sentence,
    loose_log_sentence,
    missing_sentence,
    not_kept_sentence,
    outcome_sentence,
    rates_lines,
    renamed_sentence,
    report_kept_sentence,
    signer_sentence,
    taken_sentence,
    vin_sentence,
)
from reports.verification import Verification
from ui.book.folders import ExportedBook, Imported
from ui.book.forgetting import Forgotten
from ui.book.jobs import Added, JobLine, JobPage
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


def job_line(line: JobLine) -> str:
    """A job in one line."""
    vehicle = ", ".join(text for text in (line.registration, line.vehicle) if text)
    parts = (line.day, line.state, line.customer or "no customer", vehicle or "no vehicle", line.complaint)
    return f"{line.job:>6}  " + " | ".join(part for part in parts if part)


def page_lines(page: JobPage, verified: Mapping[int, Verification]) -> list[str]:
    """Everything of a job; ``verified`` is what is found about each of its reports, by the number of the file."""
    told = vin_sentence(vin_state(page.vin), page.vin)
    lines = [job_line(page.line), *([told] if told else [])]
    lines += [f"case    {case.name}, kept {case.kept_at}" for case in page.cases]
    for file in page.files:
        said = f": {verified[file.file].summary[0]}" if file.file in verified else ""
        lines.append(f"{file.kind:<7} {file.name}, {file.size} bytes{said}")
    lines += [outcome_sentence(outcome) for outcome in page.outcomes]
    if page.others:
        lines.append(book_texts.OTHER_JOBS_OF_THIS_VEHICLE + ", ".join(map(str, page.others)))
    return lines


def own_rates_lines(jobs: Iterable[CountedJob], reasons: Iterable[str], vehicle_class: str = "") -> list[str]:
    """The workshop's own base rates for each reason, with what they weigh, and when they count."""
    counted = list(jobs)
    every = [rates_lines(counted_rates(counted, reason, vehicle_class)) for reason in reasons]
    return [*(line for lines in every for line in (*lines, "")), *RATES_NOTE]
