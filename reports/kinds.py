"""What is asked for when a report is built."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from pathlib import Path

from engcalc.diagnosis.before_after import BeforeAfter
from engcalc.diagnosis.diagnosis import Diagnosis
from engcalc.studies.checked import Check
from engcalc.units import UnitSystem
from engcalc.vehicle.warmup_study import WarmupStudy
from reports.identity import Identity


class ReportKind(StrEnum):
    """Whom a report is for; the value is the word of the command line."""

    CUSTOMER = "customer"
    SIZING = "sizing"


@dataclass(frozen=True, eq=False)
class Records:
    """What the records of a case show in time, and both laid together where there are two."""

    study: WarmupStudy
    both: BeforeAfter | None


@dataclass(frozen=True, eq=False)
class Order:
    """Everything that a page is made from; the same order gives the same bytes.

    ``now`` carries its time zone. ``final`` leaves the DRAFT off: for a report that is signed at once.
    ``files_folder`` is where pictures and tables named in the case are looked for. ``report_id`` names this
    report on every page. ``records`` are the warm-ups, where the case has any; ``diagnosis`` the causes, where
    they were asked for.
    """

    check: Check
    kind: ReportKind
    now: datetime
    system: UnitSystem
    final: bool
    files_folder: Path | None
    signer: Identity | None
    report_id: str
    records: Records | None = None
    diagnosis: Diagnosis | None = None
