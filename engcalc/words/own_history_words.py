"""What is expected of a vehicle from its own history, in plain sentences."""

from __future__ import annotations

from engcalc.diagnosis.diagnosis import Diagnosis
from engcalc.vehicle.own_prior import CHANGED_A_YEAR, CHANGED_AT_ONCE
from engcalc.vehicle.unknowns import Unknown
from engcalc.words.numbers import chance, lowered, share
from engcalc.words.warmup_words import TITLES

OWN_HISTORY = "This vehicle's own history"
OWN_HISTORY_TIP = (
    "Expect of this vehicle what its last record showed that was confirmed as healthy; switch it off to expect only "
    "what its class shows"
)
FITTING_HISTORY = "this vehicle's own record: "
_WIDENED = (
    f"By how much a vehicle changes between two visits is common practice, no source: {share(CHANGED_AT_ONCE)} of the "
    f"variance within its class, and {share(CHANGED_A_YEAR)} more for each year."
)
_WHY = {
    "no earlier visit": "the job book has no earlier visit of this vehicle",
    "no earlier record that was confirmed as healthy": "nobody has entered that {visit} ended with nothing at fault, "
    "or with a cure",
    "repaired since its last healthy record": "it was repaired at {visit}, and nothing was measured after that",
    "nothing was measured over time": "no warm-up was recorded at {visit}",
    "the record cannot be read": "the record of {visit} does not go with what this case says of the vehicle",
    "the odds of the record do not say healthy": "the record of {visit} does not look healthy by itself, though its "
    "job was closed so",
    "the record fits a healthy vehicle only where something is far from usual": "the record of {visit} fits a healthy "
    "vehicle only where something is far from usual, as a fault would look",
    "too few draws carry the fit of the record": "the record of {visit} could not be fitted closely enough",
}


def visit_words(job: int, day: str) -> str:
    """A visit by its day and job."""
    return f"the visit of {day} (job {job})" if day else f"job {job}"


def own_history_words(found: Diagnosis) -> str:
    """From which record the odds expect what of this vehicle; empty where they go by its class alone."""
    own = found.own
    if own is None:
        return ""
    record = lowered(TITLES[own.record])
    head = (
        f"What is expected of this vehicle starts from its own record at {visit_words(own.job, own.day)}, {record}, "
        f"which was confirmed as healthy and looks so by itself ({chance(own.healthy)})"
    )
    return f"{head}{_narrower(found)}. {_WIDENED}"


def own_history_line(found: Diagnosis) -> str:
    """The same for the customer: that this vehicle is judged by its own record, and what that changed; empty where it
    is judged by its class alone."""
    own = found.own
    if own is None:
        return ""
    head = f"This vehicle is judged by its own healthy record, {visit_words(own.job, own.day)}, and not by its class alone."
    narrowest = _narrowest(found)
    if narrowest is None:
        return f"{head} That changed nothing of what is expected of it."
    unknown, width = narrowest
    left = f"what differs between vehicles of its class is down to {share(width)}"
    return f"{head} That makes its {unknown.label} known best: {left}."


def _narrower(found: Diagnosis) -> str:
    narrowest = _narrowest(found)
    if narrowest is None:
        return ""
    unknown, width = narrowest
    return f". Narrowed most: {unknown.label}, to {share(width)} of the spread within its class"


def _narrowest(found: Diagnosis) -> tuple[Unknown, float] | None:
    """What the vehicle's record narrows most, and how much of the class's spread is left of it [-]."""
    assert found.kept is not None  # a diagnosis that ran to its end
    assert found.own is not None
    problem = found.kept.problem
    return found.own.prior.narrowest(problem.unknowns, problem.layouts[0].thermostat.side)


def not_used_words(why: str, job: int | None, day: str) -> str:
    """Why nothing of the vehicle's own history counts."""
    reason = _WHY[why].format(visit="" if job is None else visit_words(job, day))
    return f"Its own history does not count: {reason}. The odds go by its class."
