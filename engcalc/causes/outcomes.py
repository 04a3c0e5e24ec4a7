"""How a job ended: what was found at fault, how that was confirmed, what was replaced, and whether it cured."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from engcalc.causes.catalogue import CAUSES
from engcalc.errors import InputError, InputFault
from engcalc.words.texts import case_texts, shared_texts

CONFIRMED: Mapping[str, str] = {
    "seen": case_texts.LOOKED_AT_AND_FOUND_SO,
    "measured": case_texts.MEASURED_OR_TESTED_ON_THE_PART,
    "cured": case_texts.COMPLAINT_WENT_WHEN_IT_WAS_PUT_RIGHT,
    "guess": "not confirmed",
}
"""How a cause may have been confirmed: the word, and what it means."""

CURED: Mapping[str, str] = {
    "yes": case_texts.COMPLAINT_IS_GONE,
    "no": case_texts.COMPLAINT_IS_STILL_THERE,
    "unknown": "not known",
}
"""Whether the complaint went: the word, and what it means."""

_GUESS = "guess"
_NOT_CURED = "no"
LONGEST = 500  # characters of what was replaced


@dataclass(frozen=True)
class Outcome:
    """How one job ended. ``cause`` is a key of the list of causes, ``healthy`` where nothing was found at fault."""

    cause: str
    confirmed: str
    replaced: str
    cured: str

    @property
    def counts(self) -> bool:
        """Whether it says what was at fault: confirmed, and the complaint not still there."""
        return self.confirmed != _GUESS and self.cured != _NOT_CURED


def checked_outcome(cause: str, confirmed: str, replaced: str, cured: str) -> Outcome:
    """An outcome as entered. InputError with every fault."""
    faults = []
    if cause not in CAUSES:
        faults.append(
            InputFault("cause", cause, case_texts.KEY_OF_THE_LIST_OF_CAUSES_WOULD_DO.format(causes=", ".join(CAUSES)))
        )
    if confirmed not in CONFIRMED:
        faults.append(
            InputFault(
                "confirmed", confirmed, case_texts.ONE_OF_THESE_WORDS_WOULD_DO.format(confirmed=", ".join(CONFIRMED))
            )
        )
    if cured not in CURED:
        faults.append(
            InputFault("cured", cured, case_texts.ONE_OF_THESE_WORDS_WOULD_DO.format(confirmed=", ".join(CURED)))
        )
    if len(replaced) > LONGEST:
        faults.append(
            InputFault(
                "replaced", f"{replaced[:40]}...", shared_texts.AT_MOST_CHARACTERS_WOULD_DO.format(longest=LONGEST)
            )
        )
    if confirmed == "cured" and cured in ("no", "unknown"):
        faults.append(InputFault("cured", cured, case_texts.YES_WOULD_DO))
    if faults:
        raise InputError(tuple(faults))
    return Outcome(cause, confirmed, replaced.strip(), cured)
