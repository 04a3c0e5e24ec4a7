"""What the program gave for a job, kept before the truth is known; held against the outcomes, and counted from them."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Mapping
from typing import TYPE_CHECKING

from engcalc.case.case import Case
from engcalc.causes.base_rates import OtherRates, base_rates
from engcalc.causes.catalogue import CAUSES
from engcalc.causes.counted_rates import CountedJob, counted_rates
from engcalc.causes.outcomes import Outcome
from engcalc.diagnosis.odds.honesty import Claim
from engcalc.words.workshop.book_words import NO_CLAIM_AFTER, NO_CLAIM_OF_PAIRS, claim_sentence, rates_basis
from ui.book.contents import digest
from ui.book.store import Book

if TYPE_CHECKING:
    from engcalc.diagnosis.odds.diagnosis import Diagnosis


def job_of_case(book: Book, case: bytes) -> int | None:
    """The job that keeps exactly this case; None when none does."""
    row = book.connection.execute("SELECT visit_id FROM cases WHERE sha256 = ?", (digest(case),)).fetchone()
    return None if row is None else int(row["visit_id"])


def keep_claim(book: Book, job: int, odds: Mapping[str, float], shipped: Mapping[str, float]) -> bool:
    """Keep the odds given for a job, and the shipped base rates for the same vehicle; both by cause.

    Odds given after an outcome was entered are no claim, as the truth was known by then: they are not kept. Tells
    whether they were.
    """
    with book.writing() as connection:
        known = connection.execute("SELECT 1 FROM outcomes WHERE visit_id = ?", (job,)).fetchone()
        if known is None:
            connection.execute(
                "INSERT INTO claims (visit_id, made_at, odds, shipped) VALUES (?, ?, ?, ?)",
                (job, book.now().isoformat(timespec="seconds"), json.dumps(dict(odds)), json.dumps(dict(shipped))),
            )
    return known is None


def keep_diagnosis(book: Book, job: int | None, found: Diagnosis) -> tuple[bool, str]:
    """Keep the odds of a diagnosis as the claim of a job; whether they were kept, and a sentence of it.

    ``job`` is None where the case is not in the book. Odds of two faults at once, and odds after a repair, are held
    against no outcome: they are not kept.
    """
    if any(cause.fault not in CAUSES for cause in found.causes):
        return False, NO_CLAIM_OF_PAIRS
    rates = found.base_rates
    if rates.repaired:
        return False, NO_CLAIM_AFTER
    if job is None:
        return False, claim_sentence(None)
    odds = {cause.fault: cause.probability for cause in found.causes}
    kept = keep_claim(book, job, odds, base_rates(rates.reason, rates.rates).rates)
    return kept, claim_sentence(job, kept=kept)


def own_rates_of(book: Book, case: Case) -> OtherRates:
    """The base rates of a book for the reason and class of a case, in place of the shipped ones."""
    counted = counted_rates(counted_jobs(book), case.job.reason, case.vehicle.class_ or "")
    return OtherRates(counted.per_cent, rates_basis(counted))


def claims_with_truth(book: Book) -> list[Claim]:
    """The last claim of each job whose outcome counts, with that outcome."""
    found = []
    for job, outcome in _counting(book.connection):
        row = book.connection.execute(
            "SELECT odds, shipped FROM claims WHERE visit_id = ? ORDER BY id DESC", (job,)
        ).fetchone()
        if row is not None:
            found.append(Claim(job, json.loads(row["odds"]), json.loads(row["shipped"]), outcome.cause))
    return found


def counted_jobs(book: Book) -> list[CountedJob]:
    """Every job whose outcome counts, and every outcome read in from others with its weight."""
    visits = {int(row["id"]): row for row in book.connection.execute("SELECT id, reason, class FROM visits")}
    own = [
        CountedJob(visits[job]["reason"], visits[job]["class"], outcome.cause)
        for job, outcome in _counting(book.connection)
    ]
    outside = book.connection.execute("SELECT reason, class, cause, weight FROM outside_outcomes ORDER BY id")
    return own + [CountedJob(row["reason"], row["class"], row["cause"], row["weight"], True) for row in outside]


def outcomes_entered(book: Book) -> tuple[int, int]:
    """How many jobs have an outcome, and of how many it counts."""
    with_one = book.connection.execute("SELECT count(DISTINCT visit_id) FROM outcomes").fetchone()[0]
    return int(with_one), len(_counting(book.connection))


def _counting(connection: sqlite3.Connection) -> list[tuple[int, Outcome]]:
    """The last outcome of each job, where it says what was at fault."""
    rows = connection.execute(
        "SELECT visit_id, cause, confirmed, replaced, cured FROM outcomes"
        " WHERE id IN (SELECT max(id) FROM outcomes GROUP BY visit_id) ORDER BY visit_id"
    )
    last = [
        (int(row["visit_id"]), Outcome(row["cause"], row["confirmed"], row["replaced"], row["cured"])) for row in rows
    ]
    return [(job, outcome) for job, outcome in last if outcome.counts]
