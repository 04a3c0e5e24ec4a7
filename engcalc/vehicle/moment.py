"""A moment of a record's warm-up: what a picture of the circuit at that moment is made from."""

from __future__ import annotations

from dataclasses import dataclass

from engcalc.case.case import Case
from engcalc.vehicle.warmup_study import RecordStudy


@dataclass(frozen=True, eq=False)
class RecordMoment:
    """A moment ``at`` [s from the start] of one record of a case, as the vehicle is described.

    ``lit`` is the key of the hand check that comes next; empty for none.
    """

    case: Case
    record: RecordStudy
    at: float
    lit: str = ""
