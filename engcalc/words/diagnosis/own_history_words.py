"""What is expected of a vehicle from its own history, in plain sentences."""

from __future__ import annotations

from engcalc.diagnosis.odds.diagnosis import Diagnosis
from engcalc.vehicle.own_prior import CHANGED_A_YEAR, CHANGED_AT_ONCE
from engcalc.vehicle.unknowns import Unknown
from engcalc.words.answer.warmup_words import TITLES
from engcalc.words.diagnosis.causes import cause_label
from engcalc.words.terms.numbers import capital, chance, lowered, share

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
    moved = moved_words(found)
    return f"{head}{_narrower(found)}. {f'{moved} ' if moved else ''}{_WIDENED}"


def moved_words(found: Diagnosis) -> str:
    """How the vehicle's own record moved the odds; empty where they go by its class alone."""
    if not found.by_class:
        return ""
    best = found.best.fault
    now = found.best.probability
    name = lowered(cause_label(best))
    then = found.by_class.get(best, 0.0)
    other, of_other = next(iter(found.by_class.items()))
    if other != best:
        of_best = f"{name} would have {chance(then)} in place of {chance(now)}"
        leads = f"{lowered(cause_label(other))}, {chance(of_other)}"
        return f"By its class alone another cause would lead: {leads}. {capital(of_best)}."
    if chance(then) == chance(now):
        return f"By its class alone the odds would be much the same: {name}, {chance(then)}."
    return f"By its class alone {name} would have {chance(then)} in place of {chance(now)}."


def own_history_line(found: Diagnosis) -> str:
    """The same for the customer: that this vehicle is judged by its own record, and what that changed; empty where it
    is judged by its class alone."""
    own = found.own
    if own is None:
        return ""
    head = f"This vehicle is judged by its own healthy record, {visit_words(own.job, own.day)}, and not by its class alone."
    narrowest = _narrowest(found)
    moved = moved_words(found)
    if narrowest is None:
        return f"{head} That changed nothing of what is expected of it."
    unknown, width = narrowest
    left = f"what differs between vehicles of its class is down to {share(width)}"
    told = f"{head} That makes its {unknown.label} known best: {left}."
    return f"{told} {moved}" if moved else told


def own_history_start(found: Diagnosis) -> str:
    """For who reads the next check alone: that the odds start from the vehicle's own record; empty as above."""
    own = found.own
    if own is None:
        return ""
    return f"It goes by odds that start from this vehicle's own healthy record, {visit_words(own.job, own.day)}."


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
