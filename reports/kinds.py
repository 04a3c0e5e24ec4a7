"""What is asked for when a report is built."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from enum import IntEnum, StrEnum
from pathlib import Path

from engcalc.case.case import Case
from engcalc.diagnosis.odds.diagnosis import Diagnosis
from engcalc.diagnosis.repair.before_after import BeforeAfter
from engcalc.errors import Cancelled
from engcalc.studies.checked import Check
from engcalc.studies.choice.candidates import Comparison
from engcalc.studies.choice.least_core import LeastCore
from engcalc.studies.members import Stop
from engcalc.units import UnitSystem
from engcalc.vehicle.warmup_study import WarmupStudy
from engcalc.words.lesson.class_symbols import Write, as_it_is, class_writes
from engcalc.words.page.paper_words import CUSTOMER_TITLE, LESSON_TITLE, SIZING_TITLE
from engcalc.words.texts import report_texts
from reports.identity import Identity
from reports.letterhead import Letterhead


class ReportKind(StrEnum):
    """Whom a report is for; the value is the word of the command line."""

    CUSTOMER = "customer"
    SIZING = "sizing"
    LESSON = "lesson"


USUAL_TITLES: Mapping[ReportKind, str] = {
    ReportKind.CUSTOMER: CUSTOMER_TITLE,
    ReportKind.SIZING: SIZING_TITLE,
    ReportKind.LESSON: LESSON_TITLE,
}
"""What heads a report whose case has no title."""


class Annex(IntEnum):
    """How much stands behind the report itself; a greater one holds all of a lesser one. Its name in small letters is
    the word of the command line."""

    NONE = 0
    SHORT = 1
    FULL = 2

    @property
    def word(self) -> str:
        """As it is typed."""
        return self.name.lower()


def kind_for(case: Case) -> ReportKind:
    """The kind that the reason for the visit asks for."""
    reason = case.job.reason
    return ReportKind(reason) if reason in (ReportKind.SIZING, ReportKind.LESSON) else ReportKind.CUSTOMER


def usual_annex(kind: ReportKind) -> Annex:
    """The annex where nobody asked for another: a lesson wants all, anyone else has to read little."""
    return Annex.FULL if kind is ReportKind.LESSON else Annex.SHORT


@dataclass(frozen=True, eq=False)
class Records:
    """What the records of a case show in time, and both laid together where there are two."""

    study: WarmupStudy
    both: BeforeAfter | None


@dataclass(frozen=True)
class RestsOn:
    """A log or table that the numbers rest on: its name in the case, its length in bytes, its SHA-256."""

    name: str
    length: int
    sha256: str


@dataclass(frozen=True, eq=False)
class Order:
    """Everything that a page is made from; the same order gives the same bytes.

    ``now`` carries its time zone. ``final`` leaves the DRAFT off: for a report that is signed at once.
    ``files_folder`` is where pictures and tables named in the case are looked for. ``report_id`` names this report on
    every page. ``records`` are the warm-ups, where the case has any; ``diagnosis`` the causes, where they were asked
    for; ``least_core`` the least core, where the case states a room for one; ``candidates`` the parts side by side,
    where it names tables of parts. ``files`` are the logs and tables that the report carries, ``left_out`` names those
    that it rests on and does not carry. ``letterhead`` heads the customer's page; None where nobody named a shop.
    ``cancelled`` says whether nobody waits for the pages any more.
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
    annex: Annex = Annex.SHORT
    letterhead: Letterhead | None = None
    least_core: LeastCore | None = None
    candidates: Comparison | None = None
    files: tuple[RestsOn, ...] = ()
    left_out: tuple[str, ...] = ()
    cancelled: Stop = None

    def go_on(self) -> None:
        """Raise Cancelled where nobody waits for the pages any more."""
        if self.cancelled is not None and self.cancelled():
            raise Cancelled(report_texts.REPORT_WAS_CANCELLED)

    @property
    def write(self) -> Write:
        """How symbols of duties and points are written: in a lesson as the class chose."""
        return class_writes(self.check.case) if self.kind is ReportKind.LESSON else as_it_is
