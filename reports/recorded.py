"""What the records of a case show over time, for its report: the same for desktop and command line."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from engcalc.case.case import Case
from engcalc.diagnosis.before_after import compare
from engcalc.logs.record import LogRecord
from engcalc.vehicle.warmup_study import WarmupStudy, has_warmup, study
from reports.kinds import Records


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
