"""The earlier visit of a vehicle whose healthy record may be what is expected of it now; found, and fitted.

What was confirmed counts: a visit that ended with nothing at fault by its record as found, one whose repair cured by
its record after it. Whatever was repaired or replaced ends the search: older records are of another vehicle, in a way.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum
from threading import Lock
from typing import Any

from engcalc.case.case import Case
from engcalc.case.file import case_bytes
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.causes.base_rates import NO_REASON
from engcalc.causes.catalogue.healthy import HEALTHY
from engcalc.diagnosis.checks.found_causes import found_causes
from engcalc.diagnosis.members.simulated import Runner, simulate
from engcalc.diagnosis.odds.own_history import NoPrior, prior_of_record
from engcalc.diagnosis.odds.sampler import Effort
from engcalc.errors import InputError
from engcalc.vehicle.own_prior import OwnHistory, OwnPrior, changed_since
from engcalc.vehicle.run import AFTER, BEFORE
from engcalc.words.texts import book_texts
from ui.book.contents import digest
from ui.book.jobs import newest_case, outcomes_of, vehicle_of
from ui.book.kept_logs import logs_of_job, read_kept
from ui.book.store import Book

EFFORT = Effort(prior=32, steps=2, first=24, round=900, rounds=6, wanted_likely=250, wanted_possible=80)
"""Draws of an earlier record: enough for the spread of its unknowns, half of what odds to a few points take."""

_OF_ONE_VISIT = ("base_rates", "refill", "rig", "limits")  # sections that say nothing of vehicle or weather


class NoHistory(StrEnum):
    """Why nothing of the vehicle's own is expected."""

    NO_VISIT = "no earlier visit"
    UNCONFIRMED = book_texts.NO_EARLIER_RECORD_THAT_WAS_CONFIRMED
    REPAIRED = book_texts.REPAIRED_SINCE_ITS_LAST_HEALTHY_RECORD
    NO_RECORD = book_texts.NOTHING_WAS_MEASURED_OVER_TIME
    UNREAD = book_texts.RECORD_CANNOT_BE_READ
    NOT_HEALTHY = NoPrior.NOT_HEALTHY.value
    FAR_OFF = NoPrior.FAR_OFF.value
    TOO_FEW = NoPrior.TOO_FEW.value


@dataclass(frozen=True)
class HistoryNotUsed:
    """Why no history counts, and the job that it is about where there is one."""

    why: NoHistory
    job: int | None = None
    day: str = ""


@dataclass(frozen=True, eq=False)
class EarlierRecord:
    """A record that was confirmed as healthy, ready to be fitted: where it is from, the vehicle as it is described now
    with this record alone, the logs that it names, and the share by which the vehicle may have changed since."""

    job: int
    day: str
    record: str
    text: CaseText
    logs: Mapping[str, bytes]
    changed: float

    @property
    def key(self) -> str:
        """What tells this record and its vehicle from others."""
        given = [case_bytes(self.text).decode("utf-8"), sorted((name, digest(log)) for name, log in self.logs.items())]
        return hashlib.sha256(json.dumps(given).encode()).hexdigest()


# ---- finding --------------------------------------------------------------------------------------------------------


def earlier_record(book: Book, text: CaseText, job: int | None = None) -> EarlierRecord | HistoryNotUsed:
    """The newest record of the vehicle of a case that may be what is expected of it, or why there is none.

    ``job`` is the case's own, where the book has it; later visits of the vehicle do not count.
    """
    vehicle = vehicle_of(book.connection, text) if job is None else _vehicle_of_job(book, job)
    visits = [] if vehicle is None else _visits_before(book, vehicle, text, job)
    unconfirmed: HistoryNotUsed | None = None
    for visit in reversed(visits):
        record, ends = _confirmed(book, visit.job)
        if record is not None:
            found = _ready(book, visit, record, text)
            if found is not None:
                return found
            if ends:
                return HistoryNotUsed(NoHistory.REPAIRED, visit.job, visit.day)
            unconfirmed = unconfirmed or HistoryNotUsed(NoHistory.NO_RECORD, visit.job, visit.day)
        elif ends:
            return HistoryNotUsed(NoHistory.REPAIRED, visit.job, visit.day)
        else:
            unconfirmed = unconfirmed or HistoryNotUsed(NoHistory.UNCONFIRMED, visit.job, visit.day)
    return unconfirmed or HistoryNotUsed(NoHistory.NO_VISIT)


