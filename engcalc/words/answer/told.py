"""What a sentence on a finding is made from."""

from __future__ import annotations

from dataclasses import dataclass

from engcalc.case.case import Case
from engcalc.studies.readings import ReadingCheck
from engcalc.studies.seen import IN_HAND
from engcalc.units import UnitSystem
from engcalc.verdict import Finding
from engcalc.words.terms.numbers import difference, heat, temperature


@dataclass(frozen=True)
class SentenceFacts:
    """What a sentence is made from: who it is about, the finding, the system, and facts of the case.

    ``valve_seen``: somebody has had the thermostat in the hand, so that nobody is sent to look at it again.
    ``overtaken``: it was read before a repair, so that nobody is told what to do about it.
    """

    name: str
    finding: Finding
    system: UnitSystem
    valve_at_inlet: bool = False
    reading: ReadingCheck | None = None
    valve_seen: bool = False
    overtaken: bool = False

    def number(self, key: str) -> float:
        """A number of the finding, SI."""
        return self.finding.numbers[key]

    def T(self, key: str) -> str:
        """A temperature of the finding."""
        return temperature(self.number(key), self.system)

    def dT(self, key: str) -> str:
        """A difference of the finding."""
        return difference(self.number(key), self.system)

    def Q(self, key: str) -> str:
        """A heat rate of the finding."""
        return heat(self.number(key), self.system)


def valve_was_seen(case: Case) -> bool:
    """Whether somebody has looked at the thermostat itself, whatever was found."""
    records = (case.evidence.before, case.evidence.after)
    return any(fact in record.seen for record in records if record is not None for fact in IN_HAND)
