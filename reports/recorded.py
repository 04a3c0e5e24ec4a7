"""What a report is made from besides the check: the same for desktop and command line."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from engcalc.case.case import Case
from engcalc.diagnosis.before_after import compare
from engcalc.diagnosis.conclusion import has_complaint, holds_evidence
from engcalc.logs.record import LogRecord
from engcalc.vehicle.warmup_study import WarmupStudy, has_warmup, study
from reports.kinds import Records, ReportKind


def recorded(
    case: Case,
    logs: Mapping[str, LogRecord],
    *,
    known: WarmupStudy | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> Records | None:
    """The warm-ups of a case with their fits, and both laid together; None for a case without a course in time.

    ``known``: the study of this very case, where it is at hand. Raises Cancelled.
    """
    if not has_warmup(case, logs):
        return None
    found = study(case, logs, cancelled=cancelled) if known is None else known
    return Records(found, compare(found, cancelled=cancelled))


def has_causes(case: Case, kind: ReportKind) -> bool:
    """Whether a report of this kind says what may be behind it unasked: a complaint, and something read or seen."""
    read = (record is not None and holds_evidence(record) for record in (case.evidence.before, case.evidence.after))
    return kind is ReportKind.CUSTOMER and has_complaint(case) and any(read)
