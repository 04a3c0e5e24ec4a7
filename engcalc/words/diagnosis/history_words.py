"""The same vehicle over its visits, in plain sentences."""

from __future__ import annotations

from collections.abc import Sequence

from engcalc.case.records import SPOT_PLACES
from engcalc.units import UnitSystem, show
from engcalc.vehicle.earlier import EarlierVisit, LeftOpen, MeasuredRun, SpotRead, opening_drift, time_drift
from engcalc.vehicle.warmup_study import TIMES_TO
from engcalc.words.answer.warmup_words import TITLES
from engcalc.words.diagnosis.causes import cause_label
from engcalc.words.diagnosis.told_by_customer import word_read
from engcalc.words.terms.numbers import capital, chance, minutes, small_share, temperature
from engcalc.words.workshop.book_words import outcome_sentence

HISTORY_PICTURE = "This vehicle's warm-ups"
HISTORY_CAPTION = "Only starts in like weather, driven alike, can be set side by side."
READING_VISITS = "The visits of this vehicle are being read."
NO_RUN = "nothing was measured"
NO_OTHER_VISIT = "This vehicle has no other visit in the job book."
TIMES_PICTURE = "Time to temperature over the visits"
OPENING_PICTURE = "What the shut valve passes, over the visits"
OPENING_CAPTION = "Each record fitted by itself, best and 5 to 95 %. A heater that was set otherwise shows here too."
SURE = 0.95  # probability from which a change of the valve is said to be shown; common practice, no source
NOT_FITTED = "not fitted"
NOT_REACHED = "not reached"
WARM_AT_START = "warm at the start"
LEAST_DRIFT = 60.0  # s, under which nobody would call it a change; common practice, no source


def run_name(visit: EarlierVisit, run: MeasuredRun) -> str:
    """One run, in the key of a picture."""
    return f"{visit.day or f'job {visit.job}'}, {TITLES[run.record].lower()}"


def history_lines(visits: Sequence[EarlierVisit], system: UnitSystem) -> list[str]:
    """Every visit with what was measured and how it ended, the oldest first; then what has changed."""
    lines = [line for visit in visits for line in _visit_lines(visit, system)]
    if len(visits) < 2:
        lines.append(NO_OTHER_VISIT)
    changed = (_drift_sentence(visits, system), _opening_sentence(visits))
    return [*lines, *(text for text in changed if text)]


def history_table(
    visits: Sequence[EarlierVisit], system: UnitSystem
) -> tuple[tuple[str, ...], tuple[tuple[str, ...], ...]]:
    """Every record in time as a row, the oldest first: heads, and as many cells each."""
    to = [f"To {temperature(x, system)}" for x in TIMES_TO]
    heads = ("Visit", "Record", "How it ended", "Start", "Air", *to, "The shut valve passes")
    return heads, tuple(_row(visit, run, system) for visit in visits for run in visit.runs)


def _row(visit: EarlierVisit, run: MeasuredRun, system: UnitSystem) -> tuple[str, ...]:
    ended = "" if visit.outcome is None else capital(cause_label(visit.outcome.cause))
    times = [
        WARM_AT_START if run.start >= x else NOT_REACHED if (t := run.time_to[x]) is None else minutes(t)
        for x in TIMES_TO
    ]
    air = temperature(run.ambient, system)
    passes = NOT_FITTED if run.left_open is None else opening_words(run.left_open)
    name = f"{visit.day} (job {visit.job})" if visit.day else f"job {visit.job}"
    return name, TITLES[run.record], ended, temperature(run.start, system), air, *times, passes


def opening_words(found: LeftOpen) -> str:
    """What a valve leaves open, best and between what."""
    low, middle, high = (small_share(x) for x in (found.low, found.middle, found.high))
    return f"{middle} ({low} to {high})"


def _visit_lines(visit: EarlierVisit, system: UnitSystem) -> list[str]:
    head = f"Job {visit.job}{f', {visit.day}' if visit.day else ''}"
    told = [_run_words(run, system) for run in visit.runs]
    for name in dict.fromkeys(spot.record for spot in visit.spots):
        spots = [_spot_words(spot, system) for spot in visit.spots if spot.record == name]
        told.append(f"{TITLES[name].lower()}: {'; '.join(spots)}")
    told = told or [visit.unread or NO_RUN]
    lines = [f"{head}: {text}." for text in told]
    return [*lines, *([outcome_sentence(visit.outcome)] if visit.outcome is not None else [])]


def _spot_words(spot: SpotRead, system: UnitSystem) -> str:
    """One reading by hand with its time, as a number or in the words in which it was read."""
    when = "" if spot.at is None else f" after {minutes(spot.at)}"
    if spot.word:
        return f"{word_read(spot.what, spot.instrument, spot.word)}{when}"
    place = "coolant" if spot.what == "coolant" else SPOT_PLACES[spot.what]
    return f"{place} {show(spot.value, spot.kind, system)}{when}"


def _run_words(run: MeasuredRun, system: UnitSystem) -> str:
    """The start and the times to each temperature."""
    begun = f"started at {temperature(run.start, system)} in {temperature(run.ambient, system)} air"
    times = [
        f"{temperature(x, system)} {'not reached' if t is None else f'after {minutes(t)}'}"
        for x, t in run.time_to.items()
        if run.start < x
    ]
    fitted = run.left_open
    passes = [] if fitted is None else [f"the shut valve passes {opening_words(fitted)} of what the open one does"]
    told = "; ".join([*([", ".join(times)] if times else []), *passes])
    return f"{TITLES[run.record].lower()}: {begun}{f'; {told}' if told else ''}"


def _drift_sentence(visits: Sequence[EarlierVisit], system: UnitSystem) -> str:
    found = time_drift(visits)
    if found is None:
        return ""
    longer = found.longer
    goal = temperature(found.goal, system)
    if abs(longer) < LEAST_DRIFT:
        return f"The time to {goal} has not changed by a minute from the first of these runs to the last."
    way = "longer" if longer > 0.0 else "sooner"
    return f"From the first of these runs to the last it takes {minutes(abs(longer))} {way} to {goal}."


def _opening_sentence(visits: Sequence[EarlierVisit]) -> str:
    found = opening_drift(visits)
    if found is None:
        return ""
    if 1.0 - SURE < found.more < SURE:
        return "That the shut valve passes more or less than at the first of these runs is not shown."
    way, sure = ("more", found.more) if found.more >= SURE else ("less", 1.0 - found.more)
    middles = f"{small_share(found.first.middle)} then, {small_share(found.last.middle)} now"
    return f"The shut valve passes {way} than at the first of these runs: {middles} ({chance(sure)})."
