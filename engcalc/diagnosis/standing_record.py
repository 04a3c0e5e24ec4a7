"""Which record of a vehicle speaks: the latest that holds any evidence."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from engcalc.case.case import Case
from engcalc.case.records import Record
from engcalc.vehicle.run import AFTER, BEFORE


@dataclass(frozen=True, eq=False)
class StandingRecord:
    """The latest record that holds any evidence, and the one before it where it was overtaken."""

    name: str
    record: Record | None
    before: Record | None

    @property
    def seen(self) -> Mapping[str, bool]:
        """What was seen, or seen not to be so."""
        return {} if self.record is None else self.record.seen

    @property
    def has_evidence(self) -> bool:
        """Whether anything at all was read or seen."""
        return self.record is not None


def standing_record(case: Case) -> StandingRecord:
    """The record after a repair where it holds evidence, else the one before."""
    before, after = (
        r if r is not None and holds_evidence(r) else None for r in (case.evidence.before, case.evidence.after)
    )
    if after is None:
        return StandingRecord(BEFORE, before, None)
    return StandingRecord(AFTER, after, before)


def holds_evidence(record: Record) -> bool:
    """Whether anything was read or seen; an outside temperature or a way of running alone is no evidence."""
    return bool(record.spots or record.curve or record.codes or record.seen) or record.log is not None