@dataclass(frozen=True)
class DatedVisit:
    """A visit by its job and its day as typed."""

    job: int
    day: str


def in_order(visits: Iterable[DatedVisit]) -> list[DatedVisit]:
    """Visits in the order of time: by their days where all can be read, else by the numbers of their jobs."""
    every = sorted(visits, key=lambda visit: visit.job)
    days = {visit.job: read_day(visit.day) for visit in every}
    if any(day is None for day in days.values()):
        return every
    return sorted(every, key=lambda visit: (days[visit.job] or date.min, visit.job))


def read_day(text: str) -> date | None:
    """A day written as 2026-03-31; None for anything else.

    >>> read_day("2026-03-31")
    datetime.date(2026, 3, 31)
    """
    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        return None


def _vehicle_of_job(book: Book, job: int) -> int | None:
    row = book.connection.execute("SELECT vehicle_id FROM visits WHERE id = ?", (job,)).fetchone()
    return None if row is None or row["vehicle_id"] is None else int(row["vehicle_id"])


def _visits_before(book: Book, vehicle: int, text: CaseText, job: int | None) -> list[DatedVisit]:
    """The vehicle's visits before the one of the case, the oldest first."""
    rows = book.connection.execute("SELECT id, day, work_order FROM visits WHERE vehicle_id = ?", (vehicle,)).fetchall()
    order, today = text.typed("job.work_order").strip(), text.typed("job.date").strip()
    if job is None:  # a newer state of a job that the book has is no other visit
        same = [row for row in rows if (order and row["work_order"] == order) or (not order and row["day"] == today)]
        rows = [row for row in rows if row not in same]
    visits = in_order(DatedVisit(int(row["id"]), row["day"]) for row in rows)
    if job is not None:
        at = next((i for i, visit in enumerate(visits) if visit.job == job), len(visits))
        return visits[:at]
    now = read_day(today)
    return [visit for visit in visits if now is None or (read_day(visit.day) or date.min) <= now]


def _confirmed(book: Book, job: int) -> tuple[str | None, bool]:
    """The record of a visit that its outcome confirms as healthy, and whether older visits are of before a change."""
    outcomes = outcomes_of(book.connection, job)
    if not outcomes:
        return None, _was_worked_on(newest_case(book.connection, job))
    outcome = outcomes[-1]
    healthy, changed = outcome.cause == HEALTHY.key, bool(outcome.replaced)
    if not outcome.counts:
        return None, changed
    if healthy and not changed:
        return BEFORE, False
    return (AFTER if outcome.cured == "yes" else None), True


def _was_worked_on(case: CaseText) -> bool:
    """Whether a case tells of a repair, though nobody said how the job ended."""
    return bool(case.typed("job.work_done").strip()) or bool(case.get(f"evidence.{AFTER}"))


def _ready(book: Book, visit: DatedVisit, record: str, now: CaseText) -> EarlierRecord | None:
    """The record with its logs; None where the visit has none."""
    then = newest_case(book.connection, visit.job)
    found = then.get(f"evidence.{record}")
    if not isinstance(found, dict) or not (found.get("log") or found.get("curve")):
        return None
    days = _days_between(visit.day, now.typed("job.date") or book.now().date().isoformat())
    text = _alone(now, found, then.get("duties"))
    return EarlierRecord(visit.job, visit.day, record, text, logs_of_job(book, visit.job), changed_since(days))


