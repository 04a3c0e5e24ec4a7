"""What a customer can tell that no simulation holds: how it came on, after which work, and where coolant is lost.

Each is one word out of a list. How often a cause is told of by each word stands in the record of the cause; what a
record does not say is :data:`USUAL`. All shares are ours, no source, and kept wide: a customer's word moves the odds by
a factor of a few, not of hundreds.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

ONSETS: Mapping[str, str] = {"sudden": "from one day to the next", "creeping": "slowly, over weeks or months"}

WORKS: Mapping[str, str] = {
    "none": "no work before it",
    "coolant": "after the coolant was changed",
    "thermostat": "after work on the thermostat",
    "pump": "after work on the coolant pump or its belt",
    "radiator": "after work on the radiator, fan or front end",
    "heater": "after work on the heater or the dashboard",
    "engine": "after work on the engine",
}

LOST_AT: Mapping[str, str] = {
    "hose": "at a hose",
    "radiator": "at the radiator",
    "pump": "at the pump",
    "cap or tank": "at the cap or the tank",
    "cabin": "in the cabin: wet carpet, glass that fogs up",
    "nowhere seen": "coolant goes, and nobody has seen where",
}


class CustomerQuestion(StrEnum):
    """What the customer is asked."""

    ONSET = "how it came on"
    WORK = "after which work"
    LOST_AT = "where coolant is lost"


Word = tuple[CustomerQuestion, str]
"""A question with one of its answers."""

AFTER_WORK = 0.03  # -; share of complaints told to follow each kind of work by chance alone; ours, no source
SUDDEN = 0.45  # -; share of complaints said to come suddenly, of a cause whose record does not say; ours, no source


@dataclass(frozen=True)
class History:
    """How a cause is told of by a customer.

    ``sudden``: share [-] of its cases that are told to have come suddenly. ``follows``: share [-] of its cases that
    began after each kind of work (a key of ``WORKS``), where that is more than by chance. ``loses_at``: weights [-] of
    the places (keys of ``LOST_AT``) at which its lost coolant is seen; empty where the cause does not decide it.
    """

    sudden: float = SUDDEN
    follows: Mapping[str, float] = field(default_factory=dict)
    loses_at: Mapping[str, float] = field(default_factory=dict)

    def share(self, word: Word) -> float:
        """Share [-] of its cases that are told of by a word; those of one question sum to 1."""
        asked, said = word
        return {
            CustomerQuestion.ONSET: self._onset,
            CustomerQuestion.WORK: self._after,
            CustomerQuestion.LOST_AT: self._lost_at,
        }[asked](said)

    def _onset(self, word: str) -> float:
        return self.sudden if word == "sudden" else 1.0 - self.sudden

    def _after(self, work: str) -> float:
        if work != "none":
            return self.follows.get(work, AFTER_WORK)
        return 1.0 - sum(self._after(other) for other in WORKS if other != "none")

    def _lost_at(self, place: str) -> float:
        weights = self.loses_at or USUAL_PLACES
        mixed = {where: MISPLACED / len(LOST_AT) + (1.0 - MISPLACED) * weights.get(where, 0.0) for where in LOST_AT}
        return mixed[place] / sum(mixed.values())


MISPLACED = 0.15  # -; share of customers who name any place, right or wrong: it drips where it runs to; ours, no source
USUAL_PLACES: Mapping[str, float] = {
    "hose": 0.25,
    "radiator": 0.2,
    "pump": 0.15,
    "cap or tank": 0.12,
    "cabin": 0.08,
    "nowhere seen": 0.2,
}  # of a cause that does not decide it; ours, no source
USUAL = History()


def _every_word() -> tuple[Word, ...]:
    lists = {CustomerQuestion.ONSET: ONSETS, CustomerQuestion.WORK: WORKS, CustomerQuestion.LOST_AT: LOST_AT}
    return tuple((asked, said) for asked, words in lists.items() for said in words)


WORDS = _every_word()
"""Every answer to every question."""
