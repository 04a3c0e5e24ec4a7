"""How a job ended: what was found at fault, how that was confirmed, what was replaced, and whether it cured."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from engcalc.causes.catalogue import CAUSES
from engcalc.errors import InputError, InputFault

CONFIRMED: Mapping[str, str] = {
    "seen": "looked at and found so",
    "measured": "measured or tested on the part",
    "cured": "the complaint went when it was put right",
    "guess": "not confirmed",
}
"""How a cause may have been confirmed: the word, and what it means."""

CURED: Mapping[str, str] = {
    "yes": "the complaint is gone",
    "no": "the complaint is still there",
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
        faults.append(InputFault("cause", cause, f"a key of the list of causes would do: {', '.join(CAUSES)}"))
    if confirmed not in CONFIRMED:
        faults.append(InputFault("confirmed", confirmed, f"one of these words would do: {', '.join(CONFIRMED)}"))
    if cured not in CURED:
        faults.append(InputFault("cured", cured, f"one of these words would do: {', '.join(CURED)}"))
    if len(replaced) > LONGEST:
        faults.append(InputFault("replaced", f"{replaced[:40]}...", f"at most {LONGEST} characters would do"))
    if confirmed == "cured" and cured in ("no", "unknown"):
        faults.append(InputFault("cured", cured, "'yes' would do, as the cause is confirmed by the cure"))
    if faults:
        raise InputError(tuple(faults))
    return Outcome(cause, confirmed, replaced.strip(), cured)