def _days_between(then: str, now: str) -> float | None:
    first, last = read_day(then), read_day(now)
    return None if first is None or last is None else float((last - first).days)


def _alone(now: CaseText, record: dict[str, Any], duties: Any) -> CaseText:
    """The vehicle as it is described now, in its earlier record, without a complaint."""
    tree: dict[str, Any] = {"format": FORMAT, **{k: v for k, v in now.tree.items() if k not in _OF_ONE_VISIT}}
    tree["job"] = {"reason": NO_REASON}
    tree["evidence"] = {BEFORE: record}
    tree.pop("duties", None)
    if duties:
        tree["duties"] = duties
    return CaseText(tree)


# ---- fitting --------------------------------------------------------------------------------------------------------


def fitted(
    earlier: EarlierRecord,
    *,
    cancelled: Callable[[], bool] | None = None,
    progress: Callable[[float, str], None] | None = None,
    runner: Runner = simulate,
    effort: Effort = EFFORT,
) -> OwnHistory | HistoryNotUsed:
    """Fit the record; the history, or why it does not count. Raises Cancelled."""

    def not_used(why: NoHistory) -> HistoryNotUsed:
        return HistoryNotUsed(why, earlier.job, earlier.day)

    try:
        case = resolve(earlier.text)
        if not isinstance(case, Case):
            return not_used(NoHistory.UNREAD)
        if found_causes(case, BEFORE):
            return not_used(NoHistory.NOT_HEALTHY)
        logs = read_kept(case, earlier.logs)
        prior, healthy = prior_of_record(
            case, logs, earlier.changed, effort=effort, cancelled=cancelled, progress=progress, runner=runner
        )
    except InputError:
        return not_used(NoHistory.UNREAD)
    if not isinstance(prior, OwnPrior):
        return not_used(NoHistory(prior.value))
    return OwnHistory(earlier.job, earlier.day, earlier.record, healthy, prior)


class FittedRecords:
    """Records that were fitted, so that each is fitted once for all who ask. For several threads at once."""

    def __init__(self) -> None:
        self._found: dict[str, OwnHistory | HistoryNotUsed] = {}
        self._lock = Lock()

    def known(self, earlier: EarlierRecord) -> OwnHistory | HistoryNotUsed | None:
        """What :meth:`of` gives at once; None where the record was not fitted yet."""
        with self._lock:
            found = self._found.get(earlier.key)
        return None if found is None else _changed_by(found, earlier.changed)

    def of(
        self,
        earlier: EarlierRecord,
        cancelled: Callable[[], bool] | None = None,
        progress: Callable[[float, str], None] | None = None,
        runner: Runner = simulate,
    ) -> OwnHistory | HistoryNotUsed:
        """As :func:`fitted`."""
        known = self.known(earlier)
        if known is not None:
            return known
        found = fitted(earlier, cancelled=cancelled, progress=progress, runner=runner)
        with self._lock:
            self._found[earlier.key] = found
        return found


def _changed_by(found: OwnHistory | HistoryNotUsed, changed: float) -> OwnHistory | HistoryNotUsed:
    """The same where another share may have changed since: the fit of the record is the same."""
    if isinstance(found, HistoryNotUsed):
        return found
    return replace(found, prior=replace(found.prior, changed=changed))


FITTED = FittedRecords()
"""Of this process: window and reports ask for the same records."""


def own_history_of(
    expected: EarlierRecord | HistoryNotUsed | None,
    cancelled: Callable[[], bool] | None = None,
    runner: Runner = simulate,
    progress: Callable[[float, str], None] | None = None,
) -> OwnHistory | None:
    """The history that counts, fitted where that was not done yet; None where none does. Raises Cancelled."""
    if not isinstance(expected, EarlierRecord):
        return None
    found = FITTED.of(expected, cancelled, progress, runner)
    return found if isinstance(found, OwnHistory) else None
