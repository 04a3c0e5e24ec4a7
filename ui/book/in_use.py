"""The workshop's job book while cases are worked on: each action opens it, does one thing and lets go of it.

Nothing is held open between two actions, so that two windows and the command line share one book.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from engcalc.case.case import Case
from engcalc.case.file import LARGEST_BYTES, is_file, is_there, read_whole
from engcalc.case.text import CaseText
from engcalc.causes.base_rates import OtherRates
from engcalc.causes.counted_rates import OUTSIDE_WEIGHT
from engcalc.causes.outcomes import Outcome
from engcalc.causes.record import RARE
from engcalc.diagnosis.odds.honesty import Honesty, honesty
from engcalc.vehicle.earlier import EarlierVisit
from engcalc.words.workshop.book_words import (
    ahead_sentence,
    backup_sentence,
    closed_sentence,
    file_signed_sentence,
    given_lines,
    outcome_sentence,
    restored_lines,
    state_sentence,
)
from ui.book.claims import claims_with_truth, counted_jobs, job_of_case, keep_diagnosis, outcomes_entered, own_rates_of
from ui.book.copies import opened_for_change, restore, write_backup
from ui.book.folders import export_folder, import_folder
from ui.book.forgetting import forget
from ui.book.history import visits_of_vehicle
from ui.book.jobs import JobLine, add_case, customers_of, find_jobs, outcomes_of, record_outcome, show_job
from ui.book.laid_out import lay_out
from ui.book.own_history import EarlierRecord, HistoryNotUsed, earlier_record
from ui.book.reports import add_report, add_report_beside, open_report
from ui.book.sharing import read_outcomes, write_outcomes
from ui.book.store import SUFFIX, Book, Clock, local_time
from ui.book.told import (
    added_lines,
    exported_lines,
    forgotten_lines,
    imported_lines,
    own_rates_lines,
    page_lines,
    report_lines,
    taken_lines,
)

if TYPE_CHECKING:
    from engcalc.diagnosis.odds.diagnosis import Diagnosis
    from reports.identity import Identity


@dataclass(frozen=True)
class KeptWithJob:
    """The job that a case was kept with, and what is to be said of it."""

    job: int
    said: tuple[str, ...]


class BookInUse:
    """One job book by its path. Every method raises FileFault or InputError in words.

    It remembers which case files are of which job, so that a case saved anew goes to the job that it came from.
    """

    def __init__(self, path: Path, now: Clock = local_time) -> None:
        self.path, self._now = path, now
        self._jobs: dict[Path, int] = {}
        self._rates: tuple[tuple[object, ...], OtherRates] | None = None  # what was asked for, and the answer

    # ---- finding ----------------------------------------------------------------------------------------------------

    def find(self, words: str, *, open_only: bool = False, limit: int = 50) -> tuple[JobLine, ...]:
        """Jobs by any of their words, the newest first."""
        with Book.open(self.path, now=self._now) as book:
            return find_jobs(book, words, open_only=open_only, limit=limit)

    def customers(self) -> list[str]:
        """The names of all customers, in the order of the alphabet."""
        with Book.open(self.path, now=self._now) as book:
            return customers_of(book)

    def job_of(self, case: Path | None) -> int | None:
        """The job that a case file belongs to; None where it is not in the book."""
        if case is None:
            return None
        known = self._jobs.get(case.resolve())
        if known is None:
            data = read_whole(case, "a case", LARGEST_BYTES)
            with Book.open(self.path, now=self._now) as book:
                known = job_of_case(book, data)
            if known is not None:
                self._jobs[case.resolve()] = known
        return known

    def is_known(self, case: Path) -> bool:
        """Whether a case file belongs to a job, as far as it was opened from the book or kept in it here."""
        return case.resolve() in self._jobs

    def lay_out(self, job: int) -> tuple[Path, str]:
        """The case file of a job, to be opened, and what is to be said of it: empty where nothing is."""
        with Book.open(self.path, now=self._now) as book:
            found = lay_out(book, job)
            closed = show_job(book, job).line.state == "closed"
            ended = outcomes_of(book.connection, job) if closed else ()
        self._jobs[found.case.resolve()] = job
        said = [closed_sentence(job, ended[-1] if ended else None)] if closed else []
        said += [ahead_sentence(job)] if found.ahead else []
        return found.case, " ".join(said)

    def history(
        self, job: int, *, fits: bool = True, cancelled: Callable[[], bool] | None = None
    ) -> tuple[EarlierVisit, ...]:
        """Every visit of the vehicle of a job, the oldest first, as :func:`ui.book.history.visits_of_vehicle`."""
        with Book.open(self.path, now=self._now) as book:
            return visits_of_vehicle(book, job, fits=fits, cancelled=cancelled)

    def earlier_record(self, text: CaseText, case: Path | None) -> EarlierRecord | HistoryNotUsed:
        """The record that is expected of the vehicle of a case, not fitted yet, or why there is none.

        ``case`` is the file of the text, where it has one.
        """
        job = None if case is None or not is_there(case) else self.job_of(case)
        with Book.open(self.path, now=self._now) as book:
            return earlier_record(book, text, job)

    def page(self, job: int) -> list[str]:
        """Everything that is kept of a job, line by line, each report verified anew."""
        with Book.open(self.path, now=self._now) as book:
            page = show_job(book, job)
            verified = {file.file: open_report(book, file.file)[1] for file in page.files if file.kind == "report"}
        return page_lines(page, verified)

    # ---- keeping ----------------------------------------------------------------------------------------------------

    def keep(self, case: Path, found: Diagnosis | None = None, signed: Sequence[Path] = ()) -> KeptWithJob:
        """Keep a case file with all that it names, the odds found of it as a claim where there are any, the reports
        that were signed of it, and the signed one that lies beside it under its name."""
        with opened_for_change(self.path, make=True, now=self._now) as book:
            added = add_case(book, case, self._jobs.get(case.resolve()))
            claim = None if found is None else keep_diagnosis(book, added.job, found)[1]
            reports = [add_report(book, path, added.job) for path in signed if is_file(path)]
            beside = add_report_beside(book, case, added.job)
        self._jobs[case.resolve()] = added.job
        told = [line for report in (*reports, *([beside] if beside else [])) for line in report_lines(report)]
        return KeptWithJob(added.job, (*added_lines(added), *told, *((claim,) if claim else ())))

    def make(self) -> None:
        """Make the book where there is none; one that is there is opened and let go of."""
        with Book.open(self.path, make=True, now=self._now):
            pass

    # ---- the book as a whole ----------------------------------------------------------------------------------------

    def import_folder(self, folder: Path) -> list[str]:
        """Keep every case, report and log of a folder; what is to be said of it."""
        with opened_for_change(self.path, make=True, now=self._now) as book:
            return imported_lines(import_folder(book, folder))

    def export_into(self, folder: Path) -> list[str]:
        """Write the book as files into a new folder in ``folder``, named after book and day."""
        place = folder / f"{self.path.name.removesuffix(SUFFIX)}-{self._now().date().isoformat()}"
        with Book.open(self.path, now=self._now) as book:
            return exported_lines(place, export_folder(book, place))

    def write_copy(self, path: Path) -> list[str]:
        """Write a whole copy of the book."""
        with Book.open(self.path, now=self._now) as book:
            write_backup(book, path)
        return [backup_sentence(str(path))]

    def forget(self, customer: str, why_reports_stay: str = "") -> list[str]:
        """Take out a customer with everything that is theirs; their signed reports stay where a reason is given."""
        with Book.open(self.path, now=self._now) as book:
            return forgotten_lines(forget(book, customer, why_reports_stay), why_reports_stay)

    # ---- outcomes ---------------------------------------------------------------------------------------------------

    def outcomes(self, job: int) -> tuple[Outcome, ...]:
        """How a job ended, as entered so far; the last one counts."""
        with Book.open(self.path, now=self._now) as book:
            return outcomes_of(book.connection, job)

    def record(self, job: int, outcome: Outcome) -> str:
        """Keep how a job ended; what is to be said of it."""
        with opened_for_change(self.path, now=self._now) as book:
            state = record_outcome(book, job, outcome)
        return f"{state_sentence(job, state)} {outcome_sentence(outcome)}"

    def own_rates(self, case: Case) -> OtherRates:
        """The workshop's own base rates for the reason and class of a case; counted anew when the book has changed."""
        asked = (self._state(), case.job.reason, case.vehicle.class_)
        if self._rates is None or self._rates[0] != asked:
            with Book.open(self.path, now=self._now) as book:
                rates = own_rates_of(book, case)
            self._rates = (asked, rates)
        return self._rates[1]

    def rates_told(self) -> list[str]:
        """The workshop's own base rates for every reason, beside those shipped, and what they weigh."""
        with Book.open(self.path, now=self._now) as book:
            return own_rates_lines(counted_jobs(book), RARE)

    def _state(self) -> tuple[tuple[int, int] | None, ...]:
        """What tells that the book was written to: time and size of its file and of its log of writes."""
        files = (self.path, self.path.with_name(f"{self.path.name}-wal"))
        found = [file.stat() if is_there(file) else None for file in files]
        return tuple(None if file is None else (file.st_mtime_ns, file.st_size) for file in found)

    def give(self, path: Path, identity: Identity | None = None) -> list[str]:
        """Write the confirmed outcomes for other workshops, anonymised; signed where an identity is given."""
        from reports.signed_files import sign_file

        with Book.open(self.path, now=self._now) as book:
            lines = given_lines(str(path), write_outcomes(book, path))
        if identity is not None:
            lines.append(file_signed_sentence(str(sign_file(path, identity, self._now())), identity.name))
        return lines

    def take(self, path: Path, source: str, weight: float = OUTSIDE_WEIGHT) -> list[str]:
        """Read in the outcomes of another workshop; what is to be said of it."""
        with opened_for_change(self.path, now=self._now) as book:
            return taken_lines(read_outcomes(book, path, source, weight), source, weight)

    def restore(self, backup: Path) -> list[str]:
        """Put a backup in the book's place; what was there is kept under another name."""
        aside = restore(backup, self.path)
        self.make()  # a backup of an older program is brought to the newest version
        self._jobs.clear()
        return restored_lines(str(self.path), str(backup), None if aside is None else str(aside))

    def honesty(self) -> tuple[Honesty, tuple[int, int]]:
        """Claims against outcomes; how many jobs have an outcome, and of how many it counts."""
        with Book.open(self.path, now=self._now) as book:
            return honesty(claims_with_truth(book)), outcomes_entered(book)
