"""What a report is made from besides the check: the same for desktop and command line."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path

from engcalc.case.case import Case
from engcalc.case.text import CaseText
from engcalc.diagnosis.conclusion import has_complaint
from engcalc.diagnosis.repair.before_after import compare
from engcalc.diagnosis.standing_record import holds_evidence
from engcalc.logs.record import LogRecord
from engcalc.studies.choice.candidates import Comparison, chosen_parts, compare_parts
from engcalc.studies.choice.core_builds import room_of
from engcalc.studies.choice.kept_cores import KEPT
from engcalc.studies.choice.least_core import LeastCore
from engcalc.studies.choice.tables import tables_of
from engcalc.studies.crew import Crew
from engcalc.vehicle.run import RECORDS, records
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

    Where both courses were read by hand alone they are laid together, and no warm-up is told of either.

    ``known``: the study of this very case, where it is at hand. Raises Cancelled.
    """
    if not has_warmup(case, logs):
        return _read_by_hand(case, cancelled)
    found = study(case, logs, cancelled=cancelled) if known is None else known
    return Records(found, compare(found, cancelled=cancelled))


def _read_by_hand(case: Case, cancelled: Callable[[], bool] | None) -> Records | None:
    """Both records laid together where each was read by hand often enough; None else."""
    if set(records(case)) != set(RECORDS):
        return None
    both = compare(study(case, {}, fits=False, cancelled=cancelled), cancelled=cancelled)
    return None if both is None else Records(WarmupStudy(case, ()), both)


def sought_core(
    case: Case,
    text: CaseText,
    kind: ReportKind,
    *,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> LeastCore | None:
    """The least core of a sizing report whose case states the room for one; None else. Raises InputError, Cancelled."""
    room = room_of(case) if kind is ReportKind.SIZING else None
    return None if room is None else KEPT.least_core(text, room, progress=progress, cancelled=cancelled)


def compared_parts(
    case: Case,
    text: CaseText,
    kind: ReportKind,
    folder: Path,
    *,
    cancelled: Callable[[], bool] | None = None,
) -> Comparison | None:
    """The parts of a sizing report whose case names tables of them, side by side; None else.

    ``folder`` is where the tables lie. Raises InputError, Cancelled.
    """
    if kind is not ReportKind.SIZING or not case.job.part_tables:
        return None
    chosen = chosen_parts(tables_of(case, folder), case.job.candidates, "job.candidates")
    with Crew() as crew:
        return compare_parts(text, chosen, cancelled=cancelled, crew=crew)


def has_causes(case: Case, kind: ReportKind) -> bool:
    """Whether a report of this kind says what may be behind it unasked: a complaint, and something read or seen."""
    read = (record is not None and holds_evidence(record) for record in (case.evidence.before, case.evidence.after))
    return kind is ReportKind.CUSTOMER and has_complaint(case) and any(read)
