"""A test drive planned for a case: before its reading starts, and anew when a reading ends with something open."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from engcalc.case.bench_rules import has_engine
from engcalc.case.case import Case
from engcalc.case.resolve import Faults, resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.diagnosis.conclusion import Conclusion
from engcalc.diagnosis.drive.planned_drive import PlannedDrive, planned_drive
from engcalc.diagnosis.grounds import Danger, Rank
from engcalc.diagnosis.hottest import limit_of
from engcalc.diagnosis.odds.as_it_grows import GrowingOdds, GrownOdds
from engcalc.diagnosis.whole_check import check_with_records
from engcalc.errors import InputError, InputFault
from engcalc.logs.record import LogRecord
from engcalc.vehicle.run import read_logs, records
from engcalc.words.lesson.bench_words import NO_WARM_UP
from engcalc.words.texts import live_texts, shared_texts

Stop = Callable[[], bool] | None


@dataclass(frozen=True)
class Planned:
    """A plan with the moment [s] of the record at which it was made. ``drive`` is None where danger comes first, or a
    fault that was looked at and ``found``."""

    at: float
    drive: PlannedDrive | None
    found: bool = False

    def leg_at(self, at: float) -> int | None:
        """Which leg is driven at a moment [s] from the engine's start, from 0; their count where all are over, None
        where there are none or none has begun."""
        if self.drive is None or not self.drive.legs or at < self.at:
            return None
        ends = self.at + 60.0 * np.cumsum([leg.minutes for leg in self.drive.legs])
        return int(np.searchsorted(ends, at, side="right"))


@dataclass(frozen=True)
class LegNow:
    """Another leg of a planned drive is due: its ``number``, from 0; their count where all are over."""

    drive: PlannedDrive
    number: int


def plan_for(text: CaseText | None, record: str, folder: Path, *, cold: bool, cancelled: Stop = None) -> Planned:
    """Plan for a case, by all that its record holds: from a cold start, else on from the end of its log.

    InputError with every fault of the case, and where there is no log to go on from. Raises Cancelled.
    """
    case = with_record(text or CaseText({"format": FORMAT}), record)
    logs = read_logs(case, folder)
    if not cold and record not in logs:
        wanted = live_texts.LOG_IN_THIS_RECORD
        raise InputError((InputFault(f"evidence.{record}.log", "", wanted),))
    return planned_by(case, logs, record, cold=cold, cancelled=cancelled)


def planned_by(
    case: Case, logs: Mapping[str, LogRecord], record: str, *, cold: bool, cancelled: Stop = None
) -> Planned:
    """The drive by all that a case's record and its log hold; nothing while there is a danger, or a fault that was
    looked at and found. Raises Cancelled."""
    said = check_with_records(case, logs, cancelled=cancelled).conclusion
    if said.danger is Danger.STOP:
        return Planned(0.0, None)
    if said.rank is Rank.FOUND:
        return Planned(0.0, None, found=True)
    odds = GrowingOdds(record).renew(case, logs, cancelled)
    return Planned(0.0 if cold else odds.at, drive_by(case, record, odds, cold=cold, cancelled=cancelled))


def drive_by(case: Case, record: str, odds: GrownOdds, *, cold: bool, cancelled: Stop = None) -> PlannedDrive:
    """The drive by odds as they are. Raises Cancelled."""
    limit = limit_of(case, records(case)[record])
    return planned_drive(odds.problem, odds.draws, limit, cold=cold, cancelled=cancelled)


def planned_on(case: Case, record: str, odds: GrownOdds, found: Conclusion, cancelled: Stop = None) -> Planned:
    """What would settle the most on from now; nothing while there is a danger. Raises Cancelled."""
    if found.danger is Danger.STOP:
        return Planned(odds.at, None)
    return Planned(odds.at, drive_by(case, record, odds, cold=False, cancelled=cancelled))


def with_record(text: CaseText, record: str) -> Case:
    """The case, resolved, with an empty record where it has none. Raises as ``of_an_engine``."""
    tree = dict(text.tree)
    evidence = dict(tree.get("evidence") or {})
    evidence.setdefault(record, {})
    return of_an_engine(CaseText({**tree, "evidence": evidence}))


def of_an_engine(text: CaseText) -> Case:
    """The case, resolved. InputError with every fault of it, and where there is no engine that could be read."""
    found = resolve(text)
    if isinstance(found, Faults):
        raise InputError(found.faults)
    if not has_engine(found):
        raise InputError(
            (
                InputFault(
                    "vehicle.class", found.vehicle.class_, shared_texts.VEHICLE_WOULD_DO.format(refusal=NO_WARM_UP)
                ),
            )
        )
    return found


@dataclass(eq=False)
class Planning:
    """One plan on its own, for whoever waits on another thread."""

    make: Callable[[Callable[[], bool]], Planned]
    tell: Callable[[Planned], None]
    _abandoned: bool = False

    def run(self) -> None:
        """Plan and tell it. Raises what planning raises."""
        self.tell(self.make(lambda: self._abandoned))

    def abandon(self) -> None:
        """Nobody waits any more."""
        self._abandoned = True
